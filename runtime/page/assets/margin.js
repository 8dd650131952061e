// margin.js is the words in the margin of the folded sheet: what is shown, from where it is
// looked at, what is seen through, and the description for those who do not see it.

import { views } from "./camera.js";
import { el, name, setText, visible } from "./dom.js";
import { facesWords, unplaced } from "./facing.js";
import { told } from "./overlay.js";

// createMargin adds the block to the sheet. acts has look(side), fit(), and describe(), which
// gives the scene, the faces and the sentence of what is shown.
export function createMargin(root, store, acts) {
  const caption = el("p", { className: "caption" });
  const sides = Object.keys(views).map((side, i) => el("button", {
    type: "button", textContent: side, data: { side }, title: sideTitle(side, i, []),
    on: { click: () => acts.look(side) },
  }));
  const whole = el("button", { type: "button", textContent: "whole", title: "Show the whole piece (0)", on: { click: acts.fit } });
  const near = el("button", { type: "button", textContent: "perspective", title: "In perspective instead of parallel", on: {
    click: () => store.set({ projection: store.get().projection === "perspective" ? "parallel" : "perspective" }),
  } });
  const see = slider("see", "see through");
  const apart = slider("apart", "layers apart");
  const contents = el("input", { type: "checkbox", on: { change: () => store.set({ showContents: contents.checked }) } });
  const contentsLabel = el("label", {}, contents, "contents");
  const describe = el("button", { type: "button", textContent: "Describe", title: "Say which panel faces where, in words", on: { click: open } });
  const dialog = el("dialog", { className: "describe", attr: { "aria-labelledby": "folded-described" } });
  const spoken = el("p", { id: "folded-words", className: "unseen", attr: { "aria-live": "polite" } });
  root.append(
    el("div", { className: "block" }, caption,
      el("div", { className: "tools" }, see.label, apart.label),
      el("div", { className: "tools", attr: { role: "group", "aria-label": "Look at the folded piece" } }, el("span", { className: "word", textContent: "look at" }), ...sides, whole, near),
      el("div", { className: "tools" }, contentsLabel, describe)),
    spoken, dialog);

  function slider(key, text) {
    const input = el("input", { type: "range", min: "0", max: "100", step: "5", on: { input: () => store.set({ [key]: input.value / 100 }) } });
    return { input, label: el("label", {}, text, input) };
  }

  // show brings the controls in step with the state.
  function show({ see: through, apart: far, projection, showContents }, scene) {
    for (const [control, value] of [[see, through], [apart, far]]) {
      const text = String(Math.round((value ?? 0) * 100));
      if (control.input.value !== text) control.input.value = text;
      control.input.setAttribute("aria-valuetext", `${text} %`);
    }
    near.setAttribute("aria-pressed", String(projection === "perspective"));
    contents.checked = showContents !== false;
    contentsLabel.hidden = !scene || scene.contents.length === 0;
  }

  // looking marks the side that is looked at straight on, if any.
  function looking(camera) {
    for (const button of sides) {
      const { yaw, pitch } = views[button.dataset.side];
      const level = Math.abs(pitch) === 90 || Math.abs(((camera.yaw - yaw + 540) % 360) - 180) < 0.01;
      button.setAttribute("aria-pressed", String(level && Math.abs(camera.pitch - pitch) < 0.01));
    }
  }

  // towards tells on each side's button which panels face there, the largest first.
  function towards(list) {
    sides.forEach((button, i) => {
      const { side } = button.dataset;
      button.title = sideTitle(side, i, list.filter(({ where }) => where === side).map((f) => f.name));
    });
  }

  function open() {
    const what = acts.describe();
    if (!what) return;
    const { scene, list, text } = what;
    const state = store.get();
    const choose = (kind, index, ...words) => el("li", {}, el("button", {
      type: "button", on: { click: () => {
        store.set({ selection: { kind, index, piece: scene.pieceIndex } });
        dialog.close();
      } },
    }, ...words));
    const part = (title, items) => (items.length ? [el("h3", { textContent: title }), el("ul", {}, ...items)] : []);
    const item = (kind, index) => choose(kind, index, visible(told(scene, { kind, index, piece: scene.pieceIndex }, state)));
    dialog.replaceChildren(
      el("h2", { id: "folded-described", textContent: "The folded piece in words" }),
      el("p", { textContent: visible(text) }),
      ...part("Panels, the largest first", list.map((f) => choose("panel", f.index, name(f.name), f.where ? `: ${facesWords(f.name, f.where)}` : `: ${unplaced(scene.piece)}`))),
      ...part("Hinges", scene.piece.hinges.map((_, i) => item("hinge", i))),
      ...part("Joins", scene.piece.joins.map((_, i) => item("join", i))),
      ...part("Contents", scene.contents.map((c) => item("contents", c.index))),
      el("button", { type: "button", textContent: "Close", on: { click: () => dialog.close() } }));
    dialog.showModal();
  }

  return {
    show, looking, towards,
    caption: (text) => setText(caption, visible(text)),
    say: (text) => setText(spoken, visible(text)),
  };
}

// mostFacing is how many panels are named on the button of a side.
const mostFacing = 3;

// sideTitle says what the button of a side shows: the side of the piece as it stands, which a
// panel of that name need not be on.
function sideTitle(side, i, names) {
  const facing = names.slice(0, mostFacing).map((panel) => `“${visible(panel)}”`).join(", ");
  return `Look straight at the ${side === "below" ? "underside" : side} of the piece as it stands (${i + 1})${facing ? `; facing there: ${facing}${names.length > mostFacing ? " and more" : ""}` : ""}`;
}
