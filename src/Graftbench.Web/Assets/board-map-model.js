// The drawing as data: read from and written to the board's JSON, changed only in whole steps that can be undone.
import { area, bounds, clip, corners, crossesItself, gap, liesInside, toStep } from "./board-map-geometry.js";
import { kindOf, mayOverhang } from "./board-map-kinds.js";

// A later change of the same sort to the same object joins the step before it when it comes this soon [ms].
const joinWithinMs = 1000;

// Overlaps below this are what is left of rounding [mm²].
const smallestOverlap = 0.005;

let keyCount = 0;

// In the document a copper region has its left and lower edge, on the picture every object has its centre.
const fromEdges = (region) => ({ ...region, xMm: toStep(region.xMm + region.lengthMm / 2, 0.001), yMm: toStep(region.yMm + region.widthMm / 2, 0.001) });
const toEdges = (region) => ({ ...region, xMm: toStep(region.xMm - region.lengthMm / 2, 0.01), yMm: toStep(region.yMm - region.widthMm / 2, 0.01) });

/** Makes the drawing from what the server wrote: { board, chips, heaters }. */
export function readDrawing(json) {
  const { parts = [], outline = [], copperRegions = [], ...board } = json.board;
  const item = (type) => (data) => ({ key: `k${++keyCount}`, type, data });
  const regions = copperRegions.map(fromEdges).map(item("region"));
  return { board, outline, items: [...(json.chips ?? []).map(item("chip")), ...parts.map(item("part")), ...regions] };
}

/** Writes the drawing in the form that it was read from. */
export function writeDrawing(doc) {
  const of = (type) => doc.items.filter((item) => item.type === type).map((item) => item.data);
  return { board: { ...doc.board, outline: doc.outline, parts: of("part"), copperRegions: of("region").map(toEdges) }, chips: of("chip") };
}

/** What the fields of an object show: a region's edges as they stand in the document. */
export const shownFields = (item) => (item.type === "region" ? toEdges(item.data) : item.data);

/** Fields that a person typed, as the drawing holds them. */
export function typedFields(item, fields) {
  if (item.type !== "region") {
    return fields;
  }
  const { xMm, yMm } = fromEdges({ ...toEdges(item.data), ...fields });
  return { ...fields, xMm, yMm };
}

/** Copper regions in the order of the document, in which a later one counts where two overlap. */
export const regionsOf = (doc) => doc.items.filter((item) => item.type === "region");

/** What a new copper region may be; the picture's palette offers them. */
export const copperKinds = [
  ["copper-rich", "more copper"],
  ["copper-poor", "less copper"],
];

/** The drawing as text with fields in a fixed order: equal drawings give equal texts. */
export function fingerprint(doc) {
  const sorted = (value) => {
    if (Array.isArray(value)) {
      return value.map(sorted);
    }
    if (value !== null && typeof value === "object") {
      const names = Object.keys(value).filter((name) => value[name] !== null && value[name] !== undefined);
      return Object.fromEntries(names.sort().map((name) => [name, sorted(value[name])]));
    }
    return value;
  };
  return JSON.stringify(sorted(writeDrawing(doc)));
}

/** What a person calls an object. */
export const nameOf = (item) => {
  if (item.type === "region") {
    return `${item.data.amount === "poor" ? "less" : "more"} copper ${item.data.lengthMm} × ${item.data.widthMm}`;
  }
  return (item.type === "chip" ? item.data.id : item.data.ref) || "(no reference)";
};

/** Side that an object sits on; chips are placed from the top. */
export const sideOf = (item) => (item.type === "chip" ? "top" : (item.data.side ?? "top"));

/** Whether an object has a place on the board. */
export const isPlaced = (item) => Number.isFinite(item.data.xMm) && Number.isFinite(item.data.yMm);

/** Fields that hold an object's two extents. */
export const sizeFields = (item) => (item.type === "chip" ? ["bodyLengthMm", "bodyWidthMm"] : ["lengthMm", "widthMm"]);

/** Kind of an object; every chip is a ball-grid package. */
export const kindNameOf = (item) =>
  item.type === "chip" ? "ball-grid-package" : item.type === "region" ? `copper-${item.data.amount}` : item.data.kind;

/** The body of a placed object as a box; sized is false where an extent is not known and a mark stands in. */
export function boxOf(item) {
  const [length, width] = sizeFields(item).map((field) => item.data[field]);
  const sized = length > 0 && width > 0;
  return {
    x: item.data.xMm,
    y: item.data.yMm,
    rotation: item.data.rotationDeg ?? 0,
    length: sized ? length : 4,
    width: sized ? width : 4,
    sized,
  };
}

/** The outline as points { x, y }, counter-clockwise as drawn; the rectangle where no corners were drawn. */
export function outlineOf(doc) {
  if (doc.outline.length >= 3) {
    return doc.outline.map((point) => ({ x: point.xMm, y: point.yMm }));
  }
  const { lengthMm: l, widthMm: w } = doc.board;
  return [
    { x: 0, y: 0 },
    { x: l, y: 0 },
    { x: l, y: w },
    { x: 0, y: w },
  ];
}

/** Sets an outline of free corners; origin and extents follow it, so that it stays at the lower left corner. */
export function withOutline(doc, points) {
  const box = bounds(points);
  const dx = toStep(-box.minX, 0.01);
  const dy = toStep(-box.minY, 0.01);
  const shift = (value, by) => (Number.isFinite(value) ? toStep(value + by, 0.01) : value);
  const outline = points.map((point) => ({ xMm: shift(point.x, dx), yMm: shift(point.y, dy) }));
  const board = { ...doc.board, lengthMm: shift(box.maxX, dx), widthMm: shift(box.maxY, dy) };
  const items =
    dx === 0 && dy === 0
      ? doc.items
      : doc.items.map((item) =>
          isPlaced(item)
            ? { ...item, data: { ...item.data, xMm: shift(item.data.xMm, dx), yMm: shift(item.data.yMm, dy) } }
            : item,
        );
  return { doc: { ...doc, board, outline, items }, dx, dy };
}

/** Sets length and width; a free outline is stretched with them. */
export function withExtent(doc, lengthMm, widthMm) {
  const fx = lengthMm / doc.board.lengthMm;
  const fy = widthMm / doc.board.widthMm;
  const outline = doc.outline.map((point) => ({ xMm: toStep(point.xMm * fx, 0.01), yMm: toStep(point.yMm * fy, 0.01) }));
  return { ...doc, outline, board: { ...doc.board, lengthMm, widthMm } };
}

/** Changes fields of one object; undefined takes a field out. */
export function withFields(doc, key, fields) {
  const change = (item) => {
    const data = { ...item.data, ...fields };
    for (const name of Object.keys(fields)) {
      if (fields[name] === undefined) {
        delete data[name];
      }
    }
    const sized = sizeFields(item).some((name) => name in fields);
    return { ...item, data, startingSize: item.startingSize && !sized };
  };
  return { ...doc, items: doc.items.map((item) => (item.key === key ? change(item) : item)) };
}

/** First free reference for a letter. */
export function freeReference(doc, letter) {
  const taken = new Set(doc.items.map(nameOf));
  let number = 1;
  while (taken.has(letter + number)) {
    number++;
  }
  return letter + number;
}

/** Adds an object and gives the new drawing and its key. */
export function withNew(doc, data, startingSize, type = "part") {
  const item = { key: `k${++keyCount}`, type, data, startingSize };
  return { doc: { ...doc, items: [...doc.items, item] }, key: item.key };
}

/** Takes an object out. A chip stays in the job and only loses its place. */
export function without(doc, key) {
  const item = doc.items.find((one) => one.key === key);
  if (item.type === "chip") {
    return withFields(doc, key, { xMm: undefined, yMm: undefined });
  }
  return { ...doc, items: doc.items.filter((one) => one.key !== key) };
}

/** A ready data record for a new copper region; its kind is one of copperKinds. */
export function newRegion(kind, x, y, length, width) {
  return { amount: kind.slice("copper-".length), xMm: x, yMm: y, lengthMm: length, widthMm: width };
}

/** A ready data record for a new part. */
export function newPart(doc, kind, x, y, length, width) {
  return {
    ref: freeReference(doc, kindOf(kind).letter),
    kind,
    xMm: x,
    yMm: y,
    lengthMm: length,
    widthMm: width,
    rotationDeg: 0,
    side: "top",
  };
}

const countsAsBody = (item) => item.type !== "region" && isPlaced(item) && !item.data.takenOff;

// Objects never change in place, so what is computed of one holds as long as it lives.
const knownBodies = new WeakMap();

function bodyOf(item) {
  let body = knownBodies.get(item);
  if (!body) {
    const shape = corners(boxOf(item));
    body = { item, side: sideOf(item), shape, box: bounds(shape) };
    knownBodies.set(item, body);
  }
  return body;
}

/** Bodies that can collide: placed, sized, still on the board; with their corners and upright bounds. */
const bodiesOf = (doc) => doc.items.filter((item) => countsAsBody(item) && boxOf(item).sized).map(bodyOf);

/**
 * Two objects that share a site and never meet: one chip comes to where the other leaves, or a chip is also written
 * down as a part under the same reference.
 */
function takeTurns(one, other, place) {
  if (one.type === "chip" && other.type === "chip") {
    return (one.data.from === place) !== (other.data.from === place);
  }
  return one.type !== other.type && nameOf(one) === nameOf(other);
}

/** What is worth a look: [{ keys, text, polygon }]. Remarks, not findings: nothing here stops a save. */
export function remarksOf(doc, place) {
  const remarks = [];
  const bodies = bodiesOf(doc).sort((a, b) => a.box.minX - b.box.minX);
  bodies.forEach((one, i) => {
    for (let j = i + 1; j < bodies.length && bodies[j].box.minX < one.box.maxX; j++) {
      const other = bodies[j];
      const apart = other.box.minY >= one.box.maxY || other.box.maxY <= one.box.minY;
      if (apart || other.side !== one.side || takeTurns(one.item, other.item, place)) {
        continue;
      }
      const polygon = clip(one.shape, other.shape);
      const overlap = polygon.length > 2 ? Math.abs(area(polygon)) : 0;
      if (overlap > smallestOverlap) {
        const pair = [one.item, other.item].sort((a, b) => doc.items.indexOf(a) - doc.items.indexOf(b));
        const text = `${nameOf(pair[0])} and ${nameOf(pair[1])} overlap on the ${one.side} side by ${overlap.toFixed(1)} mm².`;
        remarks.push({ keys: [pair[0].key, pair[1].key], text, polygon });
      }
    }
  });
  const outline = outlineOf(doc);
  if (crossesItself(outline)) {
    remarks.push({ keys: ["outline"], text: "The outline crosses itself." });
  } else {
    for (const { item, shape } of bodies) {
      if (!mayOverhang(kindNameOf(item)) && !liesInside(shape, outline)) {
        remarks.push({ keys: [item.key], text: `${nameOf(item)} reaches outside the outline.`, polygon: shape });
      }
    }
  }
  const regions = regionsOf(doc);
  regions.forEach((one, i) => {
    const { minX, minY, maxX, maxY } = bounds(corners(boxOf(one)));
    if (minX < -0.5 || minY < -0.5 || maxX > doc.board.lengthMm + 0.5 || maxY > doc.board.widthMm + 0.5) {
      remarks.push({ keys: [one.key], text: `Region ${nameOf(one)} reaches over the edge of the board.` });
    }
    for (const other of regions.slice(i + 1)) {
      const polygon = clip(corners(boxOf(one)), corners(boxOf(other)));
      if (polygon.length > 2 && Math.abs(area(polygon)) > smallestOverlap && one.data.amount !== other.data.amount) {
        remarks.push({ keys: [other.key, one.key], text: `${nameOf(other)} lies over ${nameOf(one)}: where they overlap it counts alone.` });
      }
    }
  });
  const seen = new Map();
  for (const item of doc.items) {
    const name = nameOf(item);
    if (item.type === "part") {
      if (seen.has(name)) {
        remarks.push({ keys: [seen.get(name), item.key], text: `Two parts are called ${name}.` });
      }
      seen.set(name, item.key);
    }
    if (countsAsBody(item) && !boxOf(item).sized) {
      remarks.push({ keys: [item.key], text: `${name} has no size: overlaps with it cannot be seen.` });
    } else if (item.startingSize) {
      remarks.push({ keys: [item.key], text: `${name} still has its starting size: set the real one.` });
    }
  }
  return remarks;
}

/** The body on the same side that is nearest to an object, and the gap to it; null where there is none. */
export function nearestTo(doc, key, place) {
  const bodies = bodiesOf(doc);
  const own = bodies.find((body) => body.item.key === key);
  if (!own) {
    return null;
  }
  let best = null;
  for (const other of bodies) {
    if (other === own || other.side !== own.side || takeTurns(own.item, other.item, place)) {
      continue;
    }
    // The bounds are never nearer than the bodies themselves.
    const away = Math.max(0, other.box.minX - own.box.maxX, own.box.minX - other.box.maxX, other.box.minY - own.box.maxY, own.box.minY - other.box.maxY);
    if (best !== null && away > best.distance) {
      continue;
    }
    const found = gap(own.shape, other.shape);
    if (best === null || found.distance < best.distance) {
      best = { ...found, item: other.item };
    }
  }
  return best;
}

/** The drawing with all its steps. */
export class Steps {
  #past = [];
  #future = [];
  #join = null;
  #joinAt = 0;

  constructor(doc) {
    this.doc = doc;
  }

  /** Takes a new drawing; `join` names changes that may share one step. */
  take(doc, join = null) {
    if (doc === this.doc) {
      return;
    }
    const now = performance.now();
    const joins = join !== null && join === this.#join && now - this.#joinAt < joinWithinMs;
    if (!joins) {
      this.#past.push(this.doc);
    }
    this.#future = [];
    this.#join = join;
    this.#joinAt = now;
    this.doc = doc;
  }

  get canUndo() {
    return this.#past.length > 0;
  }

  get canRedo() {
    return this.#future.length > 0;
  }

  undo() {
    if (this.canUndo) {
      this.#future.push(this.doc);
      this.doc = this.#past.pop();
      this.#join = null;
    }
  }

  redo() {
    if (this.canRedo) {
      this.#past.push(this.doc);
      this.doc = this.#future.pop();
      this.#join = null;
    }
  }
}

/** Unsaved work of this tab, kept across a reload. Storage may be barred or full: then there is none. */
export const draft = {
  read(name) {
    try {
      return JSON.parse(sessionStorage.getItem(name));
    } catch {
      return null;
    }
  },
  write(name, revision, doc) {
    try {
      sessionStorage.setItem(name, JSON.stringify({ revision, at: Date.now(), drawing: writeDrawing(doc) }));
      return true;
    } catch {
      return false;
    }
  },
  drop(name) {
    try {
      sessionStorage.removeItem(name);
    } catch {
      // Nothing kept, nothing to drop.
    }
  },
};
