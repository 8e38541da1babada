// <gb-heat-map data-live="{...}">: the temperature picture at a chosen time. One slider moves the picture and the line on
// the curves. Without scripts the page shows the pictures of every moment instead.
import { draw, sample } from "./heat-map-draw.js";

const shownCurves = ["joint-coldest", "joint-hottest", "body-top", "gas-set", "preheater-set"];
const playSteps = 90;

const clock = (s) => `${Math.floor(Math.round(s) / 60)}:${String(Math.round(s) % 60).padStart(2, "0")}`;

function made(name, attributes = {}, text = undefined) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    element.setAttribute(key, value);
  }
  if (text !== undefined) {
    element.textContent = text;
  }
  return element;
}

class HeatMap extends HTMLElement {
  #live;
  #planes = new Map();
  #plane;
  #timeS = 0;
  #timer = 0;
  #reading = null;
  #drawn = null;
  #frame = 0;
  #parts = {};

  connectedCallback() {
    if (this.#live) {
      return;
    }
    this.#live = JSON.parse(this.dataset.live);
    this.#timeS = Math.min(this.#live.endS, Math.max(0, this.#live.startS));
    this.#build();
    this.#show();
    if (this.#live.planes.length > 0) {
      this.#choose(this.#live.planes.find((plane) => plane.name === "joints") ?? this.#live.planes[0]);
    }
  }

  disconnectedCallback() {
    this.#stop();
  }

  #text = (c) => {
    const fahrenheit = this.dataset.fahrenheit ? ` (${Math.round(c * 1.8 + 32)} °F)` : "";
    return `${Math.round(c)} °C${fahrenheit}`;
  };

  #build() {
    const box = made("div", { class: "heat-live" });
    const time = made("div", { class: "heat-time" });
    const slider = made("input", { type: "range", id: "heat-time", min: "0", max: String(Math.ceil(this.#live.endS)), step: "1" });
    const output = made("output", { for: "heat-time" });
    const play = made("button", { type: "button", class: "heat-play" }, "Play");
    time.append(made("label", { for: "heat-time" }, "Time of the run"), output, play, slider);
    const moments = made("div", { class: "heat-row", role: "group", "aria-label": "Moments" });
    for (const moment of this.#live.moments) {
      const button = made("button", { type: "button", title: moment.text }, `${clock(moment.timeS)} ${moment.text}`);
      button.addEventListener("click", () => this.#go(moment.timeS));
      moments.append(button);
    }
    const values = made("ul", { class: "heat-values" });
    box.append(time, moments, values);
    Object.assign(this.#parts, { slider, output, play, values });
    slider.addEventListener("input", () => this.#go(Number(slider.value)));
    play.addEventListener("click", () => (this.#timer ? this.#stop() : this.#play()));
    if (this.#live.planes.length > 0) {
      box.append(...this.#buildPicture());
      this.querySelector("[data-still]")?.setAttribute("hidden", "");
    }
    this.querySelector("[data-controls]")?.append(box);
    if (this.#live.plot) {
      this.#parts.cursor = made("div", { class: "heat-cursor" });
      this.querySelector("[data-curves]")?.append(this.#parts.cursor);
    }
  }

  #buildPicture() {
    const choice = made("div", { class: "heat-row", role: "group", "aria-label": "Plane" });
    for (const plane of this.#live.planes) {
      const button = made("button", { type: "button", "aria-pressed": "false", "data-plane": plane.name }, plane.title);
      button.addEventListener("click", () => this.#choose(plane));
      choice.append(button);
    }
    const frame = made("div", { class: "heat-canvas" });
    const canvas = made("canvas", {
      tabindex: "0",
      role: "application",
      "aria-label": "Temperature picture. Arrow keys move the reading point, page up and page down move the time.",
      "aria-describedby": "heat-reading",
    });
    frame.append(canvas);
    const reading = made("p", { class: "heat-reading", id: "heat-reading", role: "status" }, "Point at the picture to read a temperature.");
    const key = made("ul", { class: "heat-key", "aria-label": "Colours" });
    const { lowC, stepDeltaK, colours, openBelow } = this.#live.scale;
    colours.forEach((colour, i) => {
      const item = made("li");
      const swatch = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      const rect = document.createElementNS("http://www.w3.org/2000/svg", "rect");
      swatch.setAttribute("aria-hidden", "true");
      rect.setAttribute("width", "100%");
      rect.setAttribute("height", "100%");
      rect.setAttribute("fill", colour);
      swatch.append(rect);
      item.append(swatch, made("span", {}, i > 0 || !openBelow ? `from ${this.#text(lowC + i * stepDeltaK)}` : `under ${this.#text(lowC + stepDeltaK)}`));
      key.append(item);
    });
    Object.assign(this.#parts, { choice, canvas, reading });
    const point = (event) => {
      const rect = canvas.getBoundingClientRect();
      const [x0, x1, y0, y1] = this.#plane.area;
      this.#read(
        x0 + ((event.clientX - rect.left) / rect.width) * (x1 - x0),
        y1 - ((event.clientY - rect.top) / rect.height) * (y1 - y0),
      );
    };
    canvas.addEventListener("pointermove", point);
    canvas.addEventListener("pointerdown", point);
    canvas.addEventListener("keydown", (event) => this.#key(event));
    return [choice, frame, key, reading];
  }

  #key(event) {
    const [x0, x1, y0, y1] = this.#plane.area;
    const step = (x1 - x0) / (event.shiftKey ? 12 : 80);
    const at = this.#reading ?? { x: (x0 + x1) / 2, y: (y0 + y1) / 2 };
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (moves[event.key]) {
      event.preventDefault();
      const [dx, dy] = moves[event.key];
      this.#read(Math.min(x1, Math.max(x0, at.x + dx * step)), Math.min(y1, Math.max(y0, at.y + dy * step)));
    } else if (event.key === "PageUp" || event.key === "PageDown") {
      event.preventDefault();
      this.#go(this.#timeS + (event.key === "PageUp" ? 10 : -10));
    }
  }

  async #choose(plane) {
    for (const button of this.#parts.choice.children) {
      button.setAttribute("aria-pressed", String(button.dataset.plane === plane.name));
    }
    if (!this.#planes.has(plane.name)) {
      this.#parts.reading.textContent = "Loading the picture ...";
      try {
        const answer = await fetch(plane.url);
        const bytes = answer.ok ? await answer.arrayBuffer() : null;
        const cells = plane.columns * plane.rows;
        if (bytes?.byteLength !== 2 * cells * plane.times.length) {
          throw new Error(`status ${answer.status}`);
        }
        this.#planes.set(plane.name, { ...plane, cells, data: tenths(bytes) });
      } catch (failure) {
        this.#parts.reading.textContent = `The picture could not be loaded (${failure.message}). Open the page again.`;
        this.querySelector("[data-still]")?.removeAttribute("hidden");
        return;
      }
    }
    this.#plane = this.#planes.get(plane.name);
    const [x0, x1, y0, y1] = plane.area;
    const wide = 1100;
    this.#parts.canvas.width = wide;
    this.#parts.canvas.height = Math.round(Math.min(1400, Math.max(120, (wide * (y1 - y0)) / (x1 - x0))));
    this.#parts.reading.textContent = "Point at the picture to read a temperature.";
    this.#paint();
  }

  #go(timeS) {
    this.#timeS = Math.min(this.#live.endS, Math.max(0, timeS));
    this.#show();
    this.#paint();
  }

  #play() {
    if (this.#timeS >= this.#live.endS - 1) {
      this.#timeS = 0;
    }
    // Who wants little motion gets few steps with time to look at each.
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const step = this.#live.endS / (calm ? 14 : playSteps);
    this.#parts.play.textContent = "Stop";
    this.#timer = setInterval(
      () => {
        if (this.#timeS >= this.#live.endS) {
          this.#stop();
        } else {
          this.#go(this.#timeS + step);
        }
      },
      calm ? 1500 : 120,
    );
  }

  #stop() {
    clearInterval(this.#timer);
    this.#timer = 0;
    if (this.#parts.play) {
      this.#parts.play.textContent = "Play";
    }
  }

  #curveAt(curve) {
    const { times } = this.#live.curves;
    let at = 0;
    for (let i = 0; i < times.length; i++) {
      if (Math.abs(times[i] - this.#timeS) < Math.abs(times[at] - this.#timeS)) {
        at = i;
      }
    }
    return curve.values[at];
  }

  #show() {
    const { slider, output, values, cursor } = this.#parts;
    slider.value = String(Math.round(this.#timeS));
    output.textContent = clock(this.#timeS);
    const curves = (this.#live.curves?.curves ?? []).filter((curve) => shownCurves.includes(curve.name));
    curves.sort((a, b) => shownCurves.indexOf(a.name) - shownCurves.indexOf(b.name));
    values.replaceChildren(
      ...curves.map((curve) => {
        const item = made("li", {}, curve.title);
        item.append(made("b", {}, this.#text(this.#curveAt(curve))));
        return item;
      }),
    );
    const first = curves[0] ? `, ${curves[0].title} ${this.#text(this.#curveAt(curves[0]))}` : "";
    slider.setAttribute("aria-valuetext", `${clock(this.#timeS)}${first}`);
    if (cursor) {
      const { left, right, endS } = this.#live.plot;
      cursor.style.left = `${100 * (left + (right - left) * Math.min(1, this.#timeS / endS))}%`;
    }
  }

  #read(x, y) {
    this.#reading = { x, y };
    this.#paint();
  }

  #paint() {
    if (!this.#plane || this.#frame) {
      return;
    }
    this.#frame = requestAnimationFrame(() => {
      this.#frame = 0;
      this.#drawn = draw(this.#parts.canvas, this.#live, this.#plane, this.#timeS, this.#text, this.#reading);
      this.dataset.drawn = `${this.#plane.name} ${Math.round(this.#timeS)}`;
      if (this.#reading) {
        const [x0, x1, y0, y1] = this.#plane.area;
        const { x, y } = this.#reading;
        const u = ((x - x0) / (x1 - x0)) * this.#plane.columns;
        const v = ((y - y0) / (y1 - y0)) * this.#plane.rows;
        const c = sample(this.#plane, this.#drawn.values, u, v);
        const where = `${Math.round(x)} mm from the left, ${Math.round(y)} mm from the lower edge, ${clock(this.#timeS)}`;
        const text = Number.isNaN(c) ? `off the board (${where})` : `${this.#text(c)} (${where})`;
        if (this.#parts.reading.textContent !== text) {
          this.#parts.reading.textContent = text;
        }
      }
    });
  }
}

function tenths(bytes) {
  const view = new DataView(bytes);
  const values = new Int16Array(bytes.byteLength / 2);
  for (let i = 0; i < values.length; i++) {
    values[i] = view.getInt16(2 * i, true);
  }
  return values;
}

customElements.define("gb-heat-map", HeatMap);
