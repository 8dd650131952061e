// words.js says in words what the flat view shows: names, sizes, folds and gaps. Lengths
// in mm to 0.01, angles in degrees to 0.01.
import { nameOf } from "./items.js";
import { boundsOf, lengthOfAll } from "./geometry.js";

// mm writes a length with the decimals that a measure has.
export const mm = (v) => `${fixed(v, 2)} mm`;

// fixed never writes a negative zero.
export function fixed(v, decimals) {
  const text = v.toFixed(decimals);
  return Number(text) === 0 ? text.replace("-", "") : text;
}

// trimmed is fixed to two decimals without closing zeros.
export const trimmed = (v) => String(Number(fixed(v, 2)));
export const degrees = (v) => `${trimmed(v)}°`;

// sizeOf is how broad and high curves are, as they lie in their frame.
export function sizeOf(curves) {
  const [x0, y0, x1, y1] = boundsOf(curves);
  return `${trimmed(x1 - x0)} × ${trimmed(y1 - y0)} mm`;
}

// foldOf says how far a hinge is folded: at what is shown now, and in the pose ahead.
export function foldOf(piece, hinge, { pose, state, ...page }) {
  const ahead = piece.poses.find((p) => p.name === pose)?.folds?.[hinge];
  const now = state?.piece === page.piece ? state?.folds?.[hinge] : undefined;
  const parts = [];
  if (Number.isFinite(now)) parts.push(`${degrees(now)} now`);
  if (Number.isFinite(ahead)) parts.push(`${degrees(ahead)} ${pose}`);
  return parts.join(", ") || "not folded";
}

// gapsOf says how far apart the sides of a join are in each pose that asks for it.
export function gapsOf(join) {
  const gaps = Object.entries(join.gaps ?? {}).filter(([, gap]) => Number.isFinite(gap));
  return gaps.map(([pose, gap]) => `gap ${mm(gap)} in ${pose}`).join(", ") || "not closed in any pose";
}

// briefly is what one thing is called and its figures.
export function briefly(model, item, state) {
  const piece = model.pieces[item.piece];
  const called = nameOf(model, item);
  const thing = (list) => piece[list][item.index];
  switch (item.kind) {
    case "panel": return `${called}, ${sizeOf(thing("panels").rings.flat())}`;
    case "window": return `${called}, ${sizeOf(thing("windows").curves)}`;
    case "hinge": return `${called}: ${foldOf(piece, item.index, state)}`;
    case "join": return `${called}: ${gapsOf(thing("joins"))}`;
    case "contents": {
      const { round, size } = thing("contents");
      return `${called}, ${round ? `⌀ ${size[0]} × ${size[2]}` : size.join(" × ")} mm`;
    }
    case "finding": {
      const found = model.findings[item.index];
      return `${found.severity} ${found.number || ""}: ${found.message}`.replace(" :", ":");
    }
    default: return called;
  }
}

// fully adds what hangs together with it: the folds and edges of a panel, the panels of a
// hinge, the hint of a finding.
export function fully(model, item, state) {
  const piece = model.pieces[item.piece];
  const parts = [briefly(model, item, state)];
  const nameAt = (index) => piece.panels[index]?.name ?? "";
  if (item.kind === "panel") {
    const folds = piece.hinges.flatMap((h, i) => {
      if (h.parent !== item.index && h.child !== item.index) return [];
      const other = nameAt(h.parent === item.index ? h.child : h.parent);
      return [`to ${other} at ${h.name}, ${foldOf(piece, i, state)}`];
    });
    const edges = (piece.panels[item.index].edges ?? []).map((e) => `${e.name} ${mm(lengthOfAll(e.curves))}`);
    parts.push(folds.length ? `folds: ${folds.join("; ")}` : "no folds");
    if (edges.length) parts.push(`edges: ${edges.join(", ")}`);
  }
  if (item.kind === "hinge") {
    const hinge = piece.hinges[item.index];
    parts.push(`${hinge.kind}, ${mm(hinge.length)}, from ${nameAt(hinge.parent)} to ${nameAt(hinge.child)}`);
  }
  if (item.kind === "finding" && model.findings[item.index].hint) parts.push(`hint: ${model.findings[item.index].hint}`);
  return `${parts.join(". ")}.`;
}
