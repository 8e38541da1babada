// <gb-profile data-profile='{"depthMm":[],"timeH":[],"fraction":[],"meanFraction":[]}'>: the moisture through a body at
// a chosen time. The data are the server's; this only picks a column and draws it.

const svgNamespace = "http://www.w3.org/2000/svg";
const width = 600;
const height = 220;
const frame = { left: 52, right: 14, top: 12, bottom: 40 };

function element(name, attributes, text) {
  const made = document.createElementNS(svgNamespace, name);
  for (const [key, value] of Object.entries(attributes)) {
    made.setAttribute(key, value);
  }
  if (text !== undefined) {
    made.textContent = text;
  }
  return made;
}

class Profile extends HTMLElement {
  connectedCallback() {
    if (this.firstChild) {
      return;
    }
    const data = JSON.parse(this.dataset.profile);
    const id = `profile-${Math.random().toString(36).slice(2, 9)}`;
    const row = document.createElement("div");
    row.className = "profile-row";
    const label = document.createElement("label");
    label.htmlFor = id;
    label.textContent = `Moisture through ${this.dataset.name} after`;
    const output = document.createElement("output");
    output.htmlFor = id;
    const slider = document.createElement("input");
    slider.type = "range";
    slider.id = id;
    slider.min = "0";
    slider.max = String(data.timeH.length - 1);
    slider.value = "0";
    const svg = element("svg", { viewBox: `0 0 ${width} ${height}`, role: "img" });
    const strong = document.createElement("strong");
    strong.append(output);
    row.append(label, slider, strong, svg);
    this.append(row);
    const show = () => this.#show(data, Number(slider.value), slider, output, svg);
    slider.addEventListener("input", show);
    show();
  }

  #show(data, at, slider, output, svg) {
    const count = data.depthMm.length;
    const hours = data.timeH[at];
    const timeText = hours < 10 ? `${hours.toFixed(1)} h` : `${Math.round(hours)} h`;
    const text = `${timeText}: ${(100 * data.meanFraction[at]).toFixed(1)} % of saturated left on the whole`;
    output.textContent = text;
    slider.setAttribute("aria-valuetext", text);
    const values = data.fraction.slice(at * count, (at + 1) * count);
    const deepest = data.depthMm[count - 1];
    const x = (depth) => frame.left + ((width - frame.left - frame.right) * depth) / deepest;
    const y = (fraction) => height - frame.bottom - (height - frame.top - frame.bottom) * Math.min(1, fraction);
    const points = values.map((fraction, i) => `${x(data.depthMm[i]).toFixed(1)},${y(fraction).toFixed(1)}`);
    const base = height - frame.bottom;
    svg.replaceChildren(element("title", {}, `Moisture through the body after ${text}`));
    for (const percent of [0, 25, 50, 75, 100]) {
      const level = y(percent / 100);
      svg.append(
        element("line", { x1: frame.left, x2: width - frame.right, y1: level, y2: level, stroke: "var(--gb-grid)" }),
        element("text", { x: frame.left - 6, y: level + 4, "text-anchor": "end", "font-size": 13, fill: "var(--gb-muted)" }, `${percent} %`),
      );
    }
    svg.append(
      element("polygon", { points: `${x(0)},${base} ${points.join(" ")} ${x(deepest)},${base}`, fill: "var(--gb-accent)", "fill-opacity": 0.25 }),
      element("polyline", { points: points.join(" "), fill: "none", stroke: "var(--gb-accent)", "stroke-width": 2.5 }),
      element("text", { x: frame.left, y: height - 20, "font-size": 13, fill: "var(--gb-muted)" }, "top face"),
      element("text", { x: width - frame.right, y: height - 20, "text-anchor": "end", "font-size": 13, fill: "var(--gb-muted)" }, `${deepest} mm deep`),
      element("text", { x: width / 2, y: height - 4, "text-anchor": "middle", "font-size": 13, fill: "var(--gb-muted)" }, "depth below the top face"),
    );
  }
}

customElements.define("gb-profile", Profile);
