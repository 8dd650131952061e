// geometry.js computes with the model's curves and matrices. Lengths in mm, angles in
// radians, y up; nothing here draws or keeps state.
//
// A curve is a line [0, px,py, qx,qy], an arc [1, px,py, qx,qy, cx,cy, r, sweep] with its
// sweep positive to the left, or a cubic Bézier curve [2, px,py, c1x,c1y, c2x,c2y, qx,qy].
// A point is [x, y]. Parameters run from 0 at P to 1 at Q: by length on lines and arcs,
// by the Bézier parameter on cubics.

const lineKind = 0;
const arcKind = 1;
const cubicKind = 2;

export const isArc = (c) => c[0] === arcKind;
export const isCubic = (c) => c[0] === cubicKind;

export const startOf = (c) => [c[1], c[2]];
export const endOf = (c) => (c[0] === cubicKind ? [c[7], c[8]] : [c[3], c[4]]);

export const distance = (p, q) => Math.hypot(q[0] - p[0], q[1] - p[1]);

// pointAt is the point at parameter t; exactly P at 0 and Q at 1.
export function pointAt(c, t) {
  if (t === 0) return startOf(c);
  if (t === 1) return endOf(c);
  if (c[0] === arcKind) return arcPoint(c, c[8] * t);
  const s = 1 - t;
  if (c[0] === lineKind) return [s * c[1] + t * c[3], s * c[2] + t * c[4]];
  const [a, b, d, e] = [s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t];
  return [a * c[1] + b * c[3] + d * c[5] + e * c[7], a * c[2] + b * c[4] + d * c[6] + e * c[8]];
}

// arcPoint turns the start of an arc about its centre: the start plus what the turn
// adds, so that a far-off centre costs no digits.
function arcPoint(c, angle) {
  const dx = c[1] - c[5], dy = c[2] - c[6];
  const sin = Math.sin(angle), h = Math.sin(angle / 2);
  const k = 2 * h * h; // 1 − cos
  return [c[1] - dy * sin - dx * k, c[2] + dx * sin - dy * k];
}

// derivativeAt is the first derivative by the parameter, in mm.
export function derivativeAt(c, t) {
  if (c[0] === lineKind) return [c[3] - c[1], c[4] - c[2]];
  if (c[0] === arcKind) {
    const [x, y] = pointAt(c, t);
    return [-(y - c[6]) * c[8], (x - c[5]) * c[8]];
  }
  const s = 1 - t;
  const d = (i) => 3 * (s * s * (c[i + 2] - c[i]) + 2 * s * t * (c[i + 4] - c[i + 2]) + t * t * (c[i + 6] - c[i + 4]));
  return [d(1), d(2)];
}

// tangentAt is the unit direction of travel. Where the control points of a cubic fall
// together it is the limit from inside the curve.
export function tangentAt(c, t) {
  let [x, y] = derivativeAt(c, t);
  if (c[0] === cubicKind && Math.hypot(x, y) < 1e-9) {
    const near = t < 0.5 ? t + 1e-4 : t - 1e-4;
    [x, y] = derivativeAt(c, near);
  }
  const length = Math.hypot(x, y);
  return length > 0 ? [x / length, y / length] : [1, 0];
}

// Nodes and weights of the Gauss–Legendre rule with eight points on −1..1, each standing
// for itself and its negative (Abramowitz and Stegun, table 25.4).
const gauss8 = [
  [0.1834346424956498, 0.362683783378362], [0.525532409916329, 0.3137066458778873],
  [0.7966664774136267, 0.2223810344533745], [0.9602898564975363, 0.1012285362903763],
];

// lengthShare is to what share of itself the length of a cubic is found.
const lengthShare = 1e-12;

// lengthOf is r·|sweep| of an arc, and of a cubic the integral of its speed.
export function lengthOf(c) {
  if (c[0] === lineKind) return Math.hypot(c[3] - c[1], c[4] - c[2]);
  if (c[0] === arcKind) return c[7] * Math.abs(c[8]);
  return refineLength(c, 0, 1, speedIntegral(c, 0, 1), 12);
}

// refineLength halves the range until two halves agree with the whole; depth bounds how often.
function refineLength(c, a, b, whole, depth) {
  const m = (a + b) / 2;
  const left = speedIntegral(c, a, m), right = speedIntegral(c, m, b);
  if (depth === 0 || Math.abs(left + right - whole) <= lengthShare * (left + right)) return left + right;
  return refineLength(c, a, m, left, depth - 1) + refineLength(c, m, b, right, depth - 1);
}

function speedIntegral(c, a, b) {
  const half = (b - a) / 2, middle = (a + b) / 2;
  let sum = 0;
  for (const [node, weight] of gauss8) {
    sum += weight * (speed(c, middle + half * node) + speed(c, middle - half * node));
  }
  return sum * half;
}

const speed = (c, t) => Math.hypot(...derivativeAt(c, t));

// lengthOfAll is the length of a chain.
export const lengthOfAll = (curves) => curves.reduce((sum, c) => sum + lengthOf(c), 0);

// areaOf is ½∮(x dy − y dx) over a list of curves, in mm²: the area inside closed
// rings that have it on their left. In closed form for all three kinds.
export function areaOf(curves) {
  let sum = 0;
  for (const c of curves) {
    const [px, py] = startOf(c), [qx, qy] = endOf(c);
    sum += (px * qy - py * qx) / 2 + segmentArea(c);
  }
  return sum;
}

// segmentArea is the area between a curve and its chord, positive where the curve
// bulges to the right of the chord.
function segmentArea(c) {
  if (c[0] === arcKind) return c[7] * c[7] * (c[8] - Math.sin(c[8])) / 2;
  if (c[0] === lineKind) return 0;
  const [ax, ay, bx, by, qx, qy] = [c[3] - c[1], c[4] - c[2], c[5] - c[1], c[6] - c[2], c[7] - c[1], c[8] - c[2]];
  return (3 * (ax * by - ay * bx) + 3 * (ax * qy - ay * qx) + 6 * (bx * qy - by * qx)) / 20;
}

// rootsIn gives the zeros in 0..1 of the polynomial with these coefficients, the
// constant first: between its extrema, found from its derivative in the same way, it is
// monotonic, so a change of sign there is one zero, and halving finds it.
function rootsIn(coefficients) {
  const n = coefficients.length - 1;
  if (n < 1) return [];
  const value = (t) => coefficients.reduceRight((sum, k) => sum * t + k, 0);
  const stops = [0, ...rootsIn(coefficients.slice(1).map((k, i) => k * (i + 1))), 1];
  const found = [];
  for (let i = 1; i < stops.length; i++) {
    const root = bisect(value, stops[i - 1], stops[i]);
    if (root !== null) found.push(root);
  }
  return found;
}

function bisect(value, lo, hi) {
  const rising = value(hi) > 0;
  if (value(lo) === 0) return lo;
  if (value(hi) === 0) return hi;
  if ((value(lo) > 0) === rising) return null;
  for (;;) {
    const m = (lo + hi) / 2;
    if (m <= lo || m >= hi) return m; // neighbouring numbers
    if ((value(m) > 0) === rising) hi = m;
    else lo = m;
  }
}

// powers are the coefficients of one coordinate of a cubic less an offset, the constant first.
function powers(p, a, b, q, offset) {
  return [p - offset, 3 * (a - p), 3 * (p - 2 * a + b), q - p + 3 * (a - b)];
}

const derivative = (k) => k.slice(1).map((v, i) => v * (i + 1));

// boundsOf is the smallest upright box [x0, y0, x1, y1] round the curves, exact but for
// rounding: over their ends and the places where x or y has an extremum.
export function boundsOf(curves) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  const add = ([x, y]) => {
    box[0] = Math.min(box[0], x);
    box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x);
    box[3] = Math.max(box[3], y);
  };
  for (const c of curves) {
    add(startOf(c));
    add(endOf(c));
    extrema(c).forEach(add);
  }
  return box;
}

function extrema(c) {
  if (c[0] === arcKind) {
    const r = c[7];
    return [[1, 0], [0, 1], [-1, 0], [0, -1]].filter(([x, y]) => arcParameter(c, Math.atan2(y, x)) <= 1)
      .map(([x, y]) => [c[5] + r * x, c[6] + r * y]);
  }
  if (c[0] === lineKind) return [];
  const at = (i) => rootsIn(derivative(powers(c[i], c[i + 2], c[i + 4], c[i + 6], 0)));
  return [...at(1), ...at(2)].map((t) => pointAt(c, t));
}

// arcParameter is where an arc has a direction from its centre, in turns of its sweep:
// 0..1 on the arc, more where the arc has no such direction.
function arcParameter(c, angle) {
  const turn = 2 * Math.PI, sweep = c[8];
  let d = (angle - Math.atan2(c[2] - c[6], c[1] - c[5])) * Math.sign(sweep);
  d = ((d % turn) + turn) % turn;
  return d / Math.abs(sweep);
}

// nearestOn is the point of one curve closest to p: {t, point, distance}.
export function nearestOn(c, p) {
  let best = { t: 0, point: startOf(c), distance: distance(startOf(c), p) };
  const offer = (t) => {
    const point = pointAt(c, t), d = distance(point, p);
    if (d < best.distance) best = { t, point, distance: d };
  };
  offer(1);
  if (c[0] === lineKind) {
    const dx = c[3] - c[1], dy = c[4] - c[2], l = dx * dx + dy * dy;
    if (l > 0) offer(Math.min(1, Math.max(0, ((p[0] - c[1]) * dx + (p[1] - c[2]) * dy) / l)));
  } else if (c[0] === arcKind) {
    const t = arcParameter(c, Math.atan2(p[1] - c[6], p[0] - c[5]));
    if (t <= 1) offer(t);
  } else {
    // The zeros of (B − p)·B′, a polynomial of degree five.
    const x = powers(c[1], c[3], c[5], c[7], p[0]), y = powers(c[2], c[4], c[6], c[8], p[1]);
    const k = [0, 0, 0, 0, 0, 0];
    for (const axis of [x, y]) {
      derivative(axis).forEach((d, j) => axis.forEach((v, i) => { k[i + j] += v * d; }));
    }
    rootsIn(k).forEach(offer);
  }
  return best;
}

// nearest is the point of several curves closest to p: {index, t, point, distance}, or
// null when there is none.
export function nearest(curves, p) {
  let best = null;
  curves.forEach((c, index) => {
    const found = nearestOn(c, p);
    if (!best || found.distance < best.distance) best = { index, ...found };
  });
  return best;
}

// flatten is a chain of points from P on, Q left out, that stays within tolerance mm of
// the curve. An arc's part that turns by φ strays from its chord by r(1 − cos φ/2); a
// cubic's of n equal parts by at most |B″|/8n².
export function flatten(c, tolerance) {
  const n = partsOf(c, tolerance);
  const points = [];
  for (let i = 0; i < n; i++) points.push(pointAt(c, i / n));
  return points;
}

function partsOf(c, tolerance) {
  if (c[0] === arcKind) {
    // A circle needs three corners at least to be a shape at all.
    const least = Math.abs(c[8]) / (2 * Math.PI) * 3;
    const most = c[7] > tolerance ? 2 * Math.acos(1 - tolerance / c[7]) : Math.PI;
    return Math.max(1, Math.ceil(Math.max(least, Math.abs(c[8]) / most)));
  }
  if (c[0] === lineKind) return 1;
  const bend = Math.max(Math.hypot(c[1] - 2 * c[3] + c[5], c[2] - 2 * c[4] + c[6]), Math.hypot(c[3] - 2 * c[5] + c[7], c[4] - 2 * c[6] + c[8]));
  return Math.max(1, Math.ceil(Math.sqrt(6 * bend / (8 * tolerance))));
}

// polygonOf is a ring as the corners of a polygon, within tolerance mm of it.
export const polygonOf = (ring, tolerance) => ring.flatMap((c) => flatten(c, tolerance));

// isInside reports whether p lies inside polygons, by the even-odd rule.
export function isInside(polygons, p) {
  let inside = false;
  for (const ring of polygons) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [ax, ay] = ring[i], [bx, by] = ring[j];
      if ((ay > p[1]) !== (by > p[1]) && p[0] < (bx - ax) * (p[1] - ay) / (by - ay) + ax) inside = !inside;
    }
  }
  return inside;
}

// reverse is the same curve travelled the other way.
export function reverse(c) {
  if (c[0] === lineKind) return [0, c[3], c[4], c[1], c[2]];
  if (c[0] === arcKind) return [1, c[3], c[4], c[1], c[2], c[5], c[6], c[7], -c[8]];
  return [2, c[7], c[8], c[5], c[6], c[3], c[4], c[1], c[2]];
}

// transform places a curve by a matrix that keeps shapes: turns, shifts, mirrors and
// scales alike in x and y.
export function transform(c, m) {
  const made = [c[0]];
  const points = c[0] === lineKind ? 2 : c[0] === arcKind ? 3 : 4;
  for (let i = 1; i < 2 * points; i += 2) made.push(...apply6(m, [c[i], c[i + 1]]));
  if (c[0] === arcKind) {
    const det = m[0] * m[3] - m[1] * m[2];
    made.push(c[7] * Math.sqrt(Math.abs(det)), c[8] * Math.sign(det));
  }
  return made;
}

// joinTolerance is how far apart, in mm, the end of a curve and the start of the next may
// lie and still be drawn as one corner: under what a cut file's six decimals tell apart.
const joinTolerance = 1e-6;

// svgPath writes curves as path data in full precision: lines as L, arcs as A of at most
// 90°, cubics as C. A chain that ends where it started is closed with Z. The matrix, if
// any, keeps shapes as in transform.
export function svgPath(curves, matrix) {
  const out = [];
  let first = null, last = null;
  const near = (p, q) => p !== null && Math.abs(p[0] - q[0]) <= joinTolerance && Math.abs(p[1] - q[1]) <= joinTolerance;
  for (const given of curves) {
    const c = matrix ? transform(given, matrix) : given;
    const p = startOf(c);
    if (!near(last, p)) {
      first = p;
      out.push("M", p[0], p[1]);
    }
    pushCurve(out, c);
    last = endOf(c);
    if (near(first, last)) {
      out.push("Z");
      first = last = null;
    }
  }
  return out.join(" ");
}

function pushCurve(out, c) {
  if (c[0] === lineKind) out.push("L", c[3], c[4]);
  else if (c[0] === cubicKind) out.push("C", ...c.slice(3));
  else {
    const n = Math.max(1, Math.ceil(Math.abs(c[8]) / (Math.PI / 2) - 1e-9));
    for (let i = 1; i <= n; i++) out.push("A", c[7], c[7], 0, 0, c[8] > 0 ? 1 : 0, ...pointAt(c, i / n));
  }
}

// Matrices of the plane are [a, b, c, d, e, f] as in SVG: x′ = a·x + c·y + e, y′ = b·x + d·y + f.

export const apply6 = (m, [x, y]) => [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]];

// direct6 moves a displacement: the matrix without its shift.
export const direct6 = (m, [x, y]) => [m[0] * x + m[2] * y, m[1] * x + m[3] * y];

// mul6 does b first and a after it.
export function mul6(a, b) {
  return [...direct6(a, [b[0], b[1]]), ...direct6(a, [b[2], b[3]]), ...apply6(a, [b[4], b[5]])];
}

export function invert6([a, b, c, d, e, f]) {
  const det = a * d - b * c;
  return [d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det];
}

// Matrices of space are twelve numbers, three rows of four, the shift in the last column.

export function apply34(m, [x, y, z = 0]) {
  return [
    m[0] * x + m[1] * y + m[2] * z + m[3],
    m[4] * x + m[5] * y + m[6] * z + m[7],
    m[8] * x + m[9] * y + m[10] * z + m[11],
  ];
}

// direct34 moves a displacement.
export function direct34(m, [x, y, z = 0]) {
  return [m[0] * x + m[1] * y + m[2] * z, m[4] * x + m[5] * y + m[6] * z, m[8] * x + m[9] * y + m[10] * z];
}

// mul34 does b first and a after it.
export function mul34(a, b) {
  const made = new Array(12);
  for (let row = 0; row < 12; row += 4) {
    for (let col = 0; col < 4; col++) {
      made[row + col] = a[row] * b[col] + a[row + 1] * b[4 + col] + a[row + 2] * b[8 + col] + (col === 3 ? a[row + 3] : 0);
    }
  }
  return made;
}

// invertRigid34 undoes a rigid motion: its rows and columns change places.
export function invertRigid34(m) {
  const [x, y, z] = [m[3], m[7], m[11]];
  return [
    m[0], m[4], m[8], -(m[0] * x + m[4] * y + m[8] * z),
    m[1], m[5], m[9], -(m[1] * x + m[5] * y + m[9] * z),
    m[2], m[6], m[10], -(m[2] * x + m[6] * y + m[10] * z),
  ];
}
