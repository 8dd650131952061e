package solid

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// apart is by how much in mm each layer of a stack lies further in than the next outer one.
// Panels that lie on one another share their place, since folds turn about the middle of the
// board; with no distance at all their faces would fight for every pixel. A buffer of
// 24 bits tells 0.02 mm apart over some metres.
const apart = 0.02

// surface is a side of a plate, or what closed bodies have instead.
type surface int

// The surfaces, in the order of their materials.
const (
	outside surface = iota
	inside
	rim
	product
)

// patch is a part of a surface: corners with their normals, and triangles,
// counter-clockwise from without. Corners are mm in the body's frame.
type patch struct {
	of        surface
	corners   []geom.Point3
	normals   []geom.Point3 // unit
	triangles [][3]int
}

// body is a closed surface in patches. Patches have corners of their own along their common
// edges, with the normals of either, at the same places to the bit.
type body []patch

// plate is one panel's board: its area less windows, from half a caliper inside the
// panel's plane to half a caliper outside, moved out by a lift along its normal. It is in
// the panel's frame.
//
// With V points and T triangles in the plane and E sides of loops, it has 2T + 2E triangles. Every
// side of a triangle inside a face is one of two; every side of a loop is one of a face
// and of the rim, whose parts share their upright sides: so each side of the whole is
// passed once in either direction, but where loops touch, as often in one as in the other.
func plate(ctx context.Context, r blank.Region, caliper, lift float64) (body, error) {
	f, err := triangulate(ctx, r.Rings)
	if err != nil || len(f.triangles) == 0 {
		return nil, err
	}
	high, low := lift+caliper/2, lift-caliper/2
	home := r.Panel.Flat.Inverse()
	top, bottom := make([]geom.Point3, len(f.points)), make([]geom.Point3, len(f.points))
	for i, p := range f.points {
		q := home.Apply(p)
		top[i], bottom[i] = geom.Point3{X: q.X, Y: q.Y, Z: high}, geom.Point3{X: q.X, Y: q.Y, Z: low}
	}
	turned := make([][3]int, len(f.triangles))
	for i, t := range f.triangles {
		turned[i] = [3]int{t[0], t[2], t[1]}
	}
	out := body{
		{outside, top, repeat(geom.Point3{Z: 1}, len(top)), f.triangles},
		{inside, bottom, repeat(geom.Point3{Z: -1}, len(bottom)), turned},
		{of: rim},
	}
	edge := &out[2]
	for _, loop := range f.loops {
		for k, a := range loop {
			b := loop[(k+1)%len(loop)]
			edge.quad(bottom[a], bottom[b], top[b], top[a])
		}
	}
	return out, nil
}

// repeat is a list of n times v.
func repeat(v geom.Point3, n int) []geom.Point3 {
	out := make([]geom.Point3, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// quad adds a plane part with four corners, counter-clockwise from without.
func (p *patch) quad(corners ...geom.Point3) {
	k := len(p.corners)
	p.corners = append(p.corners, corners...)
	p.normals = append(p.normals, repeat(corners[1].Sub(corners[0]).Cross(corners[3].Sub(corners[0])).Unit(), 4)...)
	p.triangles = append(p.triangles, [3]int{k, k + 1, k + 2}, [3]int{k, k + 2, k + 3})
}

// prism is a product in its own frame: a box or a cylinder of the size, in mm, with the middle
// of its base at the origin, on z ≤ 0. A cylinder's chords stay within flatness of it.
func prism(size [3]float64, round bool) body {
	x, y, h := size[0]/2, size[1]/2, size[2]
	ring := []geom.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	if round {
		centre := geom.Point{}
		ring = geom.ArcFrom(geom.Pt(x, 0), centre, geom.Degrees(360).Angle()).Flatten(nil, flatness)
	}
	n := len(ring)
	base, lid, side := patch{of: product}, patch{of: product}, patch{of: product}
	for k, p := range ring {
		base.corners = append(base.corners, p.Space())
		lid.corners = append(lid.corners, geom.Point3{X: p.X, Y: p.Y, Z: -h})
		if k > 1 {
			base.triangles = append(base.triangles, [3]int{0, k - 1, k})
			lid.triangles = append(lid.triangles, [3]int{0, k, k - 1})
		}
	}
	base.normals, lid.normals = repeat(geom.Point3{Z: 1}, n), repeat(geom.Point3{Z: -1}, n)
	for k := range n {
		l := (k + 1) % n
		side.quad(lid.corners[k], lid.corners[l], base.corners[l], base.corners[k])
	}
	return body{base, lid, side}
}
