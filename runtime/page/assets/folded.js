// folded.js is the view of the folded piece in space: it ties the scene, the states along
// the fold, the camera with its gestures and keys, the picture and what lies over it to the
// page's state. It draws when something changed and not otherwise. What is pointed at and
// selected is shown here whoever set it.

import * as eye from "./camera.js";
import { standOut } from "./contrast.js";
import { el, setText, visible } from "./dom.js";
import { faces, leftOut, sentence, stateWords } from "./facing.js";
import { watchGestures } from "./gestures.js";
import { createRenderer } from "./gl.js";
import { sameItem } from "./items.js";
import { createMargin } from "./margin.js";
import { toleranceFor } from "./mesh.js";
import { createOverlay, told } from "./overlay.js";
import { hit, nearLine } from "./pick.js";
import { pack } from "./rims.js";
import { anchorOf, createScene } from "./scene.js";
import { createStates } from "./states.js";
import { trimmed } from "./words.js";

// One press of a key: degrees of a turn, pixels of a shift, factor of a zoom. Dragging
// across this many pixels turns the piece once round.
const keyTurn = 7.5;
const keyPan = 40;
const keyZoom = 1.25;
const pixelsRound = 720;

// How near a line is pointed at, in pixels, with a mouse and with a finger.
const reach = { fine: 6, coarse: 14 };

// The camera is kept by the state when it has rested so long, ms; the text is read out
// when the fold has.
const settleTime = 250;
const speakTime = 700;

// The inside's hatch lines are about so many pixels apart.
const hatchPixels = 7;

// Of more lines than this those that are shorter than so many pixels are left out while the
// piece moves, and of each hinge the line of one of its panels; all of them are drawn when it
// has rested so long, ms.
const mostMoving = 1500;
const shortLine = 6;
const stillTime = 150;

// Shares of a caliper: how much nearer than their faces lines lie, and how much further
// each layer of a stack than the one before it, for depth alone.
// Lines of the middle of a thin board lie as far before its face.
const nearerShare = 0.35;
const thinNearerShare = 0.85;
const orderShare = 0.5;

// order is that in which Shift with up and down goes through the sorts of things.
const order = ["panel", "window", "hinge", "join", "contents", "finding"];

const sides = Object.keys(eye.views);

export const keys = [
  ["arrows", "on the folded piece: turn it"],
  ["Ctrl + arrows", "on the folded piece: move it"],
  ["+ / − / 0", "on the folded piece: larger, smaller, all of it"],
  ["1 … 6", `on the folded piece: look at its ${sides.join(", ")}`],
  ["Shift + ← / →", "on the folded piece: from thing to thing of one sort"],
  ["Shift + ↑ / ↓", "on the folded piece: panels, windows, hinges, joins, contents, findings"],
  ["Home", "on the folded piece: the first panel"],
  ["Enter", "on the folded piece: select"],
];

export function mount(root, store, api) {
  const canvas = el("canvas", { tabIndex: 0, attr: { role: "img", "aria-label": "Folded piece", "aria-describedby": "folded-keys" } });
  const view = el("div", { className: "view" }, canvas, el("p", { className: "waiting", textContent: "drawing…" }));
  const nothing = el("p", { className: "nothing", hidden: true });
  view.append(nothing);
  root.append(view, el("p", { id: "folded-keys", className: "unseen", textContent: "Arrows turn the piece, plus and minus zoom, 0 shows all of it, 1 to 6 look at its sides straight on, Shift with left and right goes from thing to thing of one sort and with up and down from sort to sort, Home to the first panel, Enter selects." }));
  const margin = createMargin(root, store, { look, fit, describe });
  const overlay = createOverlay(view, (patch) => store.set(patch));
  const states = createStates(api, () => later("state"));
  let renderer = null, started = false, ready = false;
  const size = { width: 1, height: 1, ratio: 1 };
  let scene = null, camera = null, round = null, shown = null, sight = null;
  // What is shown: matrices of the state, the same with layers drawn apart, and the round of each.
  let matrices = [], placed = [], shifts = [], apart = 0, spread = 0, stand = null, reached = null, thin = false, lines = null;
  let dirty = new Set(), settle = 0, speak = 0, moving = false, still = 0, focused = null;

  // start begins to get the graphics card ready, and finish waits for it. The renderer is null
  // where the card or its driver will not have it.
  function start() {
    ready = false;
    renderer = orNone(() => createRenderer(canvas));
  }

  function finish() {
    if (ready || !renderer) return;
    ready = true;
    renderer = orNone(() => (renderer.finish(), renderer));
  }

  // orNone is what make gives, or null, which is said then.
  function orNone(make) {
    try {
      const made = make();
      if (made) return made;
    } catch (fault) {
      console.warn(fault);
    }
    view.append(el("p", { className: "plain", textContent: "The folded piece cannot be drawn: this browser offers no WebGL2. What faces where is said under Describe." }));
    return null;
  }

  // later draws once in the next frame whatever came to be out of date.
  function later(...what) {
    if (dirty.size === 0) requestAnimationFrame(frame);
    what.forEach((w) => dirty.add(w));
  }

  // frame does what is out of date. Getting the graphics card ready takes far longer than
  // drawing the flat blank does, so that is shown first.
  function frame() {
    const what = dirty;
    dirty = new Set();
    if (!started && store.get().model) {
      started = true;
      setTimeout(() => {
        start();
        later("model", ...what);
      });
      return;
    }
    if (what.has("model")) load();
    if (!scene) {
      finish();
      return clear();
    }
    if (what.has("model") || what.has("state")) step(what);
    if (!shown) return;
    if (!camera) setCamera(fitted(), false);
    finish();
    look3d(what);
  }

  // load builds the scene of what is to be shown.
  function load() {
    const { model, piece, digest, camera: kept } = store.get();
    const before = scene;
    if (!model?.pieces[piece]) {
      scene = null;
      return;
    }
    const other = !before || before.model.script !== model.script || before.pieceIndex !== piece;
    if (other) {
      camera = kept ?? null;
      round = null;
    }
    const perPixel = camera ? camera.span / Math.min(size.width, size.height) : 0.5;
    scene = createScene(model, piece, toleranceFor(perPixel / size.ratio));
    scene.digest = digest;
    overlay.load(scene);
    focused = null;
  }

  function clear() {
    shown = null;
    renderer?.setSolid({ bytes: new ArrayBuffer(0), indices: new Uint32Array(0) });
    if (renderer) draw();
    overlay.load(null);
    margin.caption("");
    nothing.hidden = true;
    delete root.dataset.ready;
    delete root.dataset.drawn;
  }

  // step shows the solved state nearest to the one wanted, and hands it out.
  function step(what) {
    const { piece, pose, share } = store.get();
    const found = states.show(scene.digest, piece, scene.piece, pose, share);
    if (!found) return;
    const same = shown?.state === found && shown.scene === scene && shown.pose === pose;
    if (same) return;
    const followed = !what.has("model") && camera?.follow && round;
    shown = { state: found, scene, pose };
    matrices = scene.matrices(found);
    scene.unheld = new Set(scene.contents.filter((_, k) => !matrices[scene.flats.length + k]).map((c) => c.index));
    nothing.hidden = matrices.some((m) => m);
    setText(nothing, nothing.hidden ? "" : `Nothing to show here: ${leftOut(scene.piece, matrices)}. The flat state shows all of it.`);
    shifts = scene.shifts(pose);
    stand = scene.stand = scene.standing(pose);
    spread = scene.spread(shifts, scene.round(scene.matrices(endOf(scene, pose))).radius);
    const now = scene.round(matrices);
    if (followed) setCamera(fitted(), false);
    round = now;
    what.add("placed");
    moves();
    store.set({ state: { digest: scene.digest, piece, pose, at: found.at, panels: found.panels, folds: found.folds, found: found.found } });
    describeLater();
  }

  // look3d draws what is out of date.
  function look3d(what) {
    const state = store.get();
    const wasApart = apart;
    apart = (state.apart ?? 0) * spread;
    if (what.has("placed") || apart !== wasApart) {
      placed = moved();
      reached = apart === 0 ? round : scene.round(placed);
    }
    sight = eye.viewOf(camera, stand, size.width, size.height, state.projection, reached);
    const tolerance = toleranceFor(sight.perPixel / size.ratio);
    if (scene.refine(tolerance, scene.shows(sight, matrices))) what.add("mesh");
    if (thin !== (scene.caliper < sight.perPixel)) {
      thin = !thin;
      what.add("thin");
    }
    if (renderer) {
      if (what.has("model") || what.has("mesh") || what.has("contents")) renderer.setSolid(scene.solid(state.showContents !== false));
      if (what.has("model") || what.has("mesh") || what.has("thin") || what.has("colours")) {
        lines = scene.rims(thin, ...inks());
        renderer.setLines(lines.bytes);
      }
      const lit = litPanels(state);
      if (what.has("model") || what.has("placed") || what.has("glow") || what.has("contents")) renderer.setPlaces(places(lit, state));
      if (what.has("model") || what.has("glow") || what.has("mesh") || what.has("colours")) renderer.setAccents(accents(state));
      draw();
    }
    overlay.place(scene, sight, placed, state);
    margin.looking(camera);
    margin.show(state, scene);
    if (what.has("placed") || what.has("model")) margin.caption(captionOf(scene, shown));
    root.dataset.ready = scene.digest;
    root.dataset.drawn = String(shown.state.at);
  }

  // moved is where panels are with layers drawn apart; those of the state itself at 0.
  function moved() {
    if (apart === 0) return matrices;
    return matrices.map((m, i) => {
      if (!m || !shifts[i]) return m;
      const d = shifts[i] * apart;
      const at = Array.from(m);
      for (let k = 0; k < 3; k++) at[4 * k + 3] += d * m[4 * k + 2];
      return at;
    });
  }

  function places(lit, { showContents }) {
    const bodies = scene.flats.length;
    return matrices.map((matrix, i) => {
      if (!matrix || (i >= bodies && showContents === false)) return null;
      return { matrix, shift: shifts[i], lit: lit.get(i) ?? 0 };
    });
  }

  // litPanels is which bodies are pointed at (1) or selected (2).
  function litPanels({ hover, selection }) {
    const lit = new Map();
    [hover, selection].forEach((item, k) => {
      if (!item || item.piece !== scene.pieceIndex) return;
      if (item.kind === "panel") lit.set(item.index, k + 1);
      if (item.kind === "finding") scene.spots.find((s) => s.item.index === item.index)?.panels.forEach((panel) => lit.set(panel, k + 1));
      if (item.kind === "contents") lit.set(scene.flats.length + scene.contents.findIndex((c) => c.index === item.index), k + 1);
      if (item.kind === "join") {
        const join = scene.piece.joins[item.index];
        for (const side of [join?.a, join?.b]) if (side && !side.at?.length) lit.set(side.panel, k + 1);
      }
    });
    return lit;
  }

  // accents are the lines of hinges, windows and joins that are pointed at or selected.
  function accents({ hover, selection }) {
    const made = [];
    for (const [item, name] of [[sameItem(hover, selection) ? null : hover, "--soft"], [selection, "--mark-ink"]]) {
      if (!item) continue;
      const colour = [...rgb(name), 255];
      for (const thread of scene.threads.filter((t) => sameItem(t.item, item))) {
        let phase = 0;
        for (let k = 0; k + 1 < thread.points.length; k++) {
          const [a, b] = [thread.points[k], thread.points[k + 1]];
          made.push({ a, b, phase, panel: thread.panel, colour, dash: [0, 0] });
          phase += Math.hypot(b[0] - a[0], b[1] - a[1]);
        }
      }
    }
    return pack(made, [scene.caliper / 2, -scene.caliper / 2]);
  }

  function rgb(name) {
    const text = getComputedStyle(root).getPropertyValue(name).trim();
    const hex = /^#([0-9a-f]{6})$/i.exec(text)?.[1] ?? "808080";
    return [0, 2, 4].map((i) => parseInt(hex.slice(i, i + 2), 16));
  }

  // inks are the colours and dashes of cut edges and of each kind of hinge.
  function inks() {
    const colours = { cut: [...rgb("--ink"), 255], plain: [...rgb("--soft"), 255] }, dashes = {};
    const ground = getComputedStyle(root).getPropertyValue("--board");
    for (const { kind, colour, dash } of scene.model.kinds) {
      if (kind === "cut") continue;
      const text = standOut(colour, ground);
      colours[kind] = [...[1, 3, 5].map((i) => parseInt(text.slice(i, i + 2), 16)), 255];
      dashes[kind] = dash;
    }
    return [colours, dashes];
  }

  function draw() {
    const tone = (name) => rgb(name).map((v) => v / 255);
    const ground = tone("--sheet");
    if (!scene || !sight) return renderer.draw({ ...size, ground });
    const state = store.get();
    const mark = tone("--mark"), hover = tone("--hover");
    const atEnd = shown.state.at === 1;
    renderer.draw({
      ...size, ...eye.matrices(sight), perPixel: sight.perPixel, apart,
      order: atEnd ? orderShare * scene.caliper : 0, nearer: (thin ? thinNearerShare : nearerShare) * scene.caliper,
      thin, first: moving && lines.count > mostMoving ? lines.longer(shortLine * sight.perPixel) : lines.count, ground,
      see: state.see ?? 0, anyLit: Boolean(state.hover || state.selection),
      tones: [...tone("--board"), ...tone("--inside"), ...tone("--board"), ...tone("--contents")],
      hatch: tone("--hatch"), hatchStep: 2 ** Math.round(Math.log2(sight.perPixel * hatchPixels)),
      lights: [...hover, ...hover, ...mark], accents: [0, 0, 0, 0, ...tone("--soft"), 0.5, ...tone("--mark-ink"), 0.9],
      dark: state.colours === "dark",
    });
  }

  function setCamera(to, keep = true) {
    camera = to;
    later("camera");
    moves();
    if (!keep) return;
    clearTimeout(settle);
    settle = setTimeout(() => store.set({ camera }), settleTime);
  }

  // moves says that the picture is in motion, and draws all of it when that has ended.
  function moves() {
    moving = true;
    clearTimeout(still);
    still = setTimeout(() => {
      moving = false;
      later("camera");
    }, stillTime);
  }

  function look(side) {
    if (camera) setCamera({ ...camera, ...eye.views[side] });
  }

  function fit() {
    if (shown) setCamera(fitted());
  }

  function fitted() {
    return eye.fitted(scene.corners(moved()), stand, size.width, size.height, camera ?? undefined);
  }

  function zoomBy(factor, x, y) {
    if (camera && sight) setCamera(eye.zoomed(camera, sight, factor, x, y));
  }

  // describe is what the description says, or null while nothing is shown.
  function describe() {
    if (!shown) return null;
    const list = faces(scene.piece, shown.state.panels, stand);
    return { scene, list, text: sentence(scene.piece, shown.pose, shown.state.at, list) };
  }

  function describeLater() {
    clearTimeout(speak);
    speak = setTimeout(() => {
      const what = describe();
      if (!what) return;
      margin.say(what.text);
      margin.towards(what.list);
      canvas.setAttribute("aria-label", visible(`Folded piece ${scene.piece.name}, ${stateWords(shown.pose, shown.state.at)}`));
    }, speakTime);
  }

  // pick is the item under a pixel, or null.
  function pick([x, y], coarse) {
    if (!shown || !sight) return null;
    const bodies = store.get().showContents === false ? placed.map((m, i) => (i < scene.flats.length ? m : null)) : placed;
    const line = eye.ray(sight, x, y);
    const body = hit(line, scene.targets, bodies);
    const depth = body ? eye.project(sight, line.from.map((v, k) => v + body.far * line.along[k]))?.[2] ?? Infinity : -Infinity;
    const threads = scene.threads.filter((t) => bodies[t.panel]);
    const within = coarse ? reach.coarse : reach.fine;
    // A line shows where its own board is in front, or nothing nearer than it is.
    const near = nearLine(sight, threads, placed, x, y, within, (thread, at) => !body || thread.beside.includes(body.index) || at >= depth - 2 * scene.caliper);
    if (near) return near.line.item;
    if (!body) return null;
    const n = scene.flats.length;
    return body.index < n ? { kind: "panel", index: body.index, piece: scene.pieceIndex }
      : { kind: "contents", index: scene.contents[body.index - n].index, piece: scene.pieceIndex };
  }

  // things are the items of a sort that stand in the picture, in the order they were made.
  function things(kind) {
    const { model, showContents, showMarks, notes } = store.get();
    const lists = { panel: "panels", window: "windows", hinge: "hinges", join: "joins", contents: "contents" };
    const list = kind === "finding" ? model.findings : scene.piece[lists[kind]] ?? [];
    if (kind === "contents" && showContents === false) return [];
    return list.flatMap((entry, index) => {
      if (kind === "finding" && (showMarks === false || (entry.severity === "note" && !notes))) return [];
      const item = { kind, index, piece: scene.pieceIndex };
      const anchor = anchorOf(scene, item);
      return anchor && placed[anchor.panel] ? [item] : [];
    });
  }

  function focus(item) {
    focused = item;
    store.set({ hover: item, say: visible(told(scene, item, store.get())) });
  }

  // walk goes to the next thing of the same sort, or to the first of the next sort.
  function walk(by, toSort) {
    const { selection } = store.get();
    const from = focused ?? (selection?.piece === scene.pieceIndex ? selection : null);
    if (!from) return focus({ kind: "panel", index: 0, piece: scene.pieceIndex });
    const sorts = toSort ? order.filter((kind) => kind === from.kind || things(kind).length > 0) : [from.kind];
    const list = things(toSort ? sorts[(sorts.indexOf(from.kind) + by + sorts.length) % sorts.length] : from.kind);
    if (list.length === 0) return;
    const at = toSort ? 0 : (list.findIndex((item) => item.index === from.index) + by + list.length) % list.length;
    focus(list[at]);
  }

  function press(event) {
    if (!scene || !camera || !sight || event.altKey || event.metaKey) return;
    const turn = (yaw, pitch, dx, dy) => () => setCamera(event.ctrlKey ? eye.panned(camera, sight, dx * keyPan, dy * keyPan) : eye.turned(camera, yaw * keyTurn, pitch * keyTurn));
    const acts = {
      ArrowLeft: event.shiftKey ? () => walk(-1) : turn(1, 0, -1, 0), ArrowRight: event.shiftKey ? () => walk(1) : turn(-1, 0, 1, 0),
      ArrowUp: event.shiftKey ? () => walk(-1, true) : turn(0, -1, 0, -1), ArrowDown: event.shiftKey ? () => walk(1, true) : turn(0, 1, 0, 1),
      Home: () => focus({ kind: "panel", index: 0, piece: scene.pieceIndex }),
      "+": () => zoomBy(keyZoom), "=": () => zoomBy(keyZoom), "-": () => zoomBy(1 / keyZoom), "−": () => zoomBy(1 / keyZoom), 0: fit,
      Enter: () => store.set({ selection: store.get().hover }), " ": () => store.set({ selection: store.get().hover }),
    };
    sides.forEach((side, i) => { acts[i + 1] = () => look(side); });
    if (!acts[event.key] || (event.ctrlKey && !event.key.startsWith("Arrow"))) return;
    acts[event.key]();
    event.preventDefault();
  }

  const gestures = watchGestures(canvas, {
    pan: (dx, dy, { fingers, shift }) => {
      if (!camera || !sight) return;
      const round360 = 360 / pixelsRound;
      setCamera(shift || fingers > 1 ? eye.panned(camera, sight, dx, dy) : eye.turned(camera, -dx * round360, dy * round360));
    },
    zoom: (factor, [x, y]) => zoomBy(factor, x, y),
    done: () => {},
  });
  canvas.addEventListener("keydown", press);
  canvas.addEventListener("pointermove", (event) => {
    if (gestures.dragging()) return;
    const item = pick(gestures.place(event), event.pointerType === "touch");
    canvas.classList.toggle("over", item !== null);
    if (!sameItem(item, store.get().hover)) store.set({ hover: item });
  });
  canvas.addEventListener("pointerleave", () => store.set({ hover: null }));
  canvas.addEventListener("click", (event) => {
    const item = pick(gestures.place(event), event.pointerType === "touch");
    focused = item;
    store.set({ selection: item });
  });

  canvas.addEventListener("webglcontextlost", (event) => {
    event.preventDefault();
    renderer = null;
  });
  canvas.addEventListener("webglcontextrestored", () => {
    start();
    later("mesh", "placed", "glow", "colours");
  });

  new ResizeObserver(() => {
    const box = view.getBoundingClientRect();
    Object.assign(size, { width: Math.max(1, box.width), height: Math.max(1, box.height), ratio: window.devicePixelRatio || 1 });
    later("camera");
  }).observe(view);

  store.on(["model", "piece"], () => later("model"));
  store.on(["pose", "share"], () => later("state"));
  store.on(["selection", "hover"], () => later("glow"));
  store.on(["see", "apart", "projection", "showMarks", "showNames", "notes"], () => later("camera"));
  store.on("showContents", () => later("contents"));
  store.on("colours", () => later("colours", "glow"));
  store.on(["see", "apart", "projection", "showContents", "model", "piece"], () => later("margin"));
  store.on("camera", ({ camera: kept }) => {
    if (!kept || kept === camera) return;
    camera = kept;
    later("camera");
  });
  margin.show(store.get(), null);
  later("model");
}

// endOf is the state of a pose itself.
function endOf(scene, pose) {
  return scene.piece.poses.find((p) => p.name === pose) ?? scene.piece.poses[0];
}

// captionOf says what is shown: the piece, its state and, closed, how large it is outside.
function captionOf(scene, { state, pose }) {
  const { piece, model } = scene;
  const parts = [`${model.pieces.length > 1 ? `${piece.name}, ` : ""}${stateWords(pose, state.at)}`];
  if (pose === "closed" && state.at === 1 && piece.outside) parts.push(`${piece.outside.map(trimmed).join(" × ")} mm`);
  if (scene.unheld.size > 0) parts.push("contents not held at this fold");
  return parts.join(", ");
}
