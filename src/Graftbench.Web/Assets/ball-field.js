// Picks a ball of a drawn field: a tap asks the page for that ball and changes only the part that shows it.

function letters(row, alphabet) {
  const n = alphabet.length;
  return row < n ? alphabet[row] : alphabet[Math.floor(row / n) - 1] + alphabet[row % n];
}

class BallField extends HTMLElement {
  connectedCallback() {
    this.style.cursor = "pointer";
    this.addEventListener("click", (event) => this.pick(event));
  }

  pick(event) {
    const svg = this.querySelector("svg");
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const d = this.dataset;
    const column = Math.round((at.x - Number(d.x0)) / Number(d.dx));
    const row = Math.round((at.y - Number(d.y0)) / Number(d.dy));
    if (row < 0 || column < 0 || row >= Number(d.rows) || column >= Number(d.columns)) return;
    show(`${d.address}?view=${d.view}&ball=${letters(row, d.letters)}${column + 1}`);
  }
}

async function show(address) {
  const part = document.getElementById("maps");
  try {
    const answer = await fetch(address, { headers: { accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("maps");
    if (!answer.ok || !fresh) throw new Error("no part");
    part.replaceChildren(...fresh.childNodes);
    history.replaceState(null, "", `${address}#maps`);
  } catch {
    location.assign(`${address}#maps`);
  }
}

customElements.define("gb-ball-field", BallField);
