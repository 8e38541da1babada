// Entry of readings: keys for gloves, and the meter on the serial port. Without this the form works all the same.

const everyMs = 400;

class Reading extends HTMLElement {
  connectedCallback() {
    this.value = this.querySelector("[data-value]");
    this.form = this.querySelector(".readings-form");
    const keys = this.querySelector("[data-keys]");
    keys.hidden = false;
    keys.addEventListener("click", (event) => this.press(event.target.dataset.key));
    if (location.hash === "#take") this.ready();
    this.live = this.querySelector("[data-live]");
    if (this.live) this.watch();
  }

  // The next value can be typed at once. Going to the mark in the address takes the focus away, so it is set after that.
  ready() {
    if (document.readyState === "complete") setTimeout(() => this.value.focus(), 0);
    else addEventListener("load", () => setTimeout(() => this.value.focus(), 0), { once: true });
  }

  press(key) {
    if (!key) return;
    const text = this.value.value;
    this.value.value = key === "⌫" ? text.slice(0, -1) : text + key;
    this.value.dispatchEvent(new Event("input", { bubbles: true }));
  }

  watch() {
    const keys = this.querySelector("[data-live-keys]");
    keys.hidden = false;
    this.settled = null;
    this.querySelector("[data-use]").addEventListener("click", () => this.use());
    const byItself = this.querySelector("[data-by-itself]");
    byItself.checked = sessionStorage.getItem("gb-by-itself") === "yes";
    byItself.addEventListener("change", () => sessionStorage.setItem("gb-by-itself", byItself.checked ? "yes" : "no"));
    this.timer = setInterval(() => this.look(byItself), everyMs);
  }

  disconnectedCallback() {
    clearInterval(this.timer);
  }

  async look(byItself) {
    let state;
    try {
      const answer = await fetch(`${this.dataset.state}?kind=${this.dataset.kind}`);
      state = await answer.json();
    } catch {
      return;
    }
    this.live.textContent = state.shows ?? state.problem ?? "waiting";
    this.live.toggleAttribute("data-settled", Boolean(state.settled));
    this.querySelector("[data-told]").textContent = `${state.port ?? "no port"}: ${state.told ?? "opening"}`;
    this.settled = state.settled;
    // A lead that lies on nothing reads OL for good: only a number is stored by itself.
    if (byItself.checked && this.settled && this.settled !== "OL" && this.value.value === "" && document.getElementById("net").value) {
      clearInterval(this.timer);
      this.use();
      this.form.requestSubmit();
    }
  }

  use() {
    if (this.settled) this.value.value = this.settled;
    this.value.focus();
  }
}

customElements.define("gb-reading", Reading);

// A tap on the board writes the place of the lead into the fields above it.
class BoardPoint extends HTMLElement {
  connectedCallback() {
    this.querySelector("[data-point-help]").hidden = false;
    this.style.cursor = "crosshair";
    this.addEventListener("click", (event) => {
      const svg = this.querySelector("svg");
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
      const d = this.dataset;
      document.getElementById("x").value = ((at.x - Number(d.x0)) / Number(d.scale)).toFixed(1);
      document.getElementById("y").value = ((Number(d.y0) - at.y) / Number(d.scale)).toFixed(1);
    });
  }
}

customElements.define("gb-board-point", BoardPoint);
