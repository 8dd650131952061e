// source.js shows the script that made what is selected: the line with its span
// underlined, the calls that led there as a trail of buttons, findings beside the lines
// they are about, and the sizes that hints propose beside the sizes as written. Lines and
// columns count from 1, columns in code points; the end of a span is just past it.
import { el, name, number, reveal, visible } from "./dom.js";
import { cures } from "./hints.js";
import { nameOf, siteOf } from "./items.js";
import { shapes } from "./findings.js";

const tokens = /"""[\s\S]*?"""|'''[\s\S]*?'''|"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|#[^\n]*/g;

export function mount(root, store, api) {
  const trail = el("p", { id: "trail" });
  const box = el("div", { id: "source", tabIndex: 0, attr: { role: "region", "aria-label": "Script text" } });
  root.append(trail, box);
  const view = { model: null, key: "", file: -1, lines: [], paint: [], proposed: [], rows: [], frame: null, step: 0 };

  function here() {
    const site = siteOf(view.model, store.get().selection).filter(([file]) => file >= 0);
    return { site, frame: site[Math.min(view.step, site.length - 1)] ?? null };
  }

  // show brings the file, the line and the trail of what is selected.
  function show(anew, moved = false) {
    const { model, notes } = store.get();
    const key = model ? JSON.stringify([model.sources, model.findings, notes]) : "";
    const fresh = anew || key !== view.key;
    view.model = model;
    view.key = key;
    if (!model) {
      view.file = -1;
      return void (trail.replaceChildren(), box.replaceChildren());
    }
    if (fresh) view.proposed = cures(model);
    const { site, frame } = here();
    const before = view.frame;
    const main = Math.max(0, model.sources.findIndex((s) => s.file === model.script));
    const file = frame?.[0] ?? (store.get().selection || view.file < 0 || !model.sources[view.file] ? main : view.file);
    if (fresh || file !== view.file) openFile(file);
    const old = view.frame;
    view.frame = frame;
    redraw(old);
    redraw(frame);
    drawTrail(site, frame);
    // A save leaves the reader where they are, unless the line has moved away.
    if (frame && (moved || JSON.stringify(frame) !== JSON.stringify(old ?? before))) {
      const at = view.rows[frame[1] - 1];
      if (at) reveal(box, at);
    }
  }

  function openFile(file) {
    const top = file === view.file ? box.scrollTop : 0;
    view.file = file;
    view.frame = null;
    view.lines = view.model.sources[file].text.replace(/\n$/, "").split("\n").map((l) => Array.from(l.replace(/\r$/, "")));
    view.paint = paint(view.model.sources[file].text);
    view.rows = view.lines.map((_, i) => row(i + 1));
    const asides = remarks(view.model, file, store.get());
    box.replaceChildren();
    view.rows.forEach((made, i) => box.append(made, ...(asides.get(i + 1) ?? []).map((r) => aside(r, store))));
    box.scrollTop = top;
  }

  function row(line) {
    const editable = store.get().status?.editor;
    const mark = editable
      ? el("button", { type: "button", className: "no", tabIndex: -1, textContent: String(line), title: "Open in the editor", on: { click: () => api.edit(view.model.sources[view.file].file, line) } })
      : el("span", { className: "no", textContent: String(line) });
    const made = el("div", { className: "row", data: { line } }, mark, el("code"));
    draw(made, line);
    return made;
  }

  function redraw(frame) {
    if (!frame || frame[0] !== view.file) return;
    for (let line = frame[1]; line <= frame[3]; line++) if (view.rows[line - 1]) draw(view.rows[line - 1], line);
  }

  // draw writes one line: comments and texts quieter, the span underlined, proposals behind sizes.
  function draw(made, line) {
    const text = view.lines[line - 1];
    const frame = view.frame?.[0] === view.file ? view.frame : null;
    const inside = frame && line >= frame[1] && line <= frame[3];
    made.classList.toggle("here", Boolean(frame) && line === frame[1]);
    if (frame && line === frame[1]) made.setAttribute("aria-current", "true");
    else made.removeAttribute("aria-current");
    const spans = [...(view.paint[line] ?? [])];
    if (inside) {
      const from = line === frame[1] ? frame[2] : text.findIndex((c) => c.trim() !== "") + 1;
      spans.push([from, line === frame[3] ? frame[4] : text.length + 1, "span"]);
    }
    const asked = view.proposed.filter((c) => c.spot?.file === view.file && c.spot.line === line);
    made.lastElementChild.replaceChildren(...pieces(text, spans, asked.map((c) => [c.spot.column, proposal(c)])));
  }

  function drawTrail(site, frame) {
    const { selection, status } = store.get();
    const files = view.model.sources;
    const steps = site.map((f, i) => el("button", {
      type: "button", attr: { "aria-current": f === frame ? "true" : null },
      on: { click: () => { view.step = i; show(false, true); trail.querySelector("[aria-current]")?.focus(); } },
    }, name(files[f[0]].file), ` ${f[1]}`));
    const parts = [];
    if (selection) parts.push(name(nameOf(view.model, selection), "what"));
    else parts.push(name(files[view.file].file, "what"));
    steps.forEach((step, i) => parts.push(i ? el("span", { className: "then" }, el("span", { textContent: "›", attr: { "aria-hidden": "true" } }), el("span", { className: "unseen", textContent: "which calls" })) : null, step));
    if (status?.editor) {
      const [file, line] = frame ? [files[frame[0]].file, frame[1]] : [files[view.file].file, 1];
      parts.push(el("button", { type: "button", className: "edit", textContent: "Open in editor", on: { click: () => api.edit(file, line) } }));
    }
    trail.replaceChildren(...parts.filter(Boolean));
  }

  store.on(["model", "notes"], () => show(false));
  store.on("status", ({ status }) => {
    if (view.model && Boolean(status?.editor) !== Boolean(trail.querySelector(".edit"))) show(true);
  });
  store.on("selection", ({ selection, model }) => {
    view.step = 0;
    show(false, true);
    const spot = siteOf(model, selection)[0];
    if (selection && model) store.set({ say: `${nameOf(model, selection)}${spot?.[0] >= 0 ? `, ${model.sources[spot[0]].file} line ${spot[1]}` : ""}` });
  });
}

// paint lists, for each line, the stretches of comments and texts.
function paint(text) {
  const made = [];
  let line = 1;
  let start = 0; // of the line, in the text
  let at = 0;
  for (const match of text.matchAll(tokens)) {
    for (; at < match.index; at++) if (text[at] === "\n") [line, start] = [line + 1, at + 1];
    const kind = match[0][0] === "#" ? "comment" : "text";
    for (const part of match[0].split("\n")) {
      const from = Array.from(text.slice(start, at)).length + 1;
      (made[line] ??= []).push([from, from + Array.from(part).length, kind]);
      at += part.length;
      if (at < match.index + match[0].length) [line, start, at] = [line + 1, at + 1, at + 1];
    }
  }
  return made;
}

// pieces cuts a line at the ends of its spans and puts the insertions between.
function pieces(text, spans, insertions) {
  const end = text.length + 1;
  const cuts = [...new Set([1, end, ...spans.flatMap(([a, b]) => [a, b]), ...insertions.map(([at]) => at)])]
    .map((c) => Math.min(Math.max(c, 1), end)).sort((a, b) => a - b);
  const made = [];
  const insert = (at) => made.push(...insertions.filter(([c]) => Math.min(c, end) === at).map(([, node]) => node));
  for (let i = 0; i + 1 < cuts.length; i++) {
    const [from, to] = [cuts[i], cuts[i + 1]];
    if (i === 0 || from !== cuts[i - 1]) insert(from);
    if (from === to) continue;
    const classes = spans.filter(([a, b]) => a <= from && b >= to).map(([, , kind]) => kind).join(" ");
    const shown = visible(text.slice(from - 1, to - 1).join(""));
    made.push(classes ? el("span", { className: classes, textContent: shown }) : shown);
  }
  insert(end);
  return made;
}

// proposal is the number a hint would put in place of the size it stands behind.
function proposal(cure) {
  const word = cure.argument ? "" : `${cure.word} `;
  const why = `finding ${cure.number} would have ${number(cure.wanted)} here for ${cure.word}, instead of ${number(cure.present)}`;
  return el("span", { className: "cure", title: why, attr: { role: "note", "aria-label": why } }, ` → ${word}${number(cure.wanted)}`, el("b", { textContent: String(cure.number) }));
}

// remarks lists what findings say about lines of a file, by line.
function remarks(model, file, { notes }) {
  const by = new Map();
  const add = (line, remark) => by.set(line, [...(by.get(line) ?? []), remark]);
  model.findings.forEach((finding, index) => {
    if (finding.severity === "note" && !notes) return;
    const spot = finding.site.find(([f]) => f === file);
    if (spot) add(spot[3], { finding, index, message: finding.message, hint: finding.hint });
    for (const related of finding.related) {
      const other = related.site.find(([f]) => f === file);
      if (other && other[1] !== spot?.[1]) add(other[3], { finding, index, message: related.message, hint: "" });
    }
  });
  return by;
}

function aside({ finding, index, message, hint }, store) {
  const item = { kind: "finding", index, piece: finding.piece ?? store.get().piece };
  return el("button", {
    type: "button", className: `aside ${finding.severity}`,
    on: { click: () => store.set({ selection: item, ...(finding.piece === null ? {} : { piece: finding.piece }) }) },
  },
  el("span", { className: "shape", textContent: shapes[finding.severity], attr: { "aria-hidden": "true" } }),
  finding.number ? el("b", { className: "number", textContent: String(finding.number) }) : null,
  el("span", { className: "severity", textContent: finding.severity }), " ",
  name(message), hint ? el("span", { className: "hint" }, el("i", { textContent: " hint " }), name(hint)) : null);
}
