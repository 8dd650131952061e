package scene

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

const boardLine = "\n" + `piece("p", a, board = board("card", caliper = 0.4))`

// The view of a pyramid shows two sides or more at a slant, not its base.
func TestViewOfAPyramid(t *testing.T) {
	sc := set(folded(t, `a = panel("a", rect(60, 60))
for e in [a.top, a.right, a.bottom, a.left]:
    panel("side " + e.name, polygon([(0, 0), (60, 0), (30, 75)], edges = ["foot", "r", "l"]), on = e, by = "foot", fold = 113.58)`+boardLine, "closed"))
	m, level, ok := sc.Stand(nil, nil)
	if !ok || !level {
		t.Fatalf("stands %t, level %t", ok, level)
	}
	views := turned(Lying(), m)
	toward := views[sc.Choose(views)].Toward
	sides := 0
	for _, b := range sc.plates {
		facing := b.place.Normal().Dot(toward)
		if b.panel.Hang == nil && (facing > 0 || facing < -0.9) {
			t.Errorf("the base shows, or the eye is straight above: cosine %g", facing)
		}
		if b.panel.Hang != nil && facing > 0.3 {
			sides++
		}
	}
	if sides < 2 {
		t.Errorf("%d sides show", sides)
	}
}

// A deep tray is looked into from further up than a box with its lid closed, which is seen
// as usual.
func TestViewOfATrayAndACarton(t *testing.T) {
	tray := set(folded(t, `a = panel("a", rect(80, 60))
for e in [a.top, a.right, a.bottom, a.left]:
    panel("wall " + e.name, rect(e.length, 50), on = e, fold = 90)`+boardLine, "closed"))
	m, level, _ := tray.Stand(nil, nil)
	if got := tray.Choose(turned(Lying(), m)); !level || got != 2 {
		t.Errorf("the tray, level %t, is seen from view %d", level, got)
	}
	box := set(folded(t, cube(60, "b a right", "c b top", "d c right", "e d top", "f e right"), "closed"))
	m, _, _ = box.Stand(nil, nil)
	if got := box.Choose(turned(Standing(), m)); got != 0 {
		t.Errorf("a closed box is seen from view %d", got)
	}
}

// What is pressed flat is told from what stands, however it is turned.
func TestFlat(t *testing.T) {
	for fold, want := range map[string]bool{"180": true, "90": false, "170": false} {
		sc := set(folded(t, `a = panel("a", rect(80, 60))
panel("b", rect(80, 60), on = a.right, fold = `+fold+`)`+boardLine, "closed"))
		if got := sc.Flat(); got != want {
			t.Errorf("folded by %s: flat %t", fold, got)
		}
	}
}

// A card with a strut stands on its lower edge and the strut's, leaning back, a tent on both
// edges, and neither on its face.
func TestStandsOnFootEdges(t *testing.T) {
	for name, script := range map[string]string{
		"strut": `a = panel("a", rect(120, 200))
s = panel("s", rect(40, 200), on = a.right, fold = 180)
panel("t", polygon([(0, 0), (90, 18), (30, 190), (0, 190)], edges = ["foot", "slope", "top", "hinge"]), on = s.right, by = "hinge", fold = -90, slide = 5)`,
		"tent": `a = panel("a", rect(120, 80))
panel("b", rect(120, 80), on = a.top, fold = 150)`,
	} {
		m, level, ok := set(folded(t, script+boardLine, "closed")).Stand(nil, nil)
		if up := column(m.R, 1); !ok || level || up.Y < 0.85 || up.Z < 0 {
			t.Errorf("%s: up is %v, level %t, stands %t", name, up, level, ok)
		}
	}
}

// turned is views of a piece that stands as a motion has it.
func turned(views []View, m geom.RigidTransform) []View {
	for i, v := range views {
		views[i] = v.Turn(m)
	}
	return views
}
