// The side panel: the list of objects that mirrors the picture, and the fields of the chosen one.
import { kindNameOf, isPlaced, nameOf, shownFields, sideOf } from "./board-map-model.js";

/** Makes an HTML element; a property that is a function is a listener. */
export function html(name, properties = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (typeof value === "function") {
      element.addEventListener(key, value);
    } else if (value === true) {
      element.setAttribute(key, "");
    } else if (value !== false && value !== undefined) {
      element.setAttribute(key, value);
    }
  }
  element.append(...children);
  return element;
}

/** Makes the children of an element the given ones, touching only what differs. */
export function patch(parent, children) {
  children.forEach((child, i) => {
    const there = parent.childNodes[i];
    if (there !== child) {
      // A node that was replaced takes its successor in the same place; anything else is moved.
      if (there && !children.includes(there)) {
        parent.replaceChild(child, there);
      } else {
        parent.insertBefore(child, there ?? null);
      }
    }
  });
  while (parent.childNodes.length > children.length) {
    parent.lastChild.remove();
  }
}

/** A number as people read it: at most two decimals, no trailing zeros. */
export const plain = (value) => String(Number(value.toFixed(2)));

/** Where an object is, in words. */
export function placeInWords(item) {
  if (!isPlaced(item)) {
    return "not placed yet";
  }
  const { xMm, yMm } = shownFields(item);
  return `${item.type === "region" ? "from " : ""}${xMm.toFixed(1)}, ${yMm.toFixed(1)} mm`;
}

/** The listbox of all objects. */
export class ObjectList {
  #rows = new Map();

  /** @param chosen gives the key that is chosen now, drawn or not yet; @param choose called with a key; @param enter called when a person wants to go on to the picture */
  constructor(id, kindLabel, { chosen, choose, enter, remove }) {
    this.chosenNow = chosen;
    this.id = id;
    this.kindLabel = kindLabel;
    this.choose = choose;
    this.element = html("ul", {
      class: "bm-list",
      role: "listbox",
      tabindex: "0",
      "aria-label": "Objects on the board",
      keydown: (event) => this.#key(event, enter, remove),
      click: (event) => {
        const option = event.target.closest("[data-key]");
        if (option) {
          this.tapped = option.dataset.key !== this.chosenNow();
          choose(option.dataset.key);
        }
      },
    });
  }

  #key(event, enter, remove) {
    const keys = this.keys ?? [];
    const at = keys.indexOf(this.chosenNow());
    const to = {
      ArrowDown: Math.min(at + 1, keys.length - 1),
      ArrowUp: Math.max(at - 1, 0),
      Home: 0,
      End: keys.length - 1,
    }[event.key];
    if (to !== undefined && keys.length > 0) {
      event.preventDefault();
      this.choose(keys[to]);
    } else if (event.key === "Enter" && this.chosenNow()) {
      event.preventDefault();
      enter();
    } else if (event.key === "Delete" && this.chosenNow()) {
      event.preventDefault();
      remove();
    }
  }

  /** The row of an object; the one from the last time where nothing about it has changed. */
  #row(item, isChosen, isRemarked) {
    const known = this.#rows.get(item.key);
    if (known && known.item === item && known.isChosen === isChosen && known.isRemarked === isRemarked) {
      return known.row;
    }
    const what = { chip: "chip of the job", region: "copper in the board" }[item.type] ?? this.kindLabel(kindNameOf(item));
    const details = [what, placeInWords(item)];
    if (isPlaced(item) && sideOf(item) === "bottom") {
      details.push("bottom side");
    }
    if (item.data.takenOff) {
      details.push("taken off");
    }
    const id = `${this.id}-${item.key}`;
    const row = html(
      "li",
      { role: "option", id, "data-key": item.key, "aria-selected": isChosen ? "true" : "false" },
      html("strong", {}, nameOf(item)),
      html("span", {}, details.join(" · ")),
      ...(isRemarked ? [html("span", { class: "bm-flag" }, "see remarks")] : []),
    );
    this.#rows.set(item.key, { item, isChosen, isRemarked, row });
    return row;
  }

  /** Scrolls no further than it must, and not at all to a row that a hand was just on. */
  #reveal({ offsetTop: top, offsetHeight: height }) {
    const { scrollTop, clientHeight } = this.element;
    const byHand = this.tapped;
    this.tapped = false;
    if (byHand) {
      return;
    }
    if (top < scrollTop) {
      this.element.scrollTop = top;
    } else if (top + height > scrollTop + clientHeight) {
      this.element.scrollTop = top + height - clientHeight;
    }
  }

  show(doc, chosen, remarked) {
    const isNew = chosen !== this.chosen;
    this.keys = doc.items.map((item) => item.key);
    this.chosen = chosen;
    const rows = doc.items.map((item) => this.#row(item, item.key === chosen, remarked.has(item.key)));
    if (rows.length === 0) {
      rows.push(html("li", { role: "option", "aria-selected": "false", "aria-disabled": "true" }, "Nothing drawn yet"));
    }
    patch(this.element, rows);
    if (chosen && doc.items.some((item) => item.key === chosen)) {
      this.element.setAttribute("aria-activedescendant", `${this.id}-${chosen}`);
      if (isNew) {
        this.#reveal(this.element.querySelector('[aria-selected="true"]'));
      }
    } else {
      this.element.removeAttribute("aria-activedescendant");
    }
  }
}

/** Whether a field is typed in, so that its value can be under way. */
const isTyped = (field) => field.type !== "choice" && field.type !== "flag";

/** Input for one field; the descriptor says its type, range and unit. */
function input(field, id, change) {
  const common = { id, "data-field": field.name, "aria-describedby": `${id}-help` };
  if (field.type === "choice") {
    const options = field.choices.map(([value, label]) => html("option", { value }, label));
    return html("select", { ...common, change: (event) => change(event.target.value) }, ...options);
  }
  if (field.type === "flag") {
    return html("input", { ...common, type: "checkbox", change: (event) => change(event.target.checked) });
  }
  if (field.type === "number") {
    const step = field.whole ? "1" : "any";
    const range = { min: field.min, max: field.max, step, required: field.required };
    return html("input", { ...common, type: "number", inputmode: "decimal", ...range });
  }
  return html("input", {
    ...common,
    type: "text",
    maxlength: field.max,
    pattern: field.pattern,
    title: field.pattern ? field.patternInWords : undefined,
    required: field.required,
    autocomplete: "off",
  });
}

/** The range of a field in words. */
function help(field) {
  if (field.type !== "number") {
    return field.help;
  }
  return `${field.help} ${field.min} to ${field.max}${field.unit ? ` ${field.unit}` : ""}.`;
}

/** A set of labelled fields bound to one record. */
export class Fields {
  constructor(id, descriptors, change) {
    this.inputs = new Map();
    this.change = change;
    this.element = html("div", { class: "bm-fields" });
    for (const field of descriptors) {
      const fieldId = `${id}-${field.name}`;
      const control = input(field, fieldId, (value) => change(field.name, value));
      const entry = { control, field, taken: "" };
      if (isTyped(field)) {
        control.addEventListener("change", () => this.#take(entry));
        control.addEventListener("keydown", (event) => {
          // Enter takes the value; only the button saves.
          if (event.key === "Enter") {
            event.preventDefault();
            this.#take(entry);
          }
        });
      }
      const label = field.unit ? `${field.label} [${field.unit}]` : field.label;
      this.inputs.set(field.name, entry);
      this.element.append(
        html(
          "div",
          { class: field.type === "flag" ? "bm-field bm-field-flag" : "bm-field" },
          html("label", { for: fieldId }, label),
          control,
          html("p", { class: "bm-help", id: `${fieldId}-help` }, help(field)),
        ),
      );
    }
  }

  /** Takes what was typed, once; what the field does not allow stays to be seen and put right. */
  #take(entry) {
    const { control, field } = entry;
    if (control.value === entry.taken && control.validity.valid) {
      control.removeAttribute("aria-invalid");
      return;
    }
    const valid = control.checkValidity();
    control.toggleAttribute("aria-invalid", !valid);
    if (valid) {
      entry.taken = control.value;
      const value = field.type === "number" ? Number(control.value) : control.value;
      this.change(field.name, control.value === "" ? undefined : value);
    }
  }

  /** Takes what stands typed in a field that has not lost the focus yet. */
  commit() {
    for (const entry of this.inputs.values()) {
      if (isTyped(entry.field) && entry.control.value !== entry.taken) {
        this.#take(entry);
      }
    }
  }

  /** Shows a record; a field that a person is typing in, or that holds what is not allowed, is left alone. */
  show(data) {
    for (const [name, entry] of this.inputs) {
      const { control, field } = entry;
      const value = data[name];
      if (field.type === "flag") {
        control.checked = value === true;
      } else if (control !== document.activeElement && !control.hasAttribute("aria-invalid")) {
        const text = value === undefined || value === null ? (field.type === "choice" ? field.choices[0][0] : "") : String(value);
        if (control.value !== text) {
          control.value = text;
        }
        entry.taken = control.value;
      }
    }
  }

  focus(name) {
    const found = this.inputs.get(name) ?? this.inputs.values().next().value;
    found?.control.focus();
  }
}
