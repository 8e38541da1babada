// Mouse, finger and keys on the picture: what they take hold of, drag, draw, turn and choose.
import { bounds, corners, inside, nearestOnSegment, toBoard, toLocal, toStep } from "./board-map-geometry.js";
import { handlesOf } from "./board-map-draw.js";
import { boxOf, isPlaced, nameOf, outlineOf, sizeFields, withFields } from "./board-map-model.js";
import { plain } from "./board-map-panel.js";

// A pointer that moved less than this tapped [px]; a gloved finger that came down this near to a body meant it [px].
const tapPx = 8;
const reachPx = 22;

/** Turn in degrees between -180 and 180. */
export function wholeTurn(degrees) {
  const turn = ((((degrees + 180) % 360) + 360) % 360) - 180;
  return turn === -180 ? 180 : toStep(turn, 0.1);
}

export class BoardHands {
  #map;
  #pointers = new Map();

  constructor(map) {
    this.#map = map;
    this.drag = null;
  }

  /** Listens to the picture; `on` takes target, event, listener and options. */
  listen(on) {
    on(this.#map.svg, "pointerdown", (event) => this.#down(event));
    on(this.#map.svg, "pointermove", (event) => this.#move(event));
    on(this.#map.svg, "pointerup", (event) => this.#up(event));
    on(this.#map.svg, "pointercancel", (event) => this.#cancel(event));
    on(this.#map.svg, "pointerleave", () => this.#map.controls.pointAt(null));
    on(
      this.#map.svg,
      "wheel",
      (event) => {
        event.preventDefault();
        this.#map.zoom(Math.exp(-Math.sign(event.deltaY) * Math.min(0.3, Math.abs(event.deltaY) / 400)), this.#eventPx(event));
      },
      { passive: false },
    );
    on(this.#map.canvas, "keydown", (event) => this.#canvasKey(event));
    on(document, "keydown", (event) => this.#undoKey(event));
  }

  #eventPx(event) {
    const box = this.#map.svg.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  /** Placed objects under a point, smallest first; a finger also takes what is near. */
  #objectsAt(point, reachMm) {
    return this.#map.shown.items
      .filter(isPlaced)
      .map((item) => {
        const box = boxOf(item);
        const shape = corners(box);
        const feet = shape.map((a, i) => nearestOnSegment(point, a, shape[(i + 1) % 4]));
        const off = inside(point, shape) ? 0 : Math.min(...feet.map((foot) => Math.hypot(foot.x - point.x, foot.y - point.y)));
        return { item, off, size: box.length * box.width };
      })
      .filter((one) => one.off <= reachMm)
      .sort((a, b) => a.off - b.off || a.size - b.size)
      .map((one) => one.item);
  }

  #down(event) {
    if (event.pointerType === "mouse" && event.button > 1) {
      return;
    }
    // The picture itself must have the focus for its keys, and a touched input must give up its on-screen keyboard.
    this.#map.canvas.focus({ preventScroll: true });
    event.preventDefault();
    const px = this.#eventPx(event);
    this.#map.svg.setPointerCapture(event.pointerId);
    this.#pointers.set(event.pointerId, px);
    if (this.#pointers.size === 2) {
      this.#startPinch();
      return;
    }
    if (this.#pointers.size > 2) {
      return;
    }
    const point = this.#map.boardPoint(px);
    const start = { id: event.pointerId, px, point, view: { ...this.#map.view }, doc: this.#map.steps.doc, moved: false };
    const handle = event.button === 1 ? null : event.target.closest?.("[data-handle]")?.dataset.handle;
    if (handle) {
      this.drag = this.#startHandle(handle, start);
    } else if (event.button === 1 || this.#map.mode === "outline") {
      this.drag = { ...start, type: "pan" };
    } else if (this.#map.toPlace) {
      // A new part may be drawn to its size; an object that has one is only tapped down, and a stroke pans.
      this.drag = this.#map.toPlace.key ? { ...start, type: "pan", places: true } : { ...start, type: "sketch", box: null };
    } else {
      this.drag = this.#startOnObject(start, event.pointerType !== "mouse");
    }
    this.#map.render();
  }

  #startHandle(handle, start) {
    const [what, a, b] = handle.split(" ");
    if (what === "size" || what === "turn") {
      return { ...start, type: what, key: this.#map.chosen, box: boxOf(this.#map.chosenItem), sx: Number(a), sy: Number(b) };
    }
    if (what === "add") {
      this.#map.addCorner(Number(a));
      const index = Number(a) + 1;
      const corner = outlineOf(this.#map.steps.doc)[index];
      return { ...start, type: "corner", index, corner, doc: this.#map.steps.doc, added: true };
    }
    this.#map.corner = Number(a);
    return { ...start, type: "corner", index: Number(a), corner: outlineOf(this.#map.steps.doc)[Number(a)] };
  }

  /** A mouse moves what it takes hold of; a finger only what was chosen before, so that a glove cannot push a part by chance. */
  #startOnObject(start, byFinger) {
    const reach = byFinger ? reachPx / this.#map.view.pxPerMm : 0;
    const under = this.#objectsAt(start.point, reach);
    const chosen = this.#map.chosenItem;
    if (chosen && isPlaced(chosen)) {
      const box = boxOf(chosen);
      const frame = handlesOf(box, this.#map.view.pxPerMm);
      const local = toLocal(start.point, box);
      const framed = Math.abs(local.x) <= frame.x && Math.abs(local.y) <= frame.y;
      // What sits on a copper region is meant before the region under it.
      const onTop = under.length === 0 || under[0] === chosen || chosen.type !== "region";
      const held = onTop && (byFinger ? framed : under.includes(chosen));
      if (held) {
        return { ...start, type: "move", key: chosen.key, box, under };
      }
    }
    // A region may cover half the board: until it is chosen, a stroke over it pans like one over bare board.
    if (under.length > 0 && !byFinger && under[0].type !== "region") {
      this.#map.choose(under[0].key);
      return { ...start, type: "move", key: under[0].key, box: boxOf(under[0]), under: [] };
    }
    return { ...start, type: "pan", under };
  }

  #startPinch() {
    this.#map.shown = this.#map.steps.doc;
    const [a, b] = [...this.#pointers.values()];
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    this.drag = { type: "pinch", distance: Math.hypot(a.x - b.x, a.y - b.y), middle, view: { ...this.#map.view } };
  }

  #move(event) {
    const px = this.#eventPx(event);
    if (this.#pointers.has(event.pointerId)) {
      this.#pointers.set(event.pointerId, px);
    }
    const drag = this.drag;
    this.#map.controls.pointAt(this.#map.boardPoint(px));
    if (!drag) {
      if (this.#map.toPlace && event.pointerType === "mouse") {
        this.#map.aim = this.#map.boardPoint(px);
        this.#map.render();
      }
      return;
    }
    if (drag.type === "pinch") {
      this.#pinch(drag);
    } else if (event.pointerId === drag.id) {
      drag.moved ||= Math.hypot(px.x - drag.px.x, px.y - drag.px.y) > tapPx;
      if (drag.moved) {
        this.#dragTo(drag, px);
      }
    }
    this.#map.render();
  }

  #pinch(drag) {
    const [a, b] = [...this.#pointers.values()];
    if (!b) {
      return;
    }
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    const factor = Math.hypot(a.x - b.x, a.y - b.y) / Math.max(drag.distance, 1);
    const still = this.#map.boardPoint(drag.middle, drag.view);
    this.#map.view.pxPerMm = this.#map.zoomWithin(drag.view.pxPerMm * factor);
    this.#map.view.x = still.x - (middle.x - this.#map.view.width / 2) / this.#map.view.pxPerMm;
    this.#map.view.y = still.y + (middle.y - this.#map.view.height / 2) / this.#map.view.pxPerMm;
  }

  #dragTo(drag, px) {
    const point = this.#map.boardPoint(px, drag.view);
    const dx = point.x - drag.point.x;
    const dy = point.y - drag.point.y;
    if (drag.type === "pan") {
      this.#map.view.x = drag.view.x - dx;
      this.#map.view.y = drag.view.y - dy;
    } else if (drag.type === "move") {
      const at = { xMm: toStep(drag.box.x + dx, this.#map.step), yMm: toStep(drag.box.y + dy, this.#map.step) };
      this.#map.shown = withFields(drag.doc, drag.key, at);
    } else if (drag.type === "size") {
      this.#map.shown = this.#sized(drag, point);
    } else if (drag.type === "turn") {
      const angle = (Math.atan2(point.y - drag.box.y, point.x - drag.box.x) * 180) / Math.PI - 90;
      this.#map.shown = withFields(drag.doc, drag.key, { rotationDeg: wholeTurn(toStep(angle, this.#map.snap ? 15 : 1)) });
    } else if (drag.type === "corner") {
      const x = toStep(drag.corner.x + dx, this.#map.step);
      const y = toStep(drag.corner.y + dy, this.#map.step);
      const moved = this.#map.movedCorner(drag.doc, drag.index, x, y);
      this.#map.shown = moved.doc;
      this.#map.view.x = drag.view.x + moved.dx;
      this.#map.view.y = drag.view.y + moved.dy;
    } else if (drag.type === "sketch") {
      const snapped = (p) => ({ x: toStep(p.x, this.#map.step), y: toStep(p.y, this.#map.step) });
      drag.box = bounds([snapped(drag.point), snapped(point)]);
    }
  }

  /** The opposite edge stays where it is. */
  #sized(drag, point) {
    const item = drag.doc.items.find((one) => one.key === drag.key);
    const from = toLocal(drag.point, drag.box);
    const to = toLocal(point, drag.box);
    const [l, w] = sizeFields(item);
    const grown = (extent, sign, by, name) =>
      sign === 0 ? extent : this.#map.allowedSize(item, name, Math.max(this.#map.step, toStep(extent + sign * by, this.#map.step)));
    const length = grown(drag.box.length, drag.sx, to.x - from.x, l);
    const width = grown(drag.box.width, drag.sy, to.y - from.y, w);
    const centre = toBoard(
      { x: (drag.sx * (length - drag.box.length)) / 2, y: (drag.sy * (width - drag.box.width)) / 2 },
      drag.box,
    );
    return withFields(drag.doc, drag.key, {
      [l]: length,
      [w]: width,
      xMm: toStep(centre.x, 0.01),
      yMm: toStep(centre.y, 0.01),
    });
  }

  #up(event) {
    this.#pointers.delete(event.pointerId);
    const drag = this.drag;
    if (!drag || (drag.type !== "pinch" && drag.id !== event.pointerId)) {
      return;
    }
    this.drag = null;
    if (drag.type === "pinch") {
      this.#map.render();
    } else if (drag.type === "sketch") {
      this.#place(drag);
    } else if (drag.moved) {
      this.#endDrag(drag);
    } else {
      this.#tap(drag);
    }
  }

  #place(drag) {
    const { box } = drag;
    const least = 0.5;
    if (box && box.maxX - box.minX >= least && box.maxY - box.minY >= least) {
      this.#map.placeAt((box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2, box.maxX - box.minX, box.maxY - box.minY);
    } else {
      this.#map.placeAt(drag.point.x, drag.point.y);
    }
  }

  #endDrag(drag) {
    const item = this.#map.shown.items.find((one) => one.key === drag.key);
    const text = {
      move: () => `${nameOf(item)} moved to ${item.data.xMm.toFixed(1)}, ${item.data.yMm.toFixed(1)} mm.`,
      size: () => `${nameOf(item)} is ${plain(boxOf(item).length)} by ${plain(boxOf(item).width)} mm.`,
      turn: () => `${nameOf(item)} turned to ${plain(item.data.rotationDeg)}°.`,
      corner: () => `Board ${plain(this.#map.shown.board.lengthMm)} by ${plain(this.#map.shown.board.widthMm)} mm.`,
    }[drag.type];
    if (text) {
      this.#map.take(this.#map.shown, text());
    }
    this.#map.render();
  }

  #tap(drag) {
    if (drag.places) {
      this.#map.placeAt(drag.point.x, drag.point.y);
    } else if (drag.type === "pan" && this.#map.mode === "choose") {
      this.#map.choose(drag.under?.[0]?.key ?? null);
    } else if (drag.type === "move" && drag.under.length > 0) {
      // A second tap on the same spot goes on to what lies under it.
      const at = drag.under.findIndex((item) => item.key === drag.key);
      this.#map.choose(drag.under[(at + 1) % drag.under.length].key);
    }
    this.#map.render();
  }

  #cancel(event) {
    this.#pointers.delete(event.pointerId);
    this.drag = null;
    this.#map.shown = this.#map.steps.doc;
    this.#map.render();
  }

  // ---- Keys -------------------------------------------------------------------------------------------------------

  #undoKey(event) {
    const typing = event.target.matches?.("input:not([type=checkbox],[type=range]), textarea, select");
    if (typing || !(event.ctrlKey || event.metaKey) || event.altKey) {
      return;
    }
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) {
      event.preventDefault();
      this.#map.undo();
    } else if (key === "y" || (key === "z" && event.shiftKey)) {
      event.preventDefault();
      this.#map.redo();
    }
  }

  #canvasKey(event) {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "d") {
      event.preventDefault();
      this.#map.duplicate();
      return;
    }
    if (event.ctrlKey || event.metaKey) {
      return;
    }
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const actions = {
      PageDown: () => this.#next(1),
      PageUp: () => this.#next(-1),
      Delete: () => this.#delete(),
      Backspace: () => this.#delete(),
      Insert: () => this.#map.mode === "outline" && this.#map.addCorner(this.#map.corner),
      Enter: () => this.#enter(),
      Escape: () => (this.#map.mode === "choose" || this.#map.placing?.key ? this.#map.choose(null) : this.#map.setMode("choose")),
      r: () => this.#map.turnBy(90),
      R: () => this.#map.turnBy(15),
      f: () => this.#map.flip(),
      "+": () => this.#map.zoom(1.25),
      "-": () => this.#map.zoom(0.8),
      0: () => this.#map.fit(),
    };
    if (arrows[event.key]) {
      event.preventDefault();
      this.#arrow(...arrows[event.key], event.shiftKey ? 1 : 0.1, event.altKey);
    } else if (actions[event.key]) {
      event.preventDefault();
      actions[event.key]();
    }
  }

  #next(by) {
    if (this.#map.mode === "outline") {
      const outline = outlineOf(this.#map.shown);
      this.#map.corner = (this.#map.corner + by + outline.length) % outline.length;
      const at = outline[this.#map.corner];
      this.#map.say(`Corner ${this.#map.corner + 1} of ${outline.length} at ${plain(at.x)}, ${plain(at.y)} mm.`);
      this.#map.render();
    } else {
      this.#map.chooseNext(by);
    }
  }

  #delete() {
    if (this.#map.mode === "outline") {
      this.#map.removeCorner(this.#map.corner);
    } else {
      this.#map.remove();
    }
  }

  #enter() {
    if (this.#map.toPlace) {
      const at = this.#map.aim ?? { x: this.#map.view.x, y: this.#map.view.y };
      this.#map.placeAt(at.x, at.y);
    } else if (this.#map.chosenItem) {
      this.#map.controls.focusField();
    }
  }

  #arrow(dx, dy, step, sizes) {
    if (this.#map.toPlace) {
      const at = this.#map.aim ?? { x: this.#map.view.x, y: this.#map.view.y };
      this.#map.aim = { x: toStep(at.x + dx * step * 10, 0.5), y: toStep(at.y + dy * step * 10, 0.5) };
      this.#map.say(`${plain(this.#map.aim.x)}, ${plain(this.#map.aim.y)} mm.`);
      this.#map.render();
    } else if (this.#map.mode === "outline") {
      const at = outlineOf(this.#map.shown)[this.#map.corner];
      this.#map.setCorner(this.#map.corner, toStep(at.x + dx * step, 0.01), toStep(at.y + dy * step, 0.01), `corner ${this.#map.corner}`);
    } else if (this.#map.chosenItem && isPlaced(this.#map.chosenItem)) {
      if (sizes) {
        this.#map.sizeBy(dx * step, dy * step);
      } else {
        this.#map.moveBy(dx * step, dy * step);
      }
    } else {
      this.#map.view.x += (dx * 40) / this.#map.view.pxPerMm;
      this.#map.view.y += (dy * 40) / this.#map.view.pxPerMm;
      this.#map.render();
    }
  }
}
