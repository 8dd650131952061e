package nest

import (
	"encoding/json"
	"os"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// instance is a published problem of strip packing, from testdata.
type instance struct {
	Source string
	Best   float64 // density in per cent, the record when the file was made
	Height float64
	Items  []struct {
		Count  int
		Turns  []int
		Points [][2]float64
	}
}

func readInstance(tb testing.TB, name string) (instance, []Part) {
	tb.Helper()
	text, err := os.ReadFile("testdata/" + name + ".json")
	if err != nil {
		tb.Fatal(err)
	}
	var in instance
	if err := json.Unmarshal(text, &in); err != nil {
		tb.Fatal(err)
	}
	var parts []Part
	for i, rings := range in.rings() {
		s, err := NewShape(rings, 0)
		if err != nil {
			tb.Fatal(err)
		}
		parts = append(parts, Part{s, in.Items[i].Turns, in.Items[i].Count})
	}
	return in, parts
}

// rings is the shapes' rims.
func (in *instance) rings() (out [][][]geom.Curve) {
	for _, it := range in.Items {
		out = append(out, [][]geom.Curve{ringOf(it.Points)})
	}
	return out
}

// ringOf is a closed ring of lines, counter-clockwise.
func ringOf(points [][2]float64) []geom.Curve {
	var pts []geom.Point
	for _, p := range points {
		q := geom.Point{X: p[0], Y: p[1]}
		if len(pts) == 0 || pts[len(pts)-1] != q {
			pts = append(pts, q)
		}
	}
	if pts[0] == pts[len(pts)-1] {
		pts = pts[1:]
	}
	area := 0.0
	for i, p := range pts {
		area += p.Cross(pts[(i+1)%len(pts)])
	}
	if area < 0 {
		slices.Reverse(pts)
	}
	var ring []geom.Curve
	for i, p := range pts {
		ring = append(ring, geom.LineFrom(p, pts[(i+1)%len(pts)]))
	}
	return ring
}

// density is the share of the strip that shapes cover, in per cent.
func density(parts []Part, l Layout) float64 {
	area := 0.0
	for _, p := range l.Placements {
		area += parts[p.Part].Area()
	}
	return 100 * area / (l.Width * l.Height)
}
