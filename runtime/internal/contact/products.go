package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// roundSides is in how many directions square to its axis a cylinder is
// compared with others. The true one lies within 1.4 degrees of one of them, so
// a cylinder may seem to share at most 0.03 % of the distance more than it does;
// two upright ones are exact, as the way between their axes is looked at too.
const roundSides = 128

// prism is a product as a convex solid: its points farthest in any direction,
// the directions square to its faces and those along its edges, in the world.
type prism struct {
	own          *product
	faces, edges []geom.Point3
}

// prism is the product of a fit as a solid in the world. The side of a cylinder is
// told by roundSides directions, of which half are opposite to others.
func (f Fit) prism() prism {
	c := f.Contents
	x, y := c.Size[0]/2, c.Size[1]/2
	base := []geom.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	if c.Round {
		base = base[:0]
		for k := range roundSides {
			base = append(base, geom.Polar(x, geom.Degrees(360*float64(k)/roundSides).Angle()))
		}
	}
	up := f.Frame.ApplyDir(geom.Point3{Z: 1})
	own := &product{round: c.Round, x: x, y: y, height: c.Size[2], frame: f.Frame, back: f.Frame.Inverse()}
	out := prism{own: own, faces: []geom.Point3{up}, edges: []geom.Point3{up}}
	for k, p := range base {
		q := base[(k+1)%len(base)]
		if k < len(base)/2 { // the sides across run the same way
			side := f.Frame.ApplyDir(q.Sub(p).Unit().Space())
			out.edges, out.faces = append(out.edges, side), append(out.faces, side.Cross(up))
		}
	}
	return out
}

// spread is the stretch that the product takes in a direction.
func (p prism) spread(way geom.Point3) (from, to float64) {
	own := p.own.back.ApplyDir(way)
	at := func(d geom.Point3) float64 { return p.own.frame.Apply(p.own.support(d)).Dot(way) }
	return at(own.Mul(-1)), at(own)
}

// Shares is the length in mm of the shortest move that parts two products which
// stand in the same piece and pose; 0 or less where they are apart already. It
// is the least overlap of their shadows over all directions square to a face of
// either or to an edge of each (the separating axis theorem).
func (f Fit) Shares(g Fit) float64 {
	a, b := f.prism(), g.prism()
	least := math.Inf(1)
	look := func(way geom.Point3) {
		size := way.Len()
		if size < parallelSine {
			return
		}
		way = way.Mul(1 / size)
		from, to := a.spread(way)
		low, high := b.spread(way)
		least = min(least, to-low, high-from)
	}
	for _, n := range append(a.faces, b.faces...) {
		look(n)
	}
	// Square to a cylinder's axis its side is round: the direction between the two middles stands
	// for the faces that it has not.
	apart := b.own.middle().Sub(a.own.middle())
	for _, up := range []geom.Point3{a.faces[0], b.faces[0]} {
		// A length in mm here; the two stand one above the other where it is rounding.
		if way := apart.Sub(up.Mul(apart.Dot(up))); way.Len() > geom.Tiny {
			look(way.Unit())
		}
	}
	for _, e := range a.edges {
		for _, d := range b.edges {
			if least <= 0 {
				return least
			}
			look(e.Cross(d))
		}
	}
	return least
}
