// label.js is the line at the head of the page: what is shown, how it stands with the
// script, which script and piece to show, and the colours of the page.
import { el, name, onChange, setText, visible } from "./dom.js";

const coloursKey = "creasewright colours";

export function mount(root, store) {
  const find = (selector) => root.querySelector(selector);
  mountColours(find("#colours select"), store);
  mountScripts(find("#scripts"), store);
  mountPieces(find("#pieces"), store);
  store.on(["status", "model"], ({ status, model }) => {
    const title = model?.title || status?.name || "Creasewright";
    setText(find("#title"), visible(title));
    find("#title").title = visible(title);
    document.title = visible(title === "Creasewright" ? title : `${title} · Creasewright`);
  });
  store.on(["status", "model", "trial", "offline"], (state) => setText(find("#status"), visible(standing(state))));
  mountElsewhere(find("#elsewhere"), store);
  store.on("offline", ({ offline }) => tellOffline(document.getElementById("offline"), offline, store));
  store.on("digest", (state) => {
    if (state.model) store.set({ say: summary(state.model) });
  });
}

// standing says how what is shown stands with the script.
function standing({ status, model, trial, offline }) {
  if (!status) return "Waiting for the watch";
  if (offline) return "The watch has ended; this is the last it showed";
  if (status.gone) return `${status.name} is not in its folder any more${model ? "; the last good model is shown" : ""}`;
  if (status.exit >= 2) return model ? `${status.name} does not run; the last good model is shown` : `${status.name} does not run`;
  if (!model) return `${status.name}: first run`;
  if (trial) return `${status.name} with other sizes, not saved`;
  const errors = model.findings.filter((f) => f.severity === "error").length;
  return `In step with ${status.name}, run in ${status.took} ms${errors ? `, ${count(model.findings, "error", "error")}` : ""}`;
}

function count(list, severity, word) {
  const found = list.filter((f) => f.severity === severity).length;
  return `${found || "no"} ${word}${found === 1 ? "" : "s"}`;
}

// summary is what a screen reader is told of a new run.
function summary(model) {
  return `Shown anew: ${count(model.findings, "error", "error")}, ${count(model.findings, "warning", "warning")}.`;
}

function tellOffline(place, offline, store) {
  place.hidden = !offline;
  const { status } = store.get();
  if (!offline) return place.replaceChildren();
  place.replaceChildren(
    "The watch that served this page has ended: nothing here follows the script any more. Start it again with ",
    el("code", { textContent: `creasewright watch ${visible(status?.name ?? "SCRIPT")}` }), " and open the address it prints.");
}

// mountElsewhere offers the piece that has errors, when the one that is shown is another.
function mountElsewhere(button, store) {
  let first = null;
  button.addEventListener("click", () => store.set({ piece: first.piece, selection: first }));
  store.on(["model", "piece"], ({ model, piece }) => {
    const errors = (model?.findings ?? []).flatMap((f, index) => (f.severity === "error" && f.piece !== null ? [{ kind: "finding", index, piece: f.piece }] : []));
    const there = errors.filter((e) => e.piece !== piece);
    first = there[0] ?? null;
    button.hidden = first === null;
    if (!first) return;
    const names = [...new Set(there.map((e) => `“${model.pieces[e.piece].name}”`))];
    setText(button, visible(`${there.length} ${there.length === 1 ? "error" : "errors"} in ${names.length > 1 ? "pieces" : "piece"} ${names.join(", ")}: show`));
  });
}

// mountScripts shows a button for each script when there are several.
function mountScripts(root, store) {
  const draw = onChange((scripts, script) => {
    const had = root.contains(document.activeElement);
    root.replaceChildren(...scripts.map((s) => el("button", {
      type: "button", title: visible(s.path), data: { script: s.id }, attr: { "aria-current": s.id === script ? "true" : null },
      on: { click: () => store.set({ script: s.id }) },
    }, name(s.name), s.exit ? el("span", { className: "flag", textContent: s.exit === 1 ? "findings" : "fault" }) : null)));
    if (had) root.querySelector("[aria-current]")?.focus();
  });
  store.on(["scripts", "script"], ({ scripts, script }) => {
    root.hidden = scripts.length < 2;
    draw([scripts.map((s) => [s.id, s.name, s.path, s.exit]), script], scripts, script);
  });
}

function mountPieces(root, store) {
  const select = root.querySelector("select");
  select.addEventListener("change", () => store.set({ piece: Number(select.value), selection: null }));
  store.on(["model", "piece"], ({ model, piece }) => {
    const pieces = model?.pieces ?? [];
    root.hidden = pieces.length < 2;
    const names = pieces.map((p) => visible(p.name));
    if ([...select.options].map((o) => o.textContent).join("\n") !== names.join("\n")) {
      select.replaceChildren(...names.map((text, i) => el("option", { value: String(i), textContent: text })));
    }
    select.value = String(piece);
  });
}

// mountColours puts the choice, or what the system prefers, on the root for the style sheet.
function mountColours(select, store) {
  const system = matchMedia("(prefers-color-scheme: dark)");
  function apply() {
    const colours = select.value === "system" ? (system.matches ? "dark" : "light") : select.value;
    document.documentElement.dataset.colours = colours;
    store.set({ colours });
  }
  try {
    select.value = localStorage.getItem(coloursKey) ?? "system";
  } catch {
    // storage refused: as the system has it
  }
  if (select.selectedIndex < 0) select.value = "system";
  select.addEventListener("change", () => {
    try {
      localStorage.setItem(coloursKey, select.value);
    } catch {
      // it holds until the page is closed
    }
    apply();
  });
  system.addEventListener("change", apply);
  apply();
}
