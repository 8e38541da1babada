// <gb-watch-prepare data-url data-state data-formats>: shows what a logger sends and opens the page anew when there is a next step.

const everyMs = 700;

class WatchPrepare extends HTMLElement {
  #timer = 0;

  connectedCallback() {
    // Once it is ready the next step is the person's; a question on the way to the start would find nothing any more.
    if (this.dataset.state !== "ready") {
      this.#timer = setTimeout(() => this.#ask(), everyMs);
    }
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
  }

  async #ask() {
    try {
      const answer = await fetch(this.dataset.url, { headers: { accept: "application/json" } });
      if (answer.ok) {
        const now = await answer.json();
        const learned = this.dataset.state === "listening" && this.dataset.formats === "0" && now.formats > 0;
        if (now.state !== this.dataset.state || learned) {
          location.reload();
          return;
        }
        this.#show(now);
      }
    } catch {
      // The server may be away for a moment; the next question finds it again.
    }
    this.#timer = setTimeout(() => this.#ask(), everyMs);
  }

  #show(now) {
    const percent = Math.floor(100 * now.done);
    const bar = this.querySelector("progress");
    if (bar) {
      bar.value = percent;
      this.querySelector("[data-percent]").textContent = `${percent} %`;
    }
    const lines = this.querySelector("[data-lines]");
    if (lines) {
      lines.textContent = now.lines.join("\n");
    }
    const said = this.querySelector("[data-said]");
    if (said && said.textContent !== now.said) {
      said.textContent = now.said;
    }
  }
}

customElements.define("gb-watch-prepare", WatchPrepare);
