package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// sameEnd is how close two line ends are to take the short way: what
	// placing panels one after another leaves between ends that are one.
	sameEnd = 10 * geom.Tiny

	// apart is the sine of the least angle at which two lines from one end
	// surely have nothing else in common: 5° part a weld within 0.012 mm.
	apart = 0.087

	// shortLine is the length in millimetres below which the far ends may be
	// close at that angle too.
	shortLine = 0.1
)

// meet is geom.Meet with a short way for what blanks are full of: lines that
// share one end, of which welding takes care, and lines that are the same.
func meet(a, b geom.Curve) []geom.Touch {
	if a.Kind != geom.Line || b.Kind != geom.Line {
		return geom.Meet(a, b)
	}
	switch pp, pq, qp, qq := same(a.P, b.P), same(a.P, b.Q), same(a.Q, b.P), same(a.Q, b.Q); {
	case pp && qq:
		return []geom.Touch{{A1: 1, B1: 1}}
	case pq && qp:
		return []geom.Touch{{A1: 1, B0: 1}}
	case pp && part(a.Q.Sub(a.P), b.Q.Sub(b.P)),
		pq && part(a.Q.Sub(a.P), b.P.Sub(b.Q)),
		qp && part(a.P.Sub(a.Q), b.Q.Sub(b.P)),
		qq && part(a.P.Sub(a.Q), b.P.Sub(b.Q)):
		return nil
	}
	return geom.Meet(a, b)
}

func same(p, q geom.Point) bool {
	return math.Abs(p.X-q.X) <= sameEnd && math.Abs(p.Y-q.Y) <= sameEnd
}

// part reports whether two lines that leave one point in these directions,
// never come together again.
func part(u, v geom.Point) bool {
	uu, vv, cross := u.Dot(u), v.Dot(v), u.Cross(v)
	if min(uu, vv) < shortLine*shortLine {
		return false
	}
	return u.Dot(v) <= 0 || cross*cross > apart*apart*uu*vv
}
