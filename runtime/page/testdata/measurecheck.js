// measurecheck.js holds measure.js and places.js to what can be said by hand and to laws on
// seeded random input. It gives the faults as sentences.
(g, measure, places) => {
  const faults = [];
  const check = (holds, what) => {
    if (!holds) faults.push(what);
  };
  const near = (a, b) => Math.abs(a - b) < 1e-9;
  let seed = 5;
  const random = (lo, hi) => {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    return lo + (hi - lo) * seed / 2 ** 32;
  };

  // A slot 50 long between the centres of two half circles of radius 12, each made of two quarters.
  const quarter = Math.PI / 2;
  const slot = {
    kind: "cut", closed: true, length: 100 + 24 * Math.PI, curves: [
      [0, 0, -12, 50, -12], [1, 50, -12, 62, 0, 50, 0, 12, quarter], [1, 62, 0, 50, 12, 50, 0, 12, quarter],
      [0, 50, 12, 0, 12], [1, 0, 12, -12, 0, 0, 0, 12, quarter], [1, -12, 0, 0, -12, 0, 0, 12, quarter],
    ],
  };
  const lines = measure.linesOf([slot]);
  const snapped = (p, reach) => {
    const s = measure.snap(lines, p, reach);
    return s && `${s.what} ${s.point.map((v) => Number(v.toFixed(6)))}`;
  };
  const s = 12 * Math.SQRT1_2;
  const cases = [
    [[0.5, -11.5], 2, "end 0,-12"], [[25.5, 11.2], 2, "middle 25,12"], [[51, 0.5], 2, "centre 50,0"], [[10, -11], 2, "on line 10,-12"],
    [[50 + s + 0.3, s], 2, `middle ${Number((50 + s).toFixed(6))},${Number(s.toFixed(6))}`], [[25, 0], 2, null],
    [[1, -12], 2, "end 0,-12"], // an end comes before the place on the line, though that is nearer
  ];
  for (const [p, reach, want] of cases) check(snapped(p, reach) === want, `snap at ${p}: ${snapped(p, reach)}, want ${want}`);

  const arc = measure.along(measure.lineAt(lines, [59, 9], 2));
  check(arc.sort === "arc" && near(arc.length, 6 * Math.PI) && arc.radius === 12 && near(arc.sweep, 90) && near(arc.whole, 100 + 24 * Math.PI) && arc.parts === 6,
    `along an arc: ${JSON.stringify(arc)}`);
  const side = measure.along(measure.lineAt(lines, [20, 12.5], 2));
  check(side.sort === "line" && side.length === 50 && side.radius === null, `along a line: ${JSON.stringify(side)}`);
  check(measure.lineAt(lines, [25, 0], 2) === null, "no line is near the middle of the slot");

  // Law: measured the other way the distance is the same and both steps change their sign;
  // distance and angle give the steps back.
  for (let i = 0; i < 100; i++) {
    const a = [random(-500, 500), random(-500, 500)], b = [random(-500, 500), random(-500, 500)];
    const there = measure.between(a, b), back = measure.between(b, a);
    const angle = there.angle * Math.PI / 180;
    check(there.distance === back.distance && there.dx === -back.dx && there.dy === -back.dy, `between ${a} and ${b}, both ways`);
    check(near(there.distance * Math.cos(angle), there.dx) && near(there.distance * Math.sin(angle), there.dy), `between ${a} and ${b}, by angle`);
  }

  // Law: a snapped point lies within reach, and on the curve unless it is a centre.
  for (let i = 0; i < 500; i++) {
    const p = [random(-20, 70), random(-20, 20)];
    const found = measure.snap(lines, p, 4);
    const nearest = g.nearest(slot.curves, p);
    check(found !== null || nearest.distance > 4, `nothing at ${p}, though a line is ${nearest.distance} away`);
    if (!found) continue;
    check(g.distance(found.point, p) <= 4 + 1e-9, `${found.what} beyond reach of ${p}`);
    check(found.what === "centre" || g.nearest(slot.curves, found.point).distance < 1e-9, `${found.what} off the line at ${p}`);
  }

  const room = places.roomIn([[[10, 20], [90, 20], [90, 50], [10, 50]]]);
  check(near(room.at[0], 50) && near(room.at[1], 35) && near(room.width, 80) && near(room.height, 30), `room of a rectangle: ${JSON.stringify(room)}`);

  // Law: the spot for words lies on board, and so does a box a hundredth as large as the
  // room said to be there; no box broader than the room holds.
  for (let i = 0; i < 200; i++) {
    const n = 3 + Math.floor(random(0, 9));
    const star = Array.from({ length: n }, (_, k) => {
      const r = random(10, 100), angle = 2 * Math.PI * (k + random(0, 0.8)) / n;
      return [r * Math.cos(angle), r * Math.sin(angle)];
    });
    const spot = places.roomIn([star]);
    check(g.isInside([star], spot.at), `the spot ${spot.at} of star ${i} is off it`);
    check(places.holds([star], spot.at, 0, 0), `star ${i} has no room at its own spot`);
    check(!places.holds([star], spot.at, spot.width * 1.01, 0), `star ${i} has more room than it says`);
  }
  return faults;
}
