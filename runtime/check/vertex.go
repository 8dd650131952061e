package check

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// vertex is a point of the blank where creases meet with board all round.
type vertex struct {
	at      geom.Point
	creases []crease // counter-clockwise, seen from the outside
}

// crease is one hinge leaving a vertex; sector is the panel between it and the
// next one, angle that panel's angle there in degrees.
type crease struct {
	hinge     int // number in the piece
	direction float64
	before    *model.Panel // on its clockwise side
	sector    *model.Panel
	angle     float64
}

// vertices finds the points of a blank where straight creases meet with board
// all round, in the order in which hinges lead to them.
func vertices(b *blank.Blank) []vertex {
	found := map[[2]int64][]int{}
	var all []vertex
	for i, line := range b.Hinges {
		for _, c := range line.Curves {
			if c.Kind != geom.Line {
				continue
			}
			h := line.Hinge
			for _, end := range []crease{
				{hinge: i, direction: c.Tangent(0).Angle(), before: h.Child, sector: h.Parent},
				{hinge: i, direction: c.Tangent(1).Mul(-1).Angle(), before: h.Parent, sector: h.Child},
			} {
				at := c.P
				if end.before == h.Parent {
					at = c.Q
				}
				v := welded(found, &all, at)
				v.creases = append(v.creases, end)
			}
		}
	}
	return slices.DeleteFunc(all, func(v vertex) bool { return !v.close() || v.isCut(b) })
}

// welded is the vertex at a place, a new one when there is none yet.
func welded(found map[[2]int64][]int, all *[]vertex, at geom.Point) *vertex {
	const grid = 4 * geom.Weld
	x, y := math.Floor(at.X/grid), math.Floor(at.Y/grid)
	for dx := -1.0; dx <= 1; dx++ {
		for dy := -1.0; dy <= 1; dy++ {
			for _, i := range found[[2]int64{int64(x + dx), int64(y + dy)}] {
				if (*all)[i].at.Dist(at) <= geom.Weld {
					return &(*all)[i]
				}
			}
		}
	}
	key := [2]int64{int64(x), int64(y)}
	found[key] = append(found[key], len(*all))
	*all = append(*all, vertex{at: at})
	return &(*all)[len(*all)-1]
}

// close orders the creases round the vertex and measures the sectors. It
// reports whether each sector is one panel, so that board lies all round.
func (v *vertex) close() bool {
	slices.SortFunc(v.creases, func(a, b crease) int { return cmp.Compare(a.direction, b.direction) })
	for i := range v.creases {
		c, next := &v.creases[i], v.creases[(i+1)%len(v.creases)]
		if c.sector != next.before {
			return false
		}
		c.angle = geom.ToDegrees(next.direction - c.direction)
		if i == len(v.creases)-1 {
			c.angle += 360
		}
	}
	return true
}

// isCut reports whether a cut reaches the vertex, which then is no longer
// enclosed by board.
func (v *vertex) isCut(b *blank.Blank) bool {
	for _, l := range b.Layers {
		if l.Kind != blank.CutLine && l.Kind != blank.PerforatedLine {
			continue
		}
		for _, s := range l.Strokes {
			for _, c := range s.Curves {
				if _, far := c.Nearest(v.at); far <= geom.Weld {
					return true
				}
			}
		}
	}
	return false
}

// panels lists the panels round the vertex.
func (v *vertex) panels() []*model.Panel {
	var out []*model.Panel
	for _, c := range v.creases {
		out = append(out, c.sector)
	}
	return out
}
