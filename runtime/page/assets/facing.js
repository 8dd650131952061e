// facing.js says in words which panel faces where in a state of the fold, for those who do
// not see the picture. Pure functions. Directions are those of the piece as it stands, as
// on the buttons of the straight-on views.

import { dot } from "./camera.js";

const axes = [
  ["right", "left", "right"],
  ["up", "below", "top"],
  ["front", "back", "front"],
];

// A direction within half of this many degrees of an axis is told by that side alone.
const plain = 30;

// facing is the side a unit vector of the world points to: "front", or of a slanting one
// "front and top, 30° up from front".
export function facing(stand, normal) {
  const parts = axes.map(([axis, low, high]) => {
    const along = dot(stand[axis], normal);
    return { word: along < 0 ? low : high, much: Math.abs(along) };
  });
  parts.sort((a, b) => b.much - a.much);
  const off = (Math.acos(Math.min(1, parts[0].much)) * 180) / Math.PI;
  if (off < 0.5) return parts[0].word;
  if (off < plain / 2) return `${parts[0].word}, ${Math.round(off)}° off toward ${parts[1].word}`;
  return `between ${parts[0].word} and ${parts[1].word}, ${Math.round(off)}° off ${parts[0].word}`;
}

// Names that say a side: a panel may be called front and face the back.
const sideName = /\b(front|back|left|right|top|bottom|below)\b/i;

// facesWords says where the outside of a panel faces, and whose side that is when the panel's
// own name says one.
export function facesWords(name, where) {
  return `faces ${where}${sideName.test(name) ? " of the piece as it stands" : ""}`;
}

// faces lists the panels of a state, the largest first: {index, name, area, where}. where
// is null for a panel that has no place in it.
export function faces(piece, panels, stand) {
  const all = piece.panels.map((panel, index) => {
    const m = panels[index];
    return { index, name: panel.name, area: panel.area, where: m ? facing(stand, [m[2], m[6], m[10]]) : null };
  });
  return all.sort((a, b) => b.area - a.area || a.index - b.index);
}

// isCurved reports whether a piece has what is cut but not folded in space.
const isCurved = (piece) => piece.panels.some((p) => p.bent) || piece.hinges.some((h) => h.axis === null);

// unplaced says why a panel has no place in a state.
export function unplaced(piece) {
  return isCurved(piece) ? "not shown in space, being bent or beyond a bent panel or curved crease" : "no place, its fold was not found";
}

// leftOut says what is missing from a state, or "" when every panel has its place.
export function leftOut(piece, panels) {
  if (panels.every((m) => m !== null)) return "";
  if (isCurved(piece)) return "bent panels, curved creases and what hangs on them are not shown in space";
  return "some folds were not found here, and what hangs on them is left out";
}

// Of more panels than this the spoken text names the largest only.
const spoken = 16;

// sentence says it all in one breath: the state, then side by side the panels.
export function sentence(piece, pose, share, list) {
  const bySide = new Map();
  for (const { name, where } of list.slice(0, spoken)) {
    const side = where ?? unplaced(piece);
    bySide.set(side, [...(bySide.get(side) ?? []), name]);
  }
  const sides = [...bySide].map(([where, names]) => `${where}: ${names.join(", ")}`);
  const rest = list.length - spoken;
  if (rest > 0) sides.push(`and ${rest} smaller ${rest > 1 ? "panels" : "panel"}`);
  const named = list.some(({ name }) => sideName.test(name)) ? " Sides are those of the piece as it stands, whatever its panels are called." : "";
  return `${piece.name}, ${stateWords(pose, share)}.${named} Outsides face ${sides.join("; ")}.`;
}

// stateWords names a state of the fold.
export function stateWords(pose, share) {
  if (share === 0) return "flat";
  return `${pose} ${Math.round(share * 100)} %`;
}

// freeWords says what is free round contents, side by side, in mm.
export function freeWords(contents, stand) {
  const free = contents.free ?? {};
  const m = contents.frame;
  if (!m) return "";
  const axes = { x: [m[0], m[4], m[8]], y: [m[1], m[5], m[9]], z: [m[2], m[6], m[10]] };
  const parts = [];
  for (const [key, value] of Object.entries(free)) {
    if (typeof value !== "number") continue;
    const axis = axes[key[0]], sign = key[1] === "-" ? -1 : 1;
    parts.push(`${facing(stand, axis.map((v) => sign * v))} ${Math.round(value * 100) / 100}`);
  }
  return parts.length ? `free round it, mm: ${parts.join(", ")}` : "";
}
