// tiles.js: how a flat blank is spread over the pages of a print. Pure
// functions of numbers, in millimetres. "Sheet space" is the blank as it lies
// on the paper: x right, y down, its bounding box from 0, 0 to its width and
// height. A window is the part of sheet space that one page shows.

export const PAPERS = {
  a4: { name: "A4", width: 210, height: 297 }, // ISO 216
  letter: { name: "Letter", width: 215.9, height: 279.4 }, // 8.5 by 11 inches
};

export const MARGIN = 10; // what desktop printers may leave white
export const OVERLAP = 8; // what two neighbouring pages both show
export const AIR = 1; // kept clear round the blank, so that no line is halved
export const LARGEST_PAGE = 5080; // 14,400 points, the most that readers of PDF take
export const MOST_SHEETS = 250; // half a ream; nobody tapes more

// STEP is what sides of pages made to measure are multiples of: a quarter of an
// inch is a whole number of points and of pixels at 96 and 300 an inch. Browsers
// round a page to those and shrink the drawing with it: Chromium by 0.16 % at
// 300 mm, but by 0.001 % at a multiple of this.
const STEP = 6.35;

export const stepped = (length) => Math.ceil(length / STEP - 1e-9) * STEP;

// placement is the matrix from the blank frame (y up) to sheet space, with the
// size of the blank there. A blank worked from the inside is mirrored, as in
// its cut files; turn is 0 or 90, a quarter turn to the left.
export function placement(bounds, inside, turn) {
  const [x0, y0, x1, y1] = bounds;
  const [width, height] = [x1 - x0, y1 - y0];
  const m = inside ? [-1, 0, 0, -1, x1, y1] : [1, 0, 0, -1, -x0, y1];
  if (turn !== 90) return { matrix: m, width, height };
  const [a, b, c, d, e, f] = m; // then (x, y) -> (y, width - x)
  return { matrix: [b, -a, d, -c, f, width - e], width: height, height: width };
}

// divide cuts a length into the fewest windows, each sharing OVERLAP with the
// next one, and centres what is left over. start is of the first window.
export function divide(length, window) {
  if (window < 2 * OVERLAP) return { count: Infinity, start: 0 };
  const needed = length + 2 * AIR;
  const count = needed <= window ? 1 : Math.ceil((needed - OVERLAP) / (window - OVERLAP) - 1e-9);
  const covered = count * (window - OVERLAP) + OVERLAP;
  return { count, start: (length - covered) / 2 };
}

// tile spreads a blank over windows of one size. isEmpty(x0, y0, x1, y1) says
// that a rectangle of sheet space shows nothing. The cores of the tiles, their
// windows up to the middle of each overlap, partition what is covered; a tile
// whose core is empty can be left out, for the rest of it is on its neighbours.
export function tile(width, height, windowWidth, windowHeight, isEmpty) {
  const across = divide(width, windowWidth);
  const down = divide(height, windowHeight);
  const tiles = [];
  let sheets = 0;
  for (let row = 0; row < down.count; row++) {
    for (let column = 0; column < across.count; column++) {
      const x = across.start + column * (windowWidth - OVERLAP);
      const y = down.start + row * (windowHeight - OVERLAP);
      const core = [
        x + (column > 0 ? OVERLAP / 2 : 0),
        y + (row > 0 ? OVERLAP / 2 : 0),
        x + windowWidth - (column < across.count - 1 ? OVERLAP / 2 : 0),
        y + windowHeight - (row < down.count - 1 ? OVERLAP / 2 : 0),
      ];
      const number = isEmpty(...core) ? 0 : ++sheets;
      tiles.push({ row, column, x, y, width: windowWidth, height: windowHeight, core, number });
    }
  }
  const grid = { rows: down.count, columns: across.count, sheets, tiles };
  grid.marks = joiningMarks(grid);
  return grid;
}

// joiningMarks are two marks on the middle of each overlap of two tiles that
// are both printed. Each is drawn on both at the same place of sheet space,
// and carries a number found nowhere else. seam says what is joined there.
export function joiningMarks(grid) {
  const at = (row, column) => grid.tiles[row * grid.columns + column];
  const marks = [];
  const join = (a, b, seam, place) => {
    if (!a.number || !b.number) return;
    for (const share of [0.25, 0.75]) {
      const [x, y] = place(share);
      marks.push({ number: marks.length + 1, seam, x, y, sheets: [a.number, b.number] });
    }
  };
  for (const t of grid.tiles) {
    const [x0, y0, x1, y1] = t.core;
    if (t.column + 1 < grid.columns) join(t, at(t.row, t.column + 1), "column", (s) => [x1, y0 + (y1 - y0) * s]);
    if (t.row + 1 < grid.rows) join(t, at(t.row + 1, t.column), "row", (s) => [x0 + (x1 - x0) * s, y1]);
  }
  return marks;
}

// spread chooses between upright and lying paper: the fewest printed sheets,
// then the fewest tiles, then upright. turn 0 asks for upright, 90 for lying.
export function spread(width, height, paper, foot, turn, isEmpty) {
  const { width: w, height: h } = PAPERS[paper];
  const ways = [];
  if (turn !== 90) ways.push([w, h]);
  if (turn !== 0) ways.push([h, w]);
  let best = null;
  for (const [pageWidth, pageHeight] of ways) {
    const band = foot(pageWidth - 2 * MARGIN);
    const windowWidth = pageWidth - 2 * MARGIN;
    const windowHeight = pageHeight - 2 * MARGIN - band;
    const count = divide(width, windowWidth).count * divide(height, windowHeight).count;
    // Far more windows than can be taped are counted, not looked into.
    const grid = count > 4 * MOST_SHEETS ? { sheets: count, tiles: { length: count } } : tile(width, height, windowWidth, windowHeight, isEmpty);
    const better = !best || grid.sheets < best.grid.sheets ||
      (grid.sheets === best.grid.sheets && grid.tiles.length < best.grid.tiles.length);
    if (better) best = { pageWidth, pageHeight, grid };
  }
  return best;
}

// touches says whether a line from p to q has a point in a rectangle (clipping
// by the four sides in turn, after Liang and Barsky, 1984).
export function touches(p, q, x0, y0, x1, y1) {
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  let [from, to] = [0, 1];
  for (const [d, room] of [[-dx, p[0] - x0], [dx, x1 - p[0]], [-dy, p[1] - y0], [dy, y1 - p[1]]]) {
    if (d === 0) {
      if (room < 0) return false;
    } else if (d < 0) {
      from = Math.max(from, room / d);
    } else {
      to = Math.min(to, room / d);
    }
    if (from > to) return false;
  }
  return true;
}

// chord is the widest stretch of a horizontal line at y that lies inside rings:
// [from, to], or null.
export function chord(y, rings) {
  const xs = [];
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [a, b] = [ring[j], ring[i]];
      if (a[1] > y !== b[1] > y) xs.push(a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0]));
    }
  }
  xs.sort((p, q) => p - q);
  let best = null;
  for (let i = 0; i + 1 < xs.length; i += 2) {
    if (!best || xs[i + 1] - xs[i] > best[1] - best[0]) best = [xs[i], xs[i + 1]];
  }
  return best;
}
