// fault.js lays the error over the desk, in the words of the terminal, while the script
// or the sizes tried are at fault, and says what a long run is doing. The last good model
// stays below, dimmed by the style sheet.
import { el, onChange, setText, visible } from "./dom.js";

const quickEnough = 300; // ms of work that go by without a word
const stages = {
  script: "reading the script", blank: "laying out the blank", folds: "folding", rules: "checking", files: "writing the files",
};

export function mount(root, store, api) {
  const desk = root.closest("#desk");
  const told = el("h2", { id: "fault-name" });
  const words = el("pre", { tabIndex: 0, attr: { role: "group", "aria-label": "Error text" } });
  const actions = el("p", { className: "actions" });
  root.append(told, words, actions);

  const drawActions = onChange((fault, state) => actions.replaceChildren(...actionsFor(fault, state, api)));
  store.on(["status", "trial", "model"], (state) => {
    const fault = faultOf(state);
    root.hidden = !fault;
    desk.classList.toggle("dimmed", Boolean(fault));
    if (!fault) return;
    setText(told, fault.head);
    setText(words, visible(fault.text));
    drawActions([fault, state.status.editor], fault, state);
  });
  mountProgress(document.getElementById("progress"), store);
}

// faultOf is the script's own fault, or else that of the sizes tried.
function faultOf({ status, trial, model }) {
  const below = model ? "; behind this stands the last good model" : "";
  if (status?.exit >= 2) {
    const head = status.exit > 2 ? "The run failed" : placeOf.test(status.fault) ? "The script has an error" : "The script cannot be run";
    return { head: `${head}${below}`, text: status.fault, trial: false };
  }
  if (trial?.exit >= 2) return { head: `With these sizes there is no design${below}`, text: trial.fault, trial: true };
  return null;
}

// placeOf finds file and line at the head of an error that has a place in a script.
const placeOf = /^(?:.*[/\\])?([^/\\\n]+?):(\d+):\d+: /;

function actionsFor(fault, { status }, api) {
  const made = [];
  const at = placeOf.exec(fault.text);
  if (at && status.editor) {
    made.push(el("button", { type: "button", textContent: `Open line ${at[2]} in the editor`, on: { click: () => api.edit(at[1], Number(at[2])) } }));
  }
  if (fault.trial) {
    made.push(el("button", { type: "button", textContent: "All sizes as in the script", on: { click: () => api.tryParams({}) } }));
  }
  return made;
}

// mountProgress names the stage of work that takes longer than a blink.
function mountProgress(root, store) {
  let began = 0; // by this page's clock
  let timer = 0;

  function draw() {
    const { status, trial, client } = store.get();
    const busy = status?.stage || trial?.running;
    if (!busy) return;
    const spent = performance.now() - began;
    timer = setTimeout(draw, spent < quickEnough ? quickEnough - spent + 1 : 1000);
    if (spent < quickEnough) return;
    root.hidden = false;
    const tried = status?.trials?.find((t) => t.client === client)?.stage;
    const doing = stages[status?.stage || tried] ?? (trial?.running ? "running with other sizes" : "running");
    setText(root, `Working: ${doing}, ${Math.floor(spent / 1000)} s`);
  }

  store.on(["status", "trial"], ({ status, trial }) => {
    clearTimeout(timer);
    const busy = status?.stage || trial?.running;
    if (!busy) {
      began = 0;
      root.hidden = true;
      return;
    }
    if (!began) began = performance.now() - (status?.stage ? status.since : 0);
    draw();
  });
}
