// stream.js follows the server's states, with one stream for all pages of one address that a
// browser shows: it holds six connections to a server and no more, so that the seventh page
// with a stream of its own would wait for ever. One page, which holds a lock, leads: it has the
// stream and passes on what comes. A page that is not seen follows nothing. Times in ms.

const firstPause = 300; // before the stream is opened again; doubled up to
const longestPause = 5000;
const beatTime = 1000; // between two signs of life of the page that leads
const deadTime = 4000; // without one, another page takes the lead

// followStates calls receive with each state and tellOffline with whether the server is gone.
export function followStates(receive, tellOffline) {
  const name = `creasewright ${location.pathname}`;
  const shared = "locks" in navigator && "BroadcastChannel" in window;
  const channel = shared ? new BroadcastChannel(name) : null;
  let following = false, lead = null; // while this page leads: what ends that
  let waiting = null; // what ends waiting for the lead
  let last = "", heard = 0; // the last state, as it came; when the page that leads was heard last

  function start() {
    stop();
    if (document.hidden) return;
    following = true;
    if (!shared) return void (lead = openStream());
    heard = performance.now();
    channel.postMessage({ ask: true });
    takeLead();
  }

  function stop() {
    following = false;
    waiting?.abort();
    lead?.();
    waiting = lead = null;
  }

  // takeLead waits for the lock, or takes it from a page that gives no sign of life. It goes on
  // until this page ends it or another takes the lock.
  async function takeLead(steal = false) {
    waiting?.abort();
    const mine = waiting = new AbortController();
    try {
      await navigator.locks.request(name, steal ? { steal } : { signal: mine.signal }, () => new Promise((end) => {
        if (mine.signal.aborted || !following) return end();
        const close = openStream();
        lead = () => (close(), end());
      }));
    } catch {
      // It was given up while it waited, or has been taken away.
    }
    if (waiting !== mine) return;
    lead?.();
    lead = null;
    if (following) takeLead();
  }

  // openStream opens the stream, anew whenever it breaks, and gives what closes it.
  function openStream() {
    let source = null, timer = 0, pause = firstPause;
    const pass = (message) => channel?.postMessage(message);
    const beat = setInterval(() => pass({ beat: true }), beatTime);
    const open = () => {
      source = new EventSource("events");
      source.addEventListener("state", ({ data }) => {
        pause = firstPause;
        pass({ state: data });
        take(data);
      });
      source.addEventListener("error", () => {
        source.close();
        if (pause > firstPause) { // one break alone may be a moment's
          pass({ offline: true });
          tellOffline(true);
        }
        timer = setTimeout(open, pause);
        pause = Math.min(2 * pause, longestPause);
      });
    };
    open();
    return () => {
      clearTimeout(timer);
      clearInterval(beat);
      source.close();
    };
  }

  function take(state) {
    last = state;
    tellOffline(false);
    receive(JSON.parse(state));
  }

  function hear({ data: { ask, state, offline } }) {
    if (ask && lead && last) channel.postMessage({ state: last });
    if (ask || lead || !following) return;
    heard = performance.now();
    if (state === last) tellOffline(false);
    else if (state) take(state);
    if (offline) tellOffline(true);
  }

  channel?.addEventListener("message", hear);
  setInterval(() => {
    if (!shared || !following || lead || performance.now() - heard < deadTime) return;
    heard = performance.now();
    takeLead(true);
  }, beatTime);
  start();
  document.addEventListener("visibilitychange", start);
  addEventListener("pagehide", stop);
  addEventListener("pageshow", (event) => {
    if (event.persisted) start();
  });
}
