package contact

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// By hand: what of a line leads through a slit, and how far places miss it.
func TestSlitByHand(t *testing.T) {
	path := geom.Path{Edges: []geom.Edge{{Curve: geom.LineFrom(geom.Pt(10, 20), geom.Pt(40, 20)), Name: "e0"}}}
	end := model.JoinEnd{Slit: &model.Work{Path: path}}
	for _, c := range []struct {
		name    string
		at, dir geom.Point
		want    []Stretch
	}{
		{"along it", geom.Pt(0, 20), geom.Pt(1, 0), []Stretch{{10, 40}}},
		{"half a millimetre beside it", geom.Pt(0, 20.5), geom.Pt(1, 0), []Stretch{{10, 40}}},
		{"beside it", geom.Pt(0, 22), geom.Pt(1, 0), nil},
		{"across it, one to either side", geom.Pt(25, 0), geom.Pt(0, 1), []Stretch{{20, 20}}},
		{"past its end", geom.Pt(50, 0), geom.Pt(0, 1), nil},
	} {
		got := Through(end, c.at, c.dir)
		if len(got) != len(c.want) || len(got) > 0 && math.Abs(got[0].From-c.want[0].From)+math.Abs(got[0].To-c.want[0].To) > 1e-9 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	for _, c := range []struct {
		at   geom.Point3
		want float64
	}{
		{geom.Point3{X: 25, Y: 20}, 0},
		{geom.Point3{X: 41, Y: 20}, 0}, // slitReach past its end
		{geom.Point3{X: 43, Y: 20}, 2},
		{geom.Point3{X: 25, Y: 25}, 4},
		{geom.Point3{X: 43, Y: 24, Z: 0}, 4}, // 3 and 4: 5, a slitReach less
		{geom.Point3{X: 25, Y: 20, Z: -7}, 7},
	} {
		if v, _ := offSlit(path, c.at); math.Abs(v.Len()-c.want) > 1e-9 {
			t.Errorf("%v: %g, want %g", c.at, v.Len(), c.want)
		}
	}
}
