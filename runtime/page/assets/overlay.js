// overlay.js holds what lies over the folded picture as elements of the page: marks of
// findings, and words beside what is pointed at and selected. Places in CSS pixels.

import { markOf, svg } from "./blank.js";
import { project, ray } from "./camera.js";
import { el, setText, visible } from "./dom.js";
import { facing, freeWords, unplaced } from "./facing.js";
import { apply34, distance } from "./geometry.js";
import { sameItem } from "./items.js";
import { hit } from "./pick.js";
import { anchorOf } from "./scene.js";
import { briefly, degrees, mm } from "./words.js";

// Marks of places nearer than this, in pixels, stand beside one another.
const markStep = 26;

// Of more marks the rest is not asked whether it is hidden, so that turning stays smooth.
const mostAsked = 80;

// createOverlay adds its elements to the view; choose is told {hover} or {selection}.
export function createOverlay(view, choose) {
  const layer = svg("svg", { class: "marks" });
  const words = [el("div", { className: "callout picked", hidden: true }), el("div", { className: "callout", hidden: true })];
  view.append(layer, ...words);
  let marks = [];

  // load makes the marks of a scene.
  function load(scene) {
    marks = (scene?.spots ?? []).map((spot) => {
      const finding = scene.model.findings[spot.item.index];
      const mark = markOf(finding);
      mark.classList.add("thing");
      const told = `${finding.severity} ${finding.number || ""}: ${finding.message}`;
      for (const [name, value] of Object.entries({ role: "button", tabindex: -1, "aria-label": visible(told) })) mark.setAttribute(name, value);
      mark.dataset.finding = spot.item.index;
      mark.addEventListener("pointerenter", () => choose({ hover: spot.item }));
      mark.addEventListener("pointerleave", () => choose({ hover: null }));
      mark.addEventListener("click", () => choose({ selection: spot.item }));
      return { ...spot, mark, severity: finding.severity };
    });
    layer.replaceChildren(...marks.map(({ mark }) => mark));
  }

  // place puts all of it where the view has it.
  function place(scene, sight, matrices, state) {
    const { selection, hover, showMarks, notes } = state;
    const taken = [];
    let asked = 0;
    for (const { item, panel, point, mark, severity } of marks) {
      const here = sameItem(item, selection) || sameItem(item, hover);
      const wanted = here || (showMarks !== false && (severity !== "note" || notes));
      const world = wanted && matrices[panel] ? apply34(matrices[panel], point) : null;
      const at = world && project(sight, world);
      mark.toggleAttribute("hidden", !at);
      if (!at) continue;
      let [x, y] = at;
      while (taken.some((t) => distance(t, [x, y]) < markStep - 1)) x += markStep;
      taken.push([x, y]);
      mark.setAttribute("transform", `translate(${x} ${y})`);
      mark.classList.toggle("picked", sameItem(item, selection));
      mark.classList.toggle("hovered", sameItem(item, hover));
      mark.classList.toggle("behind", asked++ < mostAsked && covered(scene, sight, matrices, at));
    }
    const under = callout(words[0], selection, scene, sight, matrices, state, null);
    callout(words[1], sameItem(hover, selection) ? null : hover, scene, sight, matrices, state, under);
  }

  // callout puts the words about an item beside it, clear of the box of other words. The
  // result is its own box, or null when there is nothing to say.
  function callout(box, item, scene, sight, matrices, state, other) {
    const anchor = anchorOf(scene, item);
    const matrix = anchor && matrices[anchor.panel];
    const at = matrix && project(sight, apply34(matrix, anchor.point));
    box.hidden = !at;
    if (!at) return null;
    setText(box, visible(told(scene, item, state)));
    const [w, h] = [box.offsetWidth, box.offsetHeight];
    const x = Math.max(4, Math.min(sight.width - w - 4, at[0] + 16));
    let y = Math.max(4, at[1] + 14 + h < sight.height ? at[1] + 14 : at[1] - 14 - h);
    if (other && x < other.x + other.w && other.x < x + w && y < other.y + other.h && other.y < y + h) {
      y = other.y + other.h + 4 + h < sight.height ? other.y + other.h + 4 : other.y - h - 4;
    }
    box.style.left = `${x}px`;
    box.style.top = `${y}px`;
    return { x, y, w, h };
  }

  return { load, place };
}

// covered reports whether something stands before a place, by more than two boards.
function covered(scene, sight, matrices, [x, y, depth]) {
  const line = ray(sight, x, y);
  const found = hit(line, scene.targets, matrices);
  if (!found) return false;
  const place = line.from.map((v, k) => v + found.far * line.along[k]);
  return project(sight, place)?.[2] > depth + 2 * scene.caliper;
}

// told is the words about an item in the state that is shown.
export function told(scene, item, state) {
  const { piece } = scene;
  switch (item.kind) {
    case "hinge": {
      const fold = state.state?.folds?.[item.index];
      return `${piece.hinges[item.index].name}: ${typeof fold === "number" ? degrees(fold) : "fold not found"}`;
    }
    case "join": {
      const join = piece.joins[item.index];
      const gap = join.gaps?.[state.pose];
      const name = (side) => piece.panels[side.panel].name + (side.edge ? `.${side.edge}` : "");
      const said = typeof gap === "number" ? `gap ${mm(gap)} in ${state.pose}` : `not asked for in ${state.pose}`;
      return `${join.kind} "${name(join.a)}" to "${name(join.b)}": ${said}`;
    }
    case "panel": {
      const m = state.state?.panels?.[item.index];
      return `${piece.panels[item.index].name}: ${m ? `faces ${facing(scene.stand, [m[2], m[6], m[10]])}` : unplaced(piece)}`;
    }
    case "contents": {
      const thing = piece.contents[item.index];
      const size = thing.round ? `⌀ ${thing.size[0]} × ${thing.size[2]}` : thing.size.join(" × ");
      return [`${thing.name}, ${size} mm`, freeWords(thing, scene.stand)].filter(Boolean).join("; ");
    }
    default: return briefly(scene.model, item, state);
  }
}
