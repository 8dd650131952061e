package geom

import "math"

// candidate is one place where two curves come within SnapTolerance of each
// other, before clusters of them are told as one Intersection each.
type candidate struct {
	a, b  float64 // parameters
	cross bool    // a common point of the two, as opposed to a closest approach
}

// ends counts the curve ends among the candidate's two points: 0, 1 or 2.
func (c candidate) ends() int {
	n := 0
	if c.a == 0 || c.a == 1 {
		n++
	}
	if c.b == 0 || c.b == 1 {
		n++
	}
	return n
}

// candidates lists, in any order, every end of one curve that lies on the other,
// every crossing, and every closest approach within SnapTolerance. One place may
// be listed several times, as a crossing, an approach and an end. Pairs of kinds
// have a solver each, for a.Kind ≤ b.Kind; other pairs are swapped there and back.
func candidates(a, b Curve) []candidate {
	cs := endCandidates(a, b, nil)
	if a.Kind == Cubic && b.Kind == Cubic {
		cs = cubicCandidates(a, b, clusters(a, b, cs), cs)
	} else if a.Kind > b.Kind {
		n := len(cs)
		cs = innerCandidates(b, a, cs)
		for i := n; i < len(cs); i++ {
			cs[i].a, cs[i].b = cs[i].b, cs[i].a
		}
	} else {
		cs = innerCandidates(a, b, cs)
	}
	return cs
}

// endCandidates appends the ends that lie on the other curve, by tolerance. End
// on end comes first, so that both parameters are exactly 0 or 1; an end that
// lies on the other's end is not looked for on its inside.
func endCandidates(a, b Curve, cs []candidate) []candidate {
	var aDone, bDone [2]bool
	as, bs := [2]Point{a.P, a.Q}, [2]Point{b.P, b.Q}
	for i, p := range as {
		for j, q := range bs {
			if p.Dist(q) <= SnapTolerance {
				cs = append(cs, candidate{a: float64(i), b: float64(j)})
				aDone[i], bDone[j] = true, true
			}
		}
	}
	for i, p := range as {
		if !aDone[i] {
			if t, d := b.Nearest(p); d <= SnapTolerance {
				cs = append(cs, candidate{a: float64(i), b: t})
			}
		}
	}
	for j, q := range bs {
		if !bDone[j] {
			if t, d := a.Nearest(q); d <= SnapTolerance {
				cs = append(cs, candidate{a: t, b: float64(j)})
			}
		}
	}
	return cs
}

// innerCandidates finds crossings and closest approaches; a.Kind ≤ b.Kind, and
// not two cubics.
func innerCandidates(a, b Curve, cs []candidate) []candidate {
	switch {
	case b.Kind == Line:
		return lineLine(a, b, cs)
	case a.Kind == Line && b.Kind == Arc:
		return lineArc(a, b, cs)
	case b.Kind == Arc:
		return arcArc(a, b, cs)
	case a.Kind == Line:
		return lineCubic(a, b, cs)
	}
	return arcCubic(a, b, cs)
}

// inside reports a parameter on the curve. What rounding takes off either end is
// not missed: endCandidates has the ends.
// An exact comparison of a rounded parameter; NaN, from a division 0/0, is outside.
func inside(t float64) bool { return t >= 0 && t <= 1 }

// addCandidate sharpens and keeps a candidate that lies on both curves, within
// SnapTolerance. Crossings of nearly parallel curves may come out of the
// closed forms far from where they are, since these divide by the sine of the angle.
// The decision is by tolerance, on the distance of the two points in mm.
func addCandidate(a, b Curve, c candidate, cs []candidate) []candidate {
	if !inside(c.a) || !inside(c.b) {
		return cs
	}
	if c.cross {
		c.a, c.b = polish(a, b, c.a, c.b)
	}
	if a.At(c.a).Dist(b.At(c.b)) > SnapTolerance {
		return cs
	}
	return append(cs, c)
}

// lineLine solves P + s·u = P′ + t·v: s = w × v / u × v and t = w × u / u × v with
// w = P′ − P. Parallel lines have no candidate but their ends.
// Only a cross product of exactly 0 counts as parallel: at smaller and smaller
// angles s and t lose their digits, which addCandidate restores, or it drops the candidate.
func lineLine(a, b Curve, cs []candidate) []candidate {
	u, v, w := a.Q.Sub(a.P), b.Q.Sub(b.P), b.P.Sub(a.P)
	cross := u.Cross(v)
	if cross == 0 {
		return cs
	}
	return addCandidate(a, b, candidate{w.Cross(v) / cross, w.Cross(u) / cross, true}, cs)
}

// lineArc drops the perpendicular from the centre to the line, of length h;
// crossings lie half a chord, √(R² − h²), to either side of its foot, and the
// foot is the closest approach. The difference of squares is taken as a product,
// which loses no digits where h is near R.
func lineArc(a, b Curve, cs []candidate) []candidate {
	d := a.Q.Sub(a.P)
	l := d.Len()
	if l == 0 {
		return cs
	}
	u := d.Mul(1 / l)
	foot := b.C.Sub(a.P).Dot(u)
	off := u.Left().Mul(b.C.Sub(a.P).Cross(u)) // centre to foot
	h := off.Len()
	at := func(s float64, dir Point, cross bool) {
		cs = addCandidate(a, b, candidate{s / l, b.angleParam(dir.Angle()), cross}, cs)
	}
	if h < b.R {
		half := math.Sqrt((b.R - h) * (b.R + h))
		at(foot-half, off.Sub(u.Mul(half)), true)
		at(foot+half, off.Add(u.Mul(half)), true)
	}
	if math.Abs(h-b.R) <= SnapTolerance {
		at(foot, off, false)
	}
	return cs
}

// arcArc works on the line through the two centres, d apart. Crossings lie on the
// radical line, which crosses it at x = (d² + R² − R′²)/2d from the first centre,
// √(R² − x²) to either side. Closest approaches lie on the line itself, at one of
// the four combinations of ends of the two diameters along it.
func arcArc(a, b Curve, cs []candidate) []candidate {
	cc := b.C.Sub(a.C)
	d := cc.Len()
	if d == 0 {
		return cs // concentric: they coincide or have a constant distance
	}
	u := cc.Mul(1 / d)
	at := func(p, q Point, cross bool) {
		cs = addCandidate(a, b, candidate{a.angleParam(p.Angle()), b.angleParam(q.Angle()), cross}, cs)
	}
	x := float64((d + (a.R-b.R)*(a.R+b.R)/d) / 2) // along u, from a's centre
	if hh := (a.R - x) * (a.R + x); hh > 0 {
		h := u.Left().Mul(math.Sqrt(hh))
		p, q := u.Mul(x), u.Mul(x-d)
		at(p.Add(h), q.Add(h), true)
		at(p.Sub(h), q.Sub(h), true)
	}
	for _, s := range [...]Point{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		if math.Abs(d-float64(s.X*a.R)+float64(s.Y*b.R)) <= SnapTolerance {
			at(u.Mul(s.X), u.Mul(s.Y), false)
		}
	}
	return cs
}

// polish sharpens a crossing by Newton's method on A(s) = B(t), in two unknowns
// with the inverse of the matrix of tangents written out. A step that does
// not bring the two points closer together is not taken and ends the search, so the
// result is never worse than the guess. Convergence is quadratic at a clear angle.
func polish(a, b Curve, s, t float64) (float64, float64) {
	gap := a.At(s).Dist(b.At(t))
	for range 8 {
		p, q := a.At(s), b.At(t)
		u, _ := a.Derivatives(s)
		v, _ := b.Derivatives(t)
		cross := u.Cross(v)
		if cross == 0 || gap == 0 {
			break
		}
		w := q.Sub(p)
		s1, t1 := clamp01(s+w.Cross(v)/cross), clamp01(t+w.Cross(u)/cross)
		next := a.At(s1).Dist(b.At(t1))
		if next >= gap {
			break
		}
		s, t, gap = s1, t1, next
	}
	return s, t
}

// clamp01 is the number in [0, 1] nearest to t; NaN stays NaN.
func clamp01(t float64) float64 { return math.Max(0, math.Min(1, t)) }
