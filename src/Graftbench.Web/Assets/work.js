// <gb-minutes> around a number of minutes: buttons that add to it or take from it. Without a script the number is typed.

class Minutes extends HTMLElement {
  connectedCallback() {
    const field = this.querySelector("input");
    for (const by of [-5, 5, 15]) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "quiet";
      button.textContent = by > 0 ? `+${by}` : `−${-by}`;
      button.setAttribute("aria-label", by > 0 ? `${by} minutes more` : `${-by} minutes less`);
      button.addEventListener("click", () => {
        const now = Number(field.value.replace(",", "."));
        field.value = String(Math.max(0, (Number.isFinite(now) ? now : 0) + by));
      });
      this.append(button);
    }
  }
}

customElements.define("gb-minutes", Minutes);
