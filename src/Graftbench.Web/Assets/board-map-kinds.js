// What the picture knows about each kind of part: the letter of its reference, a size to start from, its family and
// the mark that tells it from the others without colour.

// Starting sizes are only something to take hold of: a placed part is listed as "starting size" until it is sized.
const kinds = {
  "ball-grid-package": { letter: "U", size: [17, 17], family: "package" },
  "moulded-package": { letter: "U", size: [10, 10], family: "package" },
  "hermetic-package": { letter: "U", size: [12, 12], family: "package" },
  "ceramic-capacitor": { letter: "C", size: [3, 1.5], family: "capacitor" },
  "aluminium-electrolytic": { letter: "C", size: [8, 8], family: "capacitor" },
  "polymer-capacitor": { letter: "C", size: [7, 4.5], family: "capacitor" },
  "film-capacitor-polypropylene": { letter: "C", size: [13, 6], family: "capacitor" },
  "film-capacitor-polyester": { letter: "C", size: [7, 4], family: "capacitor" },
  supercapacitor: { letter: "C", size: [11, 11], family: "cell" },
  "coin-cell": { letter: "BT", size: [20, 20], family: "cell" },
  "lithium-pack": { letter: "BT", size: [40, 30], family: "cell" },
  crystal: { letter: "Y", size: [5, 3], family: "other" },
  "lc-filter": { letter: "FL", size: [5, 3], family: "other" },
  "radio-module": { letter: "M", size: [18, 14], family: "other" },
  "connector-heat-proof": { letter: "J", size: [15, 6], family: "plastic" },
  "connector-other": { letter: "J", size: [15, 6], family: "plastic" },
  "plastic-part": { letter: "P", size: [12, 8], family: "plastic" },
  "label-or-tape": { letter: "L", size: [20, 10], family: "plastic" },
  other: { letter: "X", size: [8, 8], family: "other" },
  "copper-rich": { letter: "", size: [30, 20], family: "copper" },
  "copper-poor": { letter: "", size: [30, 20], family: "copper" },
};

const unheardOf = { letter: "X", size: [8, 8], family: "other" };

/** What is known of a kind. */
export function kindOf(name) {
  return kinds[name] ?? unheardOf;
}

/** Whether parts of this kind are meant to reach over the board's edge. */
export function mayOverhang(name) {
  return name === "connector-heat-proof" || name === "connector-other" || name === "label-or-tape";
}

/** Shape of the body: corner radius as a share of the shorter side. */
function roundness(name) {
  switch (name) {
    case "aluminium-electrolytic":
    case "supercapacitor":
    case "coin-cell":
    case "crystal":
      return 0.5;
    case "film-capacitor-polypropylene":
    case "film-capacitor-polyester":
    case "lithium-pack":
      return 0.2;
    default:
      return 0;
  }
}

/** Slanted strokes across a box, many for much copper and few for little, so that the two differ without colour. */
function slants(l, w, count, turn) {
  const strokes = [];
  const cut = (from, to, at) => ({ x: from.x + (to.x - from.x) * at, y: from.y + (to.y - from.y) * at });
  for (let i = 1; i <= count; i++) {
    const at = i / (count + 1);
    // From one edge round the corner to the other, evenly spaced along the diagonal.
    const corner = at <= 0.5 ? [{ x: -l / 2, y: w / 2 }, { x: l / 2, y: w / 2 }, { x: -l / 2, y: -w / 2 }, 2 * at] : [{ x: l / 2, y: -w / 2 }, { x: -l / 2, y: -w / 2 }, { x: l / 2, y: w / 2 }, 2 - 2 * at];
    const [home, alongX, alongY, share] = corner;
    const a = cut(home, alongX, share);
    const b = cut(home, alongY, share);
    strokes.push(`M${a.x * turn} ${a.y}L${b.x * turn} ${b.y}`);
  }
  return strokes.join("");
}

/**
 * Shapes of a body in its own axes, y down as in SVG, centre at the origin.
 * Each is [element, attributes]; the first is the body itself.
 */
export function bodyShapes(name, l, w) {
  const short = Math.min(l, w);
  const r = roundness(name) * short;
  const body = ["rect", { class: "bm-body", x: -l / 2, y: -w / 2, width: l, height: w, rx: r }];
  const mark = (d, filled) => ["path", { class: filled ? "bm-mark bm-mark-filled" : "bm-mark", d }];
  const box = (x, y, dx, dy) => `M${x} ${y}h${dx}v${dy}h${-dx}z`;
  const ticks = (n, from, to, y, dy) =>
    Array.from({ length: n }, (_, i) => `M${from + ((i + 0.5) * (to - from)) / n} ${y}v${dy}`).join("");
  switch (name) {
    case "moulded-package":
      return [
        body,
        mark(ticks(6, -l / 2, l / 2, -w / 2, w * 0.12) + ticks(6, -l / 2, l / 2, w / 2, -w * 0.12)),
        mark(`M${-l * 0.36} ${-w * 0.24}a${short * 0.04} ${short * 0.04} 0 1 0 .001 0z`, true),
      ];
    case "hermetic-package":
      return [body, mark(box(-l * 0.38, -w * 0.38, l * 0.76, w * 0.76)), mark(box(-l * 0.3, -w * 0.3, l * 0.6, w * 0.6))];
    case "ceramic-capacitor":
      return [body, mark(box(-l / 2, -w / 2, l * 0.2, w) + box(l * 0.3, -w / 2, l * 0.2, w), true)];
    case "aluminium-electrolytic":
      return [
        body,
        mark(`M${l * 0.25} ${-w * 0.43}A${l / 2} ${w / 2} 0 0 1 ${l * 0.25} ${w * 0.43}z`, true),
        mark(`M${-l * 0.36} 0h${l * 0.2}M${-l * 0.26} ${-w * 0.1}v${w * 0.2}`),
      ];
    case "polymer-capacitor":
      return [body, mark(box(-l * 0.42, -w / 2, l * 0.16, w), true)];
    case "film-capacitor-polypropylene":
      return [body, mark(`M${-l * 0.3} ${-w / 2}v${w}M${l * 0.3} ${-w / 2}v${w}`)];
    case "film-capacitor-polyester":
      return [body, mark(`M${-l * 0.3} ${-w / 2}v${w}M${-l * 0.2} ${-w / 2}v${w}M${l * 0.3} ${-w / 2}v${w}M${l * 0.2} ${-w / 2}v${w}`)];
    case "supercapacitor":
      return [body, mark(`M${-l * 0.28} ${-w * 0.26}v${w * 0.52}M${-l * 0.2} ${-w * 0.26}v${w * 0.52}`)];
    case "coin-cell":
      return [
        body,
        ["ellipse", { class: "bm-mark", cx: 0, cy: 0, rx: l * 0.4, ry: w * 0.4 }],
        mark(`M${-l * 0.3} ${-w * 0.16}h${l * 0.16}M${-l * 0.22} ${-w * 0.24}v${w * 0.16}`),
      ];
    case "lithium-pack":
      return [
        body,
        mark(box(l * 0.5, -w * 0.15, l * 0.05, w * 0.3), true),
        mark(`M${l * 0.3} ${-w * 0.08}v${w * 0.16}M${l * 0.25} 0h${l * 0.1}M${-l * 0.4} 0h${l * 0.1}`),
      ];
    case "crystal":
      return [body, mark(`M${-l * 0.3} ${-w * 0.22}v${w * 0.44}M${l * 0.3} ${-w * 0.22}v${w * 0.44}`)];
    case "lc-filter":
      return [body, mark(`M${-l / 6} ${-w / 2}v${w}M${l / 6} ${-w / 2}v${w}M${-l / 2} 0h${l}`)];
    case "radio-module": {
      const step = l * 0.18;
      const zigzag = `M${-l * 0.45} ${-w * 0.32}v${-w * 0.1}` + `h${step / 2}v${w * 0.1}h${step / 2}v${-w * 0.1}`.repeat(4);
      return [body, mark(box(-l * 0.42, -w * 0.22, l * 0.84, w * 0.64)), mark(zigzag)];
    }
    case "connector-heat-proof":
      return [body, mark(ticks(5, -l / 2, l / 2, -w * 0.28, w * 0.56))];
    case "connector-other":
      return [body, mark(ticks(5, -l / 2, l / 2, -w * 0.28, w * 0.56)), mark(`M${-l / 2} ${w * 0.36}h${l}`)];
    case "plastic-part":
      return [body, mark(`M${-l / 2} ${-w / 2}L${l / 2} ${w / 2}M${-l / 2} ${w / 2}L${l / 2} ${-w / 2}`)];
    case "label-or-tape":
      return [body, mark(`M${-l * 0.4} ${-w * 0.3}h${l * 0.8}M${-l * 0.4} ${w * 0.3}h${l * 0.5}`)];
    case "copper-rich":
      return [body, mark(slants(l, w, 9, 1))];
    case "copper-poor":
      return [body, mark(slants(l, w, 3, -1))];
    case "other":
      return [body, mark(`M${-l / 2} ${-w / 4}L${-l / 4} ${-w / 2}`)];
    default:
      return [body];
  }
}
