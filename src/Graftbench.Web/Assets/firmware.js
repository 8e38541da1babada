// Files dropped on a form, and a picture of the flash chip that tells its parts under a finger, a pointer or the arrow keys.
// Both only help: the file field and the links of the picture do the same without scripts.

class DropForm extends HTMLElement {
  connectedCallback() {
    const place = this.querySelector("[data-drop]");
    const field = this.querySelector("input[type=file]");
    const words = this.querySelector("[data-drop-words]");
    if (!place || !field) {
      return;
    }
    if (words) {
      words.textContent = field.multiple ? "(choose, or drop them here)" : "(choose, or drop it here)";
    }
    for (const name of ["dragenter", "dragover"]) {
      place.addEventListener(name, (event) => {
        event.preventDefault();
        place.dataset.over = "";
      });
    }
    place.addEventListener("dragleave", () => delete place.dataset.over);
    place.addEventListener("drop", (event) => {
      event.preventDefault();
      delete place.dataset.over;
      const files = event.dataTransfer?.files;
      if (files?.length) {
        const chosen = new DataTransfer();
        for (const file of field.multiple ? files : [files[0]]) {
          chosen.items.add(file);
        }
        field.files = chosen.files;
        field.dispatchEvent(new Event("change", { bubbles: true }));
      }
    });
    // A file dropped beside the place must not replace the page and what was typed on it.
    for (const name of ["dragover", "drop"]) {
      this.addEventListener(name, (event) => event.preventDefault());
    }
  }
}

class FlashPicture extends HTMLElement {
  #parts = [];
  #line;

  connectedCallback() {
    this.#parts = [...this.querySelectorAll("a.flash-part")];
    this.#line = this.querySelector("[data-flash-line]");
    if (this.#parts.length === 0) {
      return;
    }
    // One stop for the Tab key; the arrows go on from there.
    this.#parts.forEach((part, i) => part.setAttribute("tabindex", i === 0 ? "0" : "-1"));
    if (this.#line) {
      this.#line.textContent = "Pick a part to see its bytes. Arrow keys move along the parts.";
    }
    this.addEventListener("pointerover", (event) => this.#tell(event.target.closest?.("a.flash-part")));
    this.addEventListener("focusin", (event) => this.#tell(event.target.closest?.("a.flash-part")));
    this.addEventListener("keydown", (event) => this.#key(event));
  }

  #tell(part) {
    if (part && this.#line) {
      this.#line.textContent = part.getAttribute("aria-label");
    }
  }

  #key(event) {
    const at = this.#parts.indexOf(document.activeElement);
    const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, PageDown: 10, PageUp: -10 };
    let to = -1;
    if (at >= 0 && event.key in steps) {
      to = Math.min(this.#parts.length - 1, Math.max(0, at + steps[event.key]));
    } else if (at >= 0 && (event.key === "Home" || event.key === "End")) {
      to = event.key === "Home" ? 0 : this.#parts.length - 1;
    }
    if (to < 0) {
      return;
    }
    event.preventDefault();
    this.#parts[at].setAttribute("tabindex", "-1");
    this.#parts[to].setAttribute("tabindex", "0");
    this.#parts[to].focus();
  }
}

customElements.define("gb-drop", DropForm);
customElements.define("gb-flash", FlashPicture);
