package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/model"
)

// Limits on vertices, in degrees.
const (
	// SumLimit is by how much the alternate sectors round a vertex may differ
	// and still fold flat: corners rounded to 0.01 mm turn a 50 mm crease by a
	// hundredth of a degree, and four creases make the sum.
	SumLimit = 0.05

	// flatFold is how near to 0 or ±180 a fold counts as that.
	flatFold = 0.01
)

// Vertex is a point inside the flat piece where creases meet, every one of them
// 0 or ±180 in a pose.
type Vertex struct {
	At      geom.Point     // in the blank frame
	Hinges  []*model.Hinge // the creases folded ±180, counter-clockwise
	Sectors []geom.Degrees // degrees; sector i follows crease i
	// Kawasaki and Justin: the vertex folds flat only when the alternating sum
	// of its sectors, a1 − a2 + a3 − …, is 0, which takes an even number.
	Sum geom.Degrees
	// Maekawa and Justin: and only when mountains and valleys, as seen from the
	// outside, differ by two.
	Mountains, Valleys int
}

// FoldsFlat reports whether the vertex meets both conditions.
func (v *Vertex) FoldsFlat() bool {
	return len(v.Hinges)%2 == 0 && v.Sum.Abs() <= SumLimit && max(v.Mountains-v.Valleys, v.Valleys-v.Mountains) == 2
}

// ray is one crease at a vertex, and the panels to its left and right looking
// out from there.
type ray struct {
	at          geom.Point
	angle       float64 // radians, from 0 to 2π
	hinge       int
	left, right *model.Panel
}

// Vertices lists the interior vertices at which every crease is 0 or ±180 in
// the pose and some crease is folded. A vertex that a window took away, or that
// a cut runs into, is no interior one.
func Vertices(ctx context.Context, b *blank.Blank, pose *fold.Pose) ([]Vertex, error) {
	var found []Vertex
	// Interior vertices only: a vertex on the rim folds flat at any angles.
	for _, rays := range vertexRays(b) {
		if v, ok := flatVertex(b.Piece, pose, rays); ok && surrounded(rays) {
			found = append(found, v)
		}
	}
	return offCuts(ctx, b, found)
}

// vertexRays gathers the ends of what is left of the straight hinges, those
// within the snap tolerance of each other, each group in the order round its vertex.
func vertexRays(b *blank.Blank) [][]ray {
	var rays []ray
	for k, line := range b.Hinges {
		h := line.Hinge
		c := h.Curve.Transform(h.Parent.Flat)
		if c.Kind != geom.Line {
			continue
		}
		// Windows may leave less of a hinge. Its ends count where they are the hinge's own, for at
		// the others board is cut and the crease meets nothing.
		for _, left := range line.Curves {
			for _, p := range []geom.Point{left.P, left.Q} {
				switch {
				case p.Dist(c.P) <= geom.SnapTolerance:
					rays = append(rays, ray{p, turn(c.Q.Sub(c.P)), k, h.Parent, h.Child})
				case p.Dist(c.Q) <= geom.SnapTolerance:
					rays = append(rays, ray{p, turn(c.P.Sub(c.Q)), k, h.Child, h.Parent})
				}
			}
		}
	}
	slices.SortStableFunc(rays, func(r, s ray) int { return cmp.Or(cmp.Compare(r.at.X, s.at.X), cmp.Compare(r.at.Y, s.at.Y)) })
	return group(rays)
}

// turn is a direction as an angle from 0 to 2π.
// In radians, counter-clockwise from the x axis.
func turn(d geom.Point) float64 {
	if a := d.Angle().Radians(); a >= 0 {
		return a
	} else {
		return a + 2*math.Pi
	}
}

// group gathers rays by vertex, each vertex at the first of its rays, and sorts
// them round it. Rays are found through cells of twice the tolerance: those of
// one vertex lie in one cell or in cells next to each other.
// Expected time is linear in the rays but for sorting.
func group(rays []ray) [][]ray {
	type cell struct{ x, y float64 }
	cellOf := func(p geom.Point) cell {
		return cell{math.Floor(p.X / (2 * geom.SnapTolerance)), math.Floor(p.Y / (2 * geom.SnapTolerance))}
	}
	cells := map[cell][]int{}
	for i, r := range rays {
		c := cellOf(r.at)
		cells[c] = append(cells[c], i)
	}
	var out [][]ray
	used := make([]bool, len(rays))
	for i, r := range rays {
		if used[i] {
			continue
		}
		var at []int
		mid := cellOf(r.at)
		// Nine cells hold all ends within the tolerance, a cell being twice as wide.
		for x := mid.x - 1; x <= mid.x+1; x++ {
			for y := mid.y - 1; y <= mid.y+1; y++ {
				for _, k := range cells[cell{x, y}] {
					if !used[k] && rays[k].at.Dist(r.at) <= geom.SnapTolerance {
						used[k], at = true, append(at, k)
					}
				}
			}
		}
		slices.SortFunc(at, func(i, k int) int { return cmp.Or(cmp.Compare(rays[i].angle, rays[k].angle), cmp.Compare(i, k)) })
		round := make([]ray, len(at))
		for n, k := range at {
			round[n] = rays[k]
		}
		out = append(out, round)
	}
	return out
}

// surrounded reports whether the panels between the rays close round their
// vertex, so that board lies all round it.
// rays are counter-clockwise round the vertex.
func surrounded(rays []ray) bool {
	for i, r := range rays {
		if r.left != rays[(i+1)%len(rays)].right {
			return false
		}
	}
	return len(rays) > 1
}

// offCuts leaves out the vertices, which are in order of x, that a cut passes
// through or ends at.
func offCuts(ctx context.Context, b *blank.Blank, found []Vertex) ([]Vertex, error) {
	on := make([]bool, len(found))
	for _, l := range b.Layers {
		if l.Kind != blank.CutLine {
			continue
		}
		for _, s := range l.Strokes {
			if err := ended(ctx); err != nil {
				return nil, err
			}
			for _, c := range s.Curves {
				box := c.Bounds().Grow(geom.SnapTolerance)
				// Vertices are in order of x: those over the box of the curve are neighbours in the
				// list.
				k, _ := slices.BinarySearchFunc(found, box.Min.X, func(v Vertex, x float64) int { return cmp.Compare(v.At.X, x) })
				for ; k < len(found) && found[k].At.X <= box.Max.X; k++ {
					if !on[k] && box.Contains(found[k].At) {
						_, d := c.Nearest(found[k].At)
						on[k] = d <= geom.SnapTolerance
					}
				}
			}
		}
	}
	var out []Vertex
	for k, v := range found {
		if !on[k] {
			out = append(out, v)
		}
	}
	return out, ended(ctx)
}

// flatVertex sums up a vertex; ok is false when a crease there is half folded
// or none is folded.
func flatVertex(piece *model.Piece, pose *fold.Pose, rays []ray) (v Vertex, ok bool) {
	v.At = rays[0].at
	var angles []float64
	for _, r := range rays {
		a := pose.Angles[r.hinge]
		switch deg := a.Degrees.Abs(); {
		case !a.OK || deg > flatFold && deg < 180-flatFold:
			return v, false
		case deg <= flatFold:
			continue
		case a.Degrees > 0:
			v.Mountains++
		default:
			v.Valleys++
		}
		v.Hinges = append(v.Hinges, piece.Hinges[r.hinge])
		angles = append(angles, r.angle)
	}
	// The sum of all sectors is 360, so that those of even and of odd number are 180 each when the
	// alternating sum is 0.
	sign := geom.Degrees(1)
	for i, a := range angles {
		next := angles[(i+1)%len(angles)]
		if i == len(angles)-1 {
			next += 2 * math.Pi
		}
		s := geom.Radians(next - a).Degrees()
		v.Sectors = append(v.Sectors, s)
		v.Sum, sign = v.Sum+sign*s, -sign
	}
	return v, len(v.Hinges) > 0
}
