package scene

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Whatever panel of a closed box it is told to stand on, that panel is the lowest: it
// faces straight down, and all board is above it. The axes stay right-handed.
func TestStandsOnAnyPanel(t *testing.T) {
	in := folded(t, cube(20, "b a right", "c b top", "d c right", "e d top", "f e right"), "closed")
	sc := set(in)
	for _, b := range sc.plates {
		m, level, ok := sc.Stand(b.panel, nil)
		up, front, right := column(m.R, 1), column(m.R, 2), column(m.R, 0)
		if !ok || b.place.Normal().Dot(up) > -1+1e-9 {
			t.Errorf("%s: its outside faces %v where up is %v", b.panel.Name, b.place.Normal(), up)
		}
		if d := right.Cross(up).Dist(front); d > 1e-9 {
			t.Errorf("%s: right × up is %g off the front", b.panel.Name, d)
		}
		if root := b.panel.Name == "a" || b.panel.Name == opposite(sc, "a"); level != root {
			t.Errorf("%s: the root lies level: %t", b.panel.Name, level)
		}
		ground := b.place.Apply(b.hull[0].Space()).Dot(up)
		for _, o := range sc.plates {
			for _, p := range o.hull {
				if high := o.place.Apply(p.Space()).Dot(up) - ground; high < -0.1 {
					t.Errorf("on %s, %s reaches %g mm below the ground", b.panel.Name, o.panel.Name, -high)
				}
			}
		}
	}
}

// opposite is the panel that faces away from another.
func opposite(sc *Scene, name string) string {
	var from *plate
	for _, b := range sc.plates {
		if b.panel.Name == name {
			from = b
		}
	}
	for _, b := range sc.plates {
		if b.place.Normal().Dot(from.place.Normal()) < -0.9 {
			return b.panel.Name
		}
	}
	return ""
}

// A tray that is told nothing stands on its base, the widest there is; board in one
// plane stands on nothing.
func TestStandsOnWidestBase(t *testing.T) {
	tray := `a = panel("a", rect(80, 60))
b = panel("b", rect(80, 20), on = a.top, fold = 90)
c = panel("c", rect(80, 20), on = a.bottom, fold = 90)
piece("p", a, board = board("card", caliper = 0.4))`
	m, level, ok := set(folded(t, tray, "closed")).Stand(nil, nil)
	if up := column(m.R, 1); !ok || !level || up.Z > -1+1e-9 {
		t.Errorf("the tray's up is %v, level %t, stands %t", up, level, ok)
	}
	if _, _, ok := set(folded(t, `a = panel("a", rect(80, 60))
piece("p", a, board = board("card", caliper = 0.4))`, "closed")).Stand(nil, nil); ok {
		t.Error("a sheet stands")
	}
}

// A leaning card with a strut stands on the strut's foot and on its own lower edge: the
// foot rises by the lean, so the card leans back by as much. Where the strut lies in the
// plane of the card, the piece stands on nothing.
func TestStandsOnEdge(t *testing.T) {
	const lean = 12
	easel := `face = panel("face", rect(100, 200))
strut = panel("strut", polygon([(0, 0), (60, 60 * tan(12)), (20, 150), (0, 150)], edges = ["foot", "slope", "top", "hinge"]), on = face.right, by = "hinge", fold = 90, slide = 25)
pose("packed", {"strut": 0})
piece("p", face, board = board("card", caliper = 0.4))`
	for _, pose := range []string{"closed", "packed"} {
		sc := set(folded(t, easel, pose))
		strut := sc.plates[1].panel
		foot := model.EdgeRef{Panel: strut, Name: "foot", To: strut.Outline.Edges[0].Curve.Length()}
		m, _, ok := sc.Stand(strut, &foot)
		if pose == "packed" {
			if ok {
				t.Error("a sheet stands")
			}
			continue
		}
		up := column(m.R, 1)
		high := sc.plates[0].place.Normal().Dot(up)
		if want := math.Sin(lean * math.Pi / 180); !ok || math.Abs(high-want) > 1e-6 {
			t.Errorf("the card's front rises by %g, want %g", high, want)
		}
	}
}

// column is a column of a rotation's matrix.
func column(r [9]float64, k int) geom.Point3 { return geom.Point3{X: r[k], Y: r[3+k], Z: r[6+k]} }
