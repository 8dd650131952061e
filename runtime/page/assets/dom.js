// dom.js makes elements. Whatever comes from a script is set as text; nothing
// here reads markup, so a hostile name stays a name.

// el makes an element. Props are properties of the element (className, textContent,
// htmlFor, …), but for `on`, a table of listeners, `data`, a table for dataset, and
// `attr`, a table of attributes. Children are nodes or strings; null is left out.
export function el(tag, props = {}, ...children) {
  const made = document.createElement(tag);
  const { on, data, attr, ...rest } = props;
  Object.assign(made, rest);
  for (const [type, listener] of Object.entries(on ?? {})) made.addEventListener(type, listener);
  for (const [name, value] of Object.entries(data ?? {})) made.dataset[name] = value;
  for (const [name, value] of Object.entries(attr ?? {})) {
    if (value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

// Characters that draw nothing of their own or turn the direction of what follows.
const unseen = /[\u0000-\u0008\u000B-\u001F\u007F-\u009F\u061C\u200B-\u200F\u2028-\u202E\u2060-\u2069\uFEFF]/gu;

// visible writes characters that cannot be seen as their code, U+202E say, so that a
// name reads as it is spelt.
export function visible(text) {
  return String(text).replace(unseen, (c) => `⟨U+${c.codePointAt(0).toString(16).toUpperCase().padStart(4, "0")}⟩`);
}

// name is a text that a script chose, kept apart from the direction of what stands round it.
export function name(text, className = "name") {
  return el("bdi", { className, textContent: visible(text) });
}

// setText writes only what changed, so that selections and live regions are left alone.
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

// onChange draws only when what it draws from has changed, so that a button that is being
// pressed stays the same button: draw(...args) runs when the key is another than last time.
export function onChange(draw) {
  let last;
  return (key, ...args) => {
    const now = JSON.stringify(key);
    if (now === last) return;
    last = now;
    draw(...args);
  };
}

// reveal scrolls a box so that one of its rows is in sight, and nothing else on the page.
export function reveal(box, row) {
  const b = box.getBoundingClientRect();
  const r = row.getBoundingClientRect();
  if (r.top >= b.top && r.bottom <= b.bottom) return;
  box.scrollTop += r.top - b.top - (b.height - r.height) / 3;
}

// number writes a length or an angle with at most so many decimals.
export function number(value, decimals = 2) {
  const power = 10 ** decimals;
  return String(Math.round(value * power) / power + 0);
}

// bytes writes the size of a file in decimal units.
export function bytes(count) {
  if (count < 1000) return `${count} bytes`;
  if (count < 1e6) return `${number(count / 1e3, 1)} kB`;
  return `${number(count / 1e6, 1)} MB`;
}
