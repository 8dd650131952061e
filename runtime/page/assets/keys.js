// keys.js lists the page's keys in a dialog, and answers those that hold everywhere.
import { el } from "./dom.js";

const own = [
  ["?", "this list"],
  ["n / b", "next and previous finding"],
  ["Esc", "select nothing"],
  ["← / →", "on the crease bar: one step of the fold"],
  ["Page up / Page down", "on the crease bar: an eighth of the way"],
  ["Home / End", "on the crease bar: flat, folded"],
  ["Space", "on the crease bar: fold to and fro, and stop"],
  ["↑ / ↓", "in a size: one step, ten with Shift"],
];

export function mount(dialog, store) {
  const body = el("tbody");
  dialog.append(
    el("h2", { id: "keys-name", textContent: "Keys" }),
    el("button", { type: "button", textContent: "Close", on: { click: () => dialog.close() } }),
    el("table", {}, el("caption", { className: "unseen", textContent: "Keys and what they do" }), body));
  const opener = document.getElementById("keys-open");

  function open() {
    const rows = [...own, ...(store.get().keys ?? [])];
    body.replaceChildren(...rows.map(([key, does]) => el("tr", {}, el("th", { scope: "row" }, el("kbd", { textContent: key })), el("td", { textContent: does }))));
    dialog.showModal();
  }

  opener.addEventListener("click", open);
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || dialog.open || typing(event.target)) return;
    const act = { "?": open, n: () => step(store, 1), b: () => step(store, -1), Escape: () => store.set({ selection: null }) }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
}

// typing reports whether a key belongs to the field it is pressed in.
function typing(target) {
  return target instanceof HTMLElement && (target.isContentEditable || target.matches("select, textarea, input:not([type=range], [type=checkbox])"));
}

// step selects the next of the findings that are listed.
function step(store, by) {
  const { model, selection, notes } = store.get();
  const listed = (model?.findings ?? []).map((f, index) => ({ f, index })).filter(({ f }) => f.severity !== "note" || notes);
  if (listed.length === 0) return;
  const at = selection?.kind === "finding" ? listed.findIndex((x) => x.index === selection.index) : by > 0 ? -1 : 0;
  const { f, index } = listed[(at + by + listed.length) % listed.length];
  store.set({ selection: { kind: "finding", index, piece: f.piece ?? store.get().piece }, ...(f.piece === null ? {} : { piece: f.piece }) });
}
