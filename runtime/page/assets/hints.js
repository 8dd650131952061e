// hints.js reads the sizes that hints propose, `width = 30 for "lid" instead of 33`, and
// finds the spot in the script where that size is written. Lengths in mm; lines and
// columns count from 1, columns in code points.

const proposal = /([A-Za-z_]\w*) = (\d+(?:\.\d+)?) for ("(?:[^"\\]|\\.)*") instead of (\d+(?:\.\d+)?)/g;

// cures lists what the numbered findings of a model propose: {finding, number, word,
// wanted, present, panel, spot, argument}. The spot is {file, line, column}, just behind the
// argument that sets the size or, with an argument of "", behind the call that makes the panel,
// when no call writes the size out.
export function cures(model) {
  const made = [];
  model.findings.forEach((finding, index) => {
    if (!finding.number || !finding.hint) return;
    for (const [, word, wanted, quoted, present] of finding.hint.matchAll(proposal)) {
      const panel = panelNamed(model, finding.piece, unquote(quoted));
      const found = panel ? written(model, panel.site, word) : null;
      made.push({
        finding: index, number: finding.number, word, wanted: Number(wanted), present: Number(present),
        panel: unquote(quoted), spot: found?.spot ?? behindCall(panel), argument: found?.text ?? "",
      });
    }
  });
  return made;
}

// cureOf is the first of the cures that a parameter alone would bring about: the size is
// that very parameter, not a sum with it.
export function cureOf(model, param, list) {
  const [file, line] = param.site?.[0] ?? [-1, 0];
  const text = model.sources[file]?.text.split("\n")[line - 1] ?? "";
  const variable = /^\s*([A-Za-z_]\w*)\s*=\s*param\(/.exec(text)?.[1];
  return variable ? list.find((cure) => cure.argument === variable) ?? null : null;
}

function unquote(quoted) {
  try {
    return JSON.parse(quoted);
  } catch {
    return quoted.slice(1, -1);
  }
}

function panelNamed(model, piece, name) {
  const pieces = piece === null ? model.pieces : [model.pieces[piece]];
  for (const p of pieces) {
    const panel = p?.panels.find((q) => q.name === name);
    if (panel) return panel;
  }
  return null;
}

// behindCall is the spot behind the script's own call that led to a panel.
function behindCall(panel) {
  const [file, line, , endLine, endColumn] = panel?.site[0] ?? [-1, 0];
  return file >= 0 && line > 0 ? { file, line: endLine, column: endColumn } : null;
}

// written finds the argument that sets a size, in the call of the script or in one further in.
function written(model, site, word) {
  for (const [file, line, column, endLine, endColumn] of site) {
    const lines = model.sources[file]?.text.split("\n");
    if (!lines || !line) continue;
    const text = between(lines, line, column, endLine, endColumn);
    const found = argument(text, word);
    if (found) return { text: found.text, spot: { file, ...place(text, found.end, line, column) } };
  }
  return null;
}

// between is the text of a span.
function between(lines, line, column, endLine, endColumn) {
  const part = lines.slice(line - 1, endLine).map((l) => Array.from(l));
  if (part.length === 0) return "";
  part[part.length - 1] = part.at(-1).slice(0, endColumn - 1);
  part[0] = part[0].slice(column - 1);
  return part.map((l) => l.join("")).join("\n");
}

// place turns an offset in a span's text back into a line and a column.
function place(text, offset, line, column) {
  const before = text.slice(0, offset).split("\n");
  const last = Array.from(before.at(-1)).length;
  return before.length === 1 ? { line, column: column + last } : { line: line + before.length - 1, column: 1 + last };
}

// argument finds what a call passes for a size: by its name, or by its place in rect or flap.
function argument(text, word) {
  const named = new RegExp(`[(,]\\s*${word}\\s*=\\s*`).exec(text);
  if (named) return expression(text, named.index + named[0].length);
  const order = { width: [/\brect\s*\(/, 0], height: [/\brect\s*\(/, 1], depth: [/^[\w.]*\b(?:flap|tab)\s*\(/, 2] }[word];
  const call = order?.[0].exec(text);
  if (!call) return null;
  let found = expression(text, call.index + call[0].length);
  for (let i = 0; i < order[1] && found; i++) {
    found = text[found.stop] === "," ? expression(text, found.stop + 1) : null;
  }
  return found && !/^\w+\s*=[^=]/.test(found.text) ? found : null;
}

// expression reads up to the comma or bracket that ends an argument.
function expression(text, from) {
  let depth = 0;
  let quote = "";
  let stop = from;
  for (; stop < text.length; stop++) {
    const c = text[stop];
    if (quote) {
      if (c === "\\") stop++;
      else if (c === quote) quote = "";
    } else if (c === '"' || c === "'") quote = c;
    else if ("([{".includes(c)) depth++;
    else if (depth === 0 && ",)]}".includes(c)) break;
    else if (")]}".includes(c)) depth--;
  }
  const raw = text.slice(from, stop);
  const trimmed = raw.trim();
  return trimmed ? { text: trimmed, end: from + raw.trimEnd().length, stop } : null;
}
