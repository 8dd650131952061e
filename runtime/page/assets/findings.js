// findings.js lists what the rules found: numbered as on the preview sheet, each with its
// severity as a shape and a word, its message and its hint. A click selects a finding,
// which both views and the script then show. Waived findings, cautions and what the
// script printed stand below.
import { el, name, reveal, visible } from "./dom.js";
import { sameItem } from "./items.js";

export const shapes = { error: "◆", warning: "▲", note: "●" };

export function mount(root, store) {
  const list = el("ol", { id: "findings" });
  const count = el("p", { className: "count" });
  const rest = el("div", { className: "rest" });
  const box = el("div", { className: "scroll", tabIndex: 0, attr: { role: "region", "aria-label": "Findings and cautions" } }, count, list, rest);
  const check = el("input", { type: "checkbox", on: { change: () => store.set({ notes: check.checked }) } });
  root.querySelector("h2").after(el("label", { className: "filter" }, check, "notes too"));
  root.append(box);

  store.on(["model", "notes"], ({ model, notes }) => {
    check.checked = notes;
    const found = (model?.findings ?? []).map((finding, index) => ({ finding, index }));
    const shown = found.filter(({ finding }) => notes || finding.severity !== "note");
    list.replaceChildren(...shown.map(({ finding, index }) => row(model, finding, index, store)));
    count.textContent = model ? counted(found.map((f) => f.finding)) : "";
    rest.replaceChildren(...(model ? others(model) : []));
    mark(list, box, store.get());
  });
  store.on(["selection", "hover"], (state) => mark(list, box, state));
}

// counted says how many of each severity there are.
function counted(findings) {
  const of = (severity) => findings.filter((f) => f.severity === severity).length;
  const [errors, warnings, notes] = [of("error"), of("warning"), of("note")];
  const plural = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;
  if (errors + warnings + notes === 0) return "Nothing was found by any rule.";
  const parts = [errors && plural(errors, "error"), warnings && plural(warnings, "warning"), notes && plural(notes, "note")];
  return parts.filter(Boolean).join(", ");
}

function row(model, finding, index, store) {
  const item = { kind: "finding", index, piece: finding.piece ?? store.get().piece };
  const several = model.pieces.length > 1 && finding.piece !== null;
  const where = [several ? model.pieces[finding.piece]?.name : "", finding.pose ? `pose ${finding.pose}` : ""].filter(Boolean).join(", ");
  const button = el("button", {
    type: "button", className: "finding",
    on: {
      click: () => store.set({ selection: item, ...(finding.piece === null ? {} : { piece: finding.piece }) }),
      pointerenter: () => store.set({ hover: item }),
      pointerleave: () => store.set({ hover: null }),
    },
  },
  el("span", { className: "head" },
    finding.number ? el("b", { className: "number", textContent: String(finding.number) }) : null,
    el("span", { className: "shape", textContent: shapes[finding.severity], attr: { "aria-hidden": "true" } }),
    el("span", { className: "severity", textContent: finding.severity }), " ",
    el("code", { className: "rule", textContent: finding.rule }),
    where ? el("span", { className: "where", textContent: visible(where) }) : null),
  name(finding.message, "message"),
  finding.hint ? el("span", { className: "hint" }, el("i", { textContent: "hint " }), name(finding.hint)) : null);
  return el("li", { className: finding.severity, data: { number: finding.number, index } }, button);
}

// mark shows which finding is selected or pointed at.
function mark(list, box, { selection, hover }) {
  for (const li of list.children) {
    const here = { kind: "finding", index: Number(li.dataset.index) };
    const selected = selection?.kind === "finding" && sameItem(selection, here);
    const was = li.classList.contains("selected");
    li.classList.toggle("selected", selected);
    li.classList.toggle("hovered", hover?.kind === "finding" && sameItem(hover, here));
    li.firstElementChild.setAttribute("aria-pressed", String(selected));
    if (selected && !was) reveal(box, li);
  }
}

// others are the lists below the findings.
function others(model) {
  const made = [];
  const part = (head, items) => {
    if (items.length > 0) made.push(el("h3", { textContent: head }), el("ul", {}, ...items));
  };
  part("Waived in the script", model.waived.map((w) => el("li", {},
    el("code", { textContent: w.rule }), " on ", name([].concat(w.on ?? []).join(", ")), w.reason ? ": " : null, w.reason ? name(w.reason) : null)));
  part("Cautions", model.cautions.map((text) => el("li", { textContent: visible(text) })));
  part("Printed by the script", model.prints.map((text) => el("li", {}, name(text, "print"))));
  return made;
}
