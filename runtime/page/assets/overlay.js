// overlay.js holds what lies over the folded picture as elements of the page: marks of
// findings, and words beside what is pointed at and selected. Places in CSS pixels.

import { markOf, svg } from "./blank.js";
import { project, ray } from "./camera.js";
import { el, setText, visible } from "./dom.js";
import { facesWords, facing, freeWords, unplaced } from "./facing.js";
import { apply34, distance } from "./geometry.js";
import { sameItem } from "./items.js";
import { hit } from "./pick.js";
import { anchorOf } from "./scene.js";
import { briefly, degrees, mm } from "./words.js";

// Marks of places nearer than this, in pixels, stand beside one another.
const markStep = 26;

// Of more marks the rest is not asked whether it is hidden, so that turning stays smooth.
const mostAsked = 80;

// So many of the largest panels may bear their names. With more panels than that names
// wait until the piece has rested so long, ms.
const mostNames = 40;
const mostNamedMoving = 200;
const namesRest = 160;

// createOverlay adds its elements to the view; choose is told {hover} or {selection}.
export function createOverlay(view, choose) {
  const layer = svg("svg", { class: "marks" });
  const words = [el("div", { className: "callout picked", hidden: true }), el("div", { className: "callout", hidden: true })];
  const written = el("div", { className: "names", attr: { "aria-hidden": "true" } });
  view.append(written, layer, ...words);
  let marks = [], names = [], rest = 0;

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
    clearTimeout(rest);
    const largest = (scene?.piece.panels ?? []).map(({ name, area }, panel) => ({ panel, name, area })).sort((a, b) => b.area - a.area || a.panel - b.panel);
    names = largest.slice(0, mostNames).map(({ panel, name }) => {
      const label = el("span", { textContent: visible(name) });
      label.dataset.named = panel;
      return { panel, label };
    });
    written.hidden = false;
    written.replaceChildren(...names.map(({ label }) => label));
    for (const entry of names) entry.half = [entry.label.offsetWidth / 2, entry.label.offsetHeight / 2];
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
    clearTimeout(rest);
    const waits = scene.flats.length > mostNamedMoving;
    written.hidden = state.showNames === false || waits;
    if (state.showNames !== false) {
      if (waits) rest = setTimeout(() => write(scene, sight, matrices, state), namesRest);
      else write(scene, sight, matrices, state);
    }
    const under = callout(words[0], selection, scene, sight, matrices, state, null);
    callout(words[1], sameItem(hover, selection) ? null : hover, scene, sight, matrices, state, under);
  }

  // write puts the name of a panel on its middle where all of the name lies on what can be
  // seen of that panel.
  function write(scene, sight, matrices, state) {
    written.hidden = false;
    const bodies = matrices.map((m, i) => (i < scene.flats.length || state.showContents !== false ? m : null));
    for (const { panel, label, half: [w, h] } of names) {
      const at = bodies[panel] && project(sight, apply34(bodies[panel], scene.middle(panel)));
      const shows = at && [[0, 0], [-w, -h], [w, -h], [-w, h], [w, h]].every(([dx, dy]) => hit(ray(sight, at[0] + dx, at[1] + dy), scene.targets, bodies)?.index === panel);
      label.classList.toggle("shown", Boolean(shows));
      if (!shows) continue;
      label.style.left = `${at[0] - w}px`;
      label.style.top = `${at[1] - h}px`;
    }
  }

  // callout puts the words about an item beside it, clear of the box of other words. The
  // result is its own box, or null when there is nothing to say.
  function callout(box, item, scene, sight, matrices, state, other) {
    const anchor = anchorOf(scene, item);
    const matrix = anchor && matrices[anchor.panel];
    let at = matrix && project(sight, apply34(matrix, anchor.point));
    // Contents that no panel holds here have no place, but their figures and that they are gone.
    if (!at && item?.kind === "contents" && item.piece === scene.pieceIndex && state.showContents !== false) at = [sight.width / 3, sight.height];
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
      return `${piece.panels[item.index].name}: ${m ? facesWords(piece.panels[item.index].name, facing(scene.stand, [m[2], m[6], m[10]])) : unplaced(piece)}`;
    }
    case "contents": {
      const held = scene.unheld.has(item.index) ? "not shown at this fold, for the panels round it do not hold it" : "";
      return [briefly(scene.model, item, state), held, freeWords(piece.contents[item.index], scene.stand)].filter(Boolean).join("; ");
    }
    default: return briefly(scene.model, item, state);
  }
}
