// pick.js finds what lies under a pixel of the folded view: lines of sight against plates
// and boxes in float64, on the processor, so that no picture has to be read back. Pure
// functions; lengths in mm.

import { project } from "./camera.js";
import { apply34, distance } from "./geometry.js";

// target is what picking needs of one flattened panel or of contents: its box.
export function target(flat, caliper) {
  const { points } = flat;
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 2) {
    box[0] = Math.min(box[0], points[i]);
    box[1] = Math.min(box[1], points[i + 1]);
    box[2] = Math.max(box[2], points[i]);
    box[3] = Math.max(box[3], points[i + 1]);
  }
  return { flat, box: [box[0], box[1], -caliper / 2, box[2], box[3], caliper / 2] };
}

// solidTarget is the same of a box or cylinder that stands on the middle of its base.
export function solidTarget({ size: [x, y, z] }) {
  return { flat: null, box: [-x / 2, -y / 2, 0, x / 2, y / 2, z] };
}

// toPanel takes a ray into the frame of a rigid matrix.
function toPanel(m, { from, along }) {
  const x = from[0] - m[3], y = from[1] - m[7], z = from[2] - m[11];
  return {
    from: [m[0] * x + m[4] * y + m[8] * z, m[1] * x + m[5] * y + m[9] * z, m[2] * x + m[6] * y + m[10] * z],
    along: [
      m[0] * along[0] + m[4] * along[1] + m[8] * along[2],
      m[1] * along[0] + m[5] * along[1] + m[9] * along[2],
      m[2] * along[0] + m[6] * along[1] + m[10] * along[2],
    ],
  };
}

// throughBox is where a ray enters and leaves a box, or null.
function throughBox({ from, along }, box) {
  let near = -Infinity, far = Infinity;
  for (let k = 0; k < 3; k++) {
    if (Math.abs(along[k]) < 1e-12) {
      if (from[k] < box[k] || from[k] > box[k + 3]) return null;
      continue;
    }
    const a = (box[k] - from[k]) / along[k], b = (box[k + 3] - from[k]) / along[k];
    near = Math.max(near, Math.min(a, b));
    far = Math.min(far, Math.max(a, b));
  }
  return near <= far ? [near, far] : null;
}

// onBoard reports whether a point of the plane lies on the board of a flattened panel.
function onBoard({ points, triangles }, x, y) {
  const side = (a, b) => (points[2 * b] - points[2 * a]) * (y - points[2 * a + 1]) - (x - points[2 * a]) * (points[2 * b + 1] - points[2 * a + 1]);
  for (let k = 0; k < triangles.length; k += 3) {
    const [a, b, c] = [triangles[k], triangles[k + 1], triangles[k + 2]];
    if (side(a, b) >= 0 && side(b, c) >= 0 && side(c, a) >= 0) return true;
  }
  return false;
}

// throughPlate is how far along a ray, in the panel's frame, it meets the plate: where it
// enters the box of the plate on a face that has board there, else the nearest wall of its
// rim between the faces.
function throughPlate(r, { flat, box }) {
  const span = throughBox(r, box);
  if (!span) return Infinity;
  const [near, far] = span;
  const at = (t, k) => r.from[k] + t * r.along[k];
  if (onBoard(flat, at(near, 0), at(near, 1))) return near;
  let best = Infinity;
  const { points, rings } = flat;
  for (const [first, count] of rings) {
    for (let k = 0; k < count; k++) {
      const a = 2 * (first + k), b = 2 * (first + ((k + 1) % count));
      const dx = points[b] - points[a], dy = points[b + 1] - points[a + 1];
      const across = r.along[0] * dy - r.along[1] * dx;
      if (across === 0) continue;
      const t = ((points[a] - r.from[0]) * dy - (points[a + 1] - r.from[1]) * dx) / across;
      if (t < near || t > far || t >= best) continue;
      const u = ((at(t, 0) - points[a]) * dx + (at(t, 1) - points[a + 1]) * dy) / (dx * dx + dy * dy);
      if (u >= 0 && u <= 1) best = t;
    }
  }
  return best;
}

// hit is the nearest target on a ray: {index, far}, far in mm along it, or null. A target
// whose matrix is null is not there.
export function hit(sight, targets, placed) {
  let best = null;
  targets.forEach((t, index) => {
    const m = placed[index];
    if (!m) return;
    const r = toPanel(m, sight);
    let far = Infinity;
    if (t.flat) far = throughPlate(r, t);
    else far = throughBox(r, t.box)?.[0] ?? Infinity;
    if (far >= 0 && far < (best?.far ?? Infinity)) best = { index, far };
  });
  return best;
}

// nearLine is the nearest of lines in the picture to a pixel: {line, away, depth}, away in
// pixels and depth toward the eye in mm, or null when none is within so many pixels. A
// line is {item, panel, points}, points in the frame of the panel. shows is asked of a line
// and a depth whether the line can be seen there.
export function nearLine(view, lines, placed, x, y, within, shows) {
  let best = null;
  for (const line of lines) {
    const m = placed[line.panel];
    if (!m) continue;
    let last = null;
    for (const point of line.points) {
      const now = project(view, apply34(m, point));
      if (last && now) {
        const dx = now[0] - last[0], dy = now[1] - last[1], squared = dx * dx + dy * dy;
        const t = squared > 0 ? Math.min(1, Math.max(0, ((x - last[0]) * dx + (y - last[1]) * dy) / squared)) : 0;
        const away = distance([x, y], [last[0] + t * dx, last[1] + t * dy]);
        const depth = last[2] + t * (now[2] - last[2]);
        // Of lines as near as one another the one in front is meant.
        const nearer = !best || away < best.away - 1 || (away < best.away + 1 && depth > best.depth);
        if (away <= within && nearer && shows(line, depth)) best = { line, away, depth };
      }
      last = now;
    }
  }
  return best;
}
