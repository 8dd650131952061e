// mesh.js turns panels into triangles and lines for the folded view: rings of true
// curves are flattened to a tolerance, cut into triangles by clipping ears with holes
// bridged to the ring round them, and raised to the thickness of the board. Pure
// functions of numbers; lengths in mm, in the panel's frame: x, y in the plane of the
// board, z out of its outside.

import { flatten } from "./geometry.js";

// Kinds of surface, the fourth byte of a vertex's normal.
export const OUTSIDE = 0;
export const INSIDE = 1;
export const RIM = 2;
export const CONTENTS = 3;

// Points of a ring nearer than this are one: a thousandth of what a cut file is written to.
const samePoint = 1e-7;

// Rings that come this near touch: what rounding leaves of a point computed twice.
const touchWidth = 1e-6;

// Bounds of the flattening tolerance, mm: finer than a laser's beam is of no use.
const finest = 2 ** -8;
const coarsest = 2;

// toleranceFor is the tolerance, a power of two in mm, at which a chord stays within a
// third of a pixel of its curve when a pixel is so many mm wide.
export function toleranceFor(mmPerPixel) {
  const wanted = 2 ** Math.floor(Math.log2(mmPerPixel / 3));
  return Math.min(coarsest, Math.max(finest, wanted));
}

// flattenRing is the polygon of a closed list of curves as [x, y, x, y, …], without
// repeated points.
export function flattenRing(curves, tolerance) {
  const points = [];
  for (const curve of curves) {
    for (const [x, y] of flatten(curve, tolerance)) {
      const n = points.length;
      if (n && Math.hypot(x - points[n - 2], y - points[n - 1]) < samePoint) continue;
      points.push(x, y);
    }
  }
  while (points.length > 2 && Math.hypot(points[0] - points.at(-2), points[1] - points.at(-1)) < samePoint) points.length -= 2;
  return points;
}

// ringArea is the signed area of a polygon, positive counter-clockwise.
export function ringArea(ring) {
  let sum = 0;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    // Taken from the first point, so that a small ring far from the origin keeps its digits.
    sum += (ring[j] - ring[0]) * (ring[i + 1] - ring[1]) - (ring[i] - ring[0]) * (ring[j + 1] - ring[1]);
  }
  return sum / 2;
}

// inRing reports whether a point is inside a polygon (even-odd).
export function inRing(ring, x, y) {
  let inside = false;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    if (ring[i + 1] > y !== ring[j + 1] > y &&
      x < ring[i] + ((y - ring[i + 1]) * (ring[j] - ring[i])) / (ring[j + 1] - ring[i + 1])) inside = !inside;
  }
  return inside;
}

// triangulate cuts the board of a panel into triangles. Rings are polygons with the board
// on their left: outer ones counter-clockwise, holes clockwise. The result is the points of
// all rings, one ring after the other, and the corners of triangles as indices of points,
// counter-clockwise.
export function triangulate(rings) {
  const points = rings.flat();
  let first = 0;
  const given = rings.map((ring) => {
    const loop = indices(first, ring.length / 2);
    first += ring.length / 2;
    return loop;
  });
  const loops = given.length > 1 ? separate(points, given) : given;
  const polygons = loops.map((loop) => loop.flatMap((i) => [points[2 * i], points[2 * i + 1]]));
  const areas = polygons.map(ringArea);
  const outers = indices(0, loops.length).filter((i) => areas[i] > 0);
  const holes = new Map(outers.map((i) => [i, []]));
  loops.forEach((loop, i) => {
    const home = areas[i] < 0 ? homeOf(polygons[i], outers, polygons, areas) : undefined;
    if (home !== undefined) holes.get(home).push(loop);
  });
  const triangles = [];
  for (const i of outers) clipEars(points, bridgeHoles(points, loops[i], holes.get(i)), triangles);
  return { points, triangles };
}

function indices(start, count) {
  return Array.from({ length: count }, (_, k) => start + k);
}

// homeOf is the smallest outer ring round a hole. They may touch in points, so the middles
// of the hole's edges are asked, and most of them decide.
function homeOf(hole, outers, polygons, areas) {
  const n = hole.length;
  const round = outers.filter((i) => {
    let votes = 0;
    for (let k = 0; k < n; k += 2) {
      const l = (k + 2) % n;
      votes += inRing(polygons[i], (hole[k] + hole[l]) / 2, (hole[k + 1] + hole[l + 1]) / 2) ? 1 : -1;
    }
    return votes > 0;
  });
  return round.sort((a, b) => areas[a] - areas[b])[0];
}

// separate takes rings that touch one another apart: where several pass through a point,
// each goes on along the first edge clockwise from where it came, round the board on its
// left. A hole that touches the outer ring becomes part of it, and board that hangs
// together in a point alone becomes two rings.
function separate(p, loops) {
  const cut = loops.map((loop) => splitAtTouches(p, loop, loops));
  const leaving = new Map(); // at a welded point: the edges that leave it, as [from, to]
  const weld = welder(p);
  for (const loop of cut) {
    loop.forEach((from, k) => {
      const spot = weld(from);
      if (!leaving.has(spot)) leaving.set(spot, []);
      leaving.get(spot).push([from, loop[(k + 1) % loop.length]]);
    });
  }
  const made = [];
  for (const edges of leaving.values()) {
    while (edges.length) {
      const loop = [];
      let edge = edges.pop();
      const start = weld(edge[0]);
      for (;;) {
        loop.push(edge[0]);
        const there = leaving.get(weld(edge[1]));
        const onward = firstClockwise(p, edge, there);
        if (onward < 0) break;
        edge = there.splice(onward, 1)[0];
      }
      if (loop.length > 2 && weld(edge[1]) === start) made.push(loop);
    }
  }
  return made;
}

// firstClockwise is the place in the list of the edge that leaves first, turning clockwise
// from the way back along the edge that arrives; -1 in an empty list.
function firstClockwise(p, [from, to], edges) {
  if (edges.length < 2) return edges.length - 1;
  const back = Math.atan2(p[2 * from + 1] - p[2 * to + 1], p[2 * from] - p[2 * to]);
  let best = -1, least = Infinity;
  edges.forEach(([a, b], k) => {
    let turned = back - Math.atan2(p[2 * b + 1] - p[2 * a + 1], p[2 * b] - p[2 * a]);
    while (turned <= 1e-9) turned += 2 * Math.PI;
    if (turned < least) [best, least] = [k, turned];
  });
  return best;
}

// splitAtTouches is a loop with the corners of other loops that lie on its edges put in.
function splitAtTouches(p, loop, loops) {
  const made = [];
  loop.forEach((a, k) => {
    const b = loop[(k + 1) % loop.length];
    made.push(a);
    const dx = p[2 * b] - p[2 * a], dy = p[2 * b + 1] - p[2 * a + 1];
    const squared = dx * dx + dy * dy;
    const on = [];
    for (const other of loops) {
      if (other === loop) continue;
      for (const c of other) {
        const x = p[2 * c] - p[2 * a], y = p[2 * c + 1] - p[2 * a + 1];
        const t = (x * dx + y * dy) / squared;
        if (t <= 0 || t >= 1 || Math.abs(x * dy - y * dx) > touchWidth * Math.sqrt(squared)) continue;
        if (!coincide(p, a, c) && !coincide(p, b, c)) on.push({ c, t });
      }
    }
    on.sort((u, v) => u.t - v.t).forEach(({ c }) => {
      if (!coincide(p, made.at(-1), c)) made.push(c);
    });
  });
  return made;
}

// welder gives points that coincide the same number.
function welder(p) {
  const order = indices(0, p.length / 2).sort((a, b) => p[2 * a] - p[2 * b]);
  const spot = new Int32Array(order.length).fill(-1);
  order.forEach((i, k) => {
    if (spot[i] >= 0) return;
    for (let l = k; l < order.length && p[2 * order[l]] - p[2 * i] < touchWidth; l++) {
      if (coincide(p, i, order[l])) spot[order[l]] = i;
    }
  });
  return (i) => spot[i];
}

// turn is twice the signed area of the triangle of three points, positive when they turn left.
function turn(p, a, b, c) {
  const ax = p[2 * a], ay = p[2 * a + 1];
  return (p[2 * b] - ax) * (p[2 * c + 1] - ay) - (p[2 * c] - ax) * (p[2 * b + 1] - ay);
}

function coincide(p, a, b) {
  return Math.abs(p[2 * a] - p[2 * b]) < touchWidth && Math.abs(p[2 * a + 1] - p[2 * b + 1]) < touchWidth;
}

// bridgeHoles joins holes to the loop round them, the rightmost first: then nothing of the
// holes left lies right of its rightmost point, and some corner of the loop is in sight of it.
function bridgeHoles(p, loop, holes) {
  const rightmost = (hole) => hole.reduce((best, i) => (p[2 * i] > p[2 * best] ? i : best), hole[0]);
  const sorted = holes.map((hole) => ({ hole, at: rightmost(hole) })).sort((a, b) => p[2 * b.at] - p[2 * a.at]);
  sorted.forEach(({ hole, at }, k) => {
    const k0 = hole.indexOf(at);
    const cycle = [...hole.slice(k0), ...hole.slice(0, k0)];
    const rest = sorted.slice(k).map((h) => h.hole);
    const where = bridge(p, loop, at, rest);
    loop = [...loop.slice(0, where + 1), ...cycle, at, ...loop.slice(where)];
  });
  return loop;
}

// bridge is the place in the loop of the nearest corner that the hole's first point sees.
function bridge(p, loop, m, rest) {
  const order = loop.map((i, k) => ({ k, far: Math.hypot(p[2 * i] - p[2 * m], p[2 * i + 1] - p[2 * m + 1]) }));
  order.sort((a, b) => a.far - b.far || a.k - b.k);
  const seen = order.find(({ k }) => inCone(p, loop, k, m) && clear(p, m, loop[k], [loop, ...rest]));
  return (seen ?? order[0]).k;
}

// inCone reports whether the way from corner k of a loop to point q starts inside the loop.
function inCone(p, loop, k, q) {
  const n = loop.length;
  const a = loop[(k + n - 1) % n], v = loop[k], b = loop[(k + 1) % n];
  const left = turn(p, a, v, q), right = turn(p, v, b, q);
  if (turn(p, a, v, b) > 0) return left >= 0 && right >= 0;
  return left >= 0 || right >= 0;
}

// clear reports whether the segment from a to b crosses no edge of the loops.
function clear(p, a, b, loops) {
  for (const loop of loops) {
    for (let k = 0; k < loop.length; k++) {
      const c = loop[k], d = loop[(k + 1) % loop.length];
      if (coincide(p, c, a) || coincide(p, d, a) || coincide(p, c, b) || coincide(p, d, b)) continue;
      const s = turn(p, a, b, c), t = turn(p, a, b, d);
      if (s > 0 === t > 0 && s !== 0 && t !== 0) continue;
      const u = turn(p, c, d, a), v = turn(p, c, d, b);
      if (u > 0 === v > 0 && u !== 0 && v !== 0) continue;
      if (s === 0 && t === 0 && !overlap(p, a, b, c, d)) continue;
      return false;
    }
  }
  return true;
}

// overlap reports whether the boxes of two collinear segments share more than a point.
function overlap(p, a, b, c, d) {
  for (const k of [0, 1]) {
    const low = Math.max(Math.min(p[2 * a + k], p[2 * b + k]), Math.min(p[2 * c + k], p[2 * d + k]));
    const high = Math.min(Math.max(p[2 * a + k], p[2 * b + k]), Math.max(p[2 * c + k], p[2 * d + k]));
    if (high < low) return false;
  }
  return true;
}

// clipEars adds the triangles of a loop. Area is kept by each step: an ear is a corner
// that turns left, and corners without area are left out. A corner on a straight edge
// stays until what it is joined to has been clipped. Where rounding leaves no ear at all,
// any corner that turns left is taken, so the loop ends.
function clipEars(p, loop, triangles) {
  const n = loop.length;
  const next = indices(1, n), last = indices(-1, n);
  next[n - 1] = 0;
  last[0] = n - 1;
  let left = n, at = 0, since = 0;
  while (left > 2 && since <= 2 * left) {
    const a = last[at], b = next[at];
    const area = turn(p, loop[a], loop[at], loop[b]);
    const ear = area > 0 && (since > left || isEar(p, loop, next, last, a, at, b));
    const idle = coincide(p, loop[at], loop[b]) || (area === 0 && spike(p, loop[a], loop[at], loop[b]));
    if (!ear && !idle) {
      since++;
      at = b;
      continue;
    }
    if (ear && !idle) triangles.push(loop[a], loop[at], loop[b]);
    next[a] = b;
    last[b] = a;
    left--;
    since = 0;
    at = idle ? a : next[b];
  }
}

// spike reports whether the way from a to v turns straight back toward b.
function spike(p, a, v, b) {
  return (p[2 * a] - p[2 * v]) * (p[2 * b] - p[2 * v]) + (p[2 * a + 1] - p[2 * v + 1]) * (p[2 * b + 1] - p[2 * v + 1]) > 0;
}

// isEar reports whether the rest of the loop stays out of the triangle a, v, b: no corner
// lies inside, and from none on its border does an edge lead in. It is asked for every
// corner again and again, so it makes no arrays.
function isEar(p, loop, next, last, a, v, b) {
  const ax = p[2 * loop[a]], ay = p[2 * loop[a] + 1];
  const vx = p[2 * loop[v]], vy = p[2 * loop[v] + 1];
  const bx = p[2 * loop[b]], by = p[2 * loop[b] + 1];
  const left = Math.min(ax, vx, bx) - touchWidth, right = Math.max(ax, vx, bx) + touchWidth;
  const low = Math.min(ay, vy, by) - touchWidth, high = Math.max(ay, vy, by) + touchWidth;
  const first = touchWidth * Math.hypot(vx - ax, vy - ay);
  const second = touchWidth * Math.hypot(bx - vx, by - vy);
  const third = touchWidth * Math.hypot(ax - bx, ay - by);
  for (let q = next[b]; q !== a; q = next[q]) {
    const x = p[2 * loop[q]], y = p[2 * loop[q] + 1];
    if (x < left || x > right || y < low || y > high) continue;
    // Twice the areas to the left of the three sides: how far inside each.
    const s = (vx - ax) * (y - ay) - (x - ax) * (vy - ay);
    const t = (bx - vx) * (y - vy) - (x - vx) * (by - vy);
    const u = (ax - bx) * (y - by) - (x - bx) * (ay - by);
    if (s < -first || t < -second || u < -third) continue;
    for (const w of [next[q], last[q]]) {
      const wx = p[2 * loop[w]], wy = p[2 * loop[w] + 1];
      if (s <= first && (vx - ax) * (wy - ay) - (wx - ax) * (vy - ay) <= touchWidth) continue;
      if (t <= second && (bx - vx) * (wy - vy) - (wx - vx) * (by - vy) <= touchWidth) continue;
      if (u <= third && (ax - bx) * (wy - by) - (wx - bx) * (ay - by) <= touchWidth) continue;
      return false;
    }
  }
  return true;
}

// Flattened panels are kept by their rings, so that a save or another size flattens only
// the panels that it changed. Of more than this many all are forgotten.
const kept = new Map();
const mostKept = 5000;

// flatPanel is what a panel looks like at a tolerance: {tolerance, points, triangles,
// rings} with rings as [first point, count]. Panels of the same rings share it.
export function flatPanel(panel, tolerance) {
  const key = `${tolerance} ${JSON.stringify(panel.rings)}`;
  const known = kept.get(key);
  if (known) return known;
  const polygons = panel.rings.map((ring) => flattenRing(ring, tolerance)).filter((ring) => ring.length >= 6);
  const { points, triangles } = triangulate(polygons);
  let first = 0;
  const rings = polygons.map((ring) => {
    const span = [first, ring.length / 2];
    first += ring.length / 2;
    return span;
  });
  if (kept.size >= mostKept) kept.clear();
  kept.set(key, { tolerance, points, triangles, rings });
  return kept.get(key);
}

// curved reports whether a finer tolerance changes a panel.
export function curved(panel) {
  return panel.rings.some((ring) => ring.some((curve) => curve[0] !== 0));
}

// Bytes of one vertex: position (3 float32), normal and kind (4 int8), panel (uint16, twice
// for the alignment).
export const vertexBytes = 20;

// Writer fills one buffer of vertices and one of indices.
class Writer {
  constructor(vertices, corners) {
    this.bytes = new ArrayBuffer(vertices * vertexBytes);
    this.floats = new Float32Array(this.bytes);
    this.signed = new Int8Array(this.bytes);
    this.short = new Uint16Array(this.bytes);
    this.indices = new Uint32Array(corners);
    this.count = 0;
    this.corner = 0;
  }

  vertex(x, y, z, nx, ny, nz, kind, panel) {
    const k = this.count++;
    this.floats[5 * k] = x;
    this.floats[5 * k + 1] = y;
    this.floats[5 * k + 2] = z;
    this.signed[20 * k + 12] = Math.round(127 * nx);
    this.signed[20 * k + 13] = Math.round(127 * ny);
    this.signed[20 * k + 14] = Math.round(127 * nz);
    this.signed[20 * k + 15] = kind;
    this.short[10 * k + 8] = panel;
    return k;
  }

  triangle(a, b, c) {
    this.indices[this.corner++] = a;
    this.indices[this.corner++] = b;
    this.indices[this.corner++] = c;
  }

  quad(a, b, c, d) {
    this.triangle(a, b, c);
    this.triangle(a, c, d);
  }
}

// Sides of a drawn cylinder.
const sides = 64;

// solid is one vertex buffer of all panels as plates of a caliper's thickness and all
// contents, which take the numbers after the last panel: {bytes, indices, faces}. The walls of
// rims come last, after so many indices as faces says: of board that is thinner than a pixel
// nobody sees them.
export function solid(flats, caliper, contents) {
  let vertices = 0, corners = 0;
  for (const flat of flats) {
    vertices += flat.points.length + 2 * flat.points.length; // two faces, four at each edge
    corners += 2 * flat.triangles.length + 3 * flat.points.length;
  }
  for (const thing of contents) {
    vertices += thing.round ? 4 * sides + 2 : 24;
    corners += thing.round ? 12 * sides : 36;
  }
  const to = new Writer(vertices, corners);
  flats.forEach((flat, panel) => faces(to, flat, caliper / 2, panel));
  contents.forEach((thing, i) => (thing.round ? cylinder : box)(to, thing.size, flats.length + i));
  const count = to.corner;
  flats.forEach((flat, panel) => walls(to, flat, caliper / 2, panel));
  return { bytes: to.bytes, indices: to.indices.subarray(0, to.corner), faces: count };
}

// faces writes the two faces of a panel, half its thickness h to either side of its plane.
function faces(to, { points, triangles }, h, panel) {
  const top = to.count;
  const n = points.length / 2;
  for (let k = 0; k < n; k++) to.vertex(points[2 * k], points[2 * k + 1], h, 0, 0, 1, OUTSIDE, panel);
  for (let k = 0; k < n; k++) to.vertex(points[2 * k], points[2 * k + 1], -h, 0, 0, -1, INSIDE, panel);
  for (let k = 0; k < triangles.length; k += 3) {
    const [a, b, c] = [triangles[k] + top, triangles[k + 1] + top, triangles[k + 2] + top];
    to.triangle(a, b, c);
    to.triangle(a + n, c + n, b + n);
  }
}

// walls writes what stands between them along the rims.
function walls(to, { points, rings }, h, panel) {
  for (const [first, count] of rings) {
    for (let k = 0; k < count; k++) {
      const a = 2 * (first + k), b = 2 * (first + ((k + 1) % count));
      const dx = points[b] - points[a], dy = points[b + 1] - points[a + 1];
      const length = Math.hypot(dx, dy);
      const nx = dy / length, ny = -dx / length; // board on the left, so the rim faces right
      const corner = (i, z) => to.vertex(points[i], points[i + 1], z, nx, ny, 0, RIM, panel);
      to.quad(corner(a, -h), corner(b, -h), corner(b, h), corner(a, h));
    }
  }
}

// box writes a box that stands on the middle of its base.
function box(to, [sx, sy, sz], panel) {
  for (let axis = 0; axis < 3; axis++) {
    for (const sign of [-1, 1]) {
      const normal = [0, 0, 0];
      normal[axis] = sign;
      const corner = (u, v) => {
        const at = [0, 0, 0];
        at[axis] = sign;
        at[(axis + 1) % 3] = u * sign;
        at[(axis + 2) % 3] = v;
        return to.vertex((at[0] * sx) / 2, (at[1] * sy) / 2, ((at[2] + 1) * sz) / 2, ...normal, CONTENTS, panel);
      };
      to.quad(corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1));
    }
  }
}

// cylinder writes a cylinder that stands on the middle of its base.
function cylinder(to, [sx, sy, sz], panel) {
  for (const [z, nz] of [[0, -1], [sz, 1]]) {
    const middle = to.vertex(0, 0, z, 0, 0, nz, CONTENTS, panel);
    const ring = circle(to, sx, sy, z, nz, panel);
    for (let k = 0; k < sides; k++) {
      const a = ring + k, b = ring + ((k + 1) % sides);
      if (nz > 0) to.triangle(middle, a, b);
      else to.triangle(middle, b, a);
    }
  }
  const low = circle(to, sx, sy, 0, 0, panel), high = circle(to, sx, sy, sz, 0, panel);
  for (let k = 0; k < sides; k++) {
    const l = (k + 1) % sides;
    to.quad(low + k, low + l, high + l, high + k);
  }
}

// circle writes one ring of a cylinder's points, with normals along z or outward.
function circle(to, sx, sy, z, nz, panel) {
  const first = to.count;
  for (let k = 0; k < sides; k++) {
    const c = Math.cos((2 * Math.PI * k) / sides), s = Math.sin((2 * Math.PI * k) / sides);
    to.vertex((c * sx) / 2, (s * sy) / 2, z, nz ? 0 : c, nz ? 0 : s, nz, CONTENTS, panel);
  }
  return first;
}
