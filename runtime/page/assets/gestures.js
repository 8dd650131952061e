// gestures.js turns pointers and the wheel into moves of a viewport: one finger or the
// mouse drags, two fingers pinch, the wheel zooms at the pointer. What did not move is
// left to click events.

// dragStart is how far, in CSS pixels, a pointer moves before it drags.
const dragStart = 4;

// wheelStep is the exponent of the zoom for each pixel of the wheel; a notch of a usual
// mouse, 100 to 120 pixels, zooms by about a fifth.
const wheelStep = 0.0017;

// moves is told {pan(dx, dy, {fingers, shift}), zoom(factor, point), done()}; points are
// relative to frame, which stands still where the target is shifted in it, and shift is
// whether that key is held.
export function watchGestures(target, moves, frame = target) {
  const down = new Map(); // pointer id to its last place
  let dragging = false;
  let from = null;

  const place = (event) => {
    const box = frame.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  target.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button > 1) return;
    down.set(event.pointerId, place(event));
    if (down.size === 1) {
      dragging = false;
      from = place(event);
    }
  });

  target.addEventListener("pointermove", (event) => {
    const last = down.get(event.pointerId);
    if (!last) return;
    const now = place(event);
    if (!dragging && down.size === 1 && Math.hypot(now[0] - from[0], now[1] - from[1]) < dragStart) return;
    if (!dragging) {
      dragging = true;
      // From here on the pointer is ours wherever it goes; a capture before a drag
      // would give the click to the target and not to what was clicked.
      for (const id of down.keys()) target.setPointerCapture(id);
    }
    const before = spread(down);
    down.set(event.pointerId, now);
    const after = spread(down);
    moves.pan(after.middle[0] - before.middle[0], after.middle[1] - before.middle[1], { fingers: down.size, shift: event.shiftKey });
    if (before.width > 0) moves.zoom(after.width / before.width, after.middle);
  });

  const up = (event) => {
    if (!down.delete(event.pointerId)) return;
    if (down.size > 0 || !dragging) return;
    moves.done?.();
    setTimeout(() => { dragging = false; }); // after the click that ends the drag
  };
  target.addEventListener("pointerup", up);
  target.addEventListener("pointercancel", up);
  target.addEventListener("click", (event) => {
    if (dragging) event.stopImmediatePropagation();
  }, true);

  target.addEventListener("wheel", (event) => {
    event.preventDefault();
    const pixels = event.deltaY * (event.deltaMode === 1 ? 33 : event.deltaMode === 2 ? 400 : 1);
    moves.zoom(Math.exp(-pixels * wheelStep * (event.ctrlKey ? 4 : 1)), place(event));
    moves.done?.();
  }, { passive: false });

  return { dragging: () => dragging && down.size > 0, place };
}

// spread is the middle of the pointers and how far apart the first two are.
function spread(down) {
  const points = [...down.values()];
  const [a, b] = points;
  if (!b) return { middle: a, width: 0 };
  return { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], width: Math.hypot(a[0] - b[0], a[1] - b[1]) };
}
