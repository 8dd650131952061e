// fold.js is the crease bar: one slider of 49 stops from flat to a pose, the poses as
// buttons above it, and in words where it stands. A stop is a state that the design was
// solved for; nothing lies between two stops.
import { el, setText, visible } from "./dom.js";
import { leftOut } from "./facing.js";
import { folded } from "./items.js";
import { lastStop } from "./states.js";

const sweep = 5000; // ms from one end to the other while it plays
const rest = 900; // ms at either end

export function mount(root, store) {
  const slider = el("input", {
    type: "range", id: "fold-slider", min: "0", max: String(lastStop), step: "1",
    attr: { "aria-label": "Fold, from flat to the pose", "aria-describedby": "fold-words" },
  });
  const words = el("p", { id: "fold-words" });
  const play = el("button", { type: "button", id: "fold-play" });
  const start = el("div", { className: "start" });
  const ends = el("div", { className: "ends" });
  const poses = el("div", { id: "poses", attr: { role: "group", "aria-label": "Poses" } }, start, ends);
  start.after(el("div", { className: "standing" }, words, play));
  root.append(poses, slider);
  slider.disabled = play.disabled = true; // until there is a model

  const player = createPlayer(store, play);
  slider.addEventListener("input", () => {
    player.stop();
    store.set({ share: slider.value / lastStop });
  });
  slider.addEventListener("keydown", (event) => {
    if (event.key === " ") {
      event.preventDefault();
      player.toggle();
    } else if (event.key === "PageUp" || event.key === "PageDown") {
      event.preventDefault();
      player.stop();
      const by = (event.key === "PageUp" ? 1 : -1) * lastStop / 8;
      store.set({ share: Math.min(1, Math.max(0, (Number(slider.value) + by) / lastStop)) });
    }
  });
  play.addEventListener("click", player.toggle);

  store.on(["model", "piece"], ({ model, piece }) => {
    drawPoses(start, ends, model?.pieces[piece], store, player);
    const solid = model !== null;
    slider.disabled = !solid;
    play.disabled = !solid;
  });
  store.on(["model", "piece", "pose", "share", "state"], (state) => {
    const stop = Math.round(state.share * lastStop);
    if (slider.value !== String(stop)) slider.value = String(stop);
    const told = standing(state, stop);
    slider.setAttribute("aria-valuetext", told);
    setText(words, told);
    for (const button of poses.querySelectorAll("button")) {
      const at = button.dataset.pose === "flat" ? stop === 0 : stop === lastStop && button.dataset.pose === state.pose;
      button.setAttribute("aria-pressed", String(at));
      button.classList.toggle("aim", button.dataset.pose === state.pose);
    }
  });
}

// standing says in words where the fold stands, and whether a state was found there.
function standing({ model, piece, pose, state }, stop) {
  const shown = model?.pieces[piece];
  if (!shown) return "";
  const aim = visible(pose);
  const missing = state?.piece === piece ? leftOut(shown, state.panels) : "";
  const unfound = missing && `; ${missing}`;
  if (stop === 0) return "Flat";
  if (stop === lastStop) return `In pose “${aim}”${unfound}`;
  return `Step ${stop} of ${lastStop} from flat to “${aim}”${unfound}`;
}

// drawPoses puts the flat state at the left end and every other pose at the right.
function drawPoses(start, ends, piece, store, player) {
  const names = (piece?.poses ?? []).map((pose) => pose.name).filter((pose) => pose !== "flat");
  const had = document.activeElement?.dataset?.pose;
  const button = (pose, go) => el("button", {
    type: "button", textContent: visible(pose), title: visible(pose), data: { pose },
    on: { click: () => { player.stop(); store.set(go); } },
  });
  const flat = piece ? [button("flat", { share: 0 })] : [];
  start.replaceChildren(...flat);
  ends.replaceChildren(...names.map((pose) => button(pose, { pose, share: 1 })));
  if (had) [...start.children, ...ends.children].find((b) => b.dataset.pose === had)?.focus();
  if (piece && !names.includes(store.get().pose)) store.set({ pose: folded(piece) });
}

// createPlayer moves the fold to and fro, one stop at a time. Where less motion is asked
// for, it jumps from end to end instead of sweeping.
function createPlayer(store, button) {
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  let timer = 0;
  let way = 1;

  function label() {
    setText(button, timer ? "Stop" : still.matches ? "Other end" : "Fold to and fro");
  }

  function step() {
    const stop = Math.round(store.get().share * lastStop);
    if (stop + way > lastStop || stop + way < 0) way = -way;
    const next = stop + way;
    store.set({ share: next / lastStop });
    const atEnd = next === 0 || next === lastStop;
    timer = setTimeout(step, atEnd ? rest : sweep / lastStop);
  }

  function stop() {
    clearTimeout(timer);
    timer = 0;
    label();
  }

  function toggle() {
    if (timer) return stop();
    if (!store.get().model) return;
    if (still.matches) return store.set({ share: store.get().share >= 0.5 ? 0 : 1 });
    way = store.get().share >= 1 ? -1 : 1;
    step();
    label();
  }

  still.addEventListener("change", stop);
  label();
  return { stop, toggle };
}
