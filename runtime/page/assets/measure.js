// measure.js measures on curves of the blank: where a pointer snaps to, what lies between
// two points, how long a curve and its stroke are. Lengths in mm, angles in degrees;
// nothing is drawn here.
import { boundsOf, distance, endOf, isArc, isCubic, lengthOf, nearestOn, pointAt, startOf } from "./geometry.js";

// linesOf lists every curve of some strokes for snapping, each with its box.
export function linesOf(strokes) {
  return strokes.flatMap((stroke) => stroke.curves.map((curve, index) => ({ stroke, curve, index, box: boundsOf([curve]) })));
}

// snap finds what a pointer at p means within reach mm: {what, point, line}. Ends come
// first, then middles and centres of arcs, then the nearest place on a line; null where
// nothing is near. A centre counts where the pointer is near it, though no line is.
export function snap(lines, p, reach) {
  let best = null;
  const offer = (what, rank, point, line) => {
    const d = distance(p, point);
    if (d > reach) return;
    if (!best || rank < best.rank || (rank === best.rank && d < best.d)) best = { what, rank, d, point, line };
  };
  for (const line of lines) {
    const { curve } = line;
    if (isArc(curve)) offer("centre", 1, [curve[5], curve[6]], line);
    if (!nearBox(line.box, p, reach)) continue;
    offer("end", 0, startOf(curve), line);
    offer("end", 0, endOf(curve), line);
    if (!isCubic(curve)) offer("middle", 1, pointAt(curve, 0.5), line);
    offer("on line", 2, nearestOn(curve, p).point, line);
  }
  return best && { what: best.what, point: best.point, line: best.line };
}

// lineAt is the line nearest to p within reach mm, or null.
export function lineAt(lines, p, reach) {
  let best = null, least = reach;
  for (const line of lines) {
    if (!nearBox(line.box, p, least)) continue;
    const d = nearestOn(line.curve, p).distance;
    if (d <= least) [best, least] = [line, d];
  }
  return best;
}

const nearBox = ([x0, y0, x1, y1], [x, y], reach) => x >= x0 - reach && x <= x1 + reach && y >= y0 - reach && y <= y1 + reach;

const inDegrees = (radians) => radians * 180 / Math.PI;

// between measures from one point to another; the angle is that of the way, from the x
// axis to the left, in −180..180.
export function between(a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  return { distance: Math.hypot(dx, dy), dx, dy, angle: inDegrees(Math.atan2(dy, dx)) };
}

// along measures one curve of a stroke and the stroke as a whole. Radius and sweep are
// those of an arc, else null.
export function along({ stroke, curve }) {
  const arc = isArc(curve);
  return {
    kind: stroke.kind, sort: arc ? "arc" : isCubic(curve) ? "curve" : "line", length: lengthOf(curve),
    radius: arc ? curve[7] : null, sweep: arc ? Math.abs(inDegrees(curve[8])) : null,
    whole: stroke.length, parts: stroke.curves.length, closed: stroke.closed,
  };
}
