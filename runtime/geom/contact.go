package geom

import (
	"cmp"
	"math"
	"slices"
)

// contact is one place where two curves come within SnapTolerance of each other.
type contact struct {
	a, b  float64 // parameters
	cross bool    // the curves' lines truly cross here
}

// ends counts the curve ends among the contact's two points.
func (c contact) ends() int {
	n := 0
	if c.a == 0 || c.a == 1 {
		n++
	}
	if c.b == 0 || c.b == 1 {
		n++
	}
	return n
}

// contacts lists, sorted by a, every end of one curve that lies on the other,
// every crossing, and every closest approach within SnapTolerance. One true meeting may
// show up several times.
func contacts(a, b Curve) []contact {
	cs := endContacts(a, b, nil)
	if a.Kind == Cubic && b.Kind == Cubic {
		cs = cubicContacts(a, b, joinRuns(a, b, cs), cs)
	} else if a.Kind > b.Kind {
		n := len(cs)
		cs = innerContacts(b, a, cs)
		for i := n; i < len(cs); i++ {
			cs[i].a, cs[i].b = cs[i].b, cs[i].a
		}
	} else {
		cs = innerContacts(a, b, cs)
	}
	sortContacts(cs)
	return cs
}

func sortContacts(cs []contact) {
	slices.SortStableFunc(cs, func(p, q contact) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
}

// endContacts finds ends that lie on the other curve; end on end comes first,
// so that both parameters are exact.
func endContacts(a, b Curve, cs []contact) []contact {
	var aDone, bDone [2]bool
	as, bs := [2]Point{a.P, a.Q}, [2]Point{b.P, b.Q}
	for i, p := range as {
		for j, q := range bs {
			if p.Dist(q) <= SnapTolerance {
				cs = append(cs, contact{a: float64(i), b: float64(j)})
				aDone[i], bDone[j] = true, true
			}
		}
	}
	for i, p := range as {
		if !aDone[i] {
			if t, d := b.Nearest(p); d <= SnapTolerance {
				cs = append(cs, contact{a: float64(i), b: t})
			}
		}
	}
	for j, q := range bs {
		if !bDone[j] {
			if t, d := a.Nearest(q); d <= SnapTolerance {
				cs = append(cs, contact{a: t, b: float64(j)})
			}
		}
	}
	return cs
}

// innerContacts finds crossings and closest approaches; a.Kind ≤ b.Kind, and
// not two cubics.
func innerContacts(a, b Curve, cs []contact) []contact {
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

// inside reports a parameter on the curve. Ends within rounding do not matter
// here: endContacts has them.
func inside(t float64) bool { return t >= 0 && t <= 1 }

// addContact polishes and keeps a contact that lies on both curves. Crossings
// of nearly parallel curves may come out of the formulas anywhere.
func addContact(a, b Curve, c contact, cs []contact) []contact {
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

func lineLine(a, b Curve, cs []contact) []contact {
	u, v, w := a.Q.Sub(a.P), b.Q.Sub(b.P), b.P.Sub(a.P)
	cross := u.Cross(v)
	if cross == 0 {
		return cs
	}
	return addContact(a, b, contact{w.Cross(v) / cross, w.Cross(u) / cross, true}, cs)
}

// lineArc drops the perpendicular from the centre to the line; crossings lie
// half a chord to either side of its foot.
func lineArc(a, b Curve, cs []contact) []contact {
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
		cs = addContact(a, b, contact{s / l, b.angleParam(dir.Angle()), cross}, cs)
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

// arcArc works on the line through the two centres: crossings lie to either
// side of it, closest approaches on it.
func arcArc(a, b Curve, cs []contact) []contact {
	cc := b.C.Sub(a.C)
	d := cc.Len()
	if d == 0 {
		return cs // concentric: they run together or not at all
	}
	u := cc.Mul(1 / d)
	at := func(p, q Point, cross bool) {
		cs = addContact(a, b, contact{a.angleParam(p.Angle()), b.angleParam(q.Angle()), cross}, cs)
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

// polish sharpens a crossing by Newton's method on A(s) = B(t); it gives back
// the guess where that does not bring the two points closer together.
func polish(a, b Curve, s, t float64) (float64, float64) {
	gap := a.At(s).Dist(b.At(t))
	for range 8 {
		p, q := a.At(s), b.At(t)
		u, _ := a.derivatives(s)
		v, _ := b.derivatives(t)
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

func clamp01(t float64) float64 { return math.Max(0, math.Min(1, t)) }
