// <gb-enter> around a long form: Enter in a single-line field goes to the next field in place of sending the form.

const LINES = 'input:not([type="checkbox"], [type="radio"], [type="file"], [type="hidden"], [type="submit"])';

class Enter extends HTMLElement {
  connectedCallback() {
    this.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && !event.isComposing && event.target.matches(LINES)) {
        event.preventDefault();
        this.#next(event.target)?.focus();
      }
    });
  }

  #next(field) {
    const fields = [...this.querySelectorAll("input:not([type=hidden]), select, textarea")].filter(
      (each) => each.checkVisibility(),
    );
    return fields[fields.indexOf(field) + 1];
  }
}

customElements.define("gb-enter", Enter);
