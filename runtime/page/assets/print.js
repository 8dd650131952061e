// print.js runs the print page: it reads what is asked for from the address
// (digest, piece, paper, turn), fetches that state of the design, has the pages
// drawn (sheets.js), and sets the size of the paper. Lengths are millimetres.

import { el, number, visible } from "./dom.js";
import { drawSheets, joinWords } from "./sheets.js";

const byId = (id) => document.getElementById(id);
const script = location.pathname.split("/").pop();
const asked = new URLSearchParams(location.search);
const form = byId("choices");
const paperSize = new CSSStyleSheet();
document.adoptedStyleSheets.push(paperSize);

// What the turn means: of the paper where it is given, of the blank where the
// page is made for it.
const turnWords = {
  one: ["The blank lies", "as drawn", "", "turned by a quarter"],
  sheets: ["The paper lies", "as needs fewest sheets", "upright", "on its side"],
};

// latestDigest is that of the last good run, from the first event of the feed.
function latestDigest() {
  return new Promise((resolve, reject) => {
    const feed = new EventSource("../events");
    feed.addEventListener("state", (event) => {
      feed.close();
      const entry = JSON.parse(event.data).scripts.find((s) => String(s.id) === script);
      if (entry?.last) resolve(entry.last);
      else reject(new Error("This script has given no design yet."));
    });
    feed.addEventListener("error", () => {
      feed.close();
      reject(new Error("The page's server does not answer: is creasewright watch still running?"));
    });
  });
}

async function fetchModel(digest) {
  const answer = await fetch(`../data/${encodeURIComponent(digest)}`).catch(() => null);
  if (!answer) throw new Error("The page's server does not answer: is creasewright watch still running?");
  if (!answer.ok) throw new Error("This state of the design is no longer kept. Go back to the design and print from there.");
  return answer.json();
}

function fail(message) {
  byId("fault").textContent = message;
  byId("fault").hidden = false;
  byId("count").textContent = "";
  byId("go").disabled = true;
  byId("print").replaceChildren();
}

// chosen are the form's values, within what there is.
function chosen(model) {
  const piece = Number(form.elements.piece.value) || 0;
  return { piece: Math.min(piece, model.pieces.length - 1), paper: form.elements.paper.value, turn: form.elements.turn.value };
}

function showTurns(paper) {
  const [legend, ...words] = turnWords[paper === "one" ? "one" : "sheets"];
  byId("turns").textContent = legend;
  form.querySelectorAll("[name=turn]").forEach((input, i) => {
    input.nextElementSibling.textContent = words[i];
  });
  // Of a page made for the blank, "auto" is as drawn, and there is no upright.
  const upright = form.querySelector("[name=turn][value='0']");
  upright.parentElement.hidden = paper === "one";
  if (paper === "one" && upright.checked) form.querySelector("[name=turn][value=auto]").checked = true;
}

// countWords say how much paper is needed.
function countWords({ pages, width, height, grid }) {
  const size = `${number(width, 1)} × ${number(height, 1)} mm`;
  if (!grid) return `One page of ${size}.`;
  if (pages.length === 1) return `One sheet of ${size}.`;
  const empty = grid.tiles.length - grid.sheets;
  const left = empty ? `; ${empty} of ${grid.tiles.length} places are empty and left out` : "";
  return `${pages.length} sheets of ${size}: a plan, and ${grid.sheets} to be joined${left}.`;
}

function draw(model, digest) {
  showTurns(form.elements.paper.value);
  const { piece, paper, turn } = chosen(model);
  const main = byId("print");
  delete main.dataset.ready;
  const print = drawSheets(model, model.pieces[piece], paper, turn);
  if (print.fault) return fail(print.fault);
  byId("fault").hidden = true;
  paperSize.replaceSync(`@page { size: ${print.width}mm ${print.height}mm; margin: 0; }`);
  main.replaceChildren(...print.pages.map(({ name, drawn }) => {
    const className = print.pages.length === 1 ? "page only" : "page";
    return el("figure", { className }, drawn, el("figcaption", { textContent: name }));
  }));
  byId("count").textContent = countWords(print);
  byId("joining").hidden = print.pages.length === 1;
  byId("go").disabled = false;
  const now = new URLSearchParams({ digest, piece, paper, turn });
  history.replaceState(null, "", `?${now}`);
  main.dataset.ready = digest;
}

// choose sets the form to what the address asked for.
function choose(model) {
  const pieces = form.elements.piece;
  pieces.replaceChildren(...model.pieces.map((p, i) => new Option(visible(p.name), i)));
  byId("pieces").hidden = model.pieces.length < 2;
  pieces.value = asked.get("piece") in model.pieces ? asked.get("piece") : "0";
  for (const [name, usual] of [["paper", "one"], ["turn", "auto"]]) {
    const wanted = [...form.querySelectorAll(`[name=${name}]`)].find((input) => input.value === asked.get(name));
    (wanted ?? form.querySelector(`[name=${name}][value=${usual}]`)).checked = true;
  }
}

async function start() {
  const digest = asked.get("digest") || await latestDigest();
  const model = await fetchModel(digest);
  if (!model.pieces.length) throw new Error("The script makes no piece.");
  byId("title").textContent = visible(model.title || model.script);
  document.title = `${visible(model.title || model.script)} – print`;
  choose(model);
  const errors = model.findings.filter((f) => f.severity === "error").length;
  const cautions = [...model.cautions];
  if (errors) cautions.unshift(`Not ready to cut: the checks found ${errors === 1 ? "an error" : `${errors} errors`} in this design.`);
  byId("cautions").replaceChildren(...cautions.map((text) => el("li", { textContent: visible(text) })));
  byId("joining").replaceChildren(...joinWords.slice(1).map((textContent) => el("li", { textContent })));
  byId("cautions").hidden = !cautions.length;
  byId("advice").hidden = false;
  form.addEventListener("change", () => draw(model, digest));
  form.addEventListener("submit", (event) => event.preventDefault());
  byId("go").addEventListener("click", () => window.print());
  draw(model, digest);
}

start().catch((err) => fail(err.message));
