package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// face is the projection of one plate into the picture, before hidden parts are
// removed. Coordinates are millimetres of the picture plane.
type face struct {
	plate  *plate
	facing float64        // cosine between the outward normal and the view; positive shows the outside
	light  float64        // see View.shade
	rings  [][]geom.Point // in the picture, board on the left
	hull   []geom.Point   // convex, counter-clockwise
	box    geom.Box
	depth  affine       // of its surface over the picture
	near   []*face      // the faces of board whose boxes meet its box
	of     *solidView   // the product that it is a facet of; nil for board
	solids []*solidView // the products that show whose boxes meet its box, but its own
}

// newFace projects a plate. ok is false where the plate is seen edge-on, that is
// where the cosine between its normal and the direction of view is below edgeOn
// (by tolerance): the depth of such a face has slopes above 1/edgeOn and its
// picture is thinner than a line.
func newFace(b *plate, v View) (f *face, ok bool) {
	n := b.place.Normal()
	f = &face{plate: b, facing: n.Dot(v.Toward), box: geom.EmptyBox()}
	if math.Abs(f.facing) < edgeOn {
		return nil, false
	}
	f.depth = surfaceDepth(n, b.place.T, v)
	for _, r := range b.rings {
		f.rings = append(f.rings, f.ring(r, v))
	}
	f.hull = f.ring(b.hull, v)
	if f.facing < 0 {
		n = n.Mul(-1)
	}
	f.light = v.shade(n)
	return f, true
}

// ring projects one ring. Seen from the inside a plate is mirrored, so the order
// of the corners is reversed: board stays on the left of every ring.
func (f *face) ring(r []geom.Point, v View) []geom.Point {
	out := make([]geom.Point, len(r))
	for i, p := range r {
		k := i
		if f.facing < 0 {
			k = len(r) - 1 - i
		}
		out[k] = v.Project(f.plate.place.Apply(p.Space()))
		f.box = f.box.Add(out[k])
	}
	return out
}

// side is the side of the board that the face shows: exact, by the sign of the
// cosine that newFace keeps away from 0.
func (f *face) side() Side {
	if f.facing < 0 {
		return Inside
	}
	return Outside
}

// affine is the affine function X·x + Y·y + C of a point (x, y) of the picture.
// For depths C is in mm and X, Y are slopes without unit.
type affine struct{ X, Y, C float64 }

// at is the value at a point. Each product is converted, which rounds it, so that
// no platform fuses it with the sum and signs agree everywhere.
func (a affine) at(p geom.Point) float64 { return float64(a.X*p.X) + float64(a.Y*p.Y) + a.C }

// sub is the difference of two functions.
func (a affine) sub(b affine) affine { return affine{a.X - b.X, a.Y - b.Y, a.C - b.C} }

// surfaceDepth is the depth of the plane through at with normal n: solved from
// n · (x right + y up + depth toward − at) = 0.
func surfaceDepth(n, at geom.Point3, v View) affine {
	k := 1 / n.Dot(v.Toward)
	return affine{-k * n.Dot(v.Right), -k * n.Dot(v.Up), k * n.Dot(at)}
}

// depthOrder says where one face stands before another: where difference is
// positive or, for coplanar faces, everywhere or nowhere.
type depthOrder struct {
	difference affine // depth of the first less that of the second, in mm
	coplanar   bool   // difference is below depthTolerance wherever both faces are
	inFront    bool   // the first stands before the second; of coplanar faces only
}

// compareDepth works out where f stands before g, within shared, a box of the
// picture that holds all that the two have in common.
//
// Faces are coplanar by tolerance: the largest distance between their planes over
// the box, measured square to the steeper one, is at most depthTolerance. Rounding
// cannot change the sign of what lies above it. The depth of a piece 10 m across is
// good to 10⁴ mm · 2⁻⁵² · 1/edgeOn, about 10⁻⁸ mm along the view, and to less across
// the surface. What the tolerance takes for coplanar by mistake is closer than half
// a line's width on paper and is ordered like board that lies on board.
//
// Plates in a cyclic order are ordered as Input.Rings says, since no depths can
// order a cycle; they are treated as coplanar.
func (f *face) compareDepth(g *face, shared geom.Box) depthOrder {
	l := depthOrder{difference: f.depth.sub(g.depth)}
	if outer, ok := f.plate.outer[g.plate.index]; ok {
		fromOutside := (f.facing > 0) == f.plate.facesOut
		l.coplanar, l.inFront = true, outer == fromOutside
		return l
	}
	low, high := l.difference.rangeIn(shared)
	// A distance along the view, times the cosine, is one along the normal.
	k := min(math.Abs(f.facing), math.Abs(g.facing))
	if max(-low, high)*k <= depthTolerance {
		l.coplanar, l.inFront = true, f.coplanarInFront(g)
	}
	return l
}

// coplanarInFront reports whether f stands before a coplanar g: of two panels the
// one made later lies on the inside of the other. Exact: it compares indices and
// signs of cosines that are at least edgeOn.
func (f *face) coplanarInFront(g *face) bool {
	if f.plate.index < g.plate.index {
		return f.facing > 0
	}
	return g.facing < 0
}

// rangeIn is the least and greatest value within a box: an affine function has its
// extremes at corners, at the middle's value less and plus half the change over
// either side.
func (a affine) rangeIn(b geom.Box) (low, high float64) {
	mid, w, h := a.at(b.Mid()), float64(math.Abs(a.X)*b.Width()/2), float64(math.Abs(a.Y)*b.Height()/2)
	return mid - w - h, mid + w + h
}

// intersection is the common part of two boxes, with Min beyond Max where there is
// none.
func intersection(a, b geom.Box) geom.Box {
	return geom.Box{
		Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)),
		Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y)),
	}
}
