// layers.js is the row of checkboxes that show and hide the line kinds of the flat blank
// and what is written on it, each line with a sample of its look and its length in all.
import { el } from "./dom.js";
import { svg } from "./blank.js";
import { trimmed } from "./words.js";

const sampleWidth = 34;

// notesOnBlank are the layers that are not lines: the store's key, and the word.
const written = [["showNames", "names"], ["showMarks", "marks"], ["showLetters", "joins"]];

export function createLayers(store) {
  const root = el("fieldset", { className: "layers" }, el("legend", { className: "unseen", textContent: "Shown on the flat blank" }));

  // load lists the kinds of a drawing; colours are those that stand out from its board.
  function load(kinds, colourOf) {
    const { kinds: chosen } = store.get();
    const rows = kinds.filter((k) => k.length > 0).map(({ look, length }) => {
      const box = el("input", {
        type: "checkbox", checked: chosen?.[look.kind] !== false, data: { kind: look.kind },
        on: { change: () => store.set({ kinds: { ...store.get().kinds, [look.kind]: box.checked } }) },
      });
      return el("label", { title: look.does }, box, sample(look, colourOf(look.colour)), `${look.kind} `, el("small", { textContent: `${trimmed(length)} mm` }));
    });
    const others = written.map(([key, word]) => {
      const box = el("input", {
        type: "checkbox", checked: store.get()[key] !== false, data: { layer: key },
        on: { change: () => store.set({ [key]: box.checked }) },
      });
      return el("label", {}, box, word);
    });
    const held = root.contains(document.activeElement) ? document.activeElement.dataset : null;
    root.replaceChildren(root.firstElementChild, ...rows, ...others);
    if (held) [...root.querySelectorAll("input")].find((i) => i.dataset.kind === held.kind && i.dataset.layer === held.layer)?.focus();
  }

  // mark ticks the boxes as the store has them.
  function mark() {
    const state = store.get();
    for (const box of root.querySelectorAll("input")) {
      box.checked = (box.dataset.kind ? state.kinds?.[box.dataset.kind] : state[box.dataset.layer]) !== false;
    }
  }

  return { root, load, mark };
}

function sample(look, colour) {
  const width = Math.max(1.5, look.width * 96 / 25.4);
  return svg("svg", { class: "sample", width: sampleWidth, height: 10, "aria-hidden": "true" },
    svg("path", { d: `M 0 5 H ${sampleWidth}`, stroke: colour, "stroke-width": width, "stroke-dasharray": look.dash?.length ? look.dash.map((d) => d * width).join(" ") : null }));
}
