// sheets.js draws the pages of a print as SVG, one user unit a millimetre: the
// flat blank at true size, whole or in tiles (tiles.js), and on every page a
// scale bar, the design's title, its board and the way the grain runs.

import { apply6, boundsOf, endOf, flatten, isInside, polygonOf, svgPath } from "./geometry.js";
import { number, visible } from "./dom.js";
import {
  AIR, LARGEST_PAGE, MARGIN, MOST_SHEETS, chord, placement, spread, stepped, touches,
} from "./tiles.js";

const INK = "#1C2226";
const GREY = "#5F686E";
const FONT = "Liberation Sans, Arial, Helvetica, sans-serif";
const FINE = 0.05; // how far a chord may stand off its curve where only presence is asked for
const NARROWEST = 60; // between the margins: room for the scale bar of 50 mm and its words

// svg makes an element of a drawing; text children stay text.
function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

const pencil = document.createElement("canvas").getContext("2d");

// widthOf is how wide a text of a size (the em, mm) runs.
function widthOf(text, size, weight = "normal") {
  pencil.font = `${weight} 100px ${FONT}`;
  return (pencil.measureText(text).width / 100) * size;
}

// cropped cuts a text to a width, with an ellipsis where something is lost.
function cropped(text, size, width, weight) {
  if (widthOf(text, size, weight) <= width) return text;
  const letters = Array.from(text);
  while (letters.length && widthOf(letters.join("") + "…", size, weight) > width) letters.pop();
  return letters.join("").trimEnd() + "…";
}

// wrapped breaks a text into lines of a width, and crops what is too much.
function wrapped(text, size, width, weight, most) {
  const lines = [];
  let line = "";
  const words = visible(text).split(/\s+/).filter(Boolean);
  for (let i = 0; i < words.length; i++) {
    const longer = line ? `${line} ${words[i]}` : words[i];
    if (!line || widthOf(longer, size, weight) <= width) {
      line = longer;
    } else if (lines.length === most - 1) {
      line = [line, ...words.slice(i)].join(" ");
      break;
    } else {
      lines.push(line);
      line = words[i];
    }
  }
  return [...lines, line].map((l) => cropped(l, size, width, weight));
}

// column stacks text and drawings from the top down.
class Column {
  constructor(width) {
    this.width = width;
    this.height = 0;
    this.node = svg("g");
  }

  text(text, { size = 2.8, weight = "normal", fill = INK, most = 4 } = {}) {
    for (const line of wrapped(text, size, this.width, weight, most)) {
      this.node.append(label(line, 0, this.height + size, { size, weight, fill }));
      this.height += size * 1.35;
    }
    return this;
  }

  gap(height) {
    this.height += height;
    return this;
  }

  put(node, height) {
    this.node.append(moved(node, 0, this.height));
    this.height += height;
    return this;
  }
}

function label(text, x, y, { size = 2.8, weight = "normal", fill = INK, anchor = "start" } = {}) {
  return svg("text", {
    x, y, fill, "font-size": size, "font-weight": weight, "font-family": FONT, "text-anchor": anchor,
  }, text);
}

function moved(node, x, y) {
  return svg("g", { transform: `translate(${x} ${y})` }, node);
}

function line(x1, y1, x2, y2, stroke = INK, width = 0.2, more = {}) {
  return svg("path", { d: `M ${x1} ${y1} L ${x2} ${y2}`, fill: "none", stroke, "stroke-width": width, ...more });
}

// scaleBar is ruled every 10 mm, with the words that say what to do with it.
function scaleBar(width) {
  const length = width >= 102 ? 100 : 50;
  const out = new Column(width);
  const bar = svg("g", { class: "scale", "data-length": length });
  bar.append(line(0, 3, length, 3, INK, 0.4));
  for (let x = 0; x <= length; x += 10) {
    const end = x === 0 || x === length;
    bar.append(line(x, end ? 0 : 1.6, x, 3, INK, end ? 0.25 : 0.15));
  }
  out.put(bar, 3.6);
  return out.text(`must measure ${length} mm; print at 100 %, not fitted to the page`, { size: 2.6 });
}

// grainArrow lies the way the grain runs on the page: degrees from its x axis, y up.
function grainArrow(degrees) {
  const half = 6;
  const arrow = svg("g", { transform: `translate(7 7) rotate(${-degrees})`, class: "grain" });
  arrow.append(line(-half, 0, half, 0, INK, 0.3));
  for (const end of [-half, half]) {
    const back = end - Math.sign(end) * 2;
    arrow.append(svg("path", { d: `M ${back} -1 L ${end} 0 L ${back} 1`, fill: "none", stroke: INK, "stroke-width": 0.3 }));
  }
  return svg("g", {}, arrow, label("grain", 7, 17, { anchor: "middle" }));
}

// Design is one piece of a display.json, laid out for a print. Its turn, 0 or
// 90, is that of the blank on the page.
class Design {
  constructor(model, piece, turn) {
    this.model = model;
    this.piece = piece;
    const placed = placement(piece.bounds, piece.inside, turn);
    this.matrix = placed.matrix;
    this.width = placed.width;
    this.height = placed.height;
    this.strokes = this.layStrokes();
    this.panels = piece.panels.map((panel) => this.layPanel(panel));
  }

  // layStrokes are the line work in sheet space. Hinges folded by hand have no
  // line in the cut files; where they have a look of their own they are drawn.
  layStrokes() {
    const own = this.model.kinds.some((k) => k.kind === "plain")
      ? this.piece.hinges.filter((h) => h.kind === "plain").map((h) => ({ kind: "plain", closed: false, curves: h.curves }))
      : [];
    return [...this.piece.strokes, ...own].filter((s) => s.curves.length).map((s) => {
      const points = s.curves.flatMap((c) => flatten(c, FINE));
      points.push(endOf(s.curves[s.curves.length - 1]));
      return {
        kind: s.kind,
        path: svgPath(s.curves, this.matrix),
        points: points.map((p) => apply6(this.matrix, p)),
        box: this.boxOf(s.curves),
      };
    });
  }

  // boxOf is exact: the placement turns by quarters only.
  boxOf(curves) {
    const [x0, y0, x1, y1] = boundsOf(curves);
    const [p, q] = [apply6(this.matrix, [x0, y0]), apply6(this.matrix, [x1, y1])];
    return [Math.min(p[0], q[0]), Math.min(p[1], q[1]), Math.max(p[0], q[0]), Math.max(p[1], q[1])];
  }

  layPanel(panel) {
    const place = (p) => apply6(this.matrix, apply6(panel.flat, p));
    const rings = panel.rings.map((ring) => polygonOf(ring, FINE).map(place));
    return { name: visible(panel.name), rings };
  }

  // isEmpty says that a rectangle shows no line and no board. Where no line
  // runs, it is all board or none, so its middle stands for it.
  isEmpty(x0, y0, x1, y1) {
    for (const s of this.strokes) {
      if (!meets(s.box, x0, y0, x1, y1)) continue;
      for (let i = 0; i + 1 < s.points.length; i++) {
        if (touches(s.points[i], s.points[i + 1], x0, y0, x1, y1)) return false;
      }
    }
    const middle = [(x0 + x1) / 2, (y0 + y1) / 2];
    return !this.panels.some((p) => isInside(p.rings, middle));
  }

  // window is what one page shows of the blank.
  window(x, y, width, height) {
    const out = svg("svg", {
      class: "window", x: MARGIN, y: MARGIN, width, height, viewBox: `${x} ${y} ${width} ${height}`,
    });
    this.panels.forEach((panel) => {
      panel.label ??= nameOf(panel);
      if (panel.label.node && meets(panel.label.box, x, y, x + width, y + height)) out.append(panel.label.node.cloneNode(true));
    });
    for (const kind of this.model.kinds) {
      const paths = this.strokes.filter((s) => s.kind === kind.kind && meets(s.box, x, y, x + width, y + height)).map((s) => s.path);
      if (paths.length) out.append(svg("path", { d: paths.join(" "), "data-kind": kind.kind, ...lookOf(kind) }));
    }
    return out;
  }

  // outline is the line work without its looks, for plans.
  outline(scale) {
    return svg("path", {
      d: this.strokes.map((s) => s.path).join(" "), fill: "none", stroke: GREY, "stroke-width": 0.15 / scale,
    });
  }

  // grain is its angle on the page, or null where the board has none.
  grain() {
    const g = this.piece.board.grain;
    if (g === null || g === undefined) return null;
    const [a, b, c, d] = this.matrix;
    const [x, y] = [Math.cos((g * Math.PI) / 180), Math.sin((g * Math.PI) / 180)];
    return (Math.atan2(-(b * x + d * y), a * x + c * y) * 180) / Math.PI;
  }
}

function meets(box, x0, y0, x1, y1) {
  return box[0] <= x1 && box[2] >= x0 && box[1] <= y1 && box[3] >= y0;
}

function lookOf(kind) {
  const look = { fill: "none", stroke: kind.colour, "stroke-width": kind.width };
  if (kind.dash.length) look["stroke-dasharray"] = kind.dash.map((d) => d * kind.width).join(" ");
  return look;
}

// nameOf sets a panel's name where it has most room on a few horizontal lines
// or, turned, on a few upright ones; it is left out where it has none.
function nameOf(panel) {
  const lying = roomiest(panel.rings);
  const upright = roomiest(panel.rings.map((ring) => ring.map(([x, y]) => [y, x])));
  for (const [room, turned] of lying.length >= upright.length / 2 ? [[lying, false]] : [[upright, true], [lying, false]]) {
    for (const size of [2.4, 1.8, 1.3]) {
      const width = widthOf(panel.name, size);
      if (width + 2 > room.length || size * 2 > room.height) continue;
      const [x, y] = turned ? [room.y, room.x] : [room.x, room.y];
      const node = label(panel.name, 0, size * 0.35, { size, fill: GREY, anchor: "middle" });
      node.setAttribute("transform", `translate(${x} ${y})${turned ? " rotate(-90)" : ""}`);
      node.setAttribute("class", "panel");
      const [w, h] = turned ? [size, width] : [width, size];
      return { node, box: [x - w / 2, y - h / 2, x + w / 2, y + h / 2] };
    }
  }
  return { node: null };
}

// roomiest is the widest level strip inside rings, as high as the largest name, of a few.
function roomiest(rings) {
  const ys = rings.flat().map((p) => p[1]);
  const [low, high] = ys.reduce(([l, h], y) => [Math.min(l, y), Math.max(h, y)], [Infinity, -Infinity]);
  let best = { length: 0, height: high - low, x: 0, y: 0 };
  for (const share of [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8]) {
    const y = low + (high - low) * share;
    const found = [-1.3, 0, 1.3].map((off) => chord(y + off, rings)).reduce(common);
    if (found && found[1] - found[0] > best.length * 1.05) {
      best = { ...best, length: found[1] - found[0], x: (found[0] + found[1]) / 2, y };
    }
  }
  return best;
}

// common is what two stretches share, or null.
const common = (a, b) => (a && b && Math.min(a[1], b[1]) > Math.max(a[0], b[0]) ? [Math.max(a[0], b[0]), Math.min(a[1], b[1])] : null);

function boardOf(board) {
  const parts = [`${board.name}, ${number(board.caliper, 3)} mm`];
  if (board.gsm !== null && board.gsm !== undefined) parts.push(`${number(board.gsm)} g/m²`);
  return parts.join(", ");
}

function side(piece) {
  return piece.inside ? "seen from the inside, as in its cut files" : "seen from the outside";
}

// foot is the band below the window on every page.
function foot(design, width, sheet) {
  const { model, piece } = design;
  const grain = design.grain();
  const wide = width >= 165;
  const left = new Column(wide ? 104 : width);
  const right = wide ? new Column(width - 108 - (grain === null ? 0 : 18)) : left;
  if (!wide && grain !== null) right.width -= 18;
  right.text(model.title || model.script, { size: 3.4, weight: "bold", most: 2 });
  const copies = piece.copies > 1 ? `, make ${piece.copies}` : "";
  right.text(`${piece.name}${copies}`, { most: 1 }).text(boardOf(piece.board), { most: 2 });
  right.text(side(piece), { most: 2 }).text(sheet, { weight: "bold", most: 2 });
  if (!wide) {
    left.width = width;
    left.height = Math.max(left.height, grain === null ? 0 : 18);
    left.gap(1.5);
  }
  const bar = scaleBar(left.width);
  left.put(bar.node, bar.height);
  const node = svg("g", {}, left.node);
  if (wide) node.append(moved(right.node, 108, 0));
  if (grain !== null) node.append(moved(grainArrow(grain), width - 15, 0));
  return { node, height: Math.max(left.height, right.height, grain === null ? 0 : 18) };
}

// head is what the first page says once: what the lines mean, what to be careful
// of, and the values that the design was made with.
function head(design, width) {
  const { model, piece } = design;
  const out = new Column(width);
  const used = model.kinds.filter((k) => design.strokes.some((s) => s.kind === k.kind)).reverse();
  const words = used.map((kind) => `${kind.kind}: ${kind.does}`);
  const most = Math.max(1, Math.floor(width / (26 + Math.max(...words.map((w) => widthOf(w, 2.8))))));
  const each = width / most;
  for (let i = 0; i < used.length; i += most) {
    const row = svg("g", { class: "key" });
    used.slice(i, i + most).forEach((kind, j) => {
      row.append(line(j * each, 1.8, j * each + 18, 1.8, INK, 0.2, lookOf(kind)));
      row.append(label(cropped(words[i + j], 2.8, each - 21), j * each + 20, 2.8));
    });
    out.put(row, 4.4);
  }
  out.gap(1);
  const errors = model.findings.filter((f) => f.severity === "error").length;
  if (errors) {
    out.text(`Not ready to cut: the checks found ${errors === 1 ? "an error" : `${errors} errors`} in this design.`, { weight: "bold" });
  }
  for (const caution of model.cautions) out.text(caution, { most: 8 });
  const values = model.params.map((p) => `${p.name} ${typeof p.value === "number" ? number(p.value, 3) : p.value}`).join(", ");
  if (values) out.text(`Sizes: ${values}`, { fill: GREY, size: 2.6, most: 4 });
  return out;
}

// joinWords say how the tiles are put together.
export const joinWords = [
  "Print all sheets at 100 %, not fitted to the page, and measure the scale bar on each of them.",
  "Where a sheet has a dashed line, cut along it: on its left, its top, or both.",
  "Lay the cut edge on the fine line of the sheet before it, so that diamonds of one number become whole, and tape.",
];

// plan is a small picture of how the sheets lie.
function plan(design, grid, width, height) {
  const first = grid.tiles[0];
  const last = grid.tiles[grid.tiles.length - 1];
  const [x0, y0] = [first.x, first.y];
  const [w, h] = [last.x + last.width - x0, last.y + last.height - y0];
  const scale = Math.min(width / w, height / h, 0.5);
  const out = svg("g", { class: "plan" });
  out.append(svg("g", { transform: `scale(${scale}) translate(${-x0} ${-y0})` }, design.outline(scale)));
  const size = Math.min(5, grid.tiles[0].height * scale * 0.3);
  for (const t of grid.tiles) {
    const [a, b, c, d] = [t.core[0] - x0, t.core[1] - y0, t.core[2] - x0, t.core[3] - y0].map((v) => v * scale);
    const frame = { x: a, y: b, width: c - a, height: d - b, fill: "none", stroke: INK, "stroke-width": 0.25 };
    if (!t.number) Object.assign(frame, { stroke: GREY, "stroke-width": 0.15, "stroke-dasharray": "1 1" });
    out.append(svg("rect", frame));
    const words = t.number ? String(t.number) : "left out";
    const most = t.number ? size : Math.min(size * 0.6, ((c - a) / widthOf(words, 1)) * 0.8);
    out.append(label(words, (a + c) / 2, (b + d) / 2 + most * 0.35, {
      size: most, anchor: "middle", weight: t.number ? "bold" : "normal", fill: t.number ? INK : GREY,
    }));
  }
  return { node: out, height: h * scale };
}

// page is one sheet of paper. It is drawn a millimetre short on the right and
// below, in the margin: printed pages are whole device pixels, and a drawing
// that is larger by a hair would be shrunk or run over to another page.
function page(width, height, name, ...children) {
  const [w, h] = [width - 1, height - 1];
  const drawn = svg("svg", { viewBox: `0 0 ${w} ${h}`, width: `${w}mm`, height: `${h}mm`, role: "img", "aria-label": name });
  drawn.append(...children);
  return { name, drawn };
}

// joins draws the lines to cut along, those to lay the edge on, and the marks.
function joins(grid, t) {
  const out = svg("g", { class: "joins", transform: `translate(${MARGIN - t.x} ${MARGIN - t.y})` });
  const [x0, y0, x1, y1] = t.core;
  const at = (row, column) => row >= 0 && row < grid.rows && column >= 0 && column < grid.columns && grid.tiles[row * grid.columns + column].number > 0;
  const cut = { "stroke-dasharray": "3 1.5" };
  if (at(t.row, t.column - 1)) out.append(line(x0, t.y, x0, t.y + t.height, GREY, 0.2, cut));
  if (at(t.row - 1, t.column)) out.append(line(t.x, y0, t.x + t.width, y0, GREY, 0.2, cut));
  if (at(t.row, t.column + 1)) out.append(line(x1, t.y, x1, t.y + t.height, GREY, 0.1));
  if (at(t.row + 1, t.column)) out.append(line(t.x, y1, t.x + t.width, y1, GREY, 0.1));
  for (const mark of grid.marks) if (mark.sheets.includes(t.number)) out.append(joiningMark(mark));
  return out;
}

// joiningMark is a diamond with a cross, its number on both sides of the seam.
function joiningMark({ number, seam, x, y }) {
  const r = 3;
  const d = `M ${x - r} ${y} L ${x} ${y - r} L ${x + r} ${y} L ${x} ${y + r} Z M ${x - r} ${y} L ${x + r} ${y} M ${x} ${y - r} L ${x} ${y + r}`;
  const out = svg("g", { class: "mark", "data-mark": number });
  out.append(svg("path", { d, fill: "none", stroke: INK, "stroke-width": 0.15 }));
  const places = seam === "column" ? [[x - 0.7, y - 2.7, "end"], [x + 0.7, y - 2.7, "start"]] : [[x + 2.4, y - 1.2, "start"], [x + 2.4, y + 2.9, "start"]];
  for (const [a, b, anchor] of places) out.append(label(String(number), a, b, { size: 2.2, anchor }));
  return out;
}

// single is a print of one page: the window, below it the foot and the key.
function single(design, width, height, x, y, name) {
  const inner = width - 2 * MARGIN;
  const below = foot(design, inner, name);
  const words = head(design, inner);
  const windowHeight = height - 2 * MARGIN - below.height - words.height - 4;
  return page(width, height, name, design.window(x, y, inner, windowHeight),
    moved(words.node, MARGIN, MARGIN + windowHeight + 2),
    moved(below.node, MARGIN, height - MARGIN - below.height));
}

// onePage is as large as the blank asks for.
function onePage(design) {
  const name = "one sheet";
  const width = stepped(Math.max(design.width + 2 * AIR, NARROWEST) + 2 * MARGIN);
  const inner = width - 2 * MARGIN;
  const windowHeight = design.height + 2 * AIR;
  const height = stepped(windowHeight + foot(design, inner, name).height + head(design, inner).height + 4 + 2 * MARGIN);
  if (Math.max(width, height) > LARGEST_PAGE) {
    return { fault: `The blank needs a page of ${Math.round(width)} by ${Math.round(height)} mm. A page can be ${LARGEST_PAGE} mm long at the most: choose A4 or Letter.` };
  }
  const x = (design.width - inner) / 2;
  return { width, height, pages: [single(design, width, height, x, -AIR, name)], grid: null };
}

// tiled is a print on A4 or Letter: one sheet if that holds all, or a first
// page with the plan and then the tiles.
function tiled(design, paper, turn) {
  const isEmpty = (...box) => design.isEmpty(...box);
  const widest = `sheet ${MOST_SHEETS} of ${MOST_SHEETS}, row ${MOST_SHEETS} column ${MOST_SHEETS}`;
  const band = (inner) => foot(design, inner, widest).height + 2;
  const all = (inner) => band(inner) + head(design, inner).height + 2;
  const fits = spread(design.width, design.height, paper, all, turn, () => false);
  if (fits.grid.sheets === 1) {
    const { pageWidth: width, pageHeight: height } = fits;
    const t = fits.grid.tiles[0];
    return { width, height, pages: [single(design, width, height, t.x, t.y, "one sheet")], grid: fits.grid };
  }
  const { pageWidth: width, pageHeight: height, grid } = spread(design.width, design.height, paper, band, turn, isEmpty);
  if (grid.sheets > MOST_SHEETS) {
    return { fault: `The blank would take some ${grid.sheets} sheets, more than anybody tapes together (${MOST_SHEETS} at the most here): choose one page and a wide printer.` };
  }
  const pages = [cover(design, grid, width, height)];
  for (const t of grid.tiles) {
    if (!t.number) continue;
    const name = `sheet ${t.number} of ${grid.sheets}, row ${t.row + 1} column ${t.column + 1}`;
    const below = foot(design, width - 2 * MARGIN, name);
    pages.push(page(width, height, name, design.window(t.x, t.y, t.width, t.height), joins(grid, t),
      moved(below.node, MARGIN, height - MARGIN - below.height)));
  }
  return { width, height, pages, grid };
}

// cover is the first page of a tiled print.
function cover(design, grid, width, height) {
  const inner = width - 2 * MARGIN;
  const below = foot(design, inner, `plan of ${grid.sheets} sheets`);
  const top = new Column(inner);
  joinWords.forEach((words, i) => top.text(`${i + 1}. ${words}`, { size: 3.2 }));
  const empty = grid.tiles.length - grid.sheets;
  if (empty) top.text(`${empty === 1 ? "One place of the plan shows" : `${empty} places of the plan show`} nothing of the blank and ${empty === 1 ? "is" : "are"} left out.`, { size: 3.2 });
  top.gap(3);
  const words = head(design, inner);
  const room = height - 2 * MARGIN - below.height - top.height - words.height - 6;
  const drawn = plan(design, grid, inner, Math.max(room, 30));
  top.put(drawn.node, drawn.height + 4);
  top.put(words.node, words.height);
  return page(width, height, "plan of the sheets", moved(top.node, MARGIN, MARGIN), moved(below.node, MARGIN, height - MARGIN - below.height));
}

// drawSheets gives {width, height, pages: [{name, drawn}], grid} or {fault}.
// paper is "one", "a4" or "letter"; turn is "auto", "0" or "90".
export function drawSheets(model, piece, paper, turn) {
  if (paper === "one") return onePage(new Design(model, piece, turn === "90" ? 90 : 0));
  return tiled(new Design(model, piece, 0), paper, turn === "auto" ? "auto" : Number(turn));
}
