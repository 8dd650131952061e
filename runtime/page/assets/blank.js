// blank.js builds the SVG of a piece's blank. What is in mm stands in one group under the
// viewport's matrix: board as one path, one path for each line kind, one for what is
// pointed at, selected and focused; and, unseen but felt by pointers and screen readers,
// one for each panel, window and hinge. Names, letters and marks keep their size on the
// screen and stand in a second group, which only zooming lays out anew.
import { apply6, boundsOf, isInside, lengthOf, lengthOfAll, pointAt, polygonOf, svgPath, transform } from "./geometry.js";
import { relatedTo } from "./items.js";
import { holds, roomIn } from "./places.js";
import { visible } from "./dom.js";
import { briefly } from "./words.js";

const namespace = "http://www.w3.org/2000/svg";

// svg makes an SVG element with attributes and children; text goes in as text.
export function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS(namespace, tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

// pixelsPerMM is CSS's own: line widths on the screen are those of the paper.
const pixelsPerMM = 96 / 25.4;

// The least width of a line on the screen, and how wide, in pixels, a hinge is to pointers;
// a finger gets the least target of WCAG 2.2, success criterion 2.5.8.
const leastWidth = 1;
const hingeTarget = { fine: 14, coarse: 24 };

// placeTolerance is how closely, in mm, polygons for places of words follow the board.
const placeTolerance = 0.2;

// Label sizes in pixels: the height of a line of text and the air round it.
const labelHeight = 14;
const labelAir = 6;
const leastLetter = 2; // no name is narrower than so much for each letter
export const labelFont = "12px system-ui, sans-serif";

// How far apart, in pixels, marks and letters of one place stand.
const markStep = 26;
const letterStep = 20;

// belowName is how far, in pixels, the letter of a join stands below a panel's name.
const belowName = 19;

// drawBlank builds the groups of one piece. Each thing that can be selected is in
// `things` with its element, its outline and its spot in the blank frame.
export function drawBlank(model, pieceIndex, page) {
  const piece = model.pieces[pieceIndex];
  const things = { panel: [], window: [], hinge: [], join: [], finding: [] };
  const polygons = piece.panels.map((p) => p.rings.map((ring) => polygonOf(ring.map((c) => transform(c, p.flat)), placeTolerance)));
  const rooms = polygons.map(roomIn);
  const label = (item) => visible(briefly(model, item, page));
  const item = (kind, index) => ({ kind, index, piece: pieceIndex });

  const board = svg("path", { class: "board" });
  const hatch = svg("path", { class: "hatch", fill: "none" });
  const targets = svg("g", { class: "targets" });
  const lines = svg("g", { class: "lines" });
  const glow = svg("g", { class: "glow" });
  const outline = svg("g", { class: "outline" });
  const world = svg("g", { class: "world" }, board, hatch, glow, lines, outline, targets);
  const names = svg("g", { class: "names", "aria-hidden": "true", "text-anchor": "middle", "dominant-baseline": "central" });
  const link = svg("path", { class: "link" });
  const letters = svg("g", { class: "letters" });
  const marks = svg("g", { class: "marks" });
  const overlay = svg("g", { class: "overlay" }, names, link, letters, marks);

  const add = (kind, index, element, curves, middle, area) => {
    element.setAttribute("class", `thing ${element.getAttribute("class") ?? ""}`);
    element.setAttribute("role", "button");
    element.setAttribute("tabindex", "-1");
    element.setAttribute("aria-label", label(item(kind, index)));
    element.setAttribute(`data-${kind}`, index);
    things[kind][index] = { item: item(kind, index), element, curves, at: middle, area };
    return element;
  };

  piece.panels.forEach((panel, i) => {
    const curves = panel.rings.flat().map((c) => transform(c, panel.flat));
    const d = svgPath(curves);
    targets.append(add("panel", i, svg("path", { d }), curves, rooms[i].at, true));
  });
  // One path for all board: panels side by side meet without a seam.
  const all = things.panel.flatMap((t) => t.curves);
  board.setAttribute("d", svgPath(all));
  if (piece.inside) hatch.setAttribute("d", board.getAttribute("d"));

  piece.windows.forEach((w, i) => {
    const curves = w.curves.map((c) => transform(c, piece.panels[w.panel].flat));
    const [x0, y0, x1, y1] = boundsOf(curves);
    targets.append(add("window", i, svg("path", { d: svgPath(curves) }), curves, [(x0 + x1) / 2, (y0 + y1) / 2], true));
  });
  const hinges = svg("g", { class: "hinges" });
  targets.append(hinges);
  piece.hinges.forEach((h, i) => {
    hinges.append(add("hinge", i, svg("path", { d: svgPath(h.curves) }), h.curves, halfway(h.curves) ?? rooms[h.child]?.at ?? [0, 0], false));
  });

  const kinds = model.kinds.map((look) => {
    const curves = curvesOf(piece, look.kind);
    const path = svg("path", { class: "stroke", d: svgPath(curves) });
    lines.append(path);
    return { look, path, curves, length: lengthOfKind(piece, look.kind) };
  });

  piece.joins.forEach((join, i) => {
    const sides = [join.a, join.b].map((side) => {
      const edge = (side.at ?? []).map((c) => transform(c, piece.panels[side.panel].flat));
      return edge.length ? { curves: edge, at: halfway(edge), area: false, panel: side.panel } : { curves: things.panel[side.panel].curves, at: rooms[side.panel].at, area: true, panel: side.panel };
    });
    const letter = letterOf(i);
    const g = svg("g", {}, ...sides.map(() => svg("g", {}, svg("circle", { r: 9 }), svg("circle", { class: "reach", r: 12 }),
      svg("text", { "text-anchor": "middle", "dominant-baseline": "central" }, letter))));
    letters.append(add("join", i, g, sides.flatMap((s) => s.curves), sides[0].at, sides.every((s) => s.area)));
    Object.assign(things.join[i], { sides, letter });
  });

  model.findings.forEach((finding, i) => {
    if (finding.piece !== pieceIndex && !(finding.piece === null && pieceIndex === 0)) return;
    const at = finding.at ?? rooms[finding.panel]?.at;
    if (!at) return;
    // Of two boards that lie on one another the finding names one and its spot is on the other.
    const related = relatedTo(piece, finding);
    const named = polygons.flatMap((rings, k) => (k === finding.panel || related.includes(k) || isInside(rings, at) ? [k] : []));
    const curves = named.flatMap((k) => things.panel[k].curves);
    marks.append(add("finding", i, markOf(finding), curves, at, true));
  });
  spread(things.finding, markStep);
  spread(things.join.flatMap((t) => t.sides.filter((s) => s.area)), letterStep);

  const state = { piece, things, kinds, world, overlay, board, hatch, glow, outline, hinges, names, link, lines, letters, marks, polygons, rooms, texts: [] };
  return { ...state, layOut: (viewport, shown) => layOut(state, viewport, shown) };
}

// letterOf is A, B, … Z, AA, …
function letterOf(i) {
  const last = String.fromCharCode(65 + (i % 26));
  return i < 26 ? last : letterOf(Math.floor(i / 26) - 1) + last;
}

// halfway is the point of a chain at half its length; null of an empty one.
export function halfway(curves) {
  let left = lengthOfAll(curves) / 2;
  for (const c of curves) {
    const length = lengthOf(c);
    if (left <= length) return pointAt(c, length > 0 ? left / length : 0);
    left -= length;
  }
  return curves.length ? pointAt(curves[0], 0) : null;
}

// curvesOf are the lines of a kind: the cut file's strokes, and hinges that are folded by
// hand, which no file has.
export function curvesOf(piece, kind) {
  const strokes = piece.strokes.filter((s) => s.kind === kind);
  if (strokes.length) return strokes.flatMap((s) => s.curves);
  return piece.hinges.filter((h) => h.kind === kind).flatMap((h) => h.curves);
}

function lengthOfKind(piece, kind) {
  const strokes = piece.strokes.filter((s) => s.kind === kind);
  return strokes.length ? strokes.reduce((sum, s) => sum + s.length, 0) : lengthOfAll(curvesOf(piece, kind));
}

// markOf is a finding's mark: a diamond for an error, a triangle for a warning, a circle
// for a note, as in the list of what was found.
export function markOf({ severity, number }) {
  const shape = {
    error: () => svg("path", { d: "M 0 -13 L 13 0 L 0 13 L -13 0 Z" }),
    warning: () => svg("path", { d: "M 0 -14 L 13 10 L -13 10 Z" }),
  }[severity] ?? (() => svg("circle", { r: 9 }));
  return svg("g", { class: `mark ${severity}` }, svg("rect", { class: "reach", x: -13, y: -13, width: 26, height: 26 }), shape(),
    svg("text", { y: severity === "warning" ? 2.5 : 0, "text-anchor": "middle", "dominant-baseline": "central" }, number ? String(number) : "i"));
}

// spread sets marks or letters of one place beside one another.
function spread(placed, step) {
  const taken = new Map();
  placed.forEach((thing) => {
    const place = thing.at.map((v) => Math.round(v * 10)).join(" ");
    const before = taken.get(place) ?? 0;
    taken.set(place, before + 1);
    thing.offset = before * step;
  });
}

// layOut puts widths, names, letters and marks right for the viewport's scale. The overlay
// group itself is shifted by `pan`.
function layOut(state, viewport, { showNames, showLetters }) {
  const { scale } = viewport;
  const side = viewport.mirrored ? -1 : 1;
  const put = (element, [x, y], dx = 0, turn = "", dy = 0) => element.setAttribute("transform", `translate(${side * x * scale + dx} ${-y * scale + dy})${turn}`);

  for (const { look, path } of state.kinds) {
    const width = Math.max(leastWidth, look.width * pixelsPerMM) / scale;
    path.setAttribute("stroke-width", width);
    if (look.dash?.length) path.setAttribute("stroke-dasharray", look.dash.map((d) => d * width).join(" "));
  }
  const coarse = matchMedia("(pointer: coarse)").matches;
  state.hinges.setAttribute("stroke-width", (coarse ? hingeTarget.coarse : hingeTarget.fine) / scale);
  state.outline.setAttribute("stroke-width", 3 / scale);

  state.names.toggleAttribute("hidden", !showNames);
  if (showNames) layNames(state, viewport, put);
  state.letters.toggleAttribute("hidden", !showLetters);
  state.things.join.forEach(({ element, sides }) => sides.forEach((s, k) => {
    const [dx, dy] = besideName(state, s, scale);
    put(element.children[k], s.at, dx + (s.offset ?? 0), "", dy);
  }));
  state.things.finding.forEach(({ element, at, offset }) => put(element, at, offset));
}

// showMarksOf hides the marks that are not asked for; what is selected or pointed at always
// shows its own.
export function showMarksOf(state, { showMarks, notes, selection, hover }) {
  state.things.finding.forEach(({ element, item }) => {
    const asked = showMarks && (notes || !element.classList.contains("note"));
    const here = [selection, hover].some((s) => s?.kind === "finding" && s.index === item.index);
    element.toggleAttribute("hidden", !asked && !here);
  });
}

// besideName is how a join's letter stands to its spot: on an edge, or where no name is
// shown, right there; else below the name or, in a low panel, beside it.
function besideName(state, { area, panel }, scale) {
  const text = state.texts[panel];
  if (!area || !text || text.hasAttribute("hidden") || state.names.hasAttribute("hidden")) return [0, 0];
  const half = widthOf(text.textContent) / 2 + belowName - labelAir;
  if (text.getAttribute("transform").includes("rotate")) return [0, half];
  return state.rooms[panel].height * scale > 3 * belowName ? [0, belowName] : [half, 0];
}

// layNames shows each name that its panel has room for, upright or on its side.
function layNames(state, { scale }, put) {
  state.piece.panels.forEach((panel, i) => {
    const turn = turnOf(state, i, visible(panel.name), scale);
    state.texts[i]?.toggleAttribute("hidden", turn === null);
    if (turn === null) return;
    if (!state.texts[i]) {
      state.texts[i] = svg("text", {}, visible(panel.name));
      state.names.append(state.texts[i]);
    }
    put(state.texts[i], state.rooms[i].at, 0, turn);
  });
}

// turnOf is the turn under which a name fits in its panel at a scale, "" for none; null
// where it does not fit.
function turnOf(state, i, text, scale) {
  const { at, width: across, height: up } = state.rooms[i];
  const high = labelHeight / scale;
  if (Math.min(across, up) < high || Math.max(across, up) * scale < text.length * leastLetter) return null;
  const wide = (widthOf(text) + 2 * labelAir) / scale;
  if (holds(state.polygons[i], at, wide, high)) return "";
  return holds(state.polygons[i], at, high, wide) ? " rotate(-90)" : null;
}

const widths = new Map();
let brush = null;

// widthOf is how wide a name is on the screen, in pixels.
function widthOf(text) {
  if (!widths.has(text)) {
    brush ??= document.createElement("canvas").getContext("2d");
    brush.font = labelFont;
    widths.set(text, brush.measureText(text).width);
  }
  return widths.get(text);
}

// bleed is how far, in pixels, the SVG reaches beyond the sheet on every side, so that it
// can be shifted as a picture before it is drawn anew.
export const bleed = 160;

// pan moves both groups to where the viewport is; nothing else changes.
export function pan(state, viewport) {
  const m = viewport.matrix();
  const [x, y] = [m[4] + bleed, m[5] + bleed];
  state.world.setAttribute("transform", `matrix(${m.slice(0, 4).join(" ")} ${x} ${y})`);
  state.overlay.setAttribute("transform", `translate(${x} ${y})`);
}

// shiftFrom is the CSS transform, about the corner of the SVG, that takes what was drawn
// under one matrix to where the viewport has it now; null when a side of the sheet would
// be bare or what is drawn too coarse.
export function shiftFrom(drawn, viewport) {
  const now = viewport.matrix();
  const k = now[3] / drawn[3];
  const [x, y] = [now[4] - k * drawn[4], now[5] - k * drawn[5]];
  const covers = (shift, size) => shift - k * bleed <= 0 && shift + k * (size + bleed) >= size;
  if (k < 0.5 || k > 2 || !covers(x, viewport.width) || !covers(y, viewport.height)) return null;
  return `translate(${x - bleed * (k - 1)}px, ${y - bleed * (k - 1)}px) scale(${k})`;
}

// linkPath is a shallow bow between the two sides of a join, in the overlay's pixels.
export function linkPath(thing, viewport) {
  const side = viewport.mirrored ? -1 : 1;
  const [a, b] = thing.sides.map((s) => apply6([side * viewport.scale, 0, 0, -viewport.scale, 0, 0], s.at));
  const bow = 0.12;
  const middle = [(a[0] + b[0]) / 2 - bow * (b[1] - a[1]), (a[1] + b[1]) / 2 + bow * (b[0] - a[0])];
  return `M ${a.join(" ")} Q ${middle.join(" ")} ${b.join(" ")}`;
}
