// states.js keeps the states along the fold: asked for in batches, the wanted one and its
// neighbours first, and kept by what they are states of. Nothing is interpolated: what is
// given out was solved. Shares run from 0, flat, to 1.

// lastStop is the number of the last of the stops, whose first is 0.
export const lastStop = 48;

// How many states are asked for at once: few around the slider, more in the background.
const nearBatch = 5;
const farBatch = 8;

// Background work waits so long after the last change, ms, so that a drag on a size is not
// followed by 48 states of each step; a batch that failed is asked for again after the other.
const quiet = 250;
const again = 1000;
const tries = 3;

// After so many failures a motion is left alone for this long, ms, or until the next wish.
const rest = 3000;

// Of that many fold motions the states are kept, the latest first.
const kept = 6;

// createStates asks api.motion; changed is called when states came.
export function createStates(api, changed) {
  const motions = new Map(); // by key: {states, failed}
  let want = null; // {key, piece, pose, stop, model}
  let busy = false;
  let timer = 0;

  function motionOf(key) {
    const motion = motions.get(key) ?? { states: new Array(lastStop + 1).fill(null), failed: 0, refused: false, when: 0 };
    motions.delete(key);
    motions.set(key, motion);
    while (motions.size > kept) motions.delete(motions.keys().next().value);
    return motion;
  }

  // seed puts in what the model itself says of both ends.
  function seed(states, piece, pose) {
    const flat = piece.poses.find((p) => p.isFlat) ?? piece.poses.find((p) => p.name === "flat");
    const end = piece.poses.find((p) => p.name === pose);
    if (flat && !states[0]) states[0] = stateOf(flat, 0);
    if (end && !states[lastStop]) states[lastStop] = stateOf(end, 1);
  }

  // show wants a state and gives the nearest one that is there, or null.
  function show(digest, pieceIndex, piece, pose, share) {
    const key = JSON.stringify([digest, pieceIndex, pose]);
    const stop = Math.round(share * lastStop);
    const motion = motionOf(key);
    seed(motion.states, piece, pose);
    const fresh = want?.key !== key;
    want = { key, piece: pieceIndex, pose, stop };
    if (motion.refused && performance.now() - motion.when > rest) Object.assign(motion, { refused: false, failed: 0 });
    if (!motion.states[stop]) ask();
    else later(fresh ? quiet : 0);
    return nearest(motion.states, stop);
  }

  function later(wait) {
    if (busy || timer) return;
    timer = setTimeout(() => {
      timer = 0;
      ask();
    }, wait);
  }

  // next lists the stops to ask for: those that are not there, nearest first.
  function next(states, stop) {
    const missing = states.map((state, k) => (state ? -1 : k)).filter((k) => k >= 0);
    missing.sort((a, b) => Math.abs(a - stop) - Math.abs(b - stop) || a - b);
    return missing.slice(0, states[stop] ? farBatch : nearBatch);
  }

  async function ask() {
    if (busy || !want) return;
    const { key, piece, pose, stop } = want;
    const motion = motionOf(key);
    const batch = next(motion.states, stop);
    if (!batch.length || motion.refused) return;
    busy = true;
    let got = false;
    try {
      const answer = await api.motion(piece, pose, batch.map((k) => k / lastStop));
      for (const state of answer.states ?? answer) {
        const k = Math.round(state.at * lastStop);
        motion.states[k] = { at: state.at, panels: exact(state.panels), folds: state.folds, found: state.found !== false };
        got = true;
      }
    } catch {
      // The script has moved on, or the page is offline: the next state asks anew.
    }
    busy = false;
    if (!got) {
      motion.failed++;
      motion.refused = motion.failed >= tries;
      motion.when = performance.now();
      if (!motion.refused) later(again);
    } else {
      motion.failed = 0;
      if (want.key === key) changed();
      later(0);
    }
    if (want.key !== key) later(0);
  }

  // missing reports whether the wanted state is still to come.
  function missing() {
    return want !== null && !motions.get(want.key)?.states[want.stop];
  }

  return { show, missing };
}

// nearest is the state that is there closest to a stop.
function nearest(states, stop) {
  for (let far = 0; far <= lastStop; far++) {
    const found = states[stop - far] ?? states[stop + far];
    if (found) return found;
  }
  return null;
}

const exact = (panels) => panels.map((m) => (m ? Float64Array.from(m) : null));

function stateOf(pose, at) {
  return { at, panels: exact(pose.panels), folds: pose.folds, found: pose.panels.every((m) => m !== null) };
}
