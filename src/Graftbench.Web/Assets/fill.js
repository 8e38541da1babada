// <gb-fill> around a choice whose options carry data-fill='{"field name": "text"}': choosing one fills those fields in.

class Fill extends HTMLElement {
  connectedCallback() {
    this.dataset.live = "";
    this.addEventListener("change", (event) => this.#fill(event.target));
  }

  #fill(select) {
    const text = select.selectedOptions?.[0]?.dataset.fill;
    if (!text) {
      return;
    }
    for (const [name, value] of Object.entries(JSON.parse(text))) {
      const field = this.closest("form").elements.namedItem(name);
      if (field) {
        field.value = value;
      }
    }
  }
}

customElements.define("gb-fill", Fill);
