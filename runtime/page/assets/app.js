// app.js puts the page together: the state, the feed, the parts, and what belongs to the
// page as a whole: the chooser of scripts and pieces, colours, progress, faults, keys.
import * as fault from "./fault.js";
import * as files from "./files.js";
import * as findings from "./findings.js";
import * as flat from "./flat.js";
import * as fold from "./fold.js";
import * as folded from "./folded.js";
import * as keyList from "./keys.js";
import * as label from "./label.js";
import * as sizes from "./sizes.js";
import * as source from "./source.js";
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
  flat, folded, fold, found: findings, scripttext: source, values: sizes, output: files, label, fault, keys: keyList,
};
painted().then(() => {
  for (const [id, part] of Object.entries(parts)) mountPart(byId(id), part);
  start();
});

// painted is settled when the picture that came with the page is on the screen: all that
// follows takes longer than that. Pages that are not seen are not painted.
function painted() {
  return new Promise((settle) => {
    if (document.hidden) settle();
    else requestAnimationFrame(() => setTimeout(settle));
    document.addEventListener("visibilitychange", settle, { once: true });
  });
}

function mountPart(root, part) {
  try {
    part.mount(root, store, api);
    if (part.keys) store.set({ keys: [...(store.get().keys ?? []), ...part.keys] });
  } catch (broken) {
    console.error(broken);
    root.append(el("p", { className: "broken", textContent: `This part did not start: ${broken.message}` }));
  }
}

store.on("say", ({ say }) => setText(byId("say"), visible(say)));
