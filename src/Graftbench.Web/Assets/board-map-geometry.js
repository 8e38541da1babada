// Plane geometry for the board picture, in mm, x right, y up, turns counter-clockwise in degrees.
// For display only: nothing here goes into a plan.

/** Rounds to a step; the last division keeps 0.1 + 0.2 from showing its tail. */
export function toStep(value, step) {
  return Number((Math.round(value / step) * step).toFixed(4));
}

/** A point in a box's own axes as a point on the board. */
export function toBoard(local, box) {
  const turn = (box.rotation * Math.PI) / 180;
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  return { x: box.x + local.x * cos - local.y * sin, y: box.y + local.x * sin + local.y * cos };
}

/** A point on the board in a box's own axes. */
export function toLocal(point, box) {
  const turn = (-box.rotation * Math.PI) / 180;
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const dx = point.x - box.x;
  const dy = point.y - box.y;
  return { x: dx * cos - dy * sin, y: dx * sin + dy * cos };
}

/** The four corners of a box { x, y, length, width, rotation }, counter-clockwise. */
export function corners(box) {
  const l = box.length / 2;
  const w = box.width / 2;
  return [
    { x: -l, y: -w },
    { x: l, y: -w },
    { x: l, y: w },
    { x: -l, y: w },
  ].map((corner) => toBoard(corner, box));
}

/** Smallest upright rectangle around points. */
export function bounds(points) {
  const xs = points.map((point) => point.x);
  const ys = points.map((point) => point.y);
  return { minX: Math.min(...xs), minY: Math.min(...ys), maxX: Math.max(...xs), maxY: Math.max(...ys) };
}

/** Signed area, positive for counter-clockwise. */
export function area(polygon) {
  let twice = 0;
  polygon.forEach((a, i) => {
    const b = polygon[(i + 1) % polygon.length];
    twice += a.x * b.y - b.x * a.y;
  });
  return twice / 2;
}

/** Part of a polygon inside a convex counter-clockwise one; empty where they do not meet. */
export function clip(polygon, window) {
  let kept = polygon;
  for (let i = 0; i < window.length && kept.length > 0; i++) {
    const a = window[i];
    const b = window[(i + 1) % window.length];
    const side = (p) => (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    const next = [];
    kept.forEach((p, j) => {
      const q = kept[(j + 1) % kept.length];
      const sp = side(p);
      const sq = side(q);
      if (sp >= 0) {
        next.push(p);
      }
      if (sp >= 0 !== sq >= 0) {
        const t = sp / (sp - sq);
        next.push({ x: p.x + t * (q.x - p.x), y: p.y + t * (q.y - p.y) });
      }
    });
    kept = next;
  }
  return kept;
}

/** Whether a point lies in a polygon of any shape. */
export function inside(point, polygon) {
  let odd = false;
  polygon.forEach((a, i) => {
    const b = polygon[(i + 1) % polygon.length];
    if (a.y > point.y !== b.y > point.y && point.x < a.x + ((point.y - a.y) / (b.y - a.y)) * (b.x - a.x)) {
      odd = !odd;
    }
  });
  return odd;
}

/** Whether two segments cross at a point inside both. */
function cross(a, b, c, d) {
  const side = (p, q, r) => Math.sign((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x));
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

/** Whether a polygon's edges cross each other. */
export function crossesItself(polygon) {
  const n = polygon.length;
  for (let i = 0; i < n; i++) {
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) {
        continue;
      }
      if (cross(polygon[i], polygon[i + 1], polygon[j], polygon[(j + 1) % n])) {
        return true;
      }
    }
  }
  return false;
}

/** Whether a body lies wholly inside an outline; touching the edge counts as inside. */
export function liesInside(body, outline) {
  const centre = { x: 0, y: 0 };
  body.forEach((point) => {
    centre.x += point.x / body.length;
    centre.y += point.y / body.length;
  });
  const inward = (point) => ({ x: point.x + (centre.x - point.x) * 1e-6, y: point.y + (centre.y - point.y) * 1e-6 });
  const drawnIn = body.map(inward);
  if (!drawnIn.every((point) => inside(point, outline))) {
    return false;
  }
  return !drawnIn.some((a, i) =>
    outline.some((c, j) => cross(a, drawnIn[(i + 1) % drawnIn.length], c, outline[(j + 1) % outline.length])),
  );
}

/** Point of a segment nearest to another point. */
export function nearestOnSegment(point, a, b) {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const squared = dx * dx + dy * dy;
  const t = squared === 0 ? 0 : Math.max(0, Math.min(1, ((point.x - a.x) * dx + (point.y - a.y) * dy) / squared));
  return { x: a.x + t * dx, y: a.y + t * dy };
}

/** Gap between two convex bodies and its two end points; 0 where they meet. */
export function gap(one, other) {
  if (clip(one, other).length > 0) {
    return { distance: 0, from: one[0], to: one[0] };
  }
  let best = { distance: Infinity };
  const tryAll = (points, edges, swap) => {
    for (const point of points) {
      edges.forEach((a, i) => {
        const foot = nearestOnSegment(point, a, edges[(i + 1) % edges.length]);
        const distance = Math.hypot(foot.x - point.x, foot.y - point.y);
        if (distance < best.distance) {
          best = swap ? { distance, from: foot, to: point } : { distance, from: point, to: foot };
        }
      });
    }
  };
  tryAll(one, other, false);
  tryAll(other, one, true);
  return best;
}
