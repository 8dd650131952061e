package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// face is a panel's board as the eye sees it before anything is hidden.
type face struct {
	plate  *plate
	facing float64        // cosine between the outward normal and the view; positive shows the outside
	light  float64        // see View.shade
	rings  [][]geom.Point // in the picture, board on the left
	hull   []geom.Point   // convex, counter-clockwise
	box    geom.Box
	depth  affine  // of its surface over the picture
	near   []*face // the faces whose boxes meet its box
}

// newFace projects a sheet. ok is false for one seen edge-on.
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

// ring projects one ring, turned round when the board is seen from its inside.
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

func (f *face) side() Side {
	if f.facing < 0 {
		return Inside
	}
	return Outside
}

// affine is a quantity that changes evenly over the picture: X·x + Y·y + C.
type affine struct{ X, Y, C float64 }

func (a affine) at(p geom.Point) float64 { return float64(a.X*p.X) + float64(a.Y*p.Y) + a.C }

func (a affine) sub(b affine) affine { return affine{a.X - b.X, a.Y - b.Y, a.C - b.C} }

// surfaceDepth is the depth of the plane through at with normal n: solved from
// n · (x right + y up + depth toward − at) = 0.
func surfaceDepth(n, at geom.Point3, v View) affine {
	k := 1 / n.Dot(v.Toward)
	return affine{-k * n.Dot(v.Right), -k * n.Dot(v.Up), k * n.Dot(at)}
}

// depthOrder says where one face stands before another: where ahead is positive, or
// everywhere or nowhere when the two lie flush.
type depthOrder struct {
	difference affine
	coplanar   bool
	inFront    bool // the answer for flush ones
}

// compareDepth works out where f stands before g, within a box of the picture that
// holds all they share. Faces of boards in a ring count as flush: no depths order
// a ring.
func (f *face) compareDepth(g *face, shared geom.Box) depthOrder {
	l := depthOrder{difference: f.depth.sub(g.depth)}
	if outer, ok := f.plate.outer[g.plate.index]; ok {
		fromOutside := (f.facing > 0) == f.plate.facesOut
		l.coplanar, l.inFront = true, outer == fromOutside
		return l
	}
	low, high := l.difference.rangeIn(shared)
	// Along the normal, surfaces stand nearer than along the view.
	k := min(math.Abs(f.facing), math.Abs(g.facing))
	if max(-low, high)*k <= depthTolerance {
		l.coplanar, l.inFront = true, f.coplanarInFront(g)
	}
	return l
}

// coplanarInFront orders faces that lie flush: of two panels the one made later lies
// on the inside of the other.
func (f *face) coplanarInFront(g *face) bool {
	if f.plate.index < g.plate.index {
		return f.facing > 0
	}
	return g.facing < 0
}

// rangeIn is the least and greatest value within a box.
func (a affine) rangeIn(b geom.Box) (low, high float64) {
	mid, w, h := a.at(b.Mid()), float64(math.Abs(a.X)*b.Width()/2), float64(math.Abs(a.Y)*b.Height()/2)
	return mid - w - h, mid + w + h
}

// intersection is the part of two boxes that both share, empty when they part.
func intersection(a, b geom.Box) geom.Box {
	return geom.Box{
		Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)),
		Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y)),
	}
}
