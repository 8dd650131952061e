// rims.js lists the lines of a piece for the folded view: where board ends, and the creases
// along hinges. Each is a stretch between two points of a panel's frame, mm, with its
// colour and dashes. Pure functions.

import { inRing } from "./mesh.js";
import { distance, endOf, invert6, polygonOf, transform } from "./geometry.js";

// Bytes of one line: two ends (6 float32), its start along the whole (float32), colour
// (4 uint8), panel (uint16), dash and gap in pixels (2 uint8).
export const lineBytes = 36;

// A stretch of a rim within this of a hinge's line, mm, lies on it; curves are flattened,
// so the tolerance is added.
const onHinge = 0.02;

// So far beside a crease, mm, it is asked which side has board.
const besideCrease = 0.1;

// Ends of lines nearer than this are one, mm.
const samePoint = 1e-6;

// The bit of a line's panel that says that its board lies on the right.
const rightBit = 0x8000;

// creasesOf is, for each panel, the lines of its hinges in its frame: {hinge, curves}.
export function creasesOf(piece) {
  const lists = piece.panels.map(() => []);
  const back = piece.panels.map((panel) => invert6(panel.flat));
  piece.hinges.forEach((hinge, index) => {
    for (const panel of [hinge.parent, hinge.child]) {
      lists[panel].push({ hinge: index, curves: hinge.curves.map((c) => transform(c, back[panel])) });
    }
  });
  return lists;
}

// chain is the points of curves that follow one another, the last one too, as [x, y].
export function chain(curves, tolerance) {
  const points = polygonOf(curves, tolerance);
  if (curves.length) points.push(endOf(curves.at(-1)));
  return points;
}

// freeParts are the parts of the segment a–b that no crease covers, as pairs of shares of it.
function freeParts(a, b, segments, slack) {
  const length = distance(a, b);
  const ux = (b[0] - a[0]) / length, uy = (b[1] - a[1]) / length;
  let free = [[0, length]];
  for (const [p, q] of segments) {
    const side = (r) => Math.abs((r[0] - a[0]) * uy - (r[1] - a[1]) * ux);
    if (side(p) > slack || side(q) > slack) continue;
    const along = (r) => (r[0] - a[0]) * ux + (r[1] - a[1]) * uy;
    const [low, high] = [along(p), along(q)].sort((x, y) => x - y);
    free = free.flatMap(([s, t]) => [[s, Math.min(t, low)], [Math.max(s, high), t]].filter(([x, y]) => y - x > slack));
  }
  return free.map(([s, t]) => [s / length, t / length]);
}

// boardRight reports whether a crease has its panel's board on the right.
function boardRight({ points, rings }, [ax, ay], [bx, by]) {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const x = (ax + bx) / 2 + (besideCrease * (by - ay)) / length, y = (ay + by) / 2 - (besideCrease * (bx - ax)) / length;
  let inside = false;
  for (const [first, count] of rings) {
    if (inRing(points.slice(2 * first, 2 * (first + count)), x, y)) inside = !inside;
  }
  return inside;
}

// linesOf lists the lines of one flattened panel: {a, b, phase, hinge, right, run}, hinge −1
// where board ends. phase is how far along its crease or rim a line starts; right is set where
// the board lies on the right of it and not on the left; run is how long the crease is, or the
// stretch of the rim without a crease that it is part of.
export function linesOf(flat, creases) {
  const made = [];
  const slack = onHinge + flat.tolerance / 4;
  const segments = [];
  for (const { hinge, curves } of creases) {
    let phase = 0;
    const first = made.length;
    for (const curve of curves) {
      const points = chain([curve], flat.tolerance);
      for (let k = 0; k + 1 < points.length; k++) {
        segments.push([points[k], points[k + 1]]);
        made.push({ a: points[k], b: points[k + 1], phase, hinge, right: boardRight(flat, points[k], points[k + 1]) });
        phase += distance(points[k], points[k + 1]);
      }
    }
    for (const line of made.slice(first)) line.run = phase;
  }
  for (const [first, count] of flat.rings) {
    let phase = 0;
    const ring = [];
    for (let k = 0; k < count; k++) {
      const i = 2 * (first + k), j = 2 * (first + ((k + 1) % count));
      const a = [flat.points[i], flat.points[i + 1]], b = [flat.points[j], flat.points[j + 1]];
      const mix = (t) => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
      for (const [s, t] of freeParts(a, b, segments, slack)) ring.push({ a: mix(s), b: mix(t), phase, hinge: -1 });
      phase += distance(a, b);
    }
    measureRuns(ring);
    made.push(...ring);
  }
  return made;
}

// measureRuns tells the lines of a ring how long the run is in which each goes on from another.
function measureRuns(ring) {
  const meets = (k) => distance(ring.at(k - 1).b, ring[k].a) < samePoint;
  const start = Math.max(0, ring.findIndex((_, k) => !meets(k)));
  let run = [];
  for (let i = 0; i <= ring.length; i++) {
    const k = (start + i) % ring.length;
    if (i === ring.length || (i > 0 && !meets(k))) {
      const length = run.reduce((sum, { a, b }) => sum + distance(a, b), 0);
      for (const line of run) line.run = length;
      run = [];
    }
    run.push(ring[k]);
  }
}

// pack writes lines for the graphics card, each at the heights given (mm, along the panel's
// normal). A line is {a, b, phase, panel, right, colour [r, g, b, a] of 0…255,
// dash [on, off]}.
export function pack(lines, heights) {
  const bytes = new ArrayBuffer(lines.length * heights.length * lineBytes);
  const floats = new Float32Array(bytes), short = new Uint16Array(bytes), byte = new Uint8Array(bytes);
  let at = 0;
  for (const { a, b, phase, panel, right, colour, dash } of lines) {
    for (const z of heights) {
      const f = at / 4;
      floats[f] = a[0];
      floats[f + 1] = a[1];
      floats[f + 2] = z;
      floats[f + 3] = b[0];
      floats[f + 4] = b[1];
      floats[f + 5] = z;
      floats[f + 6] = phase;
      for (let k = 0; k < 4; k++) byte[at + 28 + k] = colour[k];
      short[at / 2 + 16] = panel | (right ? rightBit : 0);
      byte[at + 34] = dash[0];
      byte[at + 35] = dash[1];
      at += lineBytes;
    }
  }
  return bytes;
}
