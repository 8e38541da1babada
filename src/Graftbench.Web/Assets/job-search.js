// <gb-job-search>: asks while the words are typed and puts the answer in place; the form does the same without it.
// "/" goes to the field from anywhere on the page, the arrow keys go from job to job.

const TYPING_MS = 180;

class JobSearch extends HTMLElement {
  #timer = 0;
  #asked = null;

  connectedCallback() {
    this.form = this.querySelector("form");
    this.field = this.querySelector('input[type="search"]');
    this.form.addEventListener("input", () => this.#soon(TYPING_MS));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#soon(0);
    });
    this.addEventListener("keydown", (event) => this.#step(event));
    this.onKey = (event) => this.#slash(event);
    document.addEventListener("keydown", this.onKey);
  }

  disconnectedCallback() {
    document.removeEventListener("keydown", this.onKey);
    clearTimeout(this.#timer);
    this.#asked?.abort();
  }

  #soon(ms) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), ms);
  }

  async #ask() {
    this.#asked?.abort();
    this.#asked = new AbortController();
    const query = new URLSearchParams(new FormData(this.form));
    const address = `/jobs?${query}`;
    try {
      const answer = await fetch(address, { signal: this.#asked.signal, headers: { Accept: "text/html" } });
      if (!answer.ok) {
        throw new Error(`${answer.status}`);
      }
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      this.querySelector("#hits").replaceWith(document.adoptNode(page.querySelector("#hits")));
      // What was replaced is not read out; what stays is.
      this.querySelector("#hits-said").textContent = this.querySelector("#hits-title").textContent;
      history.replaceState(null, "", address);
    } catch (problem) {
      if (problem.name !== "AbortError") {
        this.querySelector("#hits-title").textContent = "No answer from the program; press Find again.";
      }
    }
  }

  #slash(event) {
    const typing = event.target.closest?.("input, textarea, select, [contenteditable]");
    if (event.key === "/" && !typing && !event.ctrlKey && !event.metaKey && !event.altKey) {
      event.preventDefault();
      this.field.focus();
      this.field.select();
    }
  }

  #step(event) {
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") {
      return;
    }
    if (event.target.type === "radio") {
      return;
    }
    const links = [...this.querySelectorAll(".found h3 a")];
    const at = links.indexOf(document.activeElement);
    const next = event.key === "ArrowDown" ? links[at + 1] : at > 0 ? links[at - 1] : this.field;
    if (next) {
      event.preventDefault();
      next.focus();
    }
  }
}

customElements.define("gb-job-search", JobSearch);
