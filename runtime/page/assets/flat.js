// flat.js is the view of the flat blank: it ties the drawing (blank.js), the viewport with
// its gestures and keys, the layers and the ruler to the page's state. What is pointed at
// and selected is shown here whoever set it.
import * as geometry from "./geometry.js";
import * as measure from "./measure.js";
import { build, callout, captionOf, scaleWords, showGrain } from "./flatsheet.js";
import { drawBlank, linkPath, pan, shiftFrom, showMarksOf } from "./blank.js";
import { el, setText, visible } from "./dom.js";
import { createLayers } from "./layers.js";
import { createRuler, keys as rulerKeys } from "./ruler.js";
import { createViewport } from "./viewport.js";
import { briefly, fully } from "./words.js";
import { sameItem } from "./items.js";
import { standOut } from "./contrast.js";
import { watchGestures } from "./gestures.js";

// keyZoom is the zoom of one press of + or −, panPixels the way of one arrow key.
const keyZoom = 1.25;
const panPixels = 40;

// restTime is how long, in ms, the view rests before it is drawn anew where it is and the
// state keeps it. Until then what was drawn is shifted as a picture, which costs nothing
// for any number of panels.
const restTime = 140;

// mostDrawnOften is the number of panels up to which a zoom draws every step anew.
const mostDrawnOften = 100;

// order is that in which Shift with up and down goes through the sorts of things.
const order = ["panel", "window", "hinge", "join", "finding"];

export const keys = [
  ["arrows", "on the flat blank: move it"],
  ["+ / − / 0", "on the flat blank: larger, smaller, all of it"],
  ["Shift + ← / →", "on the flat blank: from thing to thing of one sort"],
  ["Shift + ↑ / ↓", "on the flat blank: panels, windows, hinges, joins, findings"],
  ["Home", "on the flat blank: the first panel"],
  ["Enter", "on the flat blank: select"],
  ...rulerKeys,
];

export function mount(root, store) {
  window.creasewright = Object.assign(window.creasewright ?? {}, { geometry, measure });
  const viewport = createViewport();
  const parts = build(root);
  const layers = createLayers(store);
  let drawing = null, drawn = {}, focused = null, fitted = true;
  let dirty = new Set(), timer = 0;
  let first = root.querySelector(".first");
  let anchor = null, stale = "pan"; // the matrix that was drawn under, and what a rest must draw

  const say = (text) => store.set({ say: text });
  const ruler = createRuler({ layer: parts.measures, world: parts.measured, viewport, redraw: () => later("ruler"), say });
  const zoomBy = (factor) => change(() => viewport.zoomAt(factor, [viewport.width / 2, viewport.height / 2]));
  const button = (text, label, click) => el("button", { type: "button", textContent: text, title: label, attr: { "aria-label": label }, on: { click } });
  parts.block.prepend(
    button("Fit", "Fit the whole blank", fit), button("−", "Smaller", () => zoomBy(1 / keyZoom)), button("+", "Larger", () => zoomBy(keyZoom)),
    ruler.controls.button);
  const across = button("Zoom to its width", "Show the narrow side of the blank", () => change(() => viewport.fitAcross()));
  across.hidden = true;
  parts.corner.append(across, ruler.controls.how, ruler.controls.clear);
  parts.block.append(layers.root);

  // later draws once in the next frame whatever came to be out of date.
  function later(...what) {
    if (dirty.size === 0) requestAnimationFrame(draw);
    what.forEach((w) => dirty.add(w));
  }

  function draw() {
    const what = dirty;
    dirty = new Set();
    if (!drawing) return;
    const zoomed = what.has("zoom");
    if (zoomed) {
      drawing.layOut(viewport, { ...store.get(), showLetters: store.get().showLetters !== false });
      parts.hatchPattern.setAttribute("patternTransform", `scale(${1 / viewport.scale}) rotate(45)`);
    }
    if (zoomed || what.has("pan")) {
      pan(drawing, viewport);
      parts.overMeasures.setAttribute("transform", drawing.overlay.getAttribute("transform"));
      anchor = viewport.matrix();
    }
    if (anchor) parts.svg.style.transform = shiftFrom(anchor, viewport) ?? "";
    if (zoomed) tellScale();
    if (zoomed || what.has("glow")) glow();
    if (zoomed || what.has("ruler")) ruler.draw();
    placeCallouts();
    dropFirst();
    root.dataset.ready = store.get().digest ?? "";
  }

  // tellScale says how large the blank is shown, and offers its width where all of it is too
  // slender to be seen.
  function tellScale() {
    const { model } = store.get();
    setText(parts.caption, visible(`${captionOf(drawing.piece, model)}, ${scaleWords(viewport.scale)}`));
    across.hidden = !viewport.slender();
  }

  // dropFirst takes the picture away that came with the page.
  function dropFirst() {
    first?.remove();
    first = null;
  }

  // change moves the viewport: the picture at once, the drawing where it must or at rest.
  function change(move) {
    const before = viewport.scale;
    move();
    fitted = false;
    const zoomed = viewport.scale !== before;
    if (zoomed) stale = "zoom";
    const picture = anchor && shiftFrom(anchor, viewport) && !(zoomed && drawing?.things.panel.length <= mostDrawnOften);
    later(picture ? "shift" : stale);
    if (!picture) stale = "pan";
    clearTimeout(timer);
    timer = setTimeout(rest, restTime);
  }

  function rest() {
    later(stale);
    stale = "pan";
    store.set({ flatView: { x: viewport.x, y: viewport.y, scale: viewport.scale } });
  }

  function fit() {
    clearTimeout(timer);
    viewport.fit();
    fitted = true;
    store.set({ flatView: undefined });
    later("zoom");
  }

  // tellWaiting says why the sheet is empty.
  function tellWaiting() {
    const { status } = store.get();
    if (!drawing) setText(parts.caption, status?.exit >= 2 ? "no blank yet" : "drawing…");
  }

  // place puts the viewport where the state has it, or round the whole blank.
  function place(view) {
    if (view) Object.assign(viewport, view);
    else viewport.fit();
    fitted = !view;
    later("zoom");
  }

  // load builds the drawing anew for a model or a piece.
  function load() {
    const { model, piece: index, flatView, digest } = store.get();
    const piece = model?.pieces[index];
    parts.svg.replaceChildren(parts.defs);
    if (!piece) {
      drawing = null;
      tellWaiting();
      layers.load([], (c) => c);
      delete root.dataset.ready;
      return;
    }
    const sameScript = drawn.script === model.script;
    const again = sameScript && drawn.piece === index;
    if (!sameScript) clearTimeout(timer);
    const held = parts.svg.contains(document.activeElement) || focused ? focused : null;
    drawing = drawBlank(model, index, store.get());
    drawn = { piece: index, script: model.script, digest };
    drawing.outline.append(parts.measured, parts.hoverLine, parts.pickedLine, parts.focusLine);
    drawing.glow.append(parts.hoverArea, parts.pickedArea);
    parts.svg.append(drawing.world, drawing.overlay, parts.overMeasures);
    drawing.board.classList.toggle("inside", piece.inside);
    viewport.bounds = piece.bounds;
    viewport.mirrored = piece.inside;
    colour();
    kinds();
    parts.svg.setAttribute("aria-label", visible(`Flat blank of ${piece.name}, ${piece.panels.length} panels`));
    showGrain(parts, piece);
    ruler.load(piece.strokes, again, (kind) => store.get().kinds?.[kind] !== false);
    measureSheet();
    place(flatView && (again || !sameScript) ? flatView : undefined);
    if (sameScript && !again) fit();
    if (held) focus(held, false);
  }

  // colour gives every line kind a colour that stands out from the board under it.
  function colour() {
    if (!drawing) return;
    const style = getComputedStyle(root);
    const ground = style.getPropertyValue(drawing.piece.inside ? "--inside" : "--board");
    const colourOf = (c) => standOut(c, ground);
    const onSheet = (c) => standOut(colourOf(c), style.getPropertyValue("--sheet"));
    drawing.kinds.forEach(({ look, path }) => path.setAttribute("stroke", colourOf(look.colour)));
    layers.load(drawing.kinds, onSheet);
  }

  function kinds() {
    const { kinds: chosen } = store.get();
    drawing?.kinds.forEach(({ look, path }) => path.toggleAttribute("hidden", chosen?.[look.kind] === false));
    layers.mark();
  }

  // thingOf is what the drawing has of an item, or null when it is of another piece.
  function thingOf(item) {
    if (!item || !drawing) return null;
    if (item.kind === "contents") {
      const panel = drawing.piece.contents?.[item.index]?.panel;
      return item.piece === drawn.piece ? drawing.things.panel[panel] ?? null : null;
    }
    if (item.kind !== "finding" && item.piece !== drawn.piece) return null;
    return drawing.things[item.kind]?.[item.index] ?? null;
  }

  // glow shows what is pointed at, selected and focused, and links the sides of a join.
  function glow() {
    const { hover, selection } = store.get();
    showMarksOf(drawing, store.get());
    const [over, picked] = [thingOf(hover), thingOf(selection)];
    const show = (area, line, thing) => {
      const d = thing ? geometry.svgPath(thing.curves) : "";
      area?.setAttribute("d", thing?.area ? d : "");
      line.setAttribute("d", d);
    };
    show(parts.hoverArea, parts.hoverLine, over === picked ? null : over);
    show(parts.pickedArea, parts.pickedLine, picked);
    show(null, parts.focusLine, parts.svg.querySelector(".thing:focus-visible") ? thingOf(focused) : null);
    const joined = [over, picked].find((t) => t?.sides);
    drawing.link.setAttribute("d", joined ? linkPath(joined, viewport) : "");
    for (const thing of [...drawing.things.join, ...drawing.things.finding]) {
      thing?.element.classList.toggle("picked", thing === picked);
      thing?.element.classList.toggle("hovered", thing === over);
    }
    if (drawing.picked !== picked) {
      drawing.picked?.element.removeAttribute("aria-pressed");
      picked?.element.setAttribute("aria-pressed", "true");
      drawing.picked = picked;
    }
    drawing.letters.classList.toggle("some", drawing.things.join.length > 0);
  }

  // placeCallouts puts the words beside what is selected and what is pointed at.
  function placeCallouts() {
    const state = store.get();
    const { hover, selection } = ruler.isOn() ? { hover: null, selection: null } : state;
    const other = hover && !sameItem(hover, selection) && thingOf(hover) ? hover : null;
    callout(parts.pickedWords, other ? null : selection, thingOf(selection), state, viewport);
    callout(parts.hoverWords, other, thingOf(other), state, viewport);
  }

  // reveal moves the blank so that a thing is on the screen.
  function reveal(thing) {
    if (!thing || viewport.shows(thing.at)) return;
    change(() => {
      [viewport.x, viewport.y] = thing.at;
      viewport.clamp();
    });
  }

  // focus puts the keyboard on a thing and lights it.
  function focus(item, tell = true) {
    const thing = thingOf(item);
    if (!thing) return;
    focused = item;
    nameAnew(thing, store.get());
    thing.element.focus({ preventScroll: true });
    reveal(thing);
    if (tell) store.set({ hover: item });
    later("glow");
  }

  // nameAnew tells screen readers what a thing's figures are now.
  function nameAnew(thing, state) {
    thing.element.setAttribute("aria-label", visible(briefly(state.model, thing.item, state)));
  }

  // walk goes to the next thing of the focused sort, or to the next sort that there is.
  function walk(by, toSort) {
    const { selection } = store.get();
    const from = thingOf(focused) ? focused : thingOf(selection) ? selection : null;
    if (!from) return focus({ kind: "panel", index: 0, piece: drawn.piece });
    const shown = (kind) => drawing.things[kind].filter((t) => t && !t.element.hasAttribute("hidden"));
    if (toSort) {
      const sorts = order.filter((kind) => shown(kind).length > 0);
      const kind = sorts[(sorts.indexOf(from.kind) + by + sorts.length) % sorts.length];
      return focus(shown(kind)[0].item);
    }
    const list = shown(from.kind);
    const at = list.findIndex((t) => t.item.index === from.index);
    return focus(list[(at + by + list.length) % list.length].item);
  }

  const select = (item) => store.set({ selection: item });

  function press(event) {
    if (!drawing || event.ctrlKey || event.metaKey) return;
    const onThing = itemAt(event.target, drawn.piece);
    const acts = {
      ArrowLeft: () => (event.shiftKey ? walk(-1, false) : change(() => viewport.panBy(panPixels, 0))),
      ArrowRight: () => (event.shiftKey ? walk(1, false) : change(() => viewport.panBy(-panPixels, 0))),
      ArrowUp: () => (event.shiftKey ? walk(-1, true) : change(() => viewport.panBy(0, panPixels))),
      ArrowDown: () => (event.shiftKey ? walk(1, true) : change(() => viewport.panBy(0, -panPixels))),
      "+": () => zoomBy(keyZoom), "=": () => zoomBy(keyZoom), "-": () => zoomBy(1 / keyZoom), "−": () => zoomBy(1 / keyZoom), 0: fit,
      Home: () => focus({ kind: "panel", index: 0, piece: drawn.piece }),
      Enter: onThing && (() => select(onThing)), " ": onThing && (() => select(onThing)),
    };
    if (!ruler.key(event)) {
      if (!acts[event.key]) return;
      acts[event.key]();
    }
    event.preventDefault();
  }

  const gestures = watchGestures(parts.svg, {
    pan: (dx, dy) => change(() => viewport.panBy(dx, dy)),
    zoom: (factor, at) => change(() => viewport.zoomAt(factor, at)),
  }, parts.view);
  parts.svg.addEventListener("keydown", press);
  parts.svg.addEventListener("click", (event) => {
    if (!drawing) return;
    if (ruler.isOn() && event.detail > 0) return ruler.take(viewport.toBlank(gestures.place(event)), event.shiftKey);
    const item = itemAt(event.target, drawn.piece);
    select(item);
    focused = item;
    later("glow");
  });
  parts.svg.addEventListener("pointermove", (event) => {
    if (!drawing || gestures.dragging()) return;
    if (ruler.isOn()) return ruler.move(viewport.toBlank(gestures.place(event)));
    const item = itemAt(event.target, drawn.piece);
    if (!sameItem(item, store.get().hover)) store.set({ hover: item });
  });
  parts.svg.addEventListener("pointerleave", () => {
    ruler.leave();
    if (store.get().hover) store.set({ hover: null });
  });
  parts.svg.addEventListener("focusin", (event) => {
    focused = itemAt(event.target, drawn.piece);
    later("glow");
  });
  parts.svg.addEventListener("focusout", (event) => {
    if (!parts.svg.contains(event.relatedTarget) && sameItem(store.get().hover, focused)) store.set({ hover: null });
    later("glow");
  });

  // measureSheet takes the size of the sheet from the page.
  function measureSheet() {
    const box = parts.view.getBoundingClientRect();
    viewport.width = Math.max(1, box.width);
    viewport.height = Math.max(1, box.height);
  }
  new ResizeObserver(() => {
    measureSheet();
    if (!drawing) return;
    if (fitted) viewport.fit();
    later("zoom");
  }).observe(parts.view);

  const same = (view) => ["x", "y", "scale"].every((k) => view[k] === viewport[k]);

  store.on(["model", "piece"], load);
  store.on("flatView", ({ flatView }) => {
    if (!drawing || (flatView ? same(flatView) : fitted)) return;
    place(flatView);
  });
  store.on("pose", (state) => drawing?.things.hinge.forEach((t) => nameAnew(t, state)));
  store.on("status", tellWaiting);
  store.on("colours", colour);
  store.on("kinds", kinds);
  store.on(["showNames", "showMarks", "showLetters", "notes"], () => {
    layers.mark();
    later("zoom");
  });
  store.on(["selection", "hover", "state", "pose"], (state, changed) => {
    if (!drawing) return;
    later("glow");
    if (!changed.has("selection") || !thingOf(state.selection)) return;
    reveal(thingOf(state.selection));
    say(visible(fully(state.model, state.selection, state)));
  });
  load();
}

// itemAt is the thing under an event's target, or null.
function itemAt(target, piece) {
  const element = target.closest?.(".thing");
  const kind = element && order.find((k) => k in element.dataset);
  return kind ? { kind, index: Number(element.dataset[kind]), piece } : null;
}
