// places.js finds where a panel has room for words: spots in the blank frame, mm. A
// panel is given as polygons, read even-odd.

// scans is how many horizontal lines are tried across a panel; a rectangle needs one, an
// odd shape is met within a fourteenth of its height.
const scans = 13;

// wordShape is how much wider than high a few words are; a spot is as good as the words it holds.
const wordShape = 5;

// roomIn is the spot of a panel with the most room for words: {at, width, height} of the
// stretch of board through it, left to right and up and down.
export function roomIn(polygons) {
  const ys = polygons.flat().map((p) => p[1]);
  const low = Math.min(...ys), high = Math.max(...ys);
  const xs = polygons.flat().map((p) => p[0]);
  const whole = Math.min(Math.max(...xs) - Math.min(...xs), wordShape * (high - low)) * (1 - 1e-9);
  let best = null, most = -1;
  for (let i = 0; i < scans && most < whole; i++) {
    // The middle first, so that it wins where all are alike.
    const k = (i % 2 ? 1 : -1) * Math.ceil(i / 2);
    const y = (low + high) / 2 + (high - low) * k / (scans + 1);
    for (const stretch of crossings(polygons, y, 1)) {
      const spot = centre(polygons, (stretch[0] + stretch[1]) / 2, y);
      const room = spot ? Math.min(spot.width, wordShape * spot.height) : -1;
      if (room > most + 1e-9) [best, most] = [spot, room];
    }
  }
  return best ?? { at: polygons[0]?.[0] ?? [0, 0], width: 0, height: 0 };
}

// centre moves a spot to the middle of its column and then of its row.
function centre(polygons, x, y) {
  const column = stretchAt(crossings(polygons, x, 0), y);
  if (!column) return null;
  const middle = (column[0] + column[1]) / 2;
  const row = stretchAt(crossings(polygons, middle, 1), x);
  if (!row) return null;
  return { at: [(row[0] + row[1]) / 2, middle], width: row[1] - row[0], height: column[1] - column[0] };
}

// holds reports whether an upright box of a width and height round a spot lies on board,
// as far as its edges and middle lines tell.
export function holds(polygons, [x, y], width, height) {
  return [-1, 0, 1].every((k) => covers(crossings(polygons, y + k * height / 2, 1), x - width / 2, x + width / 2)) &&
    [-1, 0, 1].every((k) => covers(crossings(polygons, x + k * width / 2, 0), y - height / 2, y + height / 2));
}

const stretchAt = (stretches, v) => stretches.find(([a, b]) => a <= v && v <= b);
const covers = (stretches, lo, hi) => stretches.some(([a, b]) => a <= lo && hi <= b);

// crossings are the stretches of board on the line where coordinate `axis` is at v, as
// pairs of the other coordinate, upward.
function crossings(polygons, v, axis) {
  const other = 1 - axis;
  const cuts = [];
  for (const ring of polygons) {
    let last = ring[ring.length - 1];
    for (const p of ring) {
      if ((p[axis] > v) !== (last[axis] > v)) {
        cuts.push(last[other] + (p[other] - last[other]) * (v - last[axis]) / (p[axis] - last[axis]));
      }
      last = p;
    }
  }
  cuts.sort((a, b) => a - b);
  const stretches = [];
  for (let i = 0; i + 1 < cuts.length; i += 2) stretches.push([cuts[i], cuts[i + 1]]);
  return stretches;
}
