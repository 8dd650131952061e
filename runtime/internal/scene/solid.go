package scene

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Product is a product that stands in the piece: a box or a cylinder of the
// contents' size. Frame leads from its own frame to the world: the middle of its
// base is the origin and it fills z from −height to 0.
type Product struct {
	Contents *model.Contents
	Frame    geom.RigidTransform
}

// ProductFace is the visible part of one facet of a product; a cylinder's side has
// a facet for each chord. Outer rings run counter-clockwise, holes clockwise.
type ProductFace struct {
	Contents *model.Contents
	Shade    float64 // light that falls on it, 0…1
	Rings    [][]geom.Point
}

// solid is a product as a right prism in the world, the same for every view. A
// cylinder's base is a regular polygon inscribed in the circle.
type solid struct {
	contents *model.Contents
	index    int // of its first facet, counted on from the panels
	round    bool
	base     []geom.Point3 // counter-clockwise, seen along the prism toward its base
	top      []geom.Point3 // above the corners of base
	facets   []*plate      // one between corner k and the next, then base and top
	corners  [][]geom.Point3
}

// newSolid places a product. The chords of a cylinder of radius r leave it by
// r·(1 − cos π/n), by tol mm at most.
func newSolid(p Product, index int, tol float64) *solid {
	x, y, h := p.Contents.Size[0]/2, p.Contents.Size[1]/2, p.Contents.Size[2]
	s := &solid{contents: p.Contents, index: index, round: p.Contents.Round}
	ring := []geom.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	if s.round {
		n := leastFacets
		for n < mostFacets && x-geom.Polar(x, geom.Degrees(180/float64(n)).Angle()).X > tol {
			n += 4
		}
		ring = ring[:0]
		for k := range n {
			ring = append(ring, geom.Polar(x, geom.Degrees(360*float64(k)/float64(n)).Angle()))
		}
	}
	for _, q := range ring {
		s.base = append(s.base, p.Frame.Apply(q.Space()))
		s.top = append(s.top, p.Frame.Apply(geom.Point3{X: q.X, Y: q.Y, Z: -h}))
	}
	down := p.Frame.Normal()
	for k, q := range s.base {
		l := (k + 1) % len(s.base)
		along := s.base[l].Sub(q).Unit()
		s.facet(along, along.Cross(down), []geom.Point3{s.top[k], s.top[l], s.base[l], q})
	}
	along := s.base[1].Sub(s.base[0]).Unit()
	s.facet(along, down, s.base)
	top := slices.Clone(s.top)
	slices.Reverse(top)
	s.facet(along, down.Mul(-1), top)
	return s
}

// facet adds a face of the prism with its outward normal, a unit vector, and its
// corners, counter-clockwise from outside.
func (s *solid) facet(along, normal geom.Point3, corners []geom.Point3) {
	up := normal.Cross(along)
	place := geom.RigidTransform{
		R: [9]float64{along.X, up.X, normal.X, along.Y, up.Y, normal.Y, along.Z, up.Z, normal.Z}, T: corners[0],
	}
	s.facets = append(s.facets, &plate{index: s.index + len(s.facets), place: place, posed: place, out: normal, convex: true})
	s.corners = append(s.corners, corners)
}

// pierced reports whether board of a plate reaches further than margin mm into the
// product: the board's rings are cut down to the half-planes in which the facets'
// planes, moved inward, cut its plane, and something is left.
//
// With x, y in the plate's frame and n outward from a facet through t, that is where
// n·(t − T − x·X − y·Y) > margin. All are taken before layers are drawn apart.
func (s *solid) pierced(b *plate, margin float64) bool {
	rings := b.rings
	x, y := b.posed.ApplyDir(geom.Point3{X: 1}), b.posed.ApplyDir(geom.Point3{Y: 1})
	for _, f := range s.facets {
		n := f.posed.Normal()
		within := affine{-x.Dot(n), -y.Dot(n), f.posed.T.Sub(b.posed.T).Dot(n) - margin}
		var kept [][]geom.Point
		for _, r := range rings {
			if c := clipPositive(r, within); len(c) > 2 {
				kept = append(kept, c)
			}
		}
		if rings = kept; len(rings) == 0 {
			return false
		}
	}
	area := 0.0
	for _, r := range rings {
		area += polygon.Area(r)
	}
	return area > minArea
}

// standProducts lists the products to draw. They stay in place when layers are drawn
// apart, so that they do not reach out of the piece. In the closed pose all are drawn, those too that do not
// fit. In other poses those are left out through which board passes by more than its
// caliper, such as in a carton that lies pressed flat.
func (sc *Scene) standProducts() {
	closed, caliper := sc.in.Pose.Pose.Name == model.PoseClosed, sc.in.Blank.Piece.Board.Caliper
	next := len(sc.in.Blank.Regions)
	for _, p := range sc.in.Products {
		s := newSolid(p, next, solidFlatness*diagonal(sc.in.Blank))
		if !closed && slices.ContainsFunc(sc.plates, func(b *plate) bool { return s.pierced(b, caliper) }) {
			continue
		}
		next += len(s.facets)
		sc.solids = append(sc.solids, s)
	}
}

// Stands reports whether a product stands in the piece: whether it was given to New and no
// board passes through it so that pictures leave it out.
func (sc *Scene) Stands(c *model.Contents) bool {
	return slices.ContainsFunc(sc.solids, func(s *solid) bool { return s.contents == c })
}

// solidView is a product seen along a view.
type solidView struct {
	*solid
	view    View
	faces   []*face      // by facet; nil for one turned away or edge-on
	outline []geom.Point // the hull of its picture, counter-clockwise
	box     geom.Box
}

// see projects a product.
func (s *solid) see(v View) *solidView {
	out := &solidView{solid: s, view: v, faces: make([]*face, len(s.facets))}
	for k, b := range s.facets {
		n := b.place.Normal()
		facing := n.Dot(v.Toward)
		if facing < edgeOn {
			continue
		}
		f := &face{plate: b, of: out, facing: facing, light: v.shade(n), box: geom.EmptyBox(), depth: surfaceDepth(n, b.place.T, v)}
		for _, p := range s.corners[k] {
			q := v.Project(p)
			f.hull = append(f.hull, q)
			f.box = f.box.Add(q)
		}
		f.rings = [][]geom.Point{f.hull}
		out.faces[k] = f
	}
	var rings [][]geom.Point
	for _, f := range out.faces {
		if f != nil {
			rings = append(rings, f.hull)
		}
	}
	out.outline = polygon.Hull(rings)
	out.box = geom.BoxOf(out.outline...)
	return out
}

// sideOf says on which side of a plate's plane the product stands: 1 where all of it
// stands before the plane, seen from the eye, −1 where all stands behind, 0 where the
// plane passes through it. One that does not separates it from the plate (the
// separating axis theorem), so one of the two is before the other wherever they share
// the picture. It is taken before layers are drawn apart: a lift that would push a
// plate into the product does not change which is in front. By depthTolerance: what
// touches is separated.
func (s *solidView) sideOf(b *plate) int {
	n := b.posed.Normal()
	if n.Dot(s.view.Toward) < 0 {
		n = n.Mul(-1)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, rim := range [...][]geom.Point3{s.base, s.top} {
		for _, p := range rim {
			h := p.Sub(b.posed.T).Dot(n)
			low, high = min(low, h), max(high, h)
		}
	}
	switch {
	case low >= -depthTolerance:
		return 1
	case high <= depthTolerance:
		return -1
	}
	return 0
}

// occludersOf gives what of the product stands before a face: its whole outline,
// nothing, or the facets' parts where the face's plane passes through it.
func (s *solidView) occludersOf(f *face) []occluder {
	switch s.sideOf(f.plate) {
	case -1:
		return nil
	case 1:
		return []occluder{{rings: [][]geom.Point{s.outline}, hull: s.outline, full: true}}
	}
	var out []occluder
	for _, g := range s.faces {
		if g != nil && g.box.Intersects(f.box) {
			out = append(out, g.occludingPart(f))
		}
	}
	return out
}

// enclosed reports whether board that stands wholly before the product hides its whole
// outline but for slits, as in a pack that is closed all round. False means not known.
func (s *projection) enclosed(ctx context.Context, v *solidView) bool {
	var covers coverList
	covers.target = v.outline
	for _, g := range s.faces {
		if g.box.Intersects(v.box) && v.sideOf(g.plate) < 0 && covers.add(g.whole()) {
			return true
		}
	}
	left, err := subtractAll(ctx, [][]geom.Point{v.outline}, covers.sorted())
	slit := slitShare * diagonal(s.in.Blank)
	return err == nil && !slices.ContainsFunc(left, func(r []geom.Point) bool { return !narrower(r, slit) })
}

// seeProducts works out which products show anything behind the board, and lets
// those hide board and one another. Those of which nothing shows hide only what
// other board hides anyhow, and are left out.
func (s *projection) seeProducts(ctx context.Context) {
	for _, p := range s.solids {
		v := p.see(s.view)
		if s.enclosed(ctx, v) {
			continue
		}
		shows := false
		for _, f := range v.faces {
			if f == nil {
				continue
			}
			for _, g := range s.faces {
				if g.box.Intersects(f.box) {
					f.near = append(f.near, g)
				}
			}
			shows = shows || len(s.visible(ctx, f)) > 0
		}
		if shows {
			s.products = append(s.products, v)
		}
	}
	for _, v := range s.products {
		s.bounds = s.bounds.Union(v.box)
		for _, f := range s.faces {
			if f.box.Intersects(v.box) {
				f.solids = append(f.solids, v)
			}
		}
		for _, w := range s.products {
			for _, f := range w.faces {
				if w != v && f != nil && f.box.Intersects(v.box) {
					f.solids = append(f.solids, v)
				}
			}
		}
	}
}

// productFaces is the visible part of every facet.
func (s *projection) productFaces(ctx context.Context) []ProductFace {
	var out []ProductFace
	for _, v := range s.products {
		for _, f := range v.faces {
			if f == nil {
				continue
			}
			if rings := s.visible(ctx, f); len(rings) > 0 {
				out = append(out, ProductFace{v.contents, f.light, rings})
			}
		}
	}
	return out
}

// productLines is the visible part of the edges of the products: all that a facet
// turned to the eye has, but for those between two facets of a cylinder's side.
func (s *projection) productLines() []Line {
	var out []Line
	for _, v := range s.products {
		for _, k := range v.edges() {
			box := geom.EmptyBox()
			for _, p := range k.points {
				box = box.Add(s.view.Project(p))
			}
			var hiders []lineOccluder
			for _, g := range slices.Concat(s.faces, s.facetsBut(v)) {
				if side := v.sideOf(g.plate); side <= 0 && g.box.Intersects(box) {
					hiders = append(hiders, lineOccluder{face: g, inFront: side < 0})
				}
			}
			out = append(out, s.visibleParts(k, hiders)...)
		}
	}
	return out
}

// facetsBut lists the faces of all products that show but one, which may be nil.
func (s *projection) facetsBut(v *solidView) []*face {
	var out []*face
	for _, w := range s.products {
		for _, f := range w.faces {
			if w != v && f != nil {
				out = append(out, f)
			}
		}
	}
	return out
}

// edges lists the edges to draw, those of one rim that follow one another as one
// stroke.
func (s *solidView) edges() []stroke {
	n := len(s.base)
	var out []stroke
	for i, rim := range [...][]geom.Point3{s.base, s.top} {
		joined := false
		for k := range n {
			if s.faces[k] == nil && s.faces[n+i] == nil {
				joined = false
				continue
			}
			if !joined {
				out = append(out, stroke{kind: ProductEdge, points: []geom.Point3{rim[k]}})
			}
			e := &out[len(out)-1]
			e.points = append(e.points, rim[(k+1)%n])
			joined = true
		}
	}
	for k := range n {
		left, right := s.faces[(k+n-1)%n], s.faces[k]
		if (left != nil || right != nil) && (!s.round || left == nil || right == nil) {
			out = append(out, stroke{kind: ProductEdge, points: []geom.Point3{s.base[k], s.top[k]}})
		}
	}
	return out
}
