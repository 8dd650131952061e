// app.js puts the page together: the state, the feed, the parts, and what belongs to the
// page as a whole: the chooser of scripts and pieces, colours, progress, faults, keys.
import { connect } from "./feed.js";
import { createStore, keep } from "./store.js";
import { el, setText, visible } from "./dom.js";

// defaults are what a script starts with that was not shown before.
const defaults = {
  piece: 0, pose: "closed", share: 1, selection: null, kinds: {}, see: 0, apart: 0, projection: "parallel",
  camera: undefined, flatView: undefined, showNames: true, showContents: true, showMarks: true, params: {},
  tab: undefined, notes: false,
};

const store = createStore({
  ...defaults, scripts: [], script: null, status: null, offline: false, model: null, digest: "", stale: false,
  state: null, hover: null, trial: null, own: [], say: "", colours: "light",
});
window.creasewright = { store };

const byId = (id) => document.getElementById(id);

keep(store, defaults);
let start;
const api = connect(store, new Promise((settle) => { start = settle; }));

// Each part is a module of its own; one that fails says so in its place and leaves the rest alive.
const parts = {
  flat: "./flat.js", folded: "./folded.js", fold: "./fold.js", found: "./findings.js", scripttext: "./source.js",
  values: "./sizes.js", output: "./files.js", label: "./label.js", fault: "./fault.js", keys: "./keys.js",
};
Promise.all(Object.entries(parts).map(([id, module]) => mountPart(byId(id), module))).then(start);

async function mountPart(root, module) {
  try {
    const part = await import(module);
    part.mount(root, store, api);
    if (part.keys) store.set({ keys: [...(store.get().keys ?? []), ...part.keys] });
  } catch (fault) {
    console.error(fault);
    root.append(el("p", { className: "broken", textContent: `This part did not start: ${fault.message}` }));
  }
}

store.on("say", ({ say }) => setText(byId("say"), visible(say)));
