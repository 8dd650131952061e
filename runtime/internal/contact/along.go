package contact

import "github.com/creasewright/creasewright/runtime/geom"

// Stretch is a part of a line, in mm along it.
type Stretch struct{ From, To float64 }

// Length is how long the stretch is.
func (s Stretch) Length() float64 { return s.To - s.From }

// Mid is the place half-way.
func (s Stretch) Mid() float64 { return (s.From + s.To) / 2 }

// Along lists, in order, the stretches of the line through at along the unit
// direction dir that lie in loops, even and odd: holes are left out.
func Along(loops [][]geom.Point, at, dir geom.Point) []Stretch {
	found := cut(loops, at, dir)
	out := make([]Stretch, len(found))
	for i, v := range found {
		out[i] = Stretch{v.from, v.to}
	}
	return out
}
