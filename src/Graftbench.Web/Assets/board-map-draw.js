// Draws the board as SVG in mm. SVG's y runs down, so a point (x, y) of the board is drawn at (x, -y) and turns change sign.
import { bounds, corners, toBoard } from "./board-map-geometry.js";
import { bodyShapes } from "./board-map-kinds.js";
import { boxOf, isPlaced, kindNameOf, nameOf, outlineOf, sideOf } from "./board-map-model.js";
import { patch } from "./board-map-panel.js";

const svgNamespace = "http://www.w3.org/2000/svg";

// Handles take a gloved finger: 44 px across, and never closer to the body's centre than this [px].
const handlePx = 44;
const handleMarkPx = 16;

// Height of the names of bodies [px].
const labelPx = 13;

/** Makes an SVG element; attributes that are undefined are left out. */
export function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS(svgNamespace, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== undefined) {
      element.setAttribute(key, typeof value === "number" ? Number(value.toFixed(4)) : value);
    }
  }
  element.append(...children);
  return element;
}

const points = (polygon) => polygon.map((point) => `${point.x.toFixed(3)},${(-point.y).toFixed(3)}`).join(" ");

/** A small picture of a kind, for the palette. */
export function kindPicture(kind, size) {
  const [l, w] = size;
  const scale = 30 / Math.max(l, w);
  const shapes = bodyShapes(kind, l * scale, w * scale).map(([name, attributes]) => svg(name, attributes));
  if (kind === "ball-grid-package") {
    for (const x of [-9, -3, 3, 9]) {
      for (const y of [-9, -3, 3, 9]) {
        shapes.push(svg("circle", { class: "bm-mark bm-mark-filled", cx: x, cy: y, r: 1.4 }));
      }
    }
  }
  return svg("svg", { viewBox: "-18 -18 36 36", width: 36, height: 36, "aria-hidden": "true", "data-kind": kind }, ...shapes);
}

/** Positions of the handles of a box, in its own axes and mm: corners, and sides where there is room. */
export function handlesOf(box, pxPerMm) {
  const least = handlePx / pxPerMm;
  const x = Math.max(box.length / 2 + 12 / pxPerMm, least);
  const y = Math.max(box.width / 2 + 12 / pxPerMm, least);
  const handles = [];
  for (const [sx, sy] of [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ]) {
    handles.push({ name: `size ${sx} ${sy}`, sx, sy, x: sx * x, y: sy * y });
  }
  if (x > 1.6 * least) {
    handles.push({ name: "size 0 -1", sx: 0, sy: -1, x: 0, y: -y });
  }
  if (y > 1.6 * least) {
    handles.push({ name: "size 1 0", sx: 1, sy: 0, x, y: 0 }, { name: "size -1 0", sx: -1, sy: 0, x: -x, y: 0 });
  }
  return { x, y, handles, turn: { x: 0, y: y + 40 / pxPerMm } };
}

/** Short form of a long name: its beginning and its number, "electrolytic 2" as "ele…2". */
function shortName(name) {
  const number = /\d*$/.exec(name)[0];
  const short = `${name.slice(0, 3)}…${number}`;
  return short.length < name.length ? short : name;
}

/** Labels set so far, in squares of a grid, so that two thousand of them are not all compared with each other. */
class LabelField {
  #squares = new Map();
  #side;

  constructor(side) {
    this.#side = side;
  }

  #squaresOf({ x, y, half, height }) {
    const at = (value) => Math.floor(value / this.#side);
    const names = [];
    for (let i = at(x - half); i <= at(x + half); i++) {
      for (let j = at(y - height); j <= at(y); j++) {
        names.push(`${i} ${j}`);
      }
    }
    return names;
  }

  isFree(label) {
    const meets = (other) =>
      Math.abs(other.x - label.x) < other.half + label.half && Math.abs(other.y - label.y) < label.height * 1.05;
    return !this.#squaresOf(label).some((square) => this.#squares.get(square)?.some(meets));
  }

  add(label) {
    for (const square of this.#squaresOf(label)) {
      const there = this.#squares.get(square);
      if (there) {
        there.push(label);
      } else {
        this.#squares.set(square, [label]);
      }
    }
  }
}

/** One scene: what is drawn, how it is seen and what is chosen. */
export class BoardPicture {
  #svg;
  #id;
  #bodies = new Map();
  #labels = new Map();
  #below = svg("g");
  #bodyLayer = svg("g");
  #overlapLayer = svg("g");
  #labelLayer = svg("g");
  #above = svg("g");

  constructor(root, id) {
    this.#svg = root;
    this.#id = id;
    root.append(this.#below, this.#bodyLayer, this.#overlapLayer, this.#labelLayer, this.#above);
  }

  /** The node made for an object the last time, where neither the object nor what else it depends on has changed. */
  #kept(nodes, item, state, make) {
    const known = nodes.get(item.key);
    if (known && known.item === item && known.state === state) {
      return known.node;
    }
    const node = make();
    nodes.set(item.key, { item, state, node });
    return node;
  }

  /**
   * @param scene { doc, view: { x, y, pxPerMm, width, height }, chosen, mode, corner, remarks, nearest, photo, opacity,
   *   sketch, aim }: view's x and y are the board point in the middle of the picture
   */
  draw(scene) {
    const { view } = scene;
    this.px = 1 / view.pxPerMm;
    const w = view.width * this.px;
    const h = view.height * this.px;
    this.#svg.setAttribute("viewBox", `${view.x - w / 2} ${-view.y - h / 2} ${w} ${h}`);
    const outline = outlineOf(scene.doc);
    const chosen = scene.doc.items.find((item) => item.key === scene.chosen);
    // Larger bodies first, so that a small part on or under a large one can be taken hold of.
    const everything = scene.doc.items.filter(isPlaced).map((item) => ({ item, box: boxOf(item) }));
    const placed = everything
      .filter(({ item }) => item.type !== "region")
      .sort((a, b) => b.box.length * b.box.width - a.box.length * a.box.width);
    // Copper lies in the board, under all bodies; of two regions the later one counts, so it is drawn on top.
    const regions = everything.filter(({ item }) => item.type === "region");
    const isChosen = (item) => item.key === scene.chosen;
    this.#below.replaceChildren(
      this.#patterns(),
      svg("polygon", { class: "bm-board", points: points(outline) }),
      ...this.#photo(scene),
      ...this.#heater(scene),
      ...this.#grid(scene, w, h),
      svg("polygon", { class: "bm-edge", points: points(outline) }),
    );
    patch(
      this.#bodyLayer,
      [...regions, ...placed].map(({ item, box }) => {
        const state = `${isChosen(item)} ${this.#ballsShow(item)}`;
        return this.#kept(this.#bodies, item, state, () => this.#body(item, box, isChosen(item)));
      }),
    );
    this.#overlapLayer.replaceChildren(
      ...scene.remarks.filter((remark) => remark.polygon).map((remark) => this.#overlap(remark.polygon)),
    );
    patch(
      this.#labelLayer,
      this.#placeLabels([...placed, ...regions], isChosen).map(({ item, label }) =>
        this.#kept(this.#labels, item, label ? `${this.px} ${label.x} ${label.y} ${label.text}` : "", () => this.#label(item, label)),
      ),
    );
    this.#above.replaceChildren(
      ...(chosen && isPlaced(chosen) && scene.mode === "choose" ? [this.#gap(scene.nearest), this.#frame(boxOf(chosen), chosen.type !== "region")] : []),
      ...(scene.mode === "outline" ? [this.#corners(outline, scene)] : []),
      ...this.#nozzle(scene),
      ...this.#sketch(scene),
      this.#rulers(view, w, h),
    );
  }

  #patterns() {
    const step = 7 * this.px;
    const hatch = svg(
      "pattern",
      { id: `${this.#id}-hatch`, width: step, height: step, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
      svg("rect", { class: "bm-hatch-ground", width: step, height: step }),
      svg("path", { class: "bm-hatch-line", d: `M0 0V${step}`, "stroke-width": 4 * this.px }),
    );
    return svg("defs", {}, hatch);
  }

  #photo({ photo, opacity, doc }) {
    if (!photo) {
      return [];
    }
    const { lengthMm: l, widthMm: w } = doc.board;
    return [svg("image", { href: photo, x: 0, y: -w, width: l, height: w, preserveAspectRatio: "none", opacity })];
  }

  /** Field and zones of the heater below; where no centre is given the board lies in the middle. */
  #heater({ heaters, doc }) {
    const heater = heaters?.preheater;
    if (!heater) {
      return [];
    }
    const box = (x, y, length, width, name) => svg("rect", { class: name, x, y: -y - width, width: length, height: width });
    const shapes = (heater.zones ?? []).map((zone) => box(zone.xMm, zone.yMm, zone.lengthMm, zone.widthMm, "bm-zone"));
    if (heater.lengthMm > 0 && heater.widthMm > 0) {
      const x = heater.xMm ?? doc.board.lengthMm / 2;
      const y = heater.yMm ?? doc.board.widthMm / 2;
      shapes.push(box(x - heater.lengthMm / 2, y - heater.widthMm / 2, heater.lengthMm, heater.widthMm, "bm-field-below"));
    }
    const size = 12 * this.px;
    for (const zone of heater.zones ?? []) {
      const at = { x: zone.xMm + zone.lengthMm / 2, y: -zone.yMm - 6 * this.px };
      const off = zone.sharePercent === 0 ? " (off)" : "";
      shapes.push(svg("text", { class: "bm-label", ...at, "font-size": size }, `${zone.name}${off}`));
    }
    return shapes;
  }

  /** Opening of the nozzle that was picked, over the chosen chip or else the first one that has a place. */
  #nozzle({ nozzle, chosen, doc }) {
    const chips = doc.items.filter((item) => item.type === "chip" && isPlaced(item));
    const over = chips.find((item) => item.key === chosen) ?? chips[0];
    if (!nozzle || !over) {
      return [];
    }
    const { xMm: x, yMm: y, rotationDeg = 0 } = over.data;
    const [l, w] = [nozzle.lengthMm, nozzle.widthMm ?? nozzle.lengthMm];
    const shape = nozzle.round ? svg("circle", { class: "bm-nozzle", r: l / 2 }) : svg("rect", { class: "bm-nozzle", x: -l / 2, y: -w / 2, width: l, height: w });
    return [svg("g", { transform: `translate(${x} ${-y}) rotate(${-rotationDeg})`, "data-nozzle": nozzle.name }, shape)];
  }

  #grid({ view, doc }, w, h) {
    const step = this.#step(60);
    const lines = [];
    for (let x = Math.ceil((view.x - w / 2) / step) * step; x < view.x + w / 2; x += step) {
      lines.push(`M${x.toFixed(2)} ${(-view.y - h / 2).toFixed(2)}v${h.toFixed(2)}`);
    }
    for (let y = Math.ceil((view.y - h / 2) / step) * step; y < view.y + h / 2; y += step) {
      lines.push(`M${(view.x - w / 2).toFixed(2)} ${(-y).toFixed(2)}h${w.toFixed(2)}`);
    }
    const origin = 9 * this.px;
    return [
      svg("path", { class: "bm-grid", d: lines.join("") }),
      svg("path", { class: "bm-origin", d: `M${-origin} 0H${origin}M0 ${-origin}V${origin}` }),
    ];
  }

  /** Smallest round length that is at least so many pixels long. */
  #step(px) {
    return [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].find((step) => step >= px * this.px) ?? 1000;
  }

  #body(item, box, isChosen) {
    const classes = ["bm-object", `bm-${item.type}`, `bm-${sideOf(item)}`];
    if (isChosen) {
      classes.push("bm-chosen");
    }
    if (item.data.takenOff) {
      classes.push("bm-taken-off");
    }
    if (item.data.shield && item.data.shield !== "none") {
      classes.push(`bm-shield-${item.data.shield}`);
    }
    if (!box.sized) {
      classes.push("bm-unsized");
    }
    const group = svg("g", {
      class: classes.join(" "),
      "data-key": item.key,
      "data-name": nameOf(item),
      "data-kind": kindNameOf(item),
      transform: `translate(${box.x} ${-box.y}) rotate(${-box.rotation})`,
    }, svg("title", {}, nameOf(item)));
    for (const [name, attributes] of bodyShapes(kindNameOf(item), box.length, box.width)) {
      group.append(svg(name, attributes));
    }
    if (kindNameOf(item) === "ball-grid-package") {
      group.append(...this.#ballField(item, box));
    }
    if (item.data.shield && item.data.shield !== "none") {
      const by = 0.8;
      group.append(svg("rect", { class: "bm-shield", x: -box.length / 2 - by, y: -box.width / 2 - by, width: box.length + 2 * by, height: box.width + 2 * by }));
    }
    return group;
  }

  /** Whether the ball field is known and its dots are far enough apart to be seen. */
  #ballsShow(item) {
    const { rows, columns, pitchMm: pitch } = item.data;
    return rows > 0 && columns > 0 && pitch >= 3 * this.px;
  }

  /** Dots for the sites of the ball field, seen through the body, and the A1 corner: upper left at no turn. */
  #ballField(item, box) {
    const { length: l, width: w } = box;
    const mark = Math.min(l, w) * 0.16;
    const corner = svg("path", { class: "bm-a1", d: `M${-l / 2} ${-w / 2}h${mark}l${-mark} ${mark}z` });
    if (!this.#ballsShow(item)) {
      return [corner];
    }
    const { rows, columns, pitchMm: pitch } = item.data;
    const id = `${this.#id}-balls-${item.key}`;
    const x = (-columns * pitch) / 2;
    const y = (-rows * pitch) / 2;
    const r = (item.data.ballDiameterMm > 0 ? Math.min(item.data.ballDiameterMm, pitch * 0.9) : pitch * 0.5) / 2;
    const dots = svg(
      "pattern",
      { id, x, y, width: pitch, height: pitch, patternUnits: "userSpaceOnUse" },
      svg("circle", { class: "bm-ball", cx: pitch / 2, cy: pitch / 2, r }),
    );
    return [dots, svg("rect", { x, y, width: columns * pitch, height: rows * pitch, fill: `url(#${id})` }), corner];
  }

  #label(item, label) {
    if (!label) {
      return svg("g");
    }
    const { x, y, text } = label;
    return svg("text", { class: `bm-label bm-${sideOf(item)}`, x, y, "font-size": labelPx * this.px }, text);
  }

  /**
   * One label for each body where it meets no other: in or under the body, above it, else a short form. The chosen
   * object comes first, then larger bodies before smaller ones; what is left without a label is named in the list.
   */
  #placeLabels(placed, isChosen) {
    const taken = new LabelField(6 * labelPx * this.px);
    const first = placed.filter(({ item }) => isChosen(item));
    const found = new Map();
    for (const { item, box } of [...first, ...placed]) {
      if (!found.has(item)) {
        const label = this.#spots(item, box, isChosen(item)).find((spot) => taken.isFree(spot));
        found.set(item, label);
        if (label) {
          taken.add(label);
        }
      }
    }
    return placed.map(({ item }) => ({ item, label: found.get(item) }));
  }

  /** Where the label of a body may stand, best first. */
  #spots(item, box, isChosen) {
    const { minX, maxX, minY: below, maxY: above } = bounds(corners(box));
    const wide = maxX - minX;
    const size = labelPx * this.px;
    const spot = (text, y) => ({ text, x: box.x, y, half: text.length * size * 0.31, height: size });
    const spots = (name) => {
      const text = box.sized ? name : `${name} ?`;
      return wide > text.length * size * 0.6
        ? [spot(text, -box.y + size * 0.35)]
        : [spot(text, -below + size * 1.1), spot(text, -above - size * 0.35)];
    };
    if (!isChosen && wide < 10 * this.px) {
      return [];
    }
    const name = nameOf(item);
    const short = shortName(name);
    return short === name ? spots(name) : [...spots(name), ...spots(short)];
  }

  #overlap(polygon) {
    return svg("polygon", { class: "bm-overlap", points: points(polygon), fill: `url(#${this.#id}-hatch)` });
  }

  #gap(nearest) {
    if (!nearest || nearest.distance === 0) {
      return svg("g");
    }
    const { from, to, distance } = nearest;
    const text = `${distance.toFixed(1)} mm`;
    const x = (from.x + to.x) / 2;
    const y = -(from.y + to.y) / 2 - 6 * this.px;
    return svg(
      "g",
      { class: "bm-gap" },
      svg("path", { d: `M${from.x} ${-from.y}L${to.x} ${-to.y}` }),
      svg("text", { class: "bm-label", x, y, "font-size": 12 * this.px }, text),
    );
  }

  #handle(name, x, y, turn) {
    const size = handleMarkPx * this.px;
    const mark = turn
      ? svg("circle", { class: "bm-handle", cx: x, cy: -y, r: size / 2 })
      : svg("rect", { class: "bm-handle", x: x - size / 2, y: -y - size / 2, width: size, height: size });
    const reach = svg("circle", { class: "bm-reach", cx: x, cy: -y, r: (handlePx * this.px) / 2 });
    return svg("g", { "data-handle": name }, reach, mark);
  }

  #frame(box, turns) {
    const { x, y, handles, turn } = handlesOf(box, 1 / this.px);
    const frame = corners({ ...box, length: 2 * x, width: 2 * y });
    const stem = [
      { x: 0, y },
      { x: turn.x, y: turn.y },
    ].map((local) => toBoard(local, box));
    const at = (local) => toBoard(local, box);
    return svg(
      "g",
      { class: "bm-frame" },
      svg("polygon", { points: points(frame) }),
      ...handles.map((handle) => this.#handle(handle.name, at(handle).x, at(handle).y, false)),
      ...(turns
        ? [
            svg("path", { d: `M${stem[0].x} ${-stem[0].y}L${stem[1].x} ${-stem[1].y}` }),
            this.#handle("turn", at(turn).x, at(turn).y, true),
          ]
        : []),
    );
  }

  #corners(outline, scene) {
    const group = svg("g", { class: "bm-corners" });
    outline.forEach((point, i) => {
      const next = outline[(i + 1) % outline.length];
      const length = Math.hypot(next.x - point.x, next.y - point.y);
      if (length > 2 * handlePx * this.px) {
        const x = (point.x + next.x) / 2;
        const y = (point.y + next.y) / 2;
        const arm = 6 * this.px;
        const plus = svg("path", { class: "bm-plus", d: `M${x - arm} ${-y}h${2 * arm}M${x} ${-y - arm}v${2 * arm}` });
        const handle = this.#handle(`add ${i}`, x, y, true);
        handle.append(plus);
        group.append(handle);
      }
    });
    outline.forEach((point, i) => {
      const handle = this.#handle(`corner ${i}`, point.x, point.y, false);
      if (i === scene.corner) {
        handle.setAttribute("class", "bm-corner-chosen");
      }
      group.append(handle);
    });
    return group;
  }

  #sketch({ sketch, aim }) {
    const shapes = [];
    if (sketch) {
      const { minX, minY, maxX, maxY } = sketch;
      shapes.push(svg("rect", { class: "bm-sketch", x: minX, y: -maxY, width: maxX - minX, height: maxY - minY }));
      const text = `${(maxX - minX).toFixed(1)} × ${(maxY - minY).toFixed(1)} mm`;
      const y = -maxY - 8 * this.px;
      shapes.push(svg("text", { class: "bm-label", x: (minX + maxX) / 2, y, "font-size": 13 * this.px }, text));
    }
    if (aim) {
      const arm = 16 * this.px;
      shapes.push(svg("path", { class: "bm-aim", d: `M${aim.x - arm} ${-aim.y}h${2 * arm}M${aim.x} ${-aim.y - arm}v${2 * arm}` }));
    }
    return shapes;
  }

  /** Rulers along the left and lower edge of the picture. */
  #rulers(view, w, h) {
    const left = view.x - w / 2;
    const low = view.y - h / 2;
    const band = 26 * this.px;
    const labelled = this.#step(56);
    const ticked = labelled / ({ 2: 4, 5: 5, 1: 10 }[String(labelled).replace(/[0.]/g, "")[0]] ?? 10);
    const size = 11 * this.px;
    const group = svg(
      "g",
      { class: "bm-ruler" },
      svg("rect", { x: left, y: -low - band, width: w, height: band }),
      svg("rect", { x: left, y: -low - h, width: band, height: h - band }),
    );
    const ticks = [];
    const whole = (value) => Math.abs(value / labelled - Math.round(value / labelled)) < 1e-6;
    const text = (value) => String(Number(value.toFixed(2)));
    for (let i = Math.ceil((left + band) / ticked); i * ticked < left + w; i++) {
      const x = i * ticked;
      ticks.push(`M${x.toFixed(3)} ${(-low - band).toFixed(3)}v${((whole(x) ? 9 : 5) * this.px).toFixed(4)}`);
      if (whole(x)) {
        group.append(svg("text", { class: "bm-ruler-x", x, y: -low - 5 * this.px, "font-size": size }, text(x)));
      }
    }
    for (let i = Math.ceil((low + band) / ticked); i * ticked < low + h; i++) {
      const y = i * ticked;
      ticks.push(`M${(left + band).toFixed(3)} ${(-y).toFixed(3)}h${((whole(y) ? -9 : -5) * this.px).toFixed(4)}`);
      if (whole(y)) {
        const x = left + 12 * this.px;
        group.append(svg("text", { class: "bm-ruler-y", x, y: -y, "font-size": size, transform: `rotate(-90 ${x} ${-y})` }, text(y)));
      }
    }
    group.append(svg("path", { d: ticks.join("") }));
    group.append(svg("text", { class: "bm-ruler-x", x: left + band / 2, y: -low - 8 * this.px, "font-size": size }, "mm"));
    return group;
  }
}
