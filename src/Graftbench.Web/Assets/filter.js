// <gb-filter>: hides rows of tables, and blocks, that do not hold the typed text, while it is typed. The form does the same without it.

class Filter extends HTMLElement {
  connectedCallback() {
    const field = this.querySelector('input[type="search"]');
    // Only the whole reference can be filtered here: after a filtered load the other rows are not on the page.
    if (field && field.value === "") {
      field.addEventListener("input", () => this.#show(field.value.trim().toLowerCase()));
    }
  }

  #show(query) {
    let rowCount = 0;
    let tableCount = 0;
    for (const section of this.querySelectorAll(".reference-table")) {
      let shown = 0;
      for (const row of section.querySelectorAll("tbody tr, .truth-block")) {
        row.hidden = query !== "" && !row.textContent.toLowerCase().includes(query);
        shown += row.hidden ? 0 : 1;
      }
      for (const group of section.querySelectorAll(".truth-group")) {
        group.hidden = group.querySelector(".truth-block:not([hidden])") === null;
      }
      section.hidden = shown === 0;
      rowCount += shown;
      tableCount += shown === 0 ? 0 : 1;
    }
    this.querySelector("#filter-count").textContent = `${rowCount} rows in ${tableCount} tables`;
  }
}

customElements.define("gb-filter", Filter);
