package fold

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// A tray whose four corners share two unknowns is one set of four loops.
const webbedTray = `
half = free("out")
web = free("in")
root = panel("root", rect(80, 60))
walls = {}
for edge in [root.right, root.top, root.left, root.bottom]:
    walls[edge.name] = flap(edge.name, on = edge, depth = 20, fold = %g)
near = polygon([(0, 0), (20, 0), (20, 20)], edges = ["foot", "rim", "slope"])
far = polygon([(0, 0), (20, 0), (0, 20)], edges = ["foot", "slope", "rim"])
for a, b in [("right", "top"), ("top", "left"), ("left", "bottom"), ("bottom", "right")]:
    m = panel(a + " near", near, on = walls[a].edge("left"), by = "foot", fold = half)
    n = panel(a + " far", far, on = walls[b].edge("right"), by = "foot", fold = half)
    hinge(m.slope, n.slope, fold = web, name = a + " corner")
`

func TestFourWebsShareTheirFolds(t *testing.T) {
	for _, deg := range []float64{20, 60, 90} {
		f := foldScript(t, fmt.Sprintf(webbedTray, deg))
		f.sound("closed")
		f.closes("closed")
		one := cornerOf(t, fmt.Sprint(deg), fmt.Sprint(deg), out, out, in)
		for _, a := range []string{"right", "top", "left", "bottom"} {
			f.wants("closed", map[string]float64{a + " corner": one.angle("closed", "web"), a + " near": one.angle("closed", "near")})
		}
	}
}

// The twist of a square tube: three unknowns shared by three corners. Its way in
// passes through no closed state (the board springs), its end does: triangles
// square to the walls, folded right over one another.
func TestTwistClosure(t *testing.T) {
	const twist = `
crease, diagonal, between = free("in", near = 90), free("in", near = 180), free("out", near = -180)
a = 60
walls = [panel("wall 1", rect(a, 80))]
for i in range(2, 5):
    walls.append(panel("wall %d" % i, rect(a, 80), on = walls[-1].right))
low = polygon([(0, 0), (a, 0), (a, a)], edges = ["base", "side", "slope"])
high = polygon([(0, 0), (a, a), (0, a)], edges = ["slope", "rim", "side"])
lows, highs = [], []
for i in range(4):
    lows.append(panel("low %d" % (i + 1), low, on = walls[i].top, by = "base", fold = crease))
    highs.append(panel("high %d" % (i + 1), high, on = lows[i].slope, by = "slope", fold = diagonal))
for i in range(3):
    hinge(lows[i].side, highs[i + 1].side, fold = between, name = "corner %d" % (i + 1))
root = walls[0]
pose("open", {"low 1": 0, "high 1": 0, "corner 1": 90})
`
	f := foldScript(t, twist)
	for _, pose := range []string{"closed", "open"} {
		f.sound(pose)
		f.closes(pose)
	}
	f.wants("closed", map[string]float64{"low 3": 90, "high 2": 180, "corner 3": -180})
	// All tops lie in the plane of the rim, y = 80 in the first wall's frame.
	for i := 1; i <= 4; i++ {
		for _, p := range [][2]float64{{0, 0}, {60, 60}} {
			if y := f.at("closed", fmt.Sprint("high ", i), p[0], p[1]).Y; math.Abs(y-80) > 1e-9 {
				t.Errorf("high %d stands %g off the plane", i, y-80)
			}
		}
	}
	// The fourth corner, which no hinge closes, comes together by itself.
	if gap := f.at("closed", "low 4", 60, 60).Dist(f.at("closed", "high 1", 0, 60)); gap > 1e-9 {
		t.Errorf("the last corner gapes by %g", gap)
	}
}

// Bellows turn a corner by mitred pleats: every vertex is a 45° gusset, and the
// corner's creases fold in the ratio 0.70710678 to the pleats (as the symmetric
// vertex above, in a sheet of many).
func TestBellows(t *testing.T) {
	for _, deg := range []float64{30, 90, 150} {
		p := sheet(miura(3, 10, 12, 45), miuraFolds(3, deg))
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("%v: %+v", deg, pose.Faults[0])
		}
		corner := 2 * math.Atan(0.70710678*math.Tan(deg/2*math.Pi/180)) * 180 / math.Pi
		for i, a := range pose.Angles {
			want := deg
			if h := p.Hinges[i]; h.Parent.Index/6 != h.Child.Index/6 {
				want = corner
			}
			if math.Abs(float64(a.Degrees.Abs())-want) > 1e-5 {
				t.Errorf("hinge %s folds %v, want %v", p.Hinges[i].Name, a.Degrees, want)
			}
		}
		if gap := widestHinge(p, pose); gap > 1e-9 {
			t.Errorf("a hinge gapes by %g", gap)
		}
	}
}

// A Miura sheet folds flat to whole half turns, from any size.
func TestMiuraFoldsFlat(t *testing.T) {
	for _, n := range []int{1, 2, 4} {
		p := sheet(miura(n, 10, 10, 60), miuraFolds(n, 180))
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("n = %d: %+v", n, pose.Faults[0])
		}
		for i, panel := range p.Panels {
			for _, q := range corners(panel, pose.Place[i]) {
				if math.Abs(q.Z) > 1e-9 {
					t.Fatalf("n = %d: a corner stands %g off the plane", n, q.Z)
				}
			}
		}
	}
}

// oneWrongSide is a Miura sheet with the crease between two facets asked to the
// wrong side.
func oneWrongSide(n, a, b int) *model.Piece {
	fold := miuraFolds(n, 90)
	return sheet(miura(n, 10, 10, 60), func(i, j int) model.Fold {
		f := fold(i, j)
		if pair(i, j) == pair(a, b) {
			return free(-f.Free.Side)
		}
		return f
	})
}

// A sheet with one crease asked to the wrong side does not pass for closed. In a
// large one the fault is told of the vertex that cannot fold so, not of all.
func TestMiuraWithOneWrongSide(t *testing.T) {
	pose := foldClosed(t, oneWrongSide(2, 5, 6))
	if len(pose.Faults) != 1 || pose.Faults[0].Kind == LoopLoose {
		t.Errorf("faults %+v", pose.Faults)
	}
	pose = foldClosed(t, oneWrongSide(15, 62, 63))
	if len(pose.Faults) != 1 || pose.Faults[0].Kind != LoopUnsolved {
		t.Fatalf("faults %+v", pose.Faults)
	}
	f := pose.Faults[0]
	if len(f.Free) != 4 || len(f.Round) != 4 {
		t.Errorf("%d free hinges and %d panels", len(f.Free), len(f.Round))
	}
	for _, near := range []int{62, 63} {
		if !slices.Contains(f.Round, pose.motion.end.panels[near]) {
			t.Errorf("facet %d is not round the vertex", near)
		}
	}
}

// A sheet of many cells, bent along one line with all creases across it given as
// 0: such a crease has no side, so no vertex is told to be unable to fold.
func TestLongLineAcrossFlatCreases(t *testing.T) {
	var faces [][]geom.Point
	for i := range 52 {
		for _, x := range []float64{0, 10} {
			y := 10 * float64(i)
			faces = append(faces, []geom.Point{{X: x, Y: y}, {X: x + 10, Y: y}, {X: x + 10, Y: y + 10}, {X: x, Y: y + 10}})
		}
	}
	pose := foldClosed(t, sheet(faces, func(a, b int) model.Fold {
		switch {
		case a/2 != b/2:
			return given(0)
		case a/2 == 0:
			return given(30)
		}
		return free(model.In)
	}))
	if len(pose.Faults) > 0 {
		t.Fatalf("%+v", pose.Faults[0])
	}
	for i, h := range pose.motion.end.piece.Hinges {
		want := 0.0
		if h.Parent.Index/2 == h.Child.Index/2 {
			want = 30
		}
		if got := pose.Angles[i]; !got.OK || math.Abs(float64(got.Degrees)-want) > 1e-9 {
			t.Errorf("crease between %d and %d folds %v, want %g", h.Parent.Index, h.Child.Index, got, want)
		}
	}
}

// A strip of many free folds that only has to come home is loose, and that takes
// no search.
func TestManyLooseFolds(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(20, 60))
last = root
for i in range(200):
    last = panel("p%d" % i, rect(20, 60), on = last.right, fold = free("in"))
meet(last.right, root.left)
`)
	if fault := f.fault("closed", LoopLoose); fault.Missing != nullityCap || len(fault.Free) != 200 {
		t.Errorf("%d missing of %d", fault.Missing, len(fault.Free))
	}
}
