// store.js holds the state of the page: one flat table of keys. Whoever changes a key
// calls set; whoever draws from it listens with on. Listeners run once for all changes
// of one microtask, so a view draws once for however many keys changed together.

export function createStore(initial) {
  let state = { ...initial };
  let changed = new Set();
  const listeners = new Set();

  function set(patch) {
    const before = changed.size;
    for (const [key, value] of Object.entries(patch)) {
      if (Object.is(state[key], value)) continue;
      state = { ...state, [key]: value };
      changed.add(key);
    }
    if (before === 0 && changed.size > 0) queueMicrotask(tell);
  }

  // tell hands the changes out; what listeners change meanwhile comes in a later turn.
  function tell() {
    const keys = changed;
    changed = new Set();
    for (const listener of [...listeners]) {
      if (!listener.keys.some((key) => keys.has(key))) continue;
      try {
        listener.fn(state, keys);
      } catch (fault) {
        console.error(fault); // one view at fault leaves the others alive
      }
    }
  }

  // on calls fn(state, changedKeys) after any of the keys changed; the result ends that.
  function on(keys, fn) {
    const listener = { keys: [].concat(keys), fn };
    listeners.add(listener);
    return () => listeners.delete(listener);
  }

  return { get: () => state, set, on };
}

// What a reload and a change between scripts leave as they were, for each script by its path.
const kept = ["piece", "pose", "share", "selection", "kinds", "see", "apart", "projection", "camera", "flatView",
  "showNames", "showLetters", "showContents", "showMarks", "params", "tab", "notes"];

// saveDelay in ms: turning the piece changes the camera sixty times a second.
const saveDelay = 200;

// keep restores those keys when another script comes to be shown and saves them when they
// change. What is not on record takes its value from defaults.
export function keep(store, defaults, storage = sessionStorage) {
  let path = null;
  let timer = 0; // of a save to come
  const place = (of) => `creasewright ${of}`;

  function restore(of) {
    const fresh = {};
    for (const key of kept) fresh[key] = defaults[key];
    try {
      const record = JSON.parse(storage.getItem(place(of)) ?? "{}");
      for (const key of kept) if (key in record) fresh[key] = record[key];
    } catch {
      // a record that cannot be read is no record
    }
    return fresh;
  }

  function save() {
    clearTimeout(timer);
    timer = 0;
    if (path === null) return;
    const state = store.get();
    const record = {};
    for (const key of kept) if (state[key] !== undefined) record[key] = state[key];
    try {
      storage.setItem(place(path), JSON.stringify(record));
    } catch {
      // storage is full or refused: the page works on without
    }
  }

  store.on([...kept, "status"], (state) => {
    const now = state.status?.path ?? null;
    if (now === null) return;
    if (now === path) {
      timer ||= setTimeout(save, saveDelay);
      return;
    }
    save();
    path = now;
    store.set(restore(now));
  });
  addEventListener("pagehide", save);
}
