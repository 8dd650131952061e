package geom

import "math"

// run is a chain of contacts, ascending along a, between which the curves stay
// within SnapTolerance of each other.
type run struct{ all []contact }

func (r run) first() contact { return r.all[0] }
func (r run) last() contact  { return r.all[len(r.all)-1] }

// joinRuns chains contacts that hang together. A contact may find several
// chains open at once where the curves pass each other twice.
func joinRuns(a, b Curve, cs []contact) []run {
	sortContacts(cs)
	var runs []run
next:
	for _, c := range cs {
		for i := len(runs) - 1; i >= 0; i-- {
			if together(a, b, runs[i].last(), c) {
				runs[i].all = append(runs[i].all, c)
				continue next
			}
		}
		runs = append(runs, run{[]contact{c}})
	}
	return runs
}

// together reports whether the curves stay within SnapTolerance of each other all the
// way from one contact to another, by sampling either side.
func together(a, b Curve, p, q contact) bool {
	pa, pb := a.stretch(p.a, q.a), b.stretch(p.b, q.b)
	if pa.hullLength() <= SnapTolerance && pb.hullLength() <= SnapTolerance {
		return true
	}
	// The middle first: it refuses nearly all.
	for _, t := range [...]float64{0.5, 0.25, 0.75, 0.125, 0.375, 0.625, 0.875} {
		if _, d := pb.Nearest(pa.At(t)); d > SnapTolerance {
			return false
		}
		if _, d := pa.Nearest(pb.At(t)); d > SnapTolerance {
			return false
		}
	}
	return true
}

// stretch is the part between two parameters in either order, which may be
// equal.
func (c Curve) stretch(s, t float64) Curve {
	if s > t {
		s, t = t, s
	}
	if s == t {
		return LineFrom(c.At(s), c.At(s))
	}
	return c.Part(s, t)
}

// hullLength is a cheap bound on the length from above.
func (c Curve) hullLength() float64 {
	if c.Kind == Cubic {
		return c.hull()
	}
	return c.Length()
}

// touches appends what the run amounts to: one stretch, one end or the
// crossings themselves.
func (r run) touches(a, b Curve, out []Intersection) []Intersection {
	from, to := r.first(), r.last()
	if from.ends() > 0 && to.ends() > 0 && longer(a, b, from, to, SnapTolerance) {
		return append(out, Intersection{from.a, to.a, from.b, to.b})
	}
	// The curves drift apart on at least one side.
	from, to = drift(a, b, from, -1), drift(a, b, to, 1)
	if longer(a, b, from, to, minRun) {
		return append(out, Intersection{from.a, to.a, from.b, to.b})
	}
	if e, ok := r.end(); ok {
		return append(out, Intersection{e.a, e.a, e.b, e.b})
	}
	return r.points(a, b, out)
}

// longer reports whether both curves run further than least between two
// contacts.
func longer(a, b Curve, p, q contact, least float64) bool {
	return a.stretch(p.a, q.a).Length() > least && b.stretch(p.b, q.b).Length() > least
}

// end is the run's contact with the most curve ends, if it has one with any.
func (r run) end() (best contact, ok bool) {
	for _, c := range r.all {
		if c.ends() > best.ends() || !ok && c.ends() > 0 {
			best, ok = c, true
		}
	}
	return best, ok
}

// points appends the run's crossings, those within SnapTolerance of the last left out;
// without any, the closest approach.
func (r run) points(a, b Curve, out []Intersection) []Intersection {
	n := len(out)
	best, gap := r.first(), math.Inf(1)
	for _, c := range r.all {
		if d := a.At(c.a).Dist(b.At(c.b)); d < gap {
			best, gap = c, d
		}
		if !c.cross || len(out) > n && a.At(c.a).Dist(a.At(out[len(out)-1].A0)) <= SnapTolerance {
			continue
		}
		out = append(out, Intersection{c.a, c.a, c.b, c.b})
	}
	if len(out) == n {
		out = append(out, Intersection{best.a, best.a, best.b, best.b})
	}
	return out
}

// drift follows a from a contact in direction dir (±1) as long as b stays
// within SnapTolerance, and gives the last place that does. Where that is too near to
// matter, at steep crossings above all, the contact itself comes back.
func drift(a, b Curve, c contact, dir float64) contact {
	if math.Abs(a.Tangent(c.a).Cross(b.Tangent(c.b))) > shallow {
		return c
	}
	room := c.a
	if dir > 0 {
		room = 1 - c.a
	}
	in, out := 0.0, math.Min(minRun/16/math.Max(a.hullLength(), Tiny), room)
	for out > in && follows(a, b, c, dir*out) {
		in, out = out, math.Min(2*out, room)
	}
	if in == 0 {
		return c
	}
	in, _ = Bisect(in, out, func(way float64) bool { return follows(a, b, c, dir*way) })
	t := clamp01(c.a + float64(dir*in))
	s, _ := b.Nearest(a.At(t))
	return contact{a: t, b: s}
}

// follows reports whether b runs along a from a contact to the place dt further
// on, neither curve left behind.
func follows(a, b Curve, c contact, dt float64) bool {
	t := clamp01(c.a + dt)
	s, d := b.Nearest(a.At(t))
	return d <= SnapTolerance && together(a, b, c, contact{a: t, b: s})
}
