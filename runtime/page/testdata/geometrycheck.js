// geometrycheck.js compares geometry.js with the vectors of geometry.json, which Go
// computed, and holds it to laws of its own. It gives the faults as sentences.
(g, vectors) => {
  const faults = [];
  const places = 2e-9; // what is wanted has nine decimals
  const same = (what, got, want, within = places) => {
    const a = [got].flat(), b = [want].flat();
    if (a.length !== b.length || a.some((v, i) => !(Math.abs(v - b[i]) <= within))) faults.push(`${what}: got ${a}, want ${b}`);
  };

  vectors.curves.forEach(({ curve, length, area, bounds, at, nearest, moved, path }, i) => {
    same(`length of ${i}`, g.lengthOf(curve), length);
    same(`area of ${i}`, g.areaOf([curve]), area, 1e-7);
    same(`box of ${i}`, g.boundsOf([curve]), bounds);
    for (const [t, x, y] of at) same(`point of ${i} at ${t}`, g.pointAt(curve, t), [x, y]);
    for (const [x, y, d] of nearest) {
      const found = g.nearestOn(curve, [x, y]);
      same(`distance from ${x}, ${y} to ${i}`, found.distance, d);
      same(`nearest place of ${i}`, g.pointAt(curve, found.t), found.point);
    }
    same(`${i} moved`, g.transform(curve, vectors.matrix), moved);
    same(`${i} moved and back`, g.transform(g.transform(curve, vectors.matrix), g.invert6(vectors.matrix)), curve);
    same(`length of ${i} reversed`, g.lengthOf(g.reverse(curve)), length);
    checkFlattening(curve, i);
    if ((g.svgPath([curve]).match(/[MLACZ]/g) ?? []).join("") !== path) faults.push(`path of ${i}: ${g.svgPath([curve])}, want ${path}`);
  });

  // Every corner lies on the curve, and the middle of every chord within the tolerance of it.
  function checkFlattening(curve, i) {
    for (const tolerance of [0.5, 0.01]) {
      const points = [...g.flatten(curve, tolerance), g.endOf(curve)];
      points.forEach((p, k) => {
        same(`corner ${k} of ${i} on the curve`, g.nearestOn(curve, p).distance, 0);
        if (k === 0) return;
        const middle = [(p[0] + points[k - 1][0]) / 2, (p[1] + points[k - 1][1]) / 2];
        const off = g.nearestOn(curve, middle).distance;
        if (off > tolerance * (1 + 1e-9)) faults.push(`chord ${k} of ${i} is ${off} off at tolerance ${tolerance}`);
      });
    }
  }

  for (const { matrix, point, moved, then } of vectors.motions) {
    same("a point moved in space", g.apply34(matrix, point), moved);
    same("a motion and back", g.mul34(g.invertRigid34(matrix), matrix), [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0]);
    same("a motion twice", g.apply34(g.mul34(matrix, matrix), point), then);
  }
  return faults;
}
