// sizes.js shows the script's parameters as fields. A change runs the design at once with
// other values, while the script and the files on disk stay; `params` of the store holds
// what is tried, by name, as written: "95", "3in", "true". Lengths without a unit are mm.
import { el, name, number, onChange, setText, visible } from "./dom.js";
import { cureOf, cures } from "./hints.js";

const units = { mm: 1, cm: 10, in: 25.4, thou: 0.0254 };

export function mount(root, store, api) {
  const about = el("p", { className: "remark", id: "sizes-about" });
  const fields = el("div", { id: "sizes" });
  const foot = createFoot(store, api);
  const more = createMore(root, fields);
  root.append(fields, about, foot.root, more);
  const rows = new Map();
  let built = "";
  let proposed = { model: null, list: [] };

  const ctx = {
    // tried puts one value in force, or the script's own when text is null.
    tried(param, text) {
      const { [param.name]: _, ...others } = store.get().params;
      const own = text === null || sameValue(param, text, param.value);
      api.tryParams(own ? others : { ...others, [param.name]: text });
    },
  };

  store.on("own", ({ own }) => {
    const shape = JSON.stringify(own.map(({ site: _, value: __, ...rest }) => rest));
    if (shape !== built) {
      built = shape;
      rows.clear();
      const made = own.map((param) => {
        const row = createField(param, ctx);
        rows.set(param.name, row);
        return row.root;
      });
      fields.replaceChildren(...made);
    }
    for (const param of own) rows.get(param.name).param = param;
  });

  store.on(["own", "params", "model", "status"], ({ own, params, model, status }) => {
    if (proposed.model !== model) proposed = { model, list: model ? cures(model) : [] };
    setText(about, own.length === 0 ? (model ? "This script has no parameters: param(…) makes one." : "")
      : "Plain numbers are in the script’s unit, mostly mm; 3in, 40thou and 2.5cm are read too.");
    for (const [key, row] of rows) {
      row.show(Object.hasOwn(params, key) ? params[key] : null, model ? cureOf(model, row.param, proposed.list) : null);
    }
    foot.show(Object.keys(params).length, commandLine(status?.command ?? "creasewright make", params));
  });
}

// createMore is the button that says how many sizes stand below what is seen of the card, and
// goes to the first of them.
function createMore(root, fields) {
  let below = [];
  const button = el("button", { type: "button", className: "more", tabIndex: -1, hidden: true, attr: { "aria-hidden": "true" },
    on: { click: () => below[0]?.scrollIntoView({ block: "start" }) } });
  const card = root.closest(".card");
  const look = () => {
    const end = card.getBoundingClientRect().bottom;
    const scrolls = card.scrollHeight > card.clientHeight + 1 && getComputedStyle(card).overflowY === "auto";
    below = scrolls ? [...fields.children].filter((row) => row.getBoundingClientRect().bottom > end + 1) : [];
    button.hidden = below.length === 0;
    setText(button, `${below.length} more ${below.length === 1 ? "size" : "sizes"} below ▾`);
  };
  card.addEventListener("scroll", look, { passive: true });
  new ResizeObserver(look).observe(card);
  new MutationObserver(look).observe(fields, { childList: true });
  return button;
}

// createFoot says what the changes mean for the files, with the way back and the command.
function createFoot(store, api) {
  const told = el("p", { className: "changed" });
  const back = el("button", { type: "button", id: "all-back", textContent: "All as in the script", on: { click: () => api.tryParams({}) } });
  const shown = el("code", { id: "command", tabIndex: 0, attr: { role: "textbox", "aria-readonly": "true", "aria-label": "Command that makes these sizes" } });
  const take = el("button", { type: "button", id: "copy-command", textContent: "Copy command", on: { click: () => copy(shown, store) } });
  return {
    root: el("div", { className: "foot" }, told, back, take, shown),
    show(tried, command) {
      setText(told, tried ? `${tried} ${tried === 1 ? "size is" : "sizes are"} changed, on this page only. The script is as it was, and files on disk are still those of its own values.` : "");
      told.hidden = tried === 0;
      back.setAttribute("aria-disabled", String(tried === 0)); // not disabled: it would lose the focus
      setText(shown, command);
    },
  };
}

// copy puts the command on the clipboard; refused, it selects the text to be copied by hand.
async function copy(shown, store) {
  try {
    await navigator.clipboard.writeText(shown.textContent);
    store.set({ say: "" });
    store.set({ say: "The command is on the clipboard." });
    flash(shown, "copied");
  } catch {
    getSelection().selectAllChildren(shown);
    shown.focus();
    store.set({ say: "The clipboard was refused; the command is selected, copy it from there." });
  }
}

function flash(node, className) {
  node.classList.add(className);
  setTimeout(() => node.classList.remove(className), 1200);
}

// commandLine is the command for a POSIX shell.
export function commandLine(command, params) {
  return [command, ...Object.entries(params).map(([key, value]) => `--set ${quote(`${key}=${value}`)}`)].join(" ");
}

// quote writes one word of a POSIX shell: as it is where it means nothing more, else in
// single quotes, in which only the quote itself needs care.
export function quote(word) {
  return /^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}

// read gives a typed number in mm, or NaN when it is none.
export function read(text) {
  const match = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(mm|cm|in|thou)?\s*$/.exec(text);
  return match ? Number(match[1]) * units[match[2] ?? "mm"] : NaN;
}

// unitOf is the unit that a parameter's own words name, "" where they do not: the script
// alone decides what a number is used for.
export function unitOf({ kind, name: key, doc }) {
  if (kind !== "number" && kind !== "whole") return "";
  const words = `${key.replaceAll("_", " ")} ${doc}`.toLowerCase();
  if (/\bdegrees?\b|°|\bangles?\b/.test(words)) return "°";
  if (/\b(number|count|how many|share|percent|per cent|ratio|copies)\b/.test(words)) return "";
  return /\b(mm|widths?|heights?|depths?|lengths?|diameter|radius|thick(ness)?|gap|margin|clearance|room|wide|high|deep|long|across|reach|left to right|front to back|standing)\b/.test(words) ? "mm" : "";
}

// stepOf is a round step, about a hundredth of the range.
export function stepOf({ min, max, value }) {
  const range = min !== null && max !== null && max > min ? max - min : Math.abs(Number(value)) * 2 || 10;
  return 10 ** Math.floor(Math.log10(range / 30));
}

const isNumber = (param) => param.kind === "number" || param.kind === "whole";

function sameValue(param, text, value) {
  if (isNumber(param)) return Math.abs(read(text) - value) <= 1e-9 * Math.max(1, Math.abs(value));
  return text === plain(value);
}

// plain writes a value as --set takes it.
function plain(value) {
  return String(value);
}

// told writes a value for people.
function told(param, value) {
  if (param.kind === "yes-no") return value ? "yes" : "no";
  return isNumber(param) ? `${number(value, 6)} ${unitOf(param)}`.trim() : `“${visible(value)}”`;
}

// fault says what is wrong with a typed value, "" when nothing is.
function fault(param, text) {
  if (!isNumber(param) || param.choices) return "";
  const value = read(text);
  if (Number.isNaN(value)) return "A number is needed, such as 95, 3in or 40thou.";
  if (param.min !== null && value < param.min) return `At least ${told(param, param.min)}.`;
  if (param.max !== null && value > param.max) return `At most ${told(param, param.max)}.`;
  return "";
}

function limits(param) {
  const { min, max } = param;
  if (!isNumber(param) || param.choices) return "";
  if (min !== null && max !== null) return `${number(min, 6)} to ${told(param, max)}`;
  if (min !== null) return `at least ${told(param, min)}`;
  return max !== null ? `at most ${told(param, max)}` : "";
}

let fieldsMade = 0;

// createField makes the field of one parameter: {root, param, show(text, cure)}.
function createField(param, ctx) {
  const id = `size-${++fieldsMade}`;
  const field = { param };
  const wrong = el("p", { className: "wrong", id: `${id}-wrong`, attr: { role: "status" } });
  const mark = el("p", { className: "mark", hidden: true });
  const send = (text) => {
    const bad = fault(field.param, text);
    setText(wrong, bad);
    control.input.setAttribute("aria-invalid", String(bad !== ""));
    if (!bad) ctx.tried(field.param, text);
  };
  const control = (param.choices ? choiceControl : param.kind === "yes-no" ? yesNoControl : isNumber(param) ? numberControl : textControl)(param, id, send);
  Object.assign(control.input, { id });
  control.input.dataset.param = param.name;
  control.input.setAttribute("aria-describedby", `${id}-doc ${id}-wrong`);
  const about = [param.doc ? visible(param.doc) : "", limits(param)].filter(Boolean).join("; ");

  field.root = el("div", { className: "size" },
    el("label", { htmlFor: id }, name(param.name)), ...control.nodes,
    el("p", { className: "doc", id: `${id}-doc`, textContent: about }), wrong, mark);

  // put shows and tries a value that was not typed; the field takes the focus, as its
  // button goes away.
  function put(text, shown) {
    control.show(shown, false);
    if (text === null) ctx.tried(field.param, null);
    else send(text);
    control.input.setAttribute("aria-invalid", "false");
    control.input.focus();
  }

  field.show = (text, cure) => {
    const own = field.param.value;
    const invalid = document.activeElement === control.input && control.input.getAttribute("aria-invalid") === "true";
    if (!invalid) {
      control.show(text ?? plain(own), document.activeElement === control.input);
      setText(wrong, "");
      control.input.setAttribute("aria-invalid", "false");
    }
    field.root.classList.toggle("tried", text !== null);
    mark.hidden = text === null && !cure;
    drawMark([text, own, cure], text, own, cure);
  };

  const drawMark = onChange((text, own, cure) => {
    mark.replaceChildren();
    if (text !== null) {
      const to = /[a-z]/.test(text) && isNumber(field.param) ? ` to ${number(read(text), 3)} mm` : "";
      mark.append(`Changed${to}; the script has ${told(field.param, own)}. `,
        el("button", { type: "button", textContent: "As in the script", attr: { "aria-label": `${param.name} as in the script` }, on: { click: () => put(null, plain(own)) } }));
    }
    if (cure) {
      mark.append(el("span", { className: "cure" }, `Finding ${cure.number} would have ${number(cure.wanted)} for “${visible(cure.panel)}”. `),
        el("button", { type: "button", textContent: `Try ${number(cure.wanted)}`, on: { click: () => put(number(cure.wanted, 6), number(cure.wanted, 6)) } }));
    }
  });
  return field;
}

// Each control is {input, nodes, show(text, typing)}; while somebody types, the text stays theirs.
function numberControl(param, id, send) {
  const step = stepOf(param);
  const input = el("input", { type: "text", inputMode: "decimal", autocomplete: "off", spellcheck: false });
  const ranged = param.min !== null && param.max !== null && param.max > param.min;
  const range = ranged ? el("input", {
    type: "range", min: String(param.min), max: String(param.max), step: String(step),
    attr: { "aria-label": `${visible(param.name)}, by dragging` },
  }) : null;
  range?.addEventListener("input", () => {
    input.value = range.value;
    send(range.value);
  });
  input.addEventListener("input", () => send(input.value));
  input.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    const value = read(input.value);
    if (!way || Number.isNaN(value)) return;
    event.preventDefault();
    const moved = Math.round((value + way * step * (event.shiftKey ? 10 : 1)) / step) * step;
    input.value = number(Math.min(param.max ?? Infinity, Math.max(param.min ?? -Infinity, moved)), 6);
    send(input.value);
  });
  const unit = el("span", { className: "unit", textContent: unitOf(param) });
  return {
    input, nodes: [el("span", { className: "value" }, input, unit.textContent ? unit : null), range].filter(Boolean),
    show(text, typing) {
      if (!typing) input.value = text;
      unit.hidden = /[a-z]/.test(text); // the text names its own
      if (range && document.activeElement !== range) range.value = String(read(text));
    },
  };
}

function textControl(param, id, send) {
  const input = el("input", { type: "text", autocomplete: "off", spellcheck: false, on: { input: () => send(input.value) } });
  return { input, nodes: [input], show: (text, typing) => { if (!typing) input.value = text; } };
}

function yesNoControl(param, id, send) {
  const input = el("input", { type: "checkbox", on: { change: () => send(String(input.checked)) } });
  return { input, nodes: [input], show: (text) => { input.checked = text === "true"; } };
}

function choiceControl(param, id, send) {
  const input = el("select", { on: { change: () => send(input.value) } },
    ...param.choices.map((choice) => el("option", { value: plain(choice), textContent: visible(param.kind === "yes-no" ? (choice ? "yes" : "no") : choice) })));
  return {
    input, nodes: [input],
    show(text) {
      const at = param.choices.findIndex((choice) => sameValue({ ...param }, text, choice));
      input.selectedIndex = at;
    },
  };
}
