// Draws one moment of a temperature plane: colours in steps, numbered isotherms, outlines, marked places.
// Everything here is given; no temperature is computed but those between two moments and two cells.

export const noValue = -32768;

/** Values of a plane at a time, straight between its moments [°C]; NaN off the board. */
export function valuesAt(plane, timeS) {
  const { times, cells, data } = plane;
  let next = times.findIndex((time) => time >= timeS);
  if (next < 0) {
    next = times.length - 1;
  }
  const before = Math.max(0, next - 1);
  const span = times[next] - times[before];
  const share = span > 0 ? Math.min(1, Math.max(0, (timeS - times[before]) / span)) : 1;
  const values = new Float32Array(cells);
  for (let i = 0; i < cells; i++) {
    const a = data[before * cells + i];
    const b = data[next * cells + i];
    values[i] = a === noValue || b === noValue ? NaN : (a + (b - a) * share) / 10;
  }
  return values;
}

/** Temperature between the four cells round a point, in cells from the lower left corner; the nearest one at edges. */
export function sample(plane, values, u, v) {
  const { columns, rows } = plane;
  const near = values[Math.min(rows - 1, Math.max(0, Math.floor(v))) * columns + Math.min(columns - 1, Math.max(0, Math.floor(u)))];
  const x = Math.min(columns - 1, Math.max(0, u - 0.5));
  const y = Math.min(rows - 1, Math.max(0, v - 0.5));
  const x0 = Math.floor(x);
  const y0 = Math.floor(y);
  const x1 = Math.min(columns - 1, x0 + 1);
  const y1 = Math.min(rows - 1, y0 + 1);
  const fx = x - x0;
  const fy = y - y0;
  const low = values[y0 * columns + x0] * (1 - fx) + values[y0 * columns + x1] * fx;
  const high = values[y1 * columns + x0] * (1 - fx) + values[y1 * columns + x1] * fx;
  const mean = low * (1 - fy) + high * fy;
  return Number.isNaN(near) || Number.isNaN(mean) ? near : mean;
}

function rgb(colour) {
  const n = Number.parseInt(colour.slice(1), 16);
  return [n >> 16, (n >> 8) & 255, n & 255];
}

function drawField(context, plane, values, scale, width, height) {
  const image = context.createImageData(width, height);
  const colours = scale.colours.map(rgb);
  for (let py = 0; py < height; py++) {
    const v = ((height - py - 0.5) / height) * plane.rows;
    for (let px = 0; px < width; px++) {
      const c = sample(plane, values, ((px + 0.5) / width) * plane.columns, v);
      if (Number.isNaN(c)) {
        continue;
      }
      const step = Math.min(colours.length - 1, Math.max(0, Math.floor((c - scale.lowC) / scale.stepDeltaK)));
      const at = 4 * (py * width + px);
      image.data[at] = colours[step][0];
      image.data[at + 1] = colours[step][1];
      image.data[at + 2] = colours[step][2];
      image.data[at + 3] = 255;
    }
  }
  context.putImageData(image, 0, 0);
}

/** Strokes of the line of one temperature, in cells. */
function isotherm(plane, values, level) {
  const { columns, rows } = plane;
  const strokes = [];
  const corner = [0, 0, 0, 0];
  for (let r = 0; r + 1 < rows; r++) {
    for (let c = 0; c + 1 < columns; c++) {
      const at = r * columns + c;
      corner[0] = values[at];
      corner[1] = values[at + 1];
      corner[2] = values[at + columns + 1];
      corner[3] = values[at + columns];
      const cuts = [];
      for (let side = 0; side < 4; side++) {
        const a = corner[side];
        const b = corner[(side + 1) % 4];
        if (a >= level === b >= level || Number.isNaN(a) || Number.isNaN(b)) {
          continue;
        }
        const t = (level - a) / (b - a);
        cuts.push(
          [
            [t, 0],
            [1, t],
            [1 - t, 1],
            [0, 1 - t],
          ][side],
        );
      }
      for (let i = 0; i + 1 < cuts.length; i += 2) {
        strokes.push([c + 0.5 + cuts[i][0], r + 0.5 + cuts[i][1], c + 0.5 + cuts[i + 1][0], r + 0.5 + cuts[i + 1][1]]);
      }
    }
  }
  return strokes;
}

/** Draws everything. Returns the places that were marked, with their temperatures. */
export function draw(canvas, live, plane, timeS, textOf, reading) {
  const context = canvas.getContext("2d");
  const { width, height } = canvas;
  const [x0, x1, y0, y1] = plane.area;
  const px = width / (x1 - x0);
  const at = (x, y) => [(x - x0) * px, height - ((y - y0) * height) / (y1 - y0)];
  const small = Math.max(15, Math.round(width / 62));
  const values = valuesAt(plane, timeS);
  context.clearRect(0, 0, width, height);
  drawField(context, plane, values, live.scale, width, height);
  context.lineJoin = "round";

  const path = (points, close = true) => {
    context.beginPath();
    points.forEach(([x, y], i) => (i === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
    if (close) {
      context.closePath();
    }
  };
  const outlined = (points, thick, dash = []) => {
    path(points);
    context.setLineDash(dash);
    context.strokeStyle = "#ffffffb3";
    context.lineWidth = thick + 2;
    context.stroke();
    context.strokeStyle = "#15171c";
    context.lineWidth = thick;
    context.stroke();
    context.setLineDash([]);
  };
  const box = ([a, b, c, d]) => [at(a, c), at(b, c), at(b, d), at(a, d)];
  for (const part of live.parts) {
    if (part.below === (plane.name === "bottom")) {
      const turn = ((part.turnDeg ?? 0) * Math.PI) / 180;
      const corners = [
        [-1, -1],
        [1, -1],
        [1, 1],
        [-1, 1],
      ].map(([u, v]) => {
        const du = (u * part.length) / 2;
        const dv = (v * part.width) / 2;
        return at(part.x + du * Math.cos(turn) - dv * Math.sin(turn), part.y + du * Math.sin(turn) + dv * Math.cos(turn));
      });
      outlined(corners, 1);
    }
  }
  if (live.outline.length > 2) {
    outlined(live.outline.map(([x, y]) => at(x, y)), 2);
  }
  if (live.chip) {
    outlined(box(live.chip), 2.2);
  }
  if (live.nozzle) {
    outlined(box(live.nozzle), 1.4, [7, 5]);
  }

  const taken = [];
  const free = (rect) => taken.every((other) => rect[0] > other[2] || rect[2] < other[0] || rect[1] > other[3] || rect[3] < other[1]);
  const marks = marksOf(live, plane, values);
  for (const mark of marks) {
    const [x, y] = at(mark.x, mark.y);
    taken.push([x - 10, y - 10, x + 10, y + 10]);
  }
  const centre = live.chip ? at((live.chip[0] + live.chip[1]) / 2, (live.chip[2] + live.chip[3]) / 2) : [width / 2, height / 2];
  const levels = live.scale.colours.slice(1).map((_, i) => ({ c: live.scale.lowC + (i + 1) * live.scale.stepDeltaK, molten: false }));
  if (live.moltenC !== null) {
    levels.unshift({ c: live.moltenC, molten: true });
  }
  let turn = 0;
  for (const level of levels) {
    const strokes = isotherm(plane, values, level.c).map(([a, b, c, d]) => [
      (a / plane.columns) * width,
      height - (b / plane.rows) * height,
      (c / plane.columns) * width,
      height - (d / plane.rows) * height,
    ]);
    if (strokes.length === 0) {
      continue;
    }
    const stroke = (colour, thick) => {
      context.beginPath();
      for (const [a, b, c, d] of strokes) {
        context.moveTo(a, b);
        context.lineTo(c, d);
      }
      context.strokeStyle = colour;
      context.lineWidth = thick;
      context.stroke();
    };
    if (level.molten) {
      stroke("#ffffffcc", 6);
    }
    stroke("#15171c", level.molten ? 3 : 1);
    turn += 2.4;
    const text = level.molten ? `${Math.round(level.c)} molten` : String(Math.round(level.c));
    context.font = `${level.molten ? "700 " : ""}${small}px system-ui, sans-serif`;
    const half = context.measureText(text).width / 2 + 3;
    const wanted = turn;
    const gap = ([a, b, c, d]) => {
      const angle = Math.atan2((b + d) / 2 - centre[1], (a + c) / 2 - centre[0]) - wanted;
      return Math.abs(Math.atan2(Math.sin(angle), Math.cos(angle)));
    };
    const places = strokes.map((s) => ({ s, gap: gap(s) })).sort((a, b) => a.gap - b.gap);
    for (const { s } of places.slice(0, 60)) {
      const x = (s[0] + s[2]) / 2;
      const y = (s[1] + s[3]) / 2;
      const rect = [x - half, y - small * 0.7, x + half, y + small * 0.7];
      if (rect[0] > 0 && rect[2] < width && rect[1] > 0 && rect[3] < height && free(rect)) {
        taken.push(rect);
        label(context, text, x, y, "#15171c");
        break;
      }
    }
  }

  for (const mark of marks) {
    drawMark(context, mark, at(mark.x, mark.y));
    const text = `${mark.over ? "! " : ""}${mark.title} ${textOf(mark.c)}${mark.over ? ", over" : ""}`;
    context.font = `700 ${small}px system-ui, sans-serif`;
    const wide = context.measureText(text).width + 10;
    const [x, y] = at(mark.x, mark.y);
    const tall = small * 1.5;
    search: for (const far of [0, 26, 60, 100, 150]) {
      for (const [left, top] of [
        [x + 13 + far, y - tall / 2],
        [x - 13 - far - wide, y - tall / 2],
        [x - wide / 2, y - 14 - far - tall],
        [x - wide / 2, y + 14 + far],
      ]) {
        const rect = [left, top, left + wide, top + tall];
        if (rect[0] < 2 || rect[2] > width - 2 || rect[1] < 2 || rect[3] > height - 2 || !free(rect)) {
          continue;
        }
        taken.push(rect);
        if (far > 0) {
          path(
            [
              [x, y],
              [Math.min(rect[2], Math.max(rect[0], x)), Math.min(rect[3], Math.max(rect[1], y))],
            ],
            false,
          );
          context.strokeStyle = "#15171c";
          context.lineWidth = 1.5;
          context.stroke();
        }
        context.fillStyle = "#ffffff";
        context.strokeStyle = mark.over ? "#9b1420" : "#15171c";
        context.lineWidth = mark.over ? 3 : 1;
        context.beginPath();
        context.roundRect(left, top, wide, tall, 4);
        context.fill();
        context.stroke();
        context.fillStyle = mark.over ? "#9b1420" : "#15171c";
        context.textAlign = "left";
        context.textBaseline = "middle";
        context.fillText(text, left + 5, top + tall / 2);
        break search;
      }
    }
  }
  if (reading) {
    const [x, y] = at(reading.x, reading.y);
    for (const [colour, thick] of [
      ["#ffffff", 5],
      ["#15171c", 2],
    ]) {
      context.beginPath();
      context.moveTo(x - 16, y);
      context.lineTo(x + 16, y);
      context.moveTo(x, y - 16);
      context.lineTo(x, y + 16);
      context.strokeStyle = colour;
      context.lineWidth = thick;
      context.stroke();
    }
  }
  return { values, marks };
}

function label(context, text, x, y, colour) {
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineWidth = 5;
  context.strokeStyle = "#ffffff";
  context.strokeText(text, x, y);
  context.fillStyle = colour;
  context.fillText(text, x, y);
}

/** Which places a plane marks: joints on theirs, the body, neighbours with a limit, and the probe on the side that it sits on. */
export function marksOf(live, plane, values) {
  const places = live.places ?? [];
  const [x0, x1, y0, y1] = plane.area;
  const c = (place) => sample(plane, values, ((place.x - x0) / (x1 - x0)) * plane.columns, ((place.y - y0) / (y1 - y0)) * plane.rows);
  const made = (place, title, shape) => ({ x: place.x, y: place.y, title, shape, over: place.over, c: c(place) });
  const marks = [];
  if (plane.name === "joints") {
    const joints = places.filter((place) => place.kind === "joint").map((place) => made(place, "", "cold"));
    const known = joints.filter((mark) => !Number.isNaN(mark.c)).sort((a, b) => a.c - b.c);
    if (known.length > 0) {
      marks.push({ ...known[0], title: "coldest joint", over: false });
      marks.push({ ...known[known.length - 1], title: "hottest joint", shape: "hot", over: false });
    }
  } else {
    const body = places.find((place) => place.kind === (plane.name === "bottom" ? "underside" : "body-top"));
    if (body) {
      marks.push(made(body, plane.name === "bottom" ? "underside" : "body top", "body"));
    }
    const seen = new Set();
    const neighbours = places.filter(
      (place) => place.limited && place.kind.startsWith("neighbour") && place.below === (plane.name === "bottom"),
    );
    for (const place of neighbours.sort((a, b) => Number(b.over) - Number(a.over))) {
      const name = place.part ?? place.name;
      if (!seen.has(name) && seen.size < 5) {
        seen.add(name);
        marks.push(made(place, name, "neighbour"));
      }
    }
    if (live.probe && plane.name === live.probe.plane) {
      marks.push(made({ ...live.probe, over: false }, "probe", "probe"));
    }
  }
  return marks.filter((mark) => !Number.isNaN(mark.c));
}

function drawMark(context, mark, [x, y]) {
  context.fillStyle = "#ffffff";
  context.strokeStyle = mark.over ? "#9b1420" : "#15171c";
  context.lineWidth = 3;
  context.beginPath();
  if (mark.shape === "cold" || mark.shape === "hot") {
    const up = mark.shape === "hot" ? 1 : -1;
    context.moveTo(x, y - 9 * up);
    context.lineTo(x - 9, y + 7 * up);
    context.lineTo(x + 9, y + 7 * up);
    context.closePath();
  } else if (mark.shape === "neighbour") {
    context.rect(x - 7, y - 7, 14, 14);
  } else {
    context.arc(x, y, 8, 0, 2 * Math.PI);
  }
  context.fill();
  context.stroke();
  if (mark.shape === "probe") {
    context.beginPath();
    context.moveTo(x - 8, y);
    context.lineTo(x + 8, y);
    context.moveTo(x, y - 8);
    context.lineTo(x, y + 8);
    context.stroke();
  }
}
