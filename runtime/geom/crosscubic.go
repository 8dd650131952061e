package geom

import "math"

// lineCubic: the cubic's distance from the line is itself a cubic polynomial;
// its zeros are crossings, its extremes closest approaches.
func lineCubic(a, b Curve, cs []contact) []contact {
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
		cs = addContact(a, b, contact{b.At(t).Sub(a.P).Dot(u) / l, t, cross}, cs)
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

// arcCubic: the squared distance from the centre, less R², is a polynomial of
// degree six; its zeros are crossings, its extremes closest approaches.
func arcCubic(a, b Curve, cs []contact) []contact {
	x, y := b.coordinates(a.C)
	f := x.times(x).plus(y.times(y)).less(float64(a.R * a.R))
	add := func(t float64, cross bool) {
		dir := b.At(t).Sub(a.C)
		cs = addContact(a, b, contact{a.angleParam(dir.Angle()), t, cross}, cs)
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
	// leafFlat is how straight, in millimetres, two cubic pieces must be before
	// their chords stand in for them in the search.
	leafFlat = SnapTolerance / 10

	// leafWidth ends the halving of a piece that never gets straight in
	// parameter terms (a cusp).
	leafWidth = 1.0 / (1 << 20)

	// searchLimit bounds the pairs of pieces looked at. Two cubics cross at
	// most nine times, so only curves that run together for long without
	// sharing an end could come near it.
	searchLimit = 20000
)

// cubicPiece is part of a cubic during the search.
type cubicPiece struct {
	Curve
	lo, hi float64
	box    Box
	flat   float64
}

func newPiece(c Curve, lo, hi float64) cubicPiece {
	// A curve strays from its chord by at most |B″|/8, and |B″| is at most six
	// times the larger second difference.
	a := c.P.Sub(c.C.Mul(2)).Add(c.D).Len()
	b := c.C.Sub(c.D.Mul(2)).Add(c.Q).Len()
	return cubicPiece{c, lo, hi, BoxOf(c.P, c.C, c.D, c.Q), 0.75 * math.Max(a, b)}
}

func (p cubicPiece) leaf() bool { return p.flat <= leafFlat || p.hi-p.lo <= leafWidth }

func (p cubicPiece) halves() (l, r cubicPiece) {
	m := (p.lo + p.hi) / 2
	a, b := p.splitCubic(0.5)
	return newPiece(a, p.lo, m), newPiece(b, m, p.hi)
}

// cubicSearch looks for places where two cubics come within SnapTolerance.
type cubicSearch struct {
	a, b   Curve
	skip   []run // stretches already known to run together
	visits int
	found  []contact
}

// cubicContacts searches pairs of pieces whose boxes meet, leaving out the
// stretches in known.
func cubicContacts(a, b Curve, known []run, cs []contact) []contact {
	s := cubicSearch{a: a, b: b, found: cs}
	for _, r := range known {
		if len(r.all) > 1 {
			s.skip = append(s.skip, r)
		}
	}
	s.search(newPiece(a, 0, 1), newPiece(b, 0, 1))
	return s.found
}

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

// known reports whether both pieces lie within a stretch already found.
func (s *cubicSearch) known(p, q cubicPiece) bool {
	for _, r := range s.skip {
		lo, hi := math.Min(r.first().b, r.last().b), math.Max(r.first().b, r.last().b)
		if p.lo >= r.first().a && p.hi <= r.last().a && q.lo >= lo && q.hi <= hi {
			return true
		}
	}
	return false
}

// meet looks at two pieces that are as good as straight.
func (s *cubicSearch) meet(p, q cubicPiece) {
	u, v, w := p.Q.Sub(p.P), q.Q.Sub(q.P), q.P.Sub(p.P)
	cross := u.Cross(v)
	x, y := w.Cross(v)/cross, w.Cross(u)/cross
	// Half a piece of leeway: the chords cross a little off the curves' place.
	if math.Abs(x-0.5) <= 1 && math.Abs(y-0.5) <= 1 {
		a, b := polish(s.a, s.b, clamp01(p.lo+float64(x*(p.hi-p.lo))), clamp01(q.lo+float64(y*(q.hi-q.lo))))
		if s.a.At(a).Dist(s.b.At(b)) <= Tiny {
			s.add(contact{a, b, true})
			return
		}
	}
	if math.Abs(cross) <= 5*shallow*u.Len()*v.Len() && chordGap(p, q) <= SnapTolerance+2*leafFlat {
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

// approach looks for the closest approach of two near-parallel pieces: where
// the tangents are parallel and the line between the curves square to them.
// Pieces that run on within SnapTolerance without one are told by their middle.
func (s *cubicSearch) approach(p, q cubicPiece) {
	a, b := (p.lo+p.hi)/2, (q.lo+q.hi)/2
	if s.near(s.a.At(a), s.b.At(b), minRun/8) {
		return
	}
	for range 12 {
		u, uu := s.a.derivatives(a)
		v, vv := s.b.derivatives(b)
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
		s.add(contact{a: a, b: b})
	}
}

// add keeps a contact unless one is there already: an equal one, or, for an
// approach, one so near that the run between them tells the rest.
func (s *cubicSearch) add(c contact) {
	reach := Tiny
	if !c.cross {
		reach = minRun / 8
	}
	if !s.near(s.a.At(c.a), s.b.At(c.b), reach) {
		s.found = append(s.found, c)
	}
}

// near reports whether a contact within reach of the two points, one on each
// curve, is known.
func (s *cubicSearch) near(p, q Point, reach float64) bool {
	for _, f := range s.found {
		if p.Dist(s.a.At(f.a)) <= reach && q.Dist(s.b.At(f.b)) <= reach {
			return true
		}
	}
	return false
}
