// ruler.js is the flat view's measuring: points and edges are picked with the pointer or
// with a crosshair moved by the arrow keys; measures stay on the blank until cleared.
import { el } from "./dom.js";
import { halfway, svg } from "./blank.js";
import { svgPath } from "./geometry.js";
import { along, between, lineAt, linesOf, snap } from "./measure.js";
import { degrees, fixed, mm } from "./words.js";

// reachPixels is how near a pointer must come to be drawn to a point or a line.
const reachPixels = 11;

// keyStep is how far an arrow key moves the crosshair, in pixels; with Alt one pixel.
const keyStep = 10;

export const keys = [
  ["m", "on the flat blank: measure, and stop measuring"],
  ["e", "while measuring: along edges, or between points"],
  ["arrows, Enter", "while measuring: move the crosshair, take what it is at"],
  ["Delete", "while measuring: clear the measures"],
];

// createRuler draws into `layer`, a group of the overlay, and tells its state by `tell`.
export function createRuler({ layer, world, viewport, redraw, say }) {
  let strokes = [], lines = [], shown = () => true;
  let on = false, edges = false, first = null, cursor = null, measures = [];

  const controls = {
    button: el("button", { type: "button", textContent: "Measure", attr: { "aria-pressed": "false", "aria-keyshortcuts": "m" }, on: { click: () => turn(!on) } }),
    how: el("select", { title: "What is measured", attr: { "aria-label": "Measure" }, on: { change: () => choose(controls.how.value === "edges") } },
      el("option", { value: "points", textContent: "between points" }), el("option", { value: "edges", textContent: "along edges" })),
    clear: el("button", { type: "button", textContent: "Clear", title: "Clear the measures", on: { click: clear } }),
  };
  controls.how.hidden = true;
  controls.clear.hidden = true;

  function turn(to) {
    on = to;
    first = cursor = null;
    show();
    say(on ? `Measuring ${edges ? "along edges" : "between points"}. Arrows move the crosshair, Enter takes a point, Escape ends.` : "Measuring ended.");
  }

  function choose(to) {
    edges = to;
    first = null;
    controls.how.value = edges ? "edges" : "points";
    show();
    say(edges ? "Along edges." : "Between points.");
  }

  function clear() {
    measures = [];
    first = null;
    show();
    say("Measures cleared.");
  }

  function show() {
    controls.button.setAttribute("aria-pressed", String(on));
    controls.how.hidden = !on;
    controls.clear.hidden = measures.length === 0;
    redraw();
  }

  const reach = () => reachPixels / viewport.scale;
  const visibleLines = () => lines.filter((line) => shown(line.stroke.kind));

  // move follows the pointer or the crosshair to a spot of the blank.
  function move(p) {
    if (!on) return;
    cursor = { at: p, snap: null, line: null };
    if (edges) cursor.line = lineAt(visibleLines(), p, reach());
    else cursor.snap = snap(visibleLines(), p, reach());
    redraw();
  }

  // take measures what is at a spot; with `other` in the other of the two ways.
  function take(p, other = false) {
    const way = edges;
    if (other) edges = !edges;
    move(p);
    if (edges && cursor.line) add({ line: cursor.line, ...along(cursor.line) });
    if (!edges) takePoint(cursor.snap?.point ?? p);
    edges = way;
    show();
  }

  function takePoint(point) {
    if (!first) {
      first = point;
      say(`From ${fixed(point[0], 2)}, ${fixed(point[1], 2)}${cursor.snap ? `, ${cursor.snap.what}` : ""}.`);
      return;
    }
    add({ a: first, b: point, ...between(first, point) });
    first = null;
  }

  function add(measure) {
    measures.push(measure);
    say(`${wordsOf(measure).join(", ")}.`);
  }

  // key answers a key while measuring; true when it was one of ours.
  function key(event) {
    if (event.key === "m") return turn(!on), true;
    if (!on) return false;
    const step = (event.altKey ? 1 : keyStep);
    const moves = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    if (event.key in moves && !event.shiftKey) {
      const [x, y] = viewport.toScreen(cursor?.at ?? [viewport.x, viewport.y]);
      const [dx, dy] = moves[event.key];
      move(viewport.toBlank([Math.min(viewport.width, Math.max(0, x + dx)), Math.min(viewport.height, Math.max(0, y + dy))]));
      if (cursor.snap) say(`${cursor.snap.what} ${fixed(cursor.snap.point[0], 2)}, ${fixed(cursor.snap.point[1], 2)}`);
      if (cursor.line) say(`${cursor.line.stroke.kind} ${along(cursor.line).sort}`);
      return true;
    }
    switch (event.key) {
      case "Enter": case " ":
        if (cursor) take(cursor.at, event.shiftKey);
        return true;
      case "e":
        choose(!edges);
        return true;
      case "Delete": case "Backspace":
        clear();
        return true;
      case "Escape":
        // One step back at a time: the first point, the measures, the mode.
        if (first) first = null, show();
        else if (measures.length) clear();
        else turn(false);
        return true;
      default: return false;
    }
  }

  // draw lays the measures out anew, in the overlay's pixels.
  function draw() {
    const side = viewport.mirrored ? -1 : 1;
    const px = ([x, y]) => [side * x * viewport.scale, -y * viewport.scale];
    layer.replaceChildren();
    world.setAttribute("d", svgPath([...measures, ...(on && cursor?.line ? [{ line: cursor.line }] : [])].flatMap((m) => (m.line ? [m.line.curve] : []))));
    world.setAttribute("stroke-width", 4 / viewport.scale);
    for (const m of measures) layer.append(m.line ? edgeMark(m, px) : spanMark(m, px));
    if (on && first) {
      const to = cursor?.snap?.point ?? cursor?.at ?? first;
      const way = { a: first, b: to, ...between(first, to) };
      layer.append(spanMark(way, px, "going"));
    }
    standApart([...layer.querySelectorAll("text")]);
    if (on && cursor && !edges) layer.append(snapMark(cursor, px));
    if (on && cursor && edges && !cursor.line) layer.append(snapMark(cursor, px));
  }

  // load takes the lines of a blank; measures of another blank mean nothing on it.
  function load(fresh, keep, isShown) {
    strokes = fresh;
    lines = linesOf(strokes);
    shown = isShown;
    first = cursor = null;
    if (!keep) measures = [];
    else measures = measures.filter((m) => !m.line); // edges may have gone; points still say what they said
    show();
  }

  const leave = () => {
    cursor = null;
    redraw();
  };

  return { controls, key, move, take, draw, load, leave, isOn: () => on };
}

// wordsOf are the lines of text of a measure.
export function wordsOf(m) {
  if (!m.line) return [mm(m.distance), `dx ${fixed(m.dx, 2)}, dy ${fixed(m.dy, 2)}`, `angle ${degrees(m.angle)}`];
  const parts = [mm(m.length)];
  if (m.radius !== null) parts.push(`radius ${fixed(m.radius, 2)}, sweep ${degrees(m.sweep)}`);
  parts.push(m.parts > 1 ? `${m.kind} ${m.sort}, ${mm(m.whole)} ${m.closed ? "round" : "in all"}` : `${m.kind} ${m.sort}`);
  return parts;
}

// spanMark is the line between two points with a tick at either end and its figures.
function spanMark(m, px, state = "") {
  const [a, b] = [px(m.a), px(m.b)];
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const [nx, ny] = [-(b[1] - a[1]) / length * 7, (b[0] - a[0]) / length * 7];
  const tick = ([x, y]) => `M ${x - nx} ${y - ny} L ${x + nx} ${y + ny}`;
  return svg("g", { class: `measure ${state}`, role: "img", "aria-label": wordsOf(m).join(", ") },
    svg("path", { d: `M ${a.join(" ")} L ${b.join(" ")} ${tick(a)} ${tick(b)}` }), figures(m, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], 12));
}

function edgeMark(m, px) {
  return svg("g", { class: "measure", role: "img", "aria-label": wordsOf(m).join(", ") }, figures(m, px(halfway([m.line.curve])), 12));
}

// figures is the text of a measure beside a spot.
function figures(m, [x, y], dx) {
  const lines = wordsOf(m);
  return svg("text", { x: x + dx, y },
    ...lines.map((line, i) => svg("tspan", { x: x + dx, dy: i ? "1.2em" : "-0.5em", class: i ? "more" : "" }, line)));
}

// labelAir is how far, in pixels, the figures of two measures stay apart; so many places above
// and below are tried for one.
const labelAir = 4;
const mostTried = 12;

// standApart moves figures that would cover those before them up or down, with a line to where
// they belong.
function standApart(labels) {
  const taken = [];
  for (const label of labels) {
    const box = label.getBBox();
    const at = (dy) => ({ x: box.x, y: box.y + dy, width: box.width, height: box.height });
    const free = (r) => taken.every((t) => r.x > t.x + t.width + labelAir || t.x > r.x + r.width + labelAir || r.y > t.y + t.height + labelAir || t.y > r.y + r.height + labelAir);
    let place = at(0);
    for (let k = 1; k <= mostTried && !free(place); k++) place = at((k % 2 ? 1 : -1) * Math.ceil(k / 2) * (box.height + 2 * labelAir) / 2);
    taken.push(place);
    const dy = place.y - box.y;
    if (dy === 0) continue;
    label.setAttribute("transform", `translate(0 ${dy})`);
    label.before(svg("path", { class: "leader", d: `M ${box.x - labelAir} ${box.y + box.height / 2} V ${place.y + box.height / 2} h ${labelAir}` }));
  }
}

// snapMark shows what the pointer is drawn to: a square at an end, a triangle at a middle,
// a ring at a centre, a cross on a line, a crosshair elsewhere.
function snapMark(cursor, px) {
  const [x, y] = px(cursor.snap?.point ?? cursor.at);
  const d = {
    end: "M -6 -6 H 6 V 6 H -6 Z", middle: "M 0 -7 L 7 5 H -7 Z", centre: "M -7 0 A 7 7 0 0 1 7 0 A 7 7 0 0 1 -7 0 M -3 0 H 3 M 0 -3 V 3",
    "on line": "M -5 -5 L 5 5 M -5 5 L 5 -5",
  }[cursor.snap?.what] ?? "M -12 0 H 12 M 0 -12 V 12";
  return svg("g", { class: "snap", transform: `translate(${x} ${y})`, "aria-hidden": "true" }, svg("path", { d }),
    cursor.snap ? svg("text", { x: 12, y: -10 }, cursor.snap.what) : "");
}
