// feed.js is the page's only way to the server. It follows the stream of states, fetches
// what is to be shown by digest, runs the design with other sizes, asks for states along
// the fold, and opens the editor. One request of a kind is under way at a time; what came
// in meanwhile is the next, so that neither saves nor dragging pile anything up. Times in
// milliseconds.
import { fit } from "./items.js";
import { followStates } from "./stream.js";

const retryLoad = 700; // before data that could not be had is asked for again
const patience = 300; // a trial that runs longer gives way to a newer one
const modelsKept = 4; // decoded runs: those of two scripts, with a trial each

// connect starts at once; what it hears is put into the store from when ready is settled,
// so that every part is there to hear of it.
export function connect(store, ready) {
  const client = crypto.getRandomValues(new Uint32Array(4)).join("-");
  store.set({ client });
  const models = createModels();
  const trials = createTrials(store, client, follow);
  let ownDigest = ""; // of the script's own run whose sizes are in `own`
  let following = false;
  let again = false;

  followStates((state) => ready.then(() => receive(state)), (offline) => store.set({ offline }));
  store.on("script", pick);

  function receive(state) {
    store.set({ scripts: state.scripts });
    pick();
  }

  // pick makes the chosen script's entry the one shown, the first one when it is gone.
  function pick() {
    const { scripts, script, status } = store.get();
    const entry = scripts.find((s) => s.id === script) ?? scripts[0] ?? null;
    if (entry?.path !== status?.path) {
      trials.end();
      ownDigest = "";
      store.set({ script: entry?.id ?? null, model: null, digest: "", own: [], trial: null, hover: null, state: null });
    }
    store.set({ status: entry });
    follow();
  }

  // follow brings what is shown in step with the status and the trial.
  async function follow() {
    again = true;
    if (following) return;
    following = true;
    while (again) {
      again = false;
      try {
        await step();
      } catch (fault) {
        console.warn(fault);
        setTimeout(follow, retryLoad);
      }
    }
    following = false;
  }

  async function step() {
    const { status } = store.get();
    if (!status) return;
    const own = status.digest || status.last;
    if (own && own !== ownDigest) {
      const model = await models.load(own);
      if (store.get().status?.path !== status.path) return;
      ownDigest = own;
      store.set({ own: model.params });
      trials.resume(model.params);
    }
    await show(own, status.path);
  }

  // show fetches the trial's run, or else the script's own, and hands it to the views.
  async function show(own, path) {
    const { trial, params } = store.get();
    const tried = Object.keys(params).length > 0;
    const wanted = (tried && trial?.digest) || own;
    if (wanted && wanted !== store.get().digest) {
      const model = await models.load(wanted);
      if (store.get().status?.path !== path) return;
      store.set({ model, digest: wanted, ...fit(store.get(), model) });
    }
    store.set({ stale: staleNow(store.get()) });
  }

  return {
    tryParams: trials.start,

    async motion(piece, pose, shares, signal) {
      const { script, digest } = store.get();
      if (!digest) throw new Error("nothing is shown that could be folded");
      const query = new URLSearchParams({ digest, piece, pose, at: shares.join(",") });
      const answer = await fetch(`motion/${script}?${query}`, { signal });
      if (!answer.ok) throw new Error(`no states along the fold: ${answer.status}`);
      return (await answer.json()).states;
    },

    async edit(file, line) {
      const answer = await post(`edit/${store.get().script}`, { file, line });
      if (!answer.ok) store.set({ say: `The editor did not open: ${(await answer.text()).trim()}` });
    },

    fileURL(name, download = false) {
      return `file/${store.get().script}/${encodeURIComponent(name)}${download ? "?download" : ""}`;
    },
  };
}

// staleNow says whether newer work goes on than is shown, or the script is at fault.
function staleNow({ status, trial }) {
  return status.exit >= 2 || status.stage !== "" || trial?.running === true || (trial?.exit ?? 0) >= 2;
}

// createModels fetches decoded runs by digest and keeps the last few.
function createModels() {
  const kept = new Map();
  return {
    async load(digest) {
      const known = kept.get(digest);
      if (known) return known;
      const answer = await fetch(`data/${digest}`);
      if (!answer.ok) throw new Error(`run ${digest.slice(0, 8)}: ${answer.status}`);
      const model = await answer.json();
      kept.set(digest, model);
      if (kept.size > modelsKept) kept.delete(kept.keys().next().value);
      return model;
    },
  };
}

// createTrials runs the design with other sizes, the newest last, and puts what came of
// it into `trial`: {params, digest, exit, fault, took, running}. The digest is that of
// the last trial that gave a design.
function createTrials(store, client, shown) {
  let next = null; // what to try when the one under way ends
  let under = null; // {abort, since} of the one under way
  let turn = 0; // trials of earlier turns are forgotten

  function start(params) {
    store.set({ params });
    if (Object.keys(params).length === 0) return end();
    next = params;
    if (!under) return run();
    const slow = under;
    setTimeout(() => {
      if (under === slow && next) slow.abort.abort();
    }, patience - (performance.now() - slow.since));
  }

  function end() {
    turn++;
    next = null;
    under?.abort.abort();
    store.set({ trial: null });
    shown();
  }

  // resume tries again what was tried when the script changed, but for sizes it has no longer.
  function resume(declared) {
    const names = new Set(declared.map((p) => p.name));
    const left = Object.entries(store.get().params ?? {}).filter(([name]) => names.has(name));
    start(Object.fromEntries(left));
  }

  async function run() {
    while (next) {
      const params = next;
      const mine = turn;
      next = null;
      under = { abort: new AbortController(), since: performance.now() };
      store.set({ trial: { ...store.get().trial, params, running: true } });
      const result = await ask(params, under.abort.signal);
      under = null;
      if (mine !== turn || !result) continue;
      const digest = result.digest || store.get().trial?.digest || "";
      store.set({ trial: { ...result, params, digest, running: next !== null } });
      shown();
    }
  }

  // ask gives null when a newer trial took its place.
  async function ask(params, signal) {
    try {
      const answer = await post(`try/${store.get().script}`, { client, params }, signal);
      if (answer.status === 409) return null;
      if (!answer.ok) throw new Error((await answer.text()).trim() || `answer ${answer.status}`);
      return await answer.json();
    } catch (fault) {
      if (signal.aborted) return null;
      return { digest: "", exit: 3, fault: `These sizes could not be tried: ${fault.message}`, took: 0 };
    }
  }

  return { start, end, resume };
}

function post(path, body, signal) {
  return fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });
}
