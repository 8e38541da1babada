// <gb-board-map>: the picture on which a board is drawn. The server gives the drawing in a hidden field and takes it back there.
import { bounds, corners, toStep } from "./board-map-geometry.js";
import { BoardPicture, svg } from "./board-map-draw.js";
import { BoardHands, wholeTurn } from "./board-map-hands.js";
import { BoardControls } from "./board-map-controls.js";
import { kindOf } from "./board-map-kinds.js";
import {
  Steps,
  boxOf,
  copperKinds,
  draft,
  fingerprint,
  isPlaced,
  kindNameOf,
  nameOf,
  nearestTo,
  newPart,
  newRegion,
  outlineOf,
  readDrawing,
  remarksOf,
  sideOf,
  sizeFields,
  typedFields,
  withExtent,
  withFields,
  withNew,
  withOutline,
  without,
  writeDrawing,
} from "./board-map-model.js";
import { html, placeInWords, plain } from "./board-map-panel.js";

const draftAfterMs = 250;
const smallestZoom = 0.5;
const largestZoom = 120;

let elementCount = 0;

class BoardMap extends HTMLElement {
  #abort = null;
  #frameAsked = false;

  connectedCallback() {
    this.field = this.querySelector('input[type="hidden"][data-drawing]');
    if (this.#abort || !this.field) {
      return;
    }
    this.#abort = new AbortController();
    this.id ||= `board-map-${++elementCount}`;
    this.place = this.dataset.place;
    this.revision = Number(this.dataset.revision);
    this.descriptors = JSON.parse(this.dataset.fields);
    this.heaters = JSON.parse(this.dataset.heaters ?? "{}");
    this.nozzles = this.heaters.gas?.nozzles ?? [];
    this.nozzle = null;
    this.steps = new Steps(readDrawing(JSON.parse(this.field.value)));
    this.shown = this.steps.doc;
    this.stored = fingerprint(this.steps.doc);
    this.unsavedFromServer = this.dataset.unsaved !== undefined;
    this.draftName = `gb-board-map ${location.pathname}`;
    this.chosen = null;
    this.mode = "choose";
    this.placing = null;
    this.corner = 0;
    this.snap = true;
    this.keepPlacing = false;
    this.photo = this.dataset.photo || null;
    this.opacity = 0.6;
    this.view = { x: 0, y: 0, pxPerMm: 4, width: 600, height: 400 };

    this.svg = svg("svg", { class: "bm-svg", "aria-hidden": "true" });
    this.canvas = html("div", {
      class: "bm-canvas",
      tabindex: "0",
      role: "application",
      "aria-roledescription": "drawing of the board",
      "aria-describedby": `${this.id}-keys`,
      "aria-label": "Board picture",
    });
    this.canvas.append(this.svg);
    this.picture = new BoardPicture(this.svg, this.id);
    this.hands = new BoardHands(this);
    this.controls = new BoardControls(this);
    this.querySelectorAll(":scope > .bm-without-script").forEach((part) => part.remove());
    this.append(this.controls.element);
    this.#listen();
    this.#offerDraft();
    this.render();
    this.classList.add("bm-ready");
  }

  disconnectedCallback() {
    this.#abort?.abort();
    this.#abort = null;
    this.observer?.disconnect();
  }

  get doc() {
    return this.shown;
  }

  get dirty() {
    if (this.comparedDoc !== this.steps.doc) {
      this.comparedDoc = this.steps.doc;
      this.differs = fingerprint(this.steps.doc) !== this.stored;
    }
    return this.unsavedFromServer || this.differs;
  }

  get chosenItem() {
    return this.shown.items.find((item) => item.key === this.chosen);
  }

  /** What the next tap places: a part of a kind, or the chosen object while it has no place; null where a tap chooses. */
  get toPlace() {
    if (this.mode === "place") {
      return this.placing;
    }
    const item = this.mode === "choose" ? this.chosenItem : null;
    return item && !isPlaced(item) ? { key: item.key } : null;
  }

  /** Smallest step of a dragged length [mm]. */
  get step() {
    return this.snap ? 0.5 : 0.1;
  }

  say(text) {
    this.controls.live.textContent = text;
  }

  // ---- Steps ------------------------------------------------------------------------------------------------------

  /** Takes a changed drawing as a step, keeps it as a draft and shows it. */
  take(doc, text, join = null) {
    this.steps.take(doc, join);
    this.#afterStep(text);
  }

  undo() {
    if (this.steps.canUndo) {
      this.steps.undo();
      this.#afterStep("Undone.");
    }
  }

  redo() {
    if (this.steps.canRedo) {
      this.steps.redo();
      this.#afterStep("Done again.");
    }
  }

  #afterStep(text) {
    this.shown = this.steps.doc;
    if (!this.chosenItem) {
      this.chosen = null;
    }
    this.corner = Math.min(this.corner, outlineOf(this.shown).length - 1);
    this.draftDue ??= setTimeout(() => this.#keepDraft(), draftAfterMs);
    if (text) {
      this.say(text);
    }
    this.controls.showPanel();
    this.render();
  }

  /** Writes the draft; a held-down key makes one of it, not fifty. */
  #keepDraft() {
    clearTimeout(this.draftDue);
    this.draftDue = null;
    if (this.dirty) {
      this.controls.draftFailed.hidden = draft.write(this.draftName, this.revision, this.steps.doc);
    } else {
      draft.drop(this.draftName);
    }
  }

  #offerDraft() {
    const kept = draft.read(this.draftName);
    if (!kept?.drawing) {
      return;
    }
    let doc = null;
    try {
      doc = readDrawing(kept.drawing);
    } catch {
      draft.drop(this.draftName);
      return;
    }
    if (fingerprint(doc) === this.stored) {
      if (!this.unsavedFromServer) {
        draft.drop(this.draftName);
      }
      return;
    }
    this.controls.offer(kept, this.revision, {
      take: () => this.take(doc, "The unsaved drawing is back."),
      drop: () => {
        draft.drop(this.draftName);
        this.say("The unsaved drawing is thrown away.");
      },
    });
  }

  // ---- What a person does to the chosen object --------------------------------------------------------------------

  choose(key, speak = true) {
    this.controls.commit();
    this.chosen = key;
    this.aim = null;
    const item = this.chosenItem;
    if (this.placing?.key || (item && (this.mode === "outline" || !isPlaced(item)))) {
      this.setMode("choose");
    }
    if (item && speak) {
      const what = `${nameOf(item)}, ${this.kindLabel(kindNameOf(item))}, ${placeInWords(item)}.`;
      this.say(isPlaced(item) ? what : `${what} ${this.#whereInWords(item)}`);
    }
    // At once, not with the next frame: what is typed now is meant for this object.
    this.controls.showPanel();
    this.render();
  }

  #whereInWords(item) {
    return `Tap where ${nameOf(item)} sits; Enter places it in the middle.`;
  }

  kindLabel(kind) {
    return [...this.descriptors.kinds, ...copperKinds].find(([name]) => name === kind)?.[1] ?? kind;
  }

  setFields(fields, text, join = null) {
    if (this.chosenItem) {
      this.take(withFields(this.steps.doc, this.chosen, fields), text, join);
    }
  }

  /** Sets fields as the panel names them: a region's edges, not its centre. */
  typeFields(fields, text) {
    const item = this.chosenItem;
    if (item) {
      this.setFields(typedFields(item, fields), text);
    }
  }

  moveBy(dx, dy) {
    const item = this.chosenItem;
    if (item && isPlaced(item)) {
      const xMm = toStep(item.data.xMm + dx, 0.01);
      const yMm = toStep(item.data.yMm + dy, 0.01);
      const text = `${nameOf(item)} moved to ${xMm.toFixed(1)}, ${yMm.toFixed(1)} mm.`;
      this.setFields({ xMm, yMm }, text, `move ${item.key}`);
    }
  }

  sizeBy(dx, dy) {
    const item = this.chosenItem;
    if (item) {
      const [l, w] = sizeFields(item);
      const box = boxOf(item);
      const length = this.allowedSize(item, l, toStep(box.length + dx, 0.1));
      const width = this.allowedSize(item, w, toStep(box.width + dy, 0.1));
      const text = `${nameOf(item)} is ${plain(length)} by ${plain(width)} mm.`;
      this.setFields({ [l]: length, [w]: width }, text, `size ${item.key}`);
    }
  }

  turnBy(degrees) {
    const item = this.chosenItem;
    if (item?.type === "region") {
      if (degrees % 90 === 0) {
        const { lengthMm, widthMm } = item.data;
        this.setFields({ lengthMm: widthMm, widthMm: lengthMm }, `${nameOf(item)} turned.`);
      }
    } else if (item) {
      const rotationDeg = wholeTurn((item.data.rotationDeg ?? 0) + degrees);
      this.setFields({ rotationDeg }, `${nameOf(item)} turned to ${plain(rotationDeg)}°.`);
    }
  }

  flip() {
    const item = this.chosenItem;
    if (item?.type === "part") {
      const side = sideOf(item) === "top" ? "bottom" : "top";
      this.setFields({ side }, `${nameOf(item)} is on the ${side} side.`);
    }
  }

  duplicate() {
    const item = this.chosenItem;
    if (item?.type !== "part") {
      return;
    }
    const fresh = newPart(this.steps.doc, item.data.kind, item.data.xMm, item.data.yMm);
    const away = toStep(Math.max(1, boxOf(item).width * 1.2), 0.5);
    const moved = isPlaced(item) ? { xMm: item.data.xMm, yMm: toStep(item.data.yMm - away, 0.01) } : {};
    const { doc, key } = withNew(this.steps.doc, { ...item.data, ...moved, ref: fresh.ref }, item.startingSize);
    this.chosen = key;
    this.take(doc, `${fresh.ref} is a copy of ${nameOf(item)}.`);
  }

  remove() {
    const item = this.chosenItem;
    if (!item) {
      return;
    }
    const stays = item.type === "chip";
    const text = stays ? `${nameOf(item)} is off the picture; it stays in the job.` : `${nameOf(item)} deleted.`;
    // What was taken off would else be put back by the next tap.
    this.chosen = null;
    this.take(without(this.steps.doc, item.key), text);
  }

  /** Chooses the next or previous object. */
  chooseNext(by) {
    const { items } = this.shown;
    if (items.length > 0) {
      const at = items.findIndex((item) => item.key === this.chosen);
      const next = at < 0 ? (by > 0 ? 0 : items.length - 1) : (at + by + items.length) % items.length;
      this.choose(items[next].key);
    }
  }

  // ---- Modes: choose, place, outline ------------------------------------------------------------------------------

  setMode(mode, placing = null) {
    this.controls.commit();
    this.mode = mode;
    this.placing = placing;
    this.aim = null;
    this.controls.closePalette();
    if (mode === "place") {
      const item = this.shown.items.find((one) => one.key === placing.key);
      this.say(item ? this.#whereInWords(item) : `${this.kindLabel(placing.kind)}: tap where it goes, or draw its size. Enter places it in the middle.`);
    } else if (mode === "outline") {
      this.chosen = null;
      this.say("Outline: drag a corner, or tap a plus to add one.");
    }
    this.controls.showPanel();
    this.render();
  }

  placeAt(x, y, length, width) {
    const { kind, key } = this.toPlace;
    const at = { xMm: toStep(x, this.step), yMm: toStep(y, this.step) };
    if (key) {
      const item = this.shown.items.find((one) => one.key === key);
      this.chosen = key;
      this.mode = "choose";
      this.placing = null;
      this.aim = null;
      this.take(withFields(this.steps.doc, key, at), `${nameOf(item)} placed at ${plain(at.xMm)}, ${plain(at.yMm)} mm.`);
      return;
    }
    const drawn = length > 0;
    const [l, w] = drawn ? [length, width] : kindOf(kind).size;
    const isRegion = copperKinds.some(([name]) => name === kind);
    // A drawn region keeps the edges that were drawn; its centre may lie between two steps.
    const data = isRegion ? newRegion(kind, drawn ? x : at.xMm, drawn ? y : at.yMm, l, w) : newPart(this.steps.doc, kind, at.xMm, at.yMm, l, w);
    const added = withNew(this.steps.doc, data, !drawn, isRegion ? "region" : "part");
    this.chosen = added.key;
    if (!this.keepPlacing) {
      this.mode = "choose";
      this.placing = null;
    }
    const size = drawn ? `${plain(l)} by ${plain(w)} mm` : "with a starting size; set the real one";
    const name = nameOf(added.doc.items.at(-1));
    this.take(added.doc, `${name} placed at ${plain(at.xMm)}, ${plain(at.yMm)} mm, ${size}.`);
  }

  // ---- Outline ----------------------------------------------------------------------------------------------------

  setExtent(lengthMm, widthMm) {
    const text = `Board ${plain(lengthMm)} by ${plain(widthMm)} mm.`;
    this.take(withExtent(this.steps.doc, lengthMm, widthMm), text, "extent");
  }

  setCorner(index, x, y, join = null) {
    const doc = this.movedCorner(this.steps.doc, index, x, y).doc;
    const at = outlineOf(doc)[index];
    this.corner = index;
    this.take(doc, `Corner ${index + 1} at ${plain(at.x)}, ${plain(at.y)} mm.`, join);
  }

  /** A rectangle stays one while its corners are dragged; its opposite corner stays where it is. */
  movedCorner(doc, index, x, y) {
    const outline = outlineOf(doc);
    if (doc.outline.length >= 3) {
      return withOutline(doc, outline.map((point, i) => (i === index ? { x, y } : point)));
    }
    const fixed = outline[(index + 2) % 4];
    const { min, max } = this.descriptors.board.find((field) => field.name === "lengthMm");
    const reach = (value, from, was) => {
      const sign = Math.sign(was - from);
      return from + sign * Math.min(max, Math.max(min, (value - from) * sign));
    };
    const was = outline[index];
    const box = bounds([fixed, { x: reach(x, fixed.x, was.x), y: reach(y, fixed.y, was.y) }]);
    const moved = withOutline(doc, [
      { x: box.minX, y: box.minY },
      { x: box.maxX, y: box.minY },
      { x: box.maxX, y: box.maxY },
      { x: box.minX, y: box.maxY },
    ]);
    return { ...moved, doc: { ...moved.doc, outline: [] } };
  }

  addCorner(after, point = null) {
    const outline = outlineOf(this.steps.doc);
    const next = outline[(after + 1) % outline.length];
    const middle = point ?? { x: (outline[after].x + next.x) / 2, y: (outline[after].y + next.y) / 2 };
    const points = [...outline.slice(0, after + 1), { x: toStep(middle.x, 0.1), y: toStep(middle.y, 0.1) }, ...outline.slice(after + 1)];
    this.corner = after + 1;
    this.take(withOutline(this.steps.doc, points).doc, `Corner ${after + 2} added.`);
  }

  removeCorner(index) {
    const outline = outlineOf(this.steps.doc);
    if (outline.length <= 3) {
      this.say("An outline has at least three corners.");
      return;
    }
    const points = outline.filter((_, i) => i !== index);
    this.take(withOutline(this.steps.doc, points).doc, `Corner ${index + 1} removed.`);
  }

  backToRectangle() {
    this.corner = 0;
    this.take({ ...this.steps.doc, outline: [] }, "The outline is a rectangle again.");
  }

  // ---- View -------------------------------------------------------------------------------------------------------

  fit() {
    const shapes = this.shown.items.filter(isPlaced).flatMap((item) => corners(boxOf(item)));
    const box = bounds([...outlineOf(this.shown), ...shapes]);
    const { width, height } = this.view;
    const across = (width - 96) / Math.max(box.maxX - box.minX, 1);
    const up = (height - 96) / Math.max(box.maxY - box.minY, 1);
    this.view.pxPerMm = this.zoomWithin(Math.min(across, up));
    this.view.x = (box.minX + box.maxX) / 2 - 13 / this.view.pxPerMm;
    this.view.y = (box.minY + box.maxY) / 2 - 13 / this.view.pxPerMm;
    this.render();
  }

  zoomWithin(pxPerMm) {
    return Math.min(largestZoom, Math.max(smallestZoom, pxPerMm));
  }

  zoom(factor, px = { x: this.view.width / 2, y: this.view.height / 2 }) {
    const still = this.boardPoint(px);
    this.view.pxPerMm = this.zoomWithin(this.view.pxPerMm * factor);
    const now = this.boardPoint(px);
    this.view.x += still.x - now.x;
    this.view.y += still.y - now.y;
    this.render();
  }

  boardPoint(px, view = this.view) {
    return { x: view.x + (px.x - view.width / 2) / view.pxPerMm, y: view.y - (px.y - view.height / 2) / view.pxPerMm };
  }

  render() {
    if (this.#frameAsked) {
      return;
    }
    this.#frameAsked = true;
    requestAnimationFrame(() => {
      this.#frameAsked = false;
      if (this.#abort) {
        this.#show();
      }
    });
  }

  #show() {
    if (this.remarkedDoc !== this.shown) {
      this.remarkedDoc = this.shown;
      this.remarks = remarksOf(this.shown, this.place);
    }
    this.nearest = this.chosen ? nearestTo(this.shown, this.chosen, this.place) : null;
    this.svg.classList.toggle("bm-over-photo", this.photo !== null);
    this.picture.draw({
      doc: this.shown,
      view: this.view,
      chosen: this.chosen,
      mode: this.mode,
      corner: this.corner,
      remarks: this.remarks,
      nearest: this.nearest,
      photo: this.photo,
      opacity: this.opacity,
      heaters: this.heaters,
      nozzle: this.nozzle,
      sketch: this.hands.drag?.type === "sketch" ? this.hands.drag.box : null,
      aim: this.toPlace ? this.aim : null,
    });
    this.controls.show();
  }

  // ---- Listening --------------------------------------------------------------------------------------------------

  #listen() {
    const { signal } = this.#abort;
    const on = (target, name, listener, options = {}) => target.addEventListener(name, listener, { ...options, signal });
    this.hands.listen(on);
    on(window, "beforeunload", (event) => {
      this.controls.commit();
      if (this.dirty && !this.submitting) {
        event.preventDefault();
      }
    });
    const form = this.closest("form");
    if (form) {
      on(form, "submit", () => {
        this.controls.commit();
        this.field.value = JSON.stringify(writeDrawing(this.steps.doc));
        this.submitting = true;
      });
    }
    on(window, "pagehide", () => {
      this.controls.commit();
      if (this.draftDue) {
        this.#keepDraft();
      }
    });
    on(window, "pageshow", (event) => {
      // Only a page that comes back. The first one may come after Save was pressed, while a photo still loads: the browser
      // would then ask whether to leave the page, and the save would not be sent.
      if (event.persisted) {
        this.submitting = false;
      }
    });
    for (const problem of document.querySelectorAll("[data-board-object]")) {
      on(problem, "click", () => this.goTo(problem.dataset.boardObject, problem.dataset.boardField));
    }
    for (const link of document.querySelectorAll("[data-board-drop]")) {
      on(link, "click", () => {
        clearTimeout(this.draftDue);
        this.draftDue = null;
        draft.drop(this.draftName);
        this.submitting = true;
      });
    }
    this.observer = new ResizeObserver(([entry]) => {
      const { width, height } = entry.contentRect;
      const first = !this.measured;
      this.view.width = Math.max(width, 100);
      this.view.height = Math.max(height, 100);
      this.measured = true;
      if (first) {
        this.fit();
      } else {
        this.render();
      }
    });
    this.observer.observe(this.canvas);
  }

  /** Goes to what a message is about: part:3, chip:U1, outline or board. */
  goTo(object, field) {
    const [type, which] = object.split(":");
    if (type === "outline") {
      this.setMode("outline");
      this.canvas.focus();
      return;
    }
    const listed = this.shown.items.filter((item) => item.type === type);
    const item =
      type === "part" || type === "region" ? listed[Number(which)] : this.shown.items.find((one) => one.type === "chip" && one.data.id === which);
    if (this.mode !== "choose") {
      this.setMode("choose");
    }
    this.choose(item?.key ?? null);
    requestAnimationFrame(() => requestAnimationFrame(() => this.controls.focusField(field)));
  }

  /** A size inside what the field allows. */
  allowedSize(item, name, value) {
    const field = this.descriptors[item.type].find((one) => one.name === name);
    return Math.min(field.max, Math.max(field.min, value));
  }
}

customElements.define("gb-board-map", BoardMap);

