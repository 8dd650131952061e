package geom

import "math"

// lineCubic finds where a cubic meets a line. The cubic's signed distance from
// the line, (B − P) × u for the unit direction u, is a polynomial of degree three whose
// Bernstein coefficients are the distances of the control points; its zeros are
// crossings, its extrema closest approaches.
func lineCubic(a, b Curve, cs []candidate) []candidate {
	d := a.Q.Sub(a.P)
	l := d.Len()
	if l == 0 {
		return cs
	}
	u := d.Mul(1 / l)
	dist := bernstein{n: 3}
	for i, p := range [...]Point{b.P, b.C, b.D, b.Q} {
		dist.c[i] = u.Cross(p.Sub(a.P))
	}
	add := func(t float64, cross bool) {
		cs = addCandidate(a, b, candidate{b.At(t).Sub(a.P).Dot(u) / l, t, cross}, cs)
	}
	var buf [9]float64
	for _, t := range dist.roots(buf[:0]) {
		add(t, true)
	}
	for _, t := range dist.derivative().roots(buf[:0]) {
		if v, _ := dist.at(t); math.Abs(v) <= SnapTolerance {
			add(t, false)
		}
	}
	return cs
}

// arcCubic finds where a cubic meets an arc. The squared distance from the
// centre, less R², is a polynomial of degree six; its zeros are crossings, its
// extrema closest approaches to the circle.
func arcCubic(a, b Curve, cs []candidate) []candidate {
	x, y := b.coordinates(a.C)
	f := x.times(x).plus(y.times(y)).less(float64(a.R * a.R))
	add := func(t float64, cross bool) {
		dir := b.At(t).Sub(a.C)
		cs = addCandidate(a, b, candidate{a.angleParam(dir.Angle()), t, cross}, cs)
	}
	var buf [9]float64
	for _, t := range f.roots(buf[:0]) {
		add(t, true)
	}
	for _, t := range f.derivative().roots(buf[:0]) {
		if math.Abs(b.At(t).Dist(a.C)-a.R) <= SnapTolerance {
			add(t, false)
		}
	}
	return cs
}

const (
	// leafFlat is within how many millimetres of their chords two parts of
	// cubics must stay for the chords to replace them in the search. A tenth of the
	// tolerance, so that both together change distances by a fifth of it.
	leafFlat = SnapTolerance / 10

	// leafWidth ends the halving in terms of the parameter, for parts round a
	// cusp, which never come within leafFlat of their chords.
	leafWidth = 1.0 / (1 << 20)

	// searchLimit bounds the pairs of parts looked at. Two cubics cross at
	// most nine times (Bézout), and a place takes few pairs each time the
	// parts are halved; only curves that overlap for long without sharing an end
	// need more, and those may lose some of their candidates.
	searchLimit = 20000

	// approachReach is how near, in millimetres, a known candidate spares the search
	// for another closest approach: an overlap of minOverlap holds several parts so
	// wide, so that its candidates still lead from one to the next. Half as much finds
	// the same and takes longer.
	approachReach = minOverlap / 8
)

// cubicPiece is the part of a cubic between the parameters lo and hi, with the box
// of its control points and a bound in mm on how far it strays from its chord.
type cubicPiece struct {
	Curve
	lo, hi float64
	box    Box
	flat   float64
}

// newPiece is the part c of a cubic, already cut out, that has the parameters lo
// to hi on the whole.
func newPiece(c Curve, lo, hi float64) cubicPiece {
	// A curve strays from its chord by at most |B″|/8, and |B″| is at most six
	// times the larger second difference.
	a := c.P.Sub(c.C.Mul(2)).Add(c.D).Len()
	b := c.C.Sub(c.D.Mul(2)).Add(c.Q).Len()
	return cubicPiece{c, lo, hi, BoxOf(c.P, c.C, c.D, c.Q), 0.75 * math.Max(a, b)}
}

// leaf reports whether a part is not to be halved any more: flat enough for its
// chord to replace it (flat is a bound from above, in mm), or too short.
func (p cubicPiece) leaf() bool { return p.flat <= leafFlat || p.hi-p.lo <= leafWidth }

// halves splits a part at the middle of its parameters by de Casteljau's rule.
func (p cubicPiece) halves() (l, r cubicPiece) {
	m := (p.lo + p.hi) / 2
	a, b := p.splitCubic(0.5)
	return newPiece(a, p.lo, m), newPiece(b, m, p.hi)
}

// cubicSearch looks for places where two cubics come within SnapTolerance.
type cubicSearch struct {
	a, b   Curve
	skip   []cluster // overlaps already found
	visits int
	found  []candidate
}

// cubicCandidates searches pairs of pieces whose boxes meet, leaving out the
// overlaps in known.
func cubicCandidates(a, b Curve, known []cluster, cs []candidate) []candidate {
	s := cubicSearch{a: a, b: b, found: cs}
	for _, r := range known {
		if len(r.all) > 1 {
			s.skip = append(s.skip, r)
		}
	}
	s.search(newPiece(a, 0, 1), newPiece(b, 0, 1))
	return s.found
}

// search halves the less flat of two parts until both are leaves. Pairs are left
// out by their boxes, grown by the tolerance: as a Bézier curve lies in the hull of
// its control points, no pair with points within SnapTolerance is lost, but for
// rounding, before searchLimit is reached.
func (s *cubicSearch) search(p, q cubicPiece) {
	s.visits++
	if s.visits > searchLimit || !p.box.Grow(SnapTolerance).Intersects(q.box) || s.known(p, q) {
		return
	}
	switch {
	case p.leaf() && q.leaf():
		s.meet(p, q)
	case q.leaf() || !p.leaf() && p.flat >= q.flat:
		l, r := p.halves()
		s.search(l, q)
		s.search(r, q)
	default:
		l, r := q.halves()
		s.search(p, l)
		s.search(p, r)
	}
}

// known reports whether both parts lie within an overlap already found.
// Parameters are compared exactly; a part that reaches beyond the overlap by any
// amount is searched, and clusters unites what is found twice.
func (s *cubicSearch) known(p, q cubicPiece) bool {
	for _, r := range s.skip {
		lo, hi := math.Min(r.first().b, r.last().b), math.Max(r.first().b, r.last().b)
		if p.lo >= r.first().a && p.hi <= r.last().a && q.lo >= lo && q.hi <= hi {
			return true
		}
	}
	return false
}

// meet looks at two parts that are within leafFlat of their chords. Where the
// chords cross, or nearly do, the crossing is sharpened on the curves themselves; where
// they are nearly parallel and near each other instead, the closest approach is
// looked for.
func (s *cubicSearch) meet(p, q cubicPiece) {
	u, v, w := p.Q.Sub(p.P), q.Q.Sub(q.P), q.P.Sub(p.P)
	cross := u.Cross(v)
	x, y := w.Cross(v)/cross, w.Cross(u)/cross
	// Half a part further either way: chords do not cross where their curves do.
	if math.Abs(x-0.5) <= 1 && math.Abs(y-0.5) <= 1 {
		a, b := polish(s.a, s.b, clamp01(p.lo+float64(x*(p.hi-p.lo))), clamp01(q.lo+float64(y*(q.hi-q.lo))))
		if s.a.At(a).Dist(s.b.At(b)) <= Tiny {
			s.add(candidate{a, b, true})
			return
		}
	}
	if math.Abs(cross) <= 5*shallowSine*u.Len()*v.Len() && chordGap(p, q) <= SnapTolerance+2*leafFlat {
		s.approach(p, q)
	}
}

// chordGap is the distance between two chords that do not cross.
func chordGap(p, q cubicPiece) float64 {
	a, b := LineFrom(p.P, p.Q), LineFrom(q.P, q.Q)
	_, d0 := a.Nearest(b.P)
	_, d1 := a.Nearest(b.Q)
	_, d2 := b.Nearest(a.P)
	_, d3 := b.Nearest(a.Q)
	return min(d0, d1, d2, d3)
}

// approach looks for the closest approach of two near-parallel parts: where
// A′ × B′ = 0, the tangents parallel, and (A − B)·A′ = 0, the line between the
// curves at a right angle to them, by Newton's method in both parameters. Where
// that ends outside of the parts, their middles are taken if they are within
// SnapTolerance. Nothing is looked for within approachReach of a known candidate, be it
// a crossing with another part of the curve. Newton's method starts within leafFlat of
// the curves and converges quadratically; what steps are left over change nothing.
//
// Some of this is for speed or for rounding alone, and no result shows it: the term
// w·A″ of the derivative, which is at most SnapTolerance times the curvature; one part of
// reach either way; and staying within 0 and 1, as ends that lie on the other curve are
// known candidates, which spare the search here.
func (s *cubicSearch) approach(p, q cubicPiece) {
	a, b := (p.lo+p.hi)/2, (q.lo+q.hi)/2
	if s.near(s.a.At(a), s.b.At(b), approachReach) {
		return
	}
	for range 12 {
		u, uu := s.a.Derivatives(a)
		v, vv := s.b.Derivatives(b)
		w := s.a.At(a).Sub(s.b.At(b))
		f, g := u.Cross(v), w.Dot(u)
		fa, fb, ga, gb := uu.Cross(v), u.Cross(vv), u.Dot(u)+w.Dot(uu), -v.Dot(u)
		det := float64(fa*gb) - float64(fb*ga)
		a -= (float64(f*gb) - float64(fb*g)) / det
		b -= (float64(fa*g) - float64(f*ga)) / det
	}
	da, db := p.hi-p.lo, q.hi-q.lo
	if !(a >= p.lo-da && a <= p.hi+da && b >= q.lo-db && b <= q.hi+db) || !inside(a) || !inside(b) {
		a = (p.lo + p.hi) / 2
		b, _ = s.b.Nearest(s.a.At(a))
	}
	if s.a.At(a).Dist(s.b.At(b)) <= SnapTolerance {
		s.add(candidate{a: a, b: b})
	}
}

// add keeps a candidate unless one is there already: an equal one, or, for an
// approach, one so near that clusters finds the overlap between them.
func (s *cubicSearch) add(c candidate) {
	reach := Tiny
	if !c.cross {
		reach = approachReach
	}
	if !s.near(s.a.At(c.a), s.b.At(c.b), reach) {
		s.found = append(s.found, c)
	}
}

// near reports whether a candidate within reach mm of the two points, one on each
// curve, is known.
func (s *cubicSearch) near(p, q Point, reach float64) bool {
	for _, f := range s.found {
		if p.Dist(s.a.At(f.a)) <= reach && q.Dist(s.b.At(f.b)) <= reach {
			return true
		}
	}
	return false
}
