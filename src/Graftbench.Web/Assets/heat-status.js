// <gb-heat-status data-url="...">: asks how far a computation is and opens the page anew when it is done.

const everyMs = 700;

class HeatStatus extends HTMLElement {
  #timer = 0;
  #told = "";

  connectedCallback() {
    this.querySelector("[data-look]")?.setAttribute("hidden", "");
    this.#timer = setTimeout(() => this.#ask(), everyMs);
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
  }

  async #ask() {
    try {
      const answer = await fetch(this.dataset.url, { headers: { accept: "application/json" } });
      if (answer.ok) {
        const status = await answer.json();
        if (status.state !== "queued" && status.state !== "running") {
          this.#open();
          return;
        }
        this.#show(status);
      }
    } catch {
      // The server may be away for a moment; the next question finds it again.
    }
    this.#timer = setTimeout(() => this.#ask(), everyMs);
  }

  #show(status) {
    const percent = Math.floor(100 * status.done);
    const bar = this.querySelector("progress");
    if (bar) {
      bar.value = percent;
    }
    const number = this.querySelector("[data-percent]");
    if (number) {
      number.textContent = `${percent} %`;
    }
    // Read out only when the words change, not at every percent.
    const words = status.state === "queued" ? "Waits for its turn." : status.words;
    if (words !== this.#told) {
      this.#told = words;
      const line = this.querySelector("[data-words]");
      if (line) {
        line.textContent = words;
      }
    }
  }

  // A page on which something is being typed is left alone: the link does what the reload would have done.
  #open() {
    const typed = [...document.querySelectorAll("main form textarea, main form input:not([type=hidden])")].some(
      (field) => field.type !== "radio" && field.type !== "checkbox" && field.value !== field.defaultValue,
    );
    if (!typed) {
      location.reload();
      return;
    }
    const link = this.querySelector("[data-look]");
    link?.removeAttribute("hidden");
    const line = this.querySelector("[data-words]");
    if (line) {
      line.textContent = "Done. Keep what you typed, then look again.";
    }
  }
}

customElements.define("gb-heat-status", HeatStatus);
