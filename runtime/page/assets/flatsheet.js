// flatsheet.js is what the flat view's sheet has besides the drawing: the frame that holds it,
// its caption, the grain arrow, and the words beside what is selected or pointed at.
import { svg } from "./blank.js";
import { el, setText, visible } from "./dom.js";
import { briefly, trimmed } from "./words.js";

// captionOf says what is seen: which side, how large, of what board.
export function captionOf(piece, model) {
  const [x0, y0, x1, y1] = piece.bounds;
  const side = piece.inside ? "inside view, mirrored as in its cut files" : "outside view";
  const many = model.pieces.length > 1 ? `${piece.name}, ` : "";
  const copies = piece.copies > 1 ? `, ${piece.copies} copies` : "";
  return `${many}flat, ${side}, ${trimmed(x1 - x0)} × ${trimmed(y1 - y0)} mm, ${piece.board.name}${copies}`;
}

// pixelsPerMM is CSS's own.
const pixelsPerMM = 96 / 25.4;

// scaleWords says how large a blank is shown, against its true size: "1 : 4.5".
export function scaleWords(scale) {
  const times = scale / pixelsPerMM;
  const short = (v) => String(Number(v.toPrecision(v < 10 ? 2 : 3)));
  return times < 1 ? `shown 1 : ${short(1 / times)}` : `shown ${short(times)} : 1`;
}

// build makes what does not change from one blank to the next.
export function build(root) {
  const p = {
    hoverArea: svg("path", { class: "hover area", "fill-rule": "evenodd" }), pickedArea: svg("path", { class: "picked area", "fill-rule": "evenodd" }),
    hoverLine: svg("path", { class: "hover line" }), pickedLine: svg("path", { class: "picked line" }), focusLine: svg("path", { class: "focus line" }),
    measured: svg("path", { class: "measured" }), measures: svg("g", { class: "measures" }),
    hatchPattern: svg("pattern", { id: "inside-hatch", patternUnits: "userSpaceOnUse", width: 7, height: 7 }, svg("path", { d: "M 0 0 V 7" })),
    grainArrow: svg("path", { d: "M -18 0 H 18 M 12 -4 L 18 0 L 12 4 M -12 -4 L -18 0 L -12 4" }),
    caption: el("p", { className: "caption", textContent: "drawing…" }), corner: el("div", { className: "corner" }), block: el("div", { className: "block" }),
    hoverWords: el("div", { className: "callout", hidden: true }, el("b"), el("i")), pickedWords: el("div", { className: "callout picked", hidden: true }, el("b"), el("i")),
  };
  p.defs = svg("defs", {}, p.hatchPattern);
  p.overMeasures = svg("g", { class: "overlay" }, p.measures);
  p.svg = svg("svg", { class: "blank", role: "application", tabindex: 0, "aria-roledescription": "flat blank", "aria-describedby": "flat-keys" }, p.defs);
  p.grain = svg("svg", { class: "grain", hidden: "", width: 60, height: 60, role: "img" }, p.grainArrow, svg("text", { x: 30, y: 58, "text-anchor": "middle" }, "grain"));
  p.view = el("div", { className: "view" }, p.svg, p.caption, p.grain, p.corner, p.pickedWords, p.hoverWords);
  root.append(
    p.view, p.block,
    el("p", { id: "flat-keys", className: "unseen", textContent: "Shift and arrows go through the panels, hinges and what else is there; Enter selects. Arrows move the blank, plus and minus zoom, 0 fits, M measures." }));
  return p;
}

// showGrain turns the arrow to the board's grain; it is hidden where that is not known.
export function showGrain(parts, { board, inside }) {
  const known = Number.isFinite(board.grain);
  parts.grain.toggleAttribute("hidden", !known);
  if (!known) return;
  parts.grainArrow.setAttribute("transform", `translate(30 30) rotate(${inside ? board.grain : -board.grain})`);
  parts.grain.setAttribute("aria-label", `Grain at ${trimmed(board.grain)} degrees`);
}

// How far, in pixels, words stand from what they are about and from the sheet's rim.
const wordsOff = { right: 18, below: 16, rim: 4 };

// callout puts the words for an item beside its thing, on the sheet; a finding's hint with it.
export function callout(box, item, thing, state, viewport) {
  const shown = Boolean(item && thing && viewport.shows(thing.at, -20));
  box.hidden = !shown;
  if (!shown) return;
  setText(box.firstElementChild, visible(briefly(state.model, item, state)));
  const hint = item.kind === "finding" ? state.model.findings[item.index].hint : "";
  setText(box.lastElementChild, hint ? visible(`hint: ${hint}`) : "");
  const { right, below, rim } = wordsOff;
  const [x, y] = viewport.toScreen(thing.at);
  const left = Math.min(viewport.width - box.offsetWidth - rim, x + right + (thing.offset ?? 0));
  const top = y + below + box.offsetHeight < viewport.height ? y + below : y - below - box.offsetHeight;
  box.style.left = `${Math.max(rim, left)}px`;
  box.style.top = `${Math.max(rim, top)}px`;
}
