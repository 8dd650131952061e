package nest

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// Check proves a layout by other means than it was made: the rings of every part, as
// they were given to NewShape, are laid where the placements say, and looked at as
// true curves. The error names the first copies that overlap, by more than geom.SnapTolerance,
// come closer than gap less checkTolerance, or leave the sheet by more than that.
func Check(rings [][][]geom.Curve, l Layout, gap float64) error {
	type pose struct{ part, turn int }
	type meeting struct {
		a, b   pose
		dx, dy float64 // in steps
	}
	sheet := geom.Box{Max: geom.Point{X: l.Width, Y: l.Height}}.Grow(checkTolerance)
	turned := map[pose][][]geom.Curve{}
	done := map[meeting]bool{}
	boxes := make([]geom.Box, len(l.Placements))
	for i, p := range l.Placements {
		at := pose{p.Part, p.Turn & 3}
		if _, ok := turned[at]; !ok {
			turned[at] = moved(rings[p.Part], geom.Rotation(geom.Degrees(90*at.turn).Angle(), geom.Point{}))
		}
		box := boxOf(turned[at])
		boxes[i] = geom.Box{Min: box.Min.Add(geom.Point{X: p.X, Y: p.Y}), Max: box.Max.Add(geom.Point{X: p.X, Y: p.Y})}
		if !within(boxes[i], sheet) {
			return fmt.Errorf("copy %d of part %d leaves the sheet", i, p.Part)
		}
	}
	for i, p := range l.Placements {
		for k, q := range l.Placements[:i] {
			if !boxes[i].Grow(gap).Intersects(boxes[k]) {
				continue
			}
			m := meeting{pose{p.Part, p.Turn & 3}, pose{q.Part, q.Turn & 3}, q.X - p.X, q.Y - p.Y}
			if done[m] {
				continue // in a lattice most pairs are one
			}
			done[m] = true
			a, b := turned[m.a], moved(turned[m.b], geom.Translation(m.dx, m.dy))
			if region.Overlaps(a, b) {
				return fmt.Errorf("copies %d and %d overlap", k, i)
			}
			if d := distance(a, b); gap > 0 && d < gap-checkTolerance {
				return fmt.Errorf("copies %d and %d are %s mm apart, not %s", k, i, geom.Num(d), geom.Num(gap))
			}
		}
	}
	return nil
}

// checkTolerance is by how many mm gaps and margins may be short: what rounding to the
// grid moves, and what distances between curves are measured to.
const checkTolerance = 0.003

func moved(rings [][]geom.Curve, m geom.Isometry) [][]geom.Curve {
	out := make([][]geom.Curve, len(rings))
	for i, r := range rings {
		for _, c := range r {
			out[i] = append(out[i], c.Transform(m))
		}
	}
	return out
}

func boxOf(rings [][]geom.Curve) geom.Box {
	b := geom.EmptyBox()
	for _, r := range rings {
		for _, c := range r {
			b = b.Union(c.Bounds())
		}
	}
	return b
}

func within(a, b geom.Box) bool {
	return a.Min.X >= b.Min.X && a.Min.Y >= b.Min.Y && a.Max.X <= b.Max.X && a.Max.Y <= b.Max.Y
}

// distance is the shortest distance between the curves of two areas.
func distance(a, b [][]geom.Curve) float64 { return pathOf(a).Distance(pathOf(b)) }

func pathOf(rings [][]geom.Curve) geom.Path {
	var p geom.Path
	for _, r := range rings {
		for _, c := range r {
			p.Edges = append(p.Edges, geom.Edge{Curve: c})
		}
	}
	return p
}
