package region

import (
	"github.com/creasewright/creasewright/runtime/geom"
)

// chains holds, for one closed chain or set of them within an arrangement, how
// it lies to each piece.
type chains struct {
	net  []int // forward uses minus backward ones
	left []int // winding number on the piece's left
}

// right is the winding number on piece k's right: crossing a piece from right
// to left raises it by one for each use that runs forward.
func (c *chains) right(k int) int { return c.left[k] - c.net[k] }

// wind works out winding numbers on both sides of every piece with respect to
// the curves numbered from first up to last, which must form closed chains.
// Every piece is asked by itself, so a fault in one place stays there; time is
// the number of pieces times that of curves.
func (a *Arrangement) wind(first, last int) *chains {
	c := &chains{net: make([]int, len(a.Pieces)), left: make([]int, len(a.Pieces))}
	var whole []geom.Curve // the chains in pieces
	begin := make([]int, len(a.Pieces)+1)
	for k, p := range a.Pieces {
		c.net[k] = p.net(first, last)
		h := Half{k, c.net[k] < 0}
		for range max(c.net[k], -c.net[k]) {
			whole = append(whole, a.Curve(h))
		}
		begin[k+1] = len(whole)
	}
	rest := make([]geom.Curve, 0, len(whole)+4)
	for k, p := range a.Pieces {
		rest = append(append(rest[:0], whole[:begin[k]]...), whole[begin[k+1]:]...)
		if n := c.net[k]; n != 0 {
			around := detour(p.Curve)
			for range max(n, -n) {
				rest = appendRun(rest, around, n < 0)
			}
		}
		c.left[k] = geom.Winding(rest, p.At(0.5))
	}
	return c
}

func appendRun(cs, run []geom.Curve, reversed bool) []geom.Curve {
	for _, c := range run {
		if reversed {
			c = c.Reverse()
		}
		cs = append(cs, c)
	}
	return cs
}

// net counts the piece's uses by curves from first up to last, those against
// the piece negative.
func (p *Piece) net(first, last int) int {
	n := 0
	for _, u := range p.Uses {
		switch {
		case u.Curve < first || u.Curve >= last:
		case u.Reversed:
			n--
		default:
			n++
		}
	}
	return n
}

// detour is a chain with the curve's ends that passes its mid-point on the
// right, so that the mid-point counts as lying on the curve's left. How far it
// strays does not matter: only the side of the mid-point does.
func detour(c geom.Curve) []geom.Curve {
	h := 0.25
	for ; h > 1e-6 && !straightish(c, h); h /= 2 {
	}
	in, out, mid := c.At(0.5-h), c.At(0.5+h), c.At(0.5)
	by := mid.Sub(c.Tangent(0.5).Left().Mul(in.Dist(out)))
	return []geom.Curve{c.Part(0, 0.5-h), geom.LineFrom(in, by), geom.LineFrom(by, out), c.Part(0.5+h, 1)}
}

// straightish reports whether the curve turns less than a quarter either way
// from its mid-point within h of it, so that a detour there keeps to one side.
func straightish(c geom.Curve, h float64) bool {
	if c.Kind != geom.Cubic {
		return true // a half circle at most, seen from its middle
	}
	m, t := c.Part(0.5-h, 0.5+h), c.Tangent(0.5)
	return m.C.Sub(m.P).Dot(t) > 0 && m.D.Sub(m.C).Dot(t) > 0 && m.Q.Sub(m.D).Dot(t) > 0
}
