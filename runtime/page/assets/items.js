// items.js finds what a selection means in a model: the thing, its name in words, and
// the spot of the script that made it. A selection is {kind, index, piece}; an index
// counts in the list of its kind of that piece, of findings in the model's own list.

export function sameItem(a, b) {
  if (!a || !b) return a === b;
  return a.kind === b.kind && a.index === b.index && (a.kind === "finding" || a.piece === b.piece);
}

const lists = { panel: "panels", window: "windows", hinge: "hinges", join: "joins", contents: "contents" };

// itemOf is the entry that a selection means, or null when there is none.
export function itemOf(model, selection) {
  if (!model || !selection) return null;
  if (selection.kind === "finding") return model.findings[selection.index] ?? null;
  const piece = model.pieces[selection.piece];
  return piece?.[lists[selection.kind]]?.[selection.index] ?? null;
}

// siteOf is the list of spots [file, line, column, endLine, endColumn] that made it.
export function siteOf(model, selection) {
  return itemOf(model, selection)?.site ?? [];
}

// relatedTo are the panels that a finding names besides its own, and shows the script of.
export function relatedTo(piece, { related }) {
  const spans = related.map(({ message, site }) => ({ message, span: JSON.stringify(site[0]) }));
  return [...piece.panels.keys()].filter((i) => {
    const { name, site } = piece.panels[i];
    return spans.some(({ message, span }) => message.includes(`"${name}"`) && site.some((frame) => JSON.stringify(frame) === span));
  });
}

// sideOf names one side of a join.
function sideOf(piece, side) {
  const panel = piece.panels[side.panel]?.name ?? "";
  return side.edge ? `${panel}.${side.edge}` : panel;
}

// nameOf names what is selected, in the words of the trade.
export function nameOf(model, selection) {
  const item = itemOf(model, selection);
  if (!item) return "";
  const piece = model.pieces[selection.piece];
  switch (selection.kind) {
    case "panel": return `${item.role} "${item.name}"`;
    case "window": return `window in "${piece.panels[item.panel]?.name ?? ""}"`;
    case "hinge": return `hinge "${item.name}"`;
    case "join": return `${item.kind} "${sideOf(piece, item.a)}" to "${sideOf(piece, item.b)}"`;
    case "contents": return `contents "${item.name}"`;
    default: return item.number ? `finding ${item.number}` : "note";
  }
}

// identity is what an entry is known by from one run to the next.
function identity(model, selection) {
  const item = itemOf(model, selection);
  if (!item) return null;
  if (selection.kind === "finding") return JSON.stringify([item.rule, item.panel, item.pose, item.piece]);
  return nameOf(model, selection);
}

// carry finds in a new model what a selection meant in the old one; null when it is gone.
export function carry(selection, old, fresh) {
  if (!selection) return null;
  if (!old) return itemOf(fresh, selection) ? selection : null;
  const known = identity(old, selection);
  if (known === null) return null;
  if (identity(fresh, selection) === known) return selection;
  const list = selection.kind === "finding" ? fresh.findings : fresh.pieces[selection.piece]?.[lists[selection.kind]] ?? [];
  for (let index = 0; index < list.length; index++) {
    const there = { ...selection, index };
    if (identity(fresh, there) === known) return there;
  }
  return null;
}

// fit changes what of the state a new model does not have: piece, pose, selection.
export function fit(state, fresh) {
  const piece = fresh.pieces[state.piece] ? state.piece : 0;
  const poses = (fresh.pieces[piece]?.poses ?? []).map((pose) => pose.name);
  const pose = poses.includes(state.pose) ? state.pose : folded(fresh.pieces[piece]);
  return { piece, pose, selection: carry(state.selection, state.model, fresh), hover: null };
}

// folded is the pose that a piece is folded to at first.
export function folded(piece) {
  const poses = (piece?.poses ?? []).map((pose) => pose.name);
  if (poses.includes("closed")) return "closed";
  return poses.filter((name) => name !== "flat").at(-1) ?? "closed";
}
