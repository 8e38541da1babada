// The live chart: what was measured, what is estimated with its band, what was planned. Drawn on a canvas, a few times a second.

const mostPoints = 800;
// A heat is ten minutes on about as many pixels as half seconds: more pictures a second would show nothing more.
const pauseMs = 500;
const dashes = [[], [8, 4], [2, 4], [10, 4, 2, 4], [5, 5], [1, 5], [12, 3], [6, 2]];

export class Chart {
  #canvas;
  #config;
  #rows = [];
  #dirty = true;
  #timer = 0;
  #colours = null;

  constructor(canvas, config) {
    this.#canvas = canvas;
    this.#config = config;
    new ResizeObserver(() => this.#mark()).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
      this.#colours = null;
      this.#mark();
    });
  }

  take(cells) {
    const columns = this.#config.fixedColumns + this.#config.channels.length;
    this.#rows = [];
    for (let at = 0; at + columns <= cells.length; at += columns) {
      this.#rows.push(Float32Array.from(cells.subarray(at, at + columns)));
    }
    this.#mark();
  }

  add(row) {
    const last = this.#rows.at(-1);
    const values = Float32Array.from(row, (value) => (value === null ? NaN : value));
    if (last && values[0] < last[0]) {
      return;
    }
    // One point a pixel or so is all that can be seen.
    const span = this.#rows.length > 1 ? last[0] - this.#rows[0][0] : 0;
    if (last && this.#rows.length > 1 && values[0] - this.#rows.at(-2)[0] < span / mostPoints) {
      this.#rows[this.#rows.length - 1] = values;
    } else {
      this.#rows.push(values);
    }
    if (this.#rows.length > 2 * mostPoints) {
      this.#rows = this.#rows.filter((_, i) => i % 2 === 0);
    }
    this.#mark();
  }

  #mark() {
    this.#dirty = true;
    if (!this.#timer) {
      this.#timer = setTimeout(() => {
        this.#timer = 0;
        if (this.#dirty && !document.hidden) {
          this.#dirty = false;
          this.#draw();
        }
      }, pauseMs);
    }
  }

  #shown(celsius) {
    return this.#config.fahrenheit ? celsius * 1.8 + 32 : celsius;
  }

  #palette() {
    if (!this.#colours) {
      const style = getComputedStyle(this.#canvas);
      const of = (name) => style.getPropertyValue(name).trim();
      this.#colours = {
        text: of("--ink"),
        soft: of("--ink-soft"),
        line: of("--line"),
        cold: of("--press"),
        band: of("--press-soft"),
        hot: of("--time"),
        melt: of("--blocker"),
        probe: of("--ink"),
      };
    }
    return this.#colours;
  }

  #draw() {
    const ratio = Math.min(devicePixelRatio || 1, 2);
    const width = this.#canvas.clientWidth;
    const height = this.#canvas.clientHeight;
    if (width < 60 || height < 60) {
      return;
    }
    if (this.#canvas.width !== Math.round(width * ratio) || this.#canvas.height !== Math.round(height * ratio)) {
      this.#canvas.width = Math.round(width * ratio);
      this.#canvas.height = Math.round(height * ratio);
    }
    const pen = this.#canvas.getContext("2d");
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, width, height);
    const colours = this.#palette();
    const rows = this.#rows;
    const plan = this.#config.plan;
    const endS = Math.max(60, rows.at(-1)?.[0] ?? 0, plan.times.at(-1) ?? 0);
    let topC = this.#config.moltenC + 40;
    for (const row of rows) {
      for (let i = 1; i < row.length; i++) {
        if (i !== 3 && i !== 6 && row[i] > topC) {
          topC = row[i];
        }
      }
    }
    const left = 48;
    const bottom = 26;
    const x = (timeS) => left + ((width - left - 8) * timeS) / endS;
    const y = (celsius) => height - bottom - ((height - bottom - 8) * celsius) / topC;
    this.#grid(pen, colours, { width, height, left, bottom, endS, topC, x, y });
    pen.save();
    pen.beginPath();
    pen.rect(left, 0, width - left, height - bottom);
    pen.clip();
    this.#band(pen, colours, rows, x, y);
    if (plan.coldest.length > 0) {
      this.#line(pen, plan.times.length, (i) => x(plan.times[i]), (i) => y(plan.coldest[i]), colours.soft, 1.5, [3, 5]);
    }
    const first = this.#config.fixedColumns;
    const column = (c, colour, thick, dash) =>
      this.#line(pen, rows.length, (i) => x(rows[i][0]), (i) => y(rows[i][c]), colour, thick, dash);
    this.#config.channels.forEach((_, c) => column(first + c, colours.probe, 1.2, dashes[c % dashes.length]));
    column(4, colours.hot, 2, []);
    column(1, colours.cold, 3.5, []);
    pen.restore();
  }

  #grid(pen, colours, { width, height, left, bottom, endS, topC, x, y }) {
    pen.font = "14px system-ui, sans-serif";
    pen.lineWidth = 1;
    pen.strokeStyle = colours.line;
    pen.fillStyle = colours.soft;
    pen.textAlign = "right";
    pen.textBaseline = "middle";
    for (let celsius = 0; celsius <= topC; celsius += 50) {
      pen.beginPath();
      pen.moveTo(left, y(celsius));
      pen.lineTo(width - 8, y(celsius));
      pen.stroke();
      pen.fillText(String(Math.round(this.#shown(celsius))), left - 6, y(celsius));
    }
    pen.textAlign = "center";
    pen.textBaseline = "top";
    const steps = [10, 30, 60, 120, 300, 600, 1800, 3600, 7200, 14400];
    const step = steps.find((each) => endS / each <= 9) ?? 28800;
    for (let timeS = 0; timeS <= endS; timeS += step) {
      const seconds = String(timeS % 60).padStart(2, "0");
      pen.fillText(`${Math.floor(timeS / 60)}:${seconds}`, x(timeS), height - bottom + 6);
    }
    pen.strokeStyle = colours.melt;
    pen.lineWidth = 2;
    pen.setLineDash([10, 6]);
    pen.beginPath();
    pen.moveTo(left, y(this.#config.moltenC));
    pen.lineTo(width - 8, y(this.#config.moltenC));
    pen.stroke();
    pen.setLineDash([]);
    pen.fillStyle = colours.melt;
    pen.textAlign = "left";
    pen.textBaseline = "bottom";
    pen.fillText(`full melt ${Math.round(this.#shown(this.#config.moltenC))}`, left + 6, y(this.#config.moltenC) - 3);
  }

  #band(pen, colours, rows, x, y) {
    if (rows.length < 2) {
      return;
    }
    pen.fillStyle = colours.band;
    pen.beginPath();
    rows.forEach((row, i) => (i === 0 ? pen.moveTo(x(row[0]), y(row[3])) : pen.lineTo(x(row[0]), y(row[3]))));
    for (let i = rows.length - 1; i >= 0; i--) {
      pen.lineTo(x(rows[i][0]), y(rows[i][2]));
    }
    pen.closePath();
    pen.fill();
  }

  #line(pen, points, xOf, yOf, colour, thick, dash) {
    pen.strokeStyle = colour;
    pen.lineWidth = thick;
    pen.setLineDash(dash);
    pen.beginPath();
    let drawing = false;
    for (let i = 0; i < points; i++) {
      const yPx = yOf(i);
      if (!Number.isFinite(yPx)) {
        // A gap stays a gap.
        drawing = false;
        continue;
      }
      if (drawing) {
        pen.lineTo(xOf(i), yPx);
      } else {
        pen.moveTo(xOf(i), yPx);
      }
      drawing = true;
    }
    pen.stroke();
    pen.setLineDash([]);
  }
}
