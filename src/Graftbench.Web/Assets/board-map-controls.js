// Everything around the picture: toolbar, palette, photo, notices, list, fields, remarks and the line of live figures.
import { kindPicture } from "./board-map-draw.js";
import { kindOf } from "./board-map-kinds.js";
import { copperKinds, isPlaced, kindNameOf, nameOf, outlineOf, shownFields } from "./board-map-model.js";
import { Fields, ObjectList, html, plain } from "./board-map-panel.js";

// Fields that are shown at once; the rest of an object's fields open below them.
const firstFields = new Set([
  "ref", "kind", "xMm", "yMm", "lengthMm", "widthMm", "bodyLengthMm", "bodyWidthMm", "rotationDeg", "side", "takenOff",
  "amount",
]);

// The server's own limit; told here before a large file travels.
const largestPhotoBytes = 20 * 1024 * 1024;

const keysInWords =
  "Arrows move the chosen object by 0.1 mm, with Shift by 1 mm; with Alt they size it. Page down and page up choose the next " +
  "and previous one. R turns by 90 degrees, Shift R by 15. F changes the side. Control D copies, Delete deletes. " +
  "Plus, minus and 0 zoom. Control Z undoes, Control Y does again. Escape lets go.";

export class BoardControls {
  #map;
  #fieldsFor = null;

  constructor(map) {
    this.#map = map;
    this.live = html("p", { class: "bm-live", role: "status", "aria-live": "polite" });
    this.draftFailed = html("p", { class: "bm-notice", hidden: true }, "This browser keeps no drafts: save before you leave the page.");
    this.notices = html("div", { class: "bm-notices" }, this.draftFailed);
    this.point = html("span", { class: "bm-figure" });
    this.near = html("span", { class: "bm-figure bm-near" });
    this.state = html("span", { class: "bm-figure bm-state" });
    this.list = new ObjectList(`${map.id}-list`, (kind) => map.kindLabel(kind), {
      chosen: () => map.chosen,
      choose: (key) => map.choose(key),
      enter: () => map.canvas.focus(),
      remove: () => map.remove(),
    });
    this.panel = html("div", { class: "bm-panel" });
    // Close under the picture, so that a tablet need not be scrolled to turn or delete a part.
    this.actions = html("div", { class: "bm-group bm-actions", role: "group", "aria-label": "Actions on the chosen object" });
    this.remarkList = html("ul", { class: "bm-remarks" });
    this.remarkBox = html("section", { class: "bm-box", "aria-label": "Remarks" }, html("h2", {}, "Remarks"), this.remarkList);
    this.palette = this.#makePalette();
    this.photoBox = this.#makePhotoBox();
    this.element = html(
      "div",
      { class: "bm" },
      this.notices,
      this.#makeToolbar(),
      this.palette,
      this.photoBox,
      html(
        "div",
        { class: "bm-work" },
        html(
          "div",
          { class: "bm-stage" },
          map.canvas,
          html("div", { class: "bm-figures" }, this.point, this.near, this.state),
          this.actions,
          this.live,
          html("details", { class: "bm-keys" }, html("summary", {}, "Keys"), html("p", { id: `${map.id}-keys` }, keysInWords)),
        ),
        html(
          "div",
          { class: "bm-side" },
          // The list stands above the panel: a panel that grows with a choice must not push away the row to be tapped next.
          html("section", { class: "bm-box", "aria-label": "Objects" }, html("h2", {}, "Objects"), this.list.element),
          this.panel,
          this.remarkBox,
        ),
      ),
    );
  }

  #button(label, action, properties = {}) {
    return html("button", { type: "button", class: "bm-button", click: action, ...properties }, label);
  }

  #makeToolbar() {
    const map = this.#map;
    this.chooseButton = this.#button("Choose", () => map.setMode("choose"));
    this.placeButton = this.#button("Place…", () => this.#togglePalette(), {
      "aria-expanded": "false",
      "aria-controls": `${map.id}-palette`,
    });
    this.outlineButton = this.#button("Outline", () => map.setMode("outline"));
    this.undoButton = this.#button("Undo", () => map.undo());
    this.redoButton = this.#button("Redo", () => map.redo());
    this.snapButton = this.#button("Snap 0.5 mm", () => {
      map.snap = !map.snap;
      map.render();
    });
    this.photoButton = this.#button("Photo…", () => this.#togglePhoto(), {
      "aria-expanded": "false",
      "aria-controls": `${map.id}-photo`,
    });
    const group = (label, ...buttons) => html("div", { class: "bm-group", role: "group", "aria-label": label }, ...buttons);
    return html(
      "div",
      { class: "bm-toolbar" },
      group("Tool", this.chooseButton, this.placeButton, this.outlineButton),
      group("Steps", this.undoButton, this.redoButton),
      group(
        "View",
        this.#button("−", () => map.zoom(0.8), { "aria-label": "Zoom out" }),
        this.#button("+", () => map.zoom(1.25), { "aria-label": "Zoom in" }),
        this.#button("Fit", () => map.fit(), { "aria-label": "Fit the board into the picture" }),
      ),
      group("Aids", this.snapButton, this.photoButton),
      html("div", { class: "bm-group bm-end" }, html("button", { type: "submit", class: "bm-button bm-on" }, "Save")),
    );
  }

  #makePalette() {
    const map = this.#map;
    const kinds = [...copperKinds, ...map.descriptors.kinds].map(([kind, label]) =>
      html(
        "button",
        {
          type: "button",
          class: "bm-kind",
          click: () => {
            map.setMode("place", { kind });
            map.canvas.focus();
          },
        },
        kindPicture(kind, kindOf(kind).size),
        html("span", {}, label),
      ),
    );
    const keep = html("input", {
      type: "checkbox",
      id: `${map.id}-keep`,
      change: (event) => {
        map.keepPlacing = event.target.checked;
      },
    });
    return html(
      "div",
      { class: "bm-palette bm-box", id: `${map.id}-palette`, hidden: true },
      html("div", { class: "bm-kinds", role: "group", "aria-label": "Copper in the board, kinds of parts" }, ...kinds),
      html("div", { class: "bm-check" }, keep, html("label", { for: keep.id }, "Place several of a kind, one after the other")),
    );
  }

  #togglePalette() {
    this.palette.hidden = !this.palette.hidden;
    this.placeButton.setAttribute("aria-expanded", String(!this.palette.hidden));
    if (!this.palette.hidden) {
      this.palette.querySelector("button").focus();
    }
  }

  closePalette() {
    this.palette.hidden = true;
    this.placeButton.setAttribute("aria-expanded", "false");
  }

  #togglePhoto() {
    this.photoBox.hidden = !this.photoBox.hidden;
    this.photoButton.setAttribute("aria-expanded", String(!this.photoBox.hidden));
  }

  #makePhotoBox() {
    const map = this.#map;
    const file = html("input", {
      type: "file",
      id: `${map.id}-file`,
      accept: "image/jpeg,image/png,image/webp",
      change: () => this.#showFile(file.files[0]),
    });
    const opacity = html("input", {
      type: "range",
      id: `${map.id}-opacity`,
      min: "0",
      max: "100",
      step: "5",
      value: String(map.opacity * 100),
      input: () => {
        map.opacity = Number(opacity.value) / 100;
        map.render();
      },
    });
    this.keepPhoto = this.#button("Attach this photo", () => this.#upload(file.files[0]), { hidden: true });
    this.photoMessage = html("p", { class: "bm-help", role: "status" });
    return html(
      "div",
      { class: "bm-photo bm-box", id: `${map.id}-photo`, hidden: true },
      html("div", {}, html("label", { for: file.id }, "Photo of the top side, cut to the board's edges (JPEG, PNG or WebP)"), file),
      html("div", {}, html("label", { for: opacity.id }, "How strong the photo shows"), opacity),
      this.keepPhoto,
      this.photoMessage,
    );
  }

  #showFile(file) {
    const map = this.#map;
    if (this.localPhoto) {
      URL.revokeObjectURL(this.localPhoto);
      this.localPhoto = null;
    }
    map.photo = map.dataset.photo || null;
    if (file) {
      this.localPhoto = URL.createObjectURL(file);
      map.photo = this.localPhoto;
    }
    this.keepPhoto.hidden = !file || !map.dataset.upload;
    this.photoMessage.textContent = file ? "Shown on this screen only, until it is kept with the job." : "";
    map.render();
  }

  async #upload(file) {
    const map = this.#map;
    const body = new FormData();
    body.append("picture", file);
    const token = map.closest("form")?.querySelector('input[name="__RequestVerificationToken"]');
    if (token) {
      body.append(token.name, token.value);
    }
    if (file.size > largestPhotoBytes) {
      this.photoMessage.textContent = "The photo is larger than 20 MB. Make a smaller copy.";
      return;
    }
    this.keepPhoto.disabled = true;
    this.photoMessage.textContent = "Sending…";
    try {
      const response = await fetch(map.dataset.upload, { method: "POST", body, headers: { Accept: "application/json" } });
      const answer = await response.json();
      if (answer.url) {
        map.dataset.photo = answer.url;
        map.photo = answer.url;
        this.keepPhoto.hidden = true;
        map.render();
      }
      this.photoMessage.textContent = answer.message;
    } catch {
      this.photoMessage.textContent = "The photo did not arrive. Is the bench program still running? Try again.";
    } finally {
      this.keepPhoto.disabled = false;
    }
  }

  /** Offers back a drawing that was never saved. */
  offer(kept, revision, { take, drop }) {
    const when = new Date(kept.at).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
    const since = kept.revision === revision ? "" : ` The job has been saved since (revision ${kept.revision} then, ${revision} now).`;
    const notice = html("div", { class: "bm-notice", role: "region", "aria-label": "Unsaved drawing" });
    const close = (action) => () => {
      notice.remove();
      action();
    };
    notice.append(
      html("p", {}, `There is an unsaved drawing of this board from ${when}.${since}`),
      this.#button("Take it back", close(take)),
      this.#button("Throw it away", close(drop)),
    );
    this.notices.append(notice);
  }

  /** Live coordinates of the pointer. */
  pointAt(point) {
    this.point.textContent = point ? `x ${point.x.toFixed(1)}  y ${point.y.toFixed(1)} mm` : "x –  y – mm";
  }

  show() {
    const map = this.#map;
    const pressed = (button, on) => button.setAttribute("aria-pressed", String(on));
    pressed(this.chooseButton, map.mode === "choose");
    pressed(this.outlineButton, map.mode === "outline");
    this.placeButton.classList.toggle("bm-on", map.mode === "place");
    pressed(this.snapButton, map.snap);
    this.undoButton.disabled = !map.steps.canUndo;
    this.redoButton.disabled = !map.steps.canRedo;
    map.canvas.dataset.mode = map.toPlace ? "place" : map.mode;
    this.state.textContent = map.dirty ? "Not saved yet" : "Saved";
    this.near.textContent = this.#nearInWords();
    if (!this.point.textContent) {
      this.pointAt(null);
    }
    const remarked = new Set(map.remarks.flatMap((remark) => remark.keys));
    this.list.show(map.doc, map.chosen, remarked);
    this.#showRemarks();
    this.showPanel();
  }

  #nearInWords() {
    const map = this.#map;
    if (!map.chosenItem || !isPlaced(map.chosenItem) || map.chosenItem.type === "region") {
      return "";
    }
    if (!map.nearest) {
      return "No sized neighbour on this side";
    }
    const { item, distance } = map.nearest;
    return distance === 0 ? `Overlaps ${nameOf(item)}` : `Nearest: ${nameOf(item)}, ${distance.toFixed(1)} mm`;
  }

  #showRemarks() {
    const map = this.#map;
    if (this.shownRemarks === map.remarks) {
      return;
    }
    this.shownRemarks = map.remarks;
    const most = 50;
    const lines = map.remarks.slice(0, most).map((remark) =>
      html(
        "li",
        {},
        html("button", {
          type: "button",
          class: "bm-remark",
          click: () => (remark.keys[0] === "outline" ? map.setMode("outline") : map.choose(remark.keys[0])),
        }, remark.text),
      ),
    );
    if (map.remarks.length > most) {
      lines.push(html("li", {}, `and ${map.remarks.length - most} more`));
    }
    this.remarkList.replaceChildren(...lines);
    this.remarkBox.hidden = lines.length === 0;
  }

  /** Takes what is typed and not yet taken, for the object or board that the fields belong to. */
  commit() {
    if (!this.committing) {
      this.committing = true;
      this.first?.commit();
      this.rest?.commit();
      this.committing = false;
    }
  }

  /** Shows the fields of the chosen object or of the board. */
  showPanel() {
    const map = this.#map;
    const item = map.mode === "outline" ? null : map.chosenItem;
    const what = item ? `${item.key} ${isPlaced(item)}` : `${map.mode} ${map.mode === "outline" ? map.doc.outline.length : ""}`;
    if (this.#fieldsFor !== what) {
      this.#fieldsFor = what;
      this.panel.replaceChildren(...(item ? this.#objectPanel(item) : this.#boardPanel()));
      const buttons = item ? this.#actionButtons(item) : map.mode === "outline" ? this.#outlineButtons() : [];
      this.actions.replaceChildren(...buttons);
    }
    if (item) {
      this.title.textContent = nameOf(item);
      this.first.show(shownFields(item));
      this.rest?.show(shownFields(item));
      this.#showRelevance(item);
    } else {
      this.first.show(map.doc.board);
      this.#showCorners();
    }
  }

  #objectPanel(item) {
    const map = this.#map;
    const descriptors = map.descriptors[item.type];
    const change = (name, value) => {
      const label = descriptors.find((field) => field.name === name).label;
      map.typeFields({ [name]: value }, `${nameOf(map.chosenItem)}: ${label} changed.`);
    };
    const first = descriptors.filter((field) => firstFields.has(field.name));
    const rest = descriptors.filter((field) => !firstFields.has(field.name));
    this.title = html("h2", {});
    this.first = new Fields(`${map.id}-first`, first, change);
    this.rest = rest.length > 0 ? new Fields(`${map.id}-rest`, rest, change) : null;
    const details = this.rest
      ? [html("details", { class: "bm-more", open: this.moreOpen }, html("summary", {}, { chip: "Ball field", region: "Thickness" }[item.type] ?? "Heat and moisture"), this.rest.element)]
      : [];
    details[0]?.addEventListener("toggle", (event) => {
      this.moreOpen = event.target.open;
    });
    return [
      html(
        "section",
        { class: "bm-box", "aria-label": "Chosen object" },
        html("div", { class: "bm-title" }, this.title, html("span", {}, { chip: "chip of the job", region: "copper in the board" }[item.type] ?? "")),
        this.first.element,
        ...details,
      ),
    ];
  }

  #actionButtons(item) {
    const map = this.#map;
    if (item.type === "region") {
      return [this.#button("Turn 90°", () => map.turnBy(90)), this.#button("Delete", () => map.remove())];
    }
    const part = item.type === "part";
    const place = isPlaced(item) ? [] : [this.#button("Place on the picture", () => this.#placeChosen(item.key))];
    const remove = part || isPlaced(item) ? [this.#button(part ? "Delete" : "Off the picture", () => map.remove())] : [];
    return [
      ...place,
      this.#button("Turn 90°", () => map.turnBy(90)),
      this.#button("⟲ 15°", () => map.turnBy(15), { "aria-label": "Turn 15° to the left" }),
      this.#button("⟳ 15°", () => map.turnBy(-15), { "aria-label": "Turn 15° to the right" }),
      ...(part ? [this.#button("Other side", () => map.flip()), this.#button("Duplicate", () => map.duplicate())] : []),
      ...remove,
    ];
  }

  #placeChosen(key) {
    this.#map.setMode("place", { key });
    this.#map.canvas.focus();
  }

  #outlineButtons() {
    const map = this.#map;
    return [
      this.#button("Add a corner", () => map.addCorner(map.corner)),
      this.#button("Remove the corner", () => map.removeCorner(map.corner)),
      this.#button("Back to a rectangle", () => map.backToRectangle()),
    ];
  }

  /** Planes and stacked dies are asked of package bodies only, unless something is already written there. */
  #showRelevance(item) {
    const body = /package$/.test(kindNameOf(item));
    for (const name of ["internalPlanes", "stackedDie", "bodyThicknessMm", "moistureLevel"]) {
      const control = this.rest?.inputs.get(name)?.control;
      if (control) {
        const filled = item.data[name] !== undefined && item.data[name] !== "unknown";
        control.closest(".bm-field").hidden = !body && !filled;
      }
    }
  }

  #boardPanel() {
    const map = this.#map;
    const change = (name, value) => {
      if (value === undefined && map.descriptors.board.find((field) => field.name === name).required) {
        return;
      }
      const { board } = map.steps.doc;
      if (name === "lengthMm") {
        map.setExtent(value, board.widthMm);
      } else if (name === "widthMm") {
        map.setExtent(board.lengthMm, value);
      } else {
        const label = map.descriptors.board.find((field) => field.name === name).label;
        map.take({ ...map.steps.doc, board: { ...board, [name]: value } }, `Board: ${label} changed.`);
      }
    };
    this.title = null;
    this.first = new Fields(`${map.id}-board`, map.descriptors.board, change);
    this.rest = null;
    this.corners = html("div", { class: "bm-corner-list" });
    const outline =
      map.mode === "outline"
        ? [this.corners]
        : [html("p", { class: "bm-help" }, "Choose an object in the picture or the list, or place a new one.")];
    return [html("section", { class: "bm-box", "aria-label": "Board" }, html("h2", {}, "Board"), this.first.element, ...outline, ...this.#nozzlePick())];
  }

  /** Asks for the nozzle whose opening is shown over the chip; only looked at, never saved. */
  #nozzlePick() {
    const map = this.#map;
    if (map.nozzles.length === 0) {
      return [];
    }
    const pick = html(
      "select",
      {
        id: `${map.id}-nozzle`,
        change: (event) => {
          map.nozzle = map.nozzles.find((nozzle) => nozzle.name === event.target.value) ?? null;
          map.render();
        },
      },
      html("option", { value: "" }, "none"),
      ...map.nozzles.map((nozzle) => html("option", { value: nozzle.name }, nozzle.name)),
    );
    pick.value = map.nozzle?.name ?? "";
    return [html("div", { class: "bm-field" }, html("label", { for: pick.id }, "Nozzle shown over the chip"), pick)];
  }

  #showCorners() {
    const map = this.#map;
    const outline = outlineOf(map.doc);
    if (map.mode !== "outline") {
      return;
    }
    if (this.corners.childElementCount !== outline.length) {
      const number = (i, axis) => {
        const read = (event) => {
          const value = Number(event.target.value);
          if (event.target.value !== "" && event.target.checkValidity()) {
            const at = outlineOf(map.steps.doc)[i];
            map.setCorner(i, axis === "x" ? value : at.x, axis === "y" ? value : at.y);
          }
        };
        const takeOnEnter = (event) => {
          if (event.key === "Enter") {
            event.preventDefault();
            read(event);
          }
        };
        const label = `Corner ${i + 1} ${axis} [mm]`;
        const properties = { type: "number", step: "any", min: -100, max: 1100, inputmode: "decimal", "aria-label": label, change: read, keydown: takeOnEnter };
        return html("input", { ...properties, "data-axis": axis });
      };
      const pick = (i) =>
        this.#button(`${i + 1}`, () => {
          map.corner = i;
          map.render();
        }, { "aria-label": `Choose corner ${i + 1}` });
      this.corners.replaceChildren(
        ...outline.map((_, i) => html("div", { class: "bm-corner" }, pick(i), number(i, "x"), number(i, "y"))),
      );
    }
    [...this.corners.children].forEach((row, i) => {
      row.firstChild.setAttribute("aria-pressed", String(i === map.corner));
      for (const input of row.querySelectorAll("input")) {
        if (input !== document.activeElement) {
          input.value = plain(outline[i][input.dataset.axis]);
        }
      }
    });
  }

  /** Puts the focus into a field of the chosen object, or of the board. */
  focusField(name) {
    const fields = this.rest?.inputs.has(name) ? this.rest : this.first;
    const details = fields === this.rest ? fields.element.closest("details") : null;
    if (details) {
      details.open = true;
    }
    fields.focus(name);
  }
}
