// scene.js is one piece as the folded view draws and picks it: its flattened panels, lines,
// contents and stacks, and where all of it stands in a state of the fold; unheld are the contents
// that the state shown has no place for. No drawing here;
// lengths in mm.

import { halfway } from "./blank.js";
import { dot, project, standing } from "./camera.js";
import { apply34, apply6, boundsOf, direct34, distance, invert6, invertRigid34, isInside, mul34, nearestOn, polygonOf, transform } from "./geometry.js";
import { relatedTo } from "./items.js";
import { curved, flatPanel, solid } from "./mesh.js";
import { solidTarget, target } from "./pick.js";
import { chain, creasesOf, linesOf, pack } from "./rims.js";

// Polylines that are picked and lit follow their curves to this.
const lineTolerance = 0.1;

// Layers drawn apart: the distance between two as a share of the piece's extent, and what
// the deepest stack may take of it.
const apartShare = 0.14;
const deepestShare = 0.9;

// What lies so near a rim, mm, is on it; it allows for both being flattened.
const rimTolerance = 0.11;

// A finding on the outline of a panel is a finding there: rounded figures lie so near it, mm.
const outlineTolerance = 1e-3;

// Contents are held while so much of the board has turned by no more than ten degrees.
const holdingShare = 0.6;
const holdingCosine = Math.cos(Math.PI / 18);

// Dashes of creases on the screen, in pixels for each multiple of a line's width that the
// model says.
const dashScale = 0.7;
const solidLine = [0, 0];

// createScene flattens a piece at a tolerance.
export function createScene(model, pieceIndex, tolerance) {
  const piece = model.pieces[pieceIndex];
  const caliper = piece.board.caliper;
  const contents = (piece.contents ?? []).map((c, index) => ({ ...c, index })).filter((c) => c.frame);
  const creases = creasesOf(piece);
  const flats = piece.panels.map((panel) => flatPanel(panel, tolerance));
  const bends = piece.panels.map(curved);
  const lines = flats.map((flat, i) => linesOf(flat, creases[i]));
  const solids = contents.map(solidTarget);
  const scene = { model, piece, pieceIndex, caliper, contents, flats, unheld: new Set(), targets: [...flats.map((f) => target(f, caliper)), ...solids] };
  const closed = piece.poses.find((p) => p.name === "closed");

  // refine flattens the panels anew that show and are too coarse; true when any was.
  scene.refine = (wanted, shows) => {
    let any = false;
    flats.forEach((flat, i) => {
      if (!bends[i] || flat.tolerance <= wanted || !shows(i)) return;
      flats[i] = flatPanel(piece.panels[i], wanted);
      lines[i] = linesOf(flats[i], creases[i]);
      scene.targets[i] = target(flats[i], caliper);
      any = true;
    });
    return any;
  };

  scene.solid = (withContents) => solid(flats, caliper, withContents ? contents : []);

  // rims is all lines, of both faces or, where a board is too thin to tell them apart, of its
  // middle: {bytes, count, longer}. Those come first that one cannot do without: of a hinge
  // the line of one of its panels, and the long ones before the short ones. longer(run) is how
  // many of these are of runs that long, mm. colours has `cut` and one of each hinge kind.
  scene.rims = (thin, colours, dashes) => {
    const dashOf = {};
    for (const [kind, list] of Object.entries(dashes)) {
      if (list.length >= 2) dashOf[kind] = list.slice(0, 2).map((d) => Math.min(255, Math.max(2, Math.round(d * dashScale))));
    }
    lines.forEach((list, panel) => list.forEach((line) => {
      const kind = line.hinge < 0 ? "cut" : piece.hinges[line.hinge].kind;
      line.panel = panel;
      line.colour = colours[kind] ?? colours.plain;
      line.dash = dashOf[kind] ?? solidLine;
      line.rank = line.hinge >= 0 && panel !== piece.hinges[line.hinge].parent ? -1 : line.run;
    }));
    const all = lines.flat().sort((a, b) => b.rank - a.rank);
    const heights = thin ? [0] : [caliper / 2, -caliper / 2];
    const longer = (run) => {
      const first = all.findIndex((line) => line.rank < run);
      return heights.length * (first < 0 ? all.length : first);
    };
    return { bytes: pack(all, heights), count: heights.length * all.length, longer };
  };

  // matrices places panels and contents of a state; null what is not there. Contents stand
  // as in the closed pose, go along with the panel they stand on, and are there while the
  // panels round them are about where they hold them.
  scene.matrices = (state) => {
    const panels = piece.panels.map((panel, i) => (panel.bent ? null : state.panels[i] ?? null));
    return [...panels, ...contents.map((c) => {
      const now = panels[c.panel], then = closed?.panels[c.panel];
      if (!now || !then) return null;
      const carried = mul34(now, invertRigid34(then));
      return holds(piece, closed.panels, panels, carried) ? mul34(carried, c.frame) : null;
    })];
  };

  // shifts is how far each panel goes along its normal for every mm between layers: the
  // innermost of a stack stays, and what lies outside it moves out, one by one.
  scene.shifts = (poseName) => {
    const layers = piece.poses.find((p) => p.name === poseName)?.layers ?? [];
    const innermost = [];
    for (const { stack, level } of layers) if (stack >= 0) innermost[stack] = Math.max(innermost[stack] ?? 0, level);
    const shifts = piece.panels.map((_, i) => {
      const layer = layers[i];
      return layer && layer.stack >= 0 ? (innermost[layer.stack] - layer.level) * (layer.out ?? 1) : 0;
    });
    return [...shifts, ...contents.map(() => 0)];
  };

  // spread is how far apart, mm, layers are drawn at most.
  scene.spread = (shifts, extent) => {
    const deepest = Math.max(1, ...shifts.map(Math.abs));
    return Math.min(apartShare * extent, (deepestShare * extent) / deepest);
  };

  scene.standing = (poseName) => {
    const pose = piece.poses.find((p) => p.name === poseName) ?? closed ?? piece.poses[0];
    return standing(pose, contents);
  };

  // corners is the corners in the world of the boxes of all that stands there.
  scene.corners = (matrices) => scene.targets.flatMap(({ box }, i) => {
    if (!matrices[i]) return [];
    return [0, 1, 2, 3, 4, 5, 6, 7].map((k) => apply34(matrices[i], [box[k & 1 ? 3 : 0], box[k & 2 ? 4 : 1], box[k & 4 ? 5 : 2]]));
  });

  // round is the middle and radius of the box round them.
  scene.round = (matrices) => {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const p of scene.corners(matrices)) {
      for (let a = 0; a < 3; a++) {
        low[a] = Math.min(low[a], p[a]);
        high[a] = Math.max(high[a], p[a]);
      }
    }
    if (low[0] > high[0]) return { middle: [0, 0, 0], radius: 1 };
    const middle = low.map((v, a) => (v + high[a]) / 2);
    return { middle, radius: Math.max(1, Math.hypot(...high.map((v, a) => v - middle[a]))) };
  };

  // shows reports whether the box of a panel can be seen in a view.
  scene.shows = (view, matrices) => (i) => {
    if (!matrices[i]) return false;
    const { box } = scene.targets[i];
    const corners = [0, 1, 2, 3].map((k) => project(view, apply34(matrices[i], [box[k & 1 ? 3 : 0], box[k & 2 ? 4 : 1], 0])));
    if (corners.some((c) => c === null)) return true;
    const xs = corners.map((c) => c[0]), ys = corners.map((c) => c[1]);
    return Math.max(...xs) >= 0 && Math.min(...xs) <= view.width && Math.max(...ys) >= 0 && Math.min(...ys) <= view.height;
  };

  const middles = [];
  scene.middle = (i) => (middles[i] ??= middleOf(piece.panels[i]) ?? [0, 0]);
  scene.threads = threadsOf(piece, pieceIndex);
  scene.spots = spotsOf(model, piece, pieceIndex);
  return scene;
}

// holds reports whether most of the board is turned as when the piece is closed, after the
// closed piece has been moved by a rigid motion.
function holds(piece, closed, panels, carried) {
  let all = 0, kept = 0;
  piece.panels.forEach(({ area }, i) => {
    if (!closed[i] || !panels[i]) return;
    all += area;
    const normal = direct34(carried, [closed[i][2], closed[i][6], closed[i][10]]);
    if (dot(normal, [panels[i][2], panels[i][6], panels[i][10]]) > holdingCosine) kept += area;
  });
  return kept > holdingShare * all;
}

// threadsOf lists what is picked and lit as a line: {item, panel, beside, points}, points in
// the panel's frame. beside are the panels that do not hide it.
function threadsOf(piece, pieceIndex) {
  const threads = [];
  const item = (kind, index) => ({ kind, index, piece: pieceIndex });
  const add = (kind, index, panel, curves, beside, height = 0) => {
    const points = chain(curves, lineTolerance).map(([x, y]) => [x, y, height]);
    if (curves.length) threads.push({ item: item(kind, index), panel, beside, points, curves, height });
  };
  piece.hinges.forEach((h, i) => {
    const back = invert6(piece.panels[h.parent].flat);
    add("hinge", i, h.parent, h.curves.map((c) => transform(c, back)), [h.parent, h.child], h.height ?? 0);
  });
  piece.windows.forEach((w, i) => windowParts(piece, w).forEach(({ panel, curves }) => add("window", i, panel, curves, [panel])));
  piece.joins.forEach((join, i) => {
    for (const side of [join.a, join.b]) add("join", i, side.panel, side.at ?? [], [join.a.panel, join.b.panel]);
  });
  return threads;
}

// windowParts is the outline of a window as {panel, curves}, each part in the frame of the panel
// whose board it is cut from: a window across a crease has parts on both sides of it.
function windowParts(piece, { panel: own, curves }) {
  const outline = curves.map((c) => transform(c, piece.panels[own].flat));
  const box = boundsOf(outline);
  const crossed = piece.hinges.filter((h) => h.curves.length > 0 && overlaps(box, boundsOf(h.curves)));
  if (crossed.length === 0) return [{ panel: own, curves }];
  const creases = crossed.flatMap((h) => segmentsOf(chain(h.curves, lineTolerance)));
  const panels = [...new Set([own, ...crossed.flatMap((h) => [h.parent, h.child])])].map((index) => {
    const { flat, rings } = piece.panels[index];
    return { index, back: invert6(flat), rim: rings.flat().map((c) => transform(c, flat)) };
  });
  const parts = [];
  let last = null;
  for (const [a, b] of segmentsOf(chain(outline, lineTolerance))) {
    const cuts = [0, ...creases.map((crease) => crossing(a, b, crease)).filter((t) => t !== null).sort((s, t) => s - t), 1];
    for (let k = 0; k + 1 < cuts.length; k++) {
      const [from, to] = [mix(a, b, cuts[k]), mix(a, b, cuts[k + 1])];
      const middle = mix(from, to, 0.5);
      const panel = panels.find(({ rim }) => rim.some((c) => nearestOn(c, middle).distance < rimTolerance));
      if (!panel) continue; // in the air, beyond the board's own edge
      if (last?.panel !== panel.index || distance(last.end, from) > rimTolerance) parts.push(last = { panel: panel.index, curves: [] });
      last.curves.push([0, ...apply6(panel.back, from), ...apply6(panel.back, to)]);
      last.end = to;
    }
  }
  return parts.every(({ panel }) => panel === own) ? [{ panel: own, curves }] : parts;
}

const segmentsOf = (points) => points.slice(1).map((q, k) => [points[k], q]);
const mix = (a, b, t) => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
const overlaps = (a, b) => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];

// crossing is the share of a–b at which it crosses a segment, or null.
function crossing(a, b, [p, q]) {
  const side = (u, v, w) => (v[0] - u[0]) * (w[1] - u[1]) - (v[1] - u[1]) * (w[0] - u[0]);
  const [s, t, u, v] = [side(p, q, a), side(p, q, b), side(a, b, p), side(a, b, q)];
  return s * t < 0 && u * v <= 0 ? s / (s - t) : null;
}

// spotsOf lists where findings are: {item, panel, point, panels}, the point in the panel's
// frame. That is the panel whose board holds the place, which need not be the one that is named
// first; where no board holds it, the middle of the named panel. All of them are in panels.
function spotsOf(model, piece, pieceIndex) {
  return model.findings.flatMap((finding, index) => {
    if (finding.panel === null || finding.panel === undefined || finding.piece !== pieceIndex) return [];
    const spot = finding.at ? boardAt(piece, finding.at, finding.panel) : null;
    const { panel, point } = spot ?? { panel: finding.panel, point: middleOf(piece.panels[finding.panel]) };
    const panels = new Set([finding.panel, panel, ...(finding.at ? boardsAt(piece, finding.at) : []), ...relatedTo(piece, finding)]);
    return point ? [{ item: { kind: "finding", index, piece: pieceIndex }, panel, point, panels: [...panels] }] : [];
  });
}

// boardsAt are all panels whose board holds a place of the blank.
function boardsAt(piece, at) {
  return [...piece.panels.keys()].filter((panel) => boardAt(piece, at, panel)?.panel === panel);
}

// boardAt is the panel whose board holds a place of the blank, the first one before others,
// and that place in its frame: {panel, point}, or null.
function boardAt(piece, at, first) {
  for (const panel of [first, ...piece.panels.keys()]) {
    const { flat, rings } = piece.panels[panel];
    const point = apply6(invert6(flat), at);
    if (isInside(rings.map((ring) => polygonOf(ring, lineTolerance)), point) || rings.flat().some((c) => nearestOn(c, point).distance < outlineTolerance)) return { panel, point };
  }
  return null;
}

// middleOf is a point of a panel's board for a mark that has no place of its own.
function middleOf(panel) {
  const flat = flatPanel(panel, 1);
  let best = null, most = 0;
  for (let k = 0; k < flat.triangles.length; k += 3) {
    const [a, b, c] = [0, 1, 2].map((j) => [flat.points[2 * flat.triangles[k + j]], flat.points[2 * flat.triangles[k + j] + 1]]);
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    if (area > most) [best, most] = [[(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3], area];
  }
  return best;
}

// anchorOf is where the words about an item stand: {panel, point} in a panel's frame, or
// null when it is not of this piece.
export function anchorOf(scene, item) {
  if (!item || item.piece !== scene.pieceIndex) return null;
  if (item.kind === "panel") return { panel: item.index, point: scene.middle(item.index) };
  if (item.kind === "finding") return scene.spots.find((s) => s.item.index === item.index) ?? null;
  if (item.kind === "contents") {
    const k = scene.contents.findIndex((c) => c.index === item.index);
    return k < 0 ? null : { panel: scene.flats.length + k, point: [0, 0, scene.contents[k].size[2]] };
  }
  const thread = scene.threads.find((t) => t.item.kind === item.kind && t.item.index === item.index);
  if (thread) return { panel: thread.panel, point: [...halfway(thread.curves), thread.height] };
  if (item.kind === "join") {
    const { panel } = scene.piece.joins[item.index].a;
    return { panel, point: scene.middle(panel) };
  }
  return null;
}
