// camera.js is the eye of the folded view: a turntable round the vertical of the piece as
// it stands, in parallel projection or perspective. Pure functions of numbers.
//
// A camera is {yaw, pitch, at, span, follow}: angles in degrees, yaw from the front to the
// right and pitch upward; at is the point of the world in the middle of the picture and
// span how many mm of the plane through it the shorter side of the picture shows. follow
// says that all of the piece is kept in the picture as it folds.
// A standing is three unit vectors of the world, {right, up, front}, right × up = front.

export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const unit = (a) => scale(a, 1 / (Math.hypot(...a) || 1));

// First look at a piece: from the front, the right and above, as in the preview.
const usual = { yaw: 24, pitch: 22 };

// Straight-on views by the side that is looked at.
export const views = {
  front: { yaw: 0, pitch: 0 },
  back: { yaw: 180, pitch: 0 },
  left: { yaw: -90, pitch: 0 },
  right: { yaw: 90, pitch: 0 },
  top: { yaw: 0, pitch: 90 },
  below: { yaw: 0, pitch: -90 },
};

// At fit the piece takes so much of the picture's width or height.
const fill = 0.86;

// Bounds of a span, mm: from a crease's width to a room.
const leastSpan = 0.5;
const mostSpan = 20000;

// Half the angle of view of the shorter side in perspective, about that of an eye on a
// piece held at arm's length.
const halfAngle = (13 * Math.PI) / 180;

// Above this cosine with the vertical the root panel lies level and cannot say where the
// front is.
const levelCosine = 0.7;

// standing is how the piece stands: on the outside of a panel where the pose names one,
// else with the contents upright, else with the root's outside to the front. The front is
// the root's outside (+z) or, where that lies level, the side of its lower edge.
export function standing(pose, contents) {
  const down = pose.standsOn !== null && pose.standsOn !== undefined ? pose.panels[pose.standsOn] : null;
  const box = contents.find((c) => c.frame);
  let up = [0, 1, 0];
  if (down) up = unit([-down[2], -down[6], -down[10]]);
  else if (box) up = unit([box.frame[2], box.frame[6], box.frame[10]]);
  let front = [0, 0, 1];
  if (Math.abs(up[2]) > levelCosine) front = [0, up[2] > 0 ? -1 : 1, 0];
  front = unit(sub(front, scale(up, dot(front, up))));
  return { right: cross(up, front), up, front };
}

// eyeOf is what is to the right and up in the picture and toward the eye, in the world.
export function eyeOf(camera, stand) {
  const [sy, cy] = sincos(camera.yaw), [sp, cp] = sincos(camera.pitch);
  const mix = (x, y, z) => add(add(scale(stand.right, x), scale(stand.up, y)), scale(stand.front, z));
  return { right: mix(cy, 0, -sy), up: mix(-sy * sp, cp, -cy * sp), toward: mix(sy * cp, sp, cy * cp) };
}

// sincos is exact at quarter turns, so that straight-on views are straight.
function sincos(degrees) {
  const quarter = degrees / 90;
  if (Number.isInteger(quarter)) return [[0, 1, 0, -1][((quarter % 4) + 4) % 4], [1, 0, -1, 0][((quarter % 4) + 4) % 4]];
  const angle = (degrees * Math.PI) / 180;
  return [Math.sin(angle), Math.cos(angle)];
}

// fitted shows all of the points, seen from where the camera was or as at first.
export function fitted(points, stand, width, height, camera = usual) {
  const { right, up, toward } = eyeOf(camera, stand);
  const ranges = [right, up, toward].map((axis) => {
    let low = Infinity, high = -Infinity;
    for (const p of points) {
      const along = dot(p, axis);
      low = Math.min(low, along);
      high = Math.max(high, along);
    }
    return low > high ? [-1, 1] : [low, high];
  });
  const [x, y, z] = ranges.map(([low, high]) => (low + high) / 2);
  const perPixel = Math.max((ranges[0][1] - ranges[0][0]) / width, (ranges[1][1] - ranges[1][0]) / height) / fill;
  const at = add(add(scale(right, x), scale(up, y)), scale(toward, z));
  return { yaw: camera.yaw, pitch: camera.pitch, at, span: clamp(perPixel * Math.min(width, height), leastSpan, mostSpan), follow: true };
}

// turned is the camera moved round the piece by angles in degrees.
export function turned(camera, yaw, pitch) {
  return { ...camera, yaw: ((((camera.yaw + yaw + 180) % 360) + 360) % 360) - 180, pitch: clamp(camera.pitch + pitch, -90, 90) };
}

const clamp = (x, low, high) => Math.min(high, Math.max(low, x));

// viewOf is all that drawing and picking need: camera, size of the picture in CSS pixels,
// and a round that holds all there is, for the depth range.
export function viewOf(camera, stand, width, height, projection, round) {
  const eye = eyeOf(camera, stand);
  const perPixel = camera.span / Math.min(width, height);
  const distance = camera.span / 2 / Math.tan(halfAngle);
  const reach = Math.hypot(...sub(round.middle, camera.at)) + round.radius * 1.01 + 1;
  return { ...eye, at: camera.at, width, height, perPixel, distance, reach, perspective: projection === "perspective" };
}

// panned moves the piece by so many pixels to the right and down.
export function panned(camera, view, dx, dy) {
  const shift = add(scale(view.right, -dx * view.perPixel), scale(view.up, dy * view.perPixel));
  return { ...camera, at: add(camera.at, shift), follow: false };
}

// zoomed shows the piece by a factor larger; what is under a pixel stays under it.
export function zoomed(camera, view, factor, x = view.width / 2, y = view.height / 2) {
  const span = clamp(camera.span / factor, leastSpan, mostSpan);
  const kept = 1 - span / camera.span;
  const dx = (x - view.width / 2) * view.perPixel, dy = (view.height / 2 - y) * view.perPixel;
  const at = add(camera.at, add(scale(view.right, dx * kept), scale(view.up, dy * kept)));
  return { ...camera, at, span, follow: false };
}

// project is where a point of the world is in the picture, in pixels from the upper left
// corner, and its depth toward the eye in mm from the middle of the picture. Behind the eye
// there is no place, and null.
export function project(view, p) {
  const d = sub(p, view.at);
  const depth = dot(d, view.toward);
  let k = 1 / view.perPixel;
  if (view.perspective) {
    if (depth > view.distance * 0.99) return null;
    k *= view.distance / (view.distance - depth);
  }
  return [view.width / 2 + dot(d, view.right) * k, view.height / 2 - dot(d, view.up) * k, depth];
}

// ray is the line of sight at a pixel: a point of it before everything there is, and its
// direction away from the eye, a unit vector.
export function ray(view, x, y) {
  const dx = (x - view.width / 2) * view.perPixel, dy = (view.height / 2 - y) * view.perPixel;
  const on = add(view.at, add(scale(view.right, dx), scale(view.up, dy)));
  if (!view.perspective) return { from: add(on, scale(view.toward, view.reach)), along: scale(view.toward, -1) };
  const from = add(view.at, scale(view.toward, view.distance));
  return { from, along: unit(sub(on, from)) };
}

// matrices are the two that the graphics card needs, by columns: world to eye, in mm from
// the middle of the picture, and eye to clip space.
export function matrices(view) {
  const { right, up, toward, at } = view;
  const eye = [];
  for (let k = 0; k < 3; k++) eye.push(right[k], up[k], toward[k], 0);
  eye.push(-dot(right, at), -dot(up, at), -dot(toward, at), 1);
  const x = 2 / (view.width * view.perPixel), y = 2 / (view.height * view.perPixel);
  const r = view.reach;
  if (!view.perspective) return { eye, clip: [x, 0, 0, 0, 0, y, 0, 0, 0, 0, -1 / r, 0, 0, 0, 0, 1] };
  const d = view.distance, near = Math.max(d - r, d / 50), far = d + r;
  const a = (far + near) / (far - near), b = (2 * far * near) / (far - near);
  // With w = d − z: depth is a − b/w, from −1 at near to 1 at far.
  return { eye, clip: [d * x, 0, 0, 0, 0, d * y, 0, 0, 0, 0, -a, -1, 0, 0, a * d - b, d] };
}
