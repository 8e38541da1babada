// <gb-joint-try data-url="...">: while the slider moves, the cut and the ball field are fetched anew. One question at a time:
// the next one asks for what the slider shows by then. Without scripts the form opens the page anew.

class JointTry extends HTMLElement {
  #busy = false;
  #again = false;
  #form;

  connectedCallback() {
    this.#form = this.querySelector("form");
    if (!this.#form) {
      return;
    }
    this.querySelector("[data-show]")?.setAttribute("hidden", "");
    this.#form.addEventListener("input", () => this.#changed());
    this.#form.addEventListener("submit", (event) => {
      if (event.submitter?.hasAttribute("data-take")) {
        return;
      }
      event.preventDefault();
      this.#changed();
    });
  }

  #changed() {
    const dome = this.#form.elements.dome;
    const shown = this.querySelector("[data-dome]");
    if (shown) {
      shown.textContent = `${Number(dome.value).toFixed(3).replace(/0+$/, "").replace(/\.$/, "")} mm`;
    }
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#ask();
  }

  async #ask() {
    this.#busy = true;
    const url = new URL(this.dataset.url, location.href);
    for (const name of ["dome", "spread", "row"]) {
      url.searchParams.set(name, this.#form.elements[name].value);
    }
    try {
      const answer = await fetch(url);
      if (answer.ok) {
        this.#show(await answer.text());
      } else {
        this.#say("This amount could not be computed.");
      }
    } catch {
      this.#say("The bench does not answer; move the slider again when it does.");
    }
    this.#busy = false;
    if (this.#again) {
      this.#again = false;
      this.#ask();
    }
  }

  #show(html) {
    const made = new DOMParser().parseFromString(html, "text/html").querySelector("[data-look-result]");
    const old = this.querySelector("[data-look-result]");
    if (!made || !old) {
      return;
    }
    // The line that is read out stays the same element, so that a screen reader says what changed.
    const line = old.querySelector(".answer");
    const said = made.querySelector(".answer");
    if (line && said) {
      if (line.textContent !== said.textContent) {
        line.replaceChildren(...said.childNodes);
      }
      said.replaceWith(line);
    }
    old.replaceWith(made);
  }

  #say(words) {
    const line = this.querySelector("[data-look-result] .answer");
    if (line) {
      line.textContent = words;
    }
  }
}

customElements.define("gb-joint-try", JointTry);
