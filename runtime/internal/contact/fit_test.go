package contact

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// onlyFit fits the one product of a closed piece.
func onlyFit(t *testing.T, script string) Fit {
	t.Helper()
	f := fromScript(t, script)
	fit, ok, _ := f.closed().Fit(bg, f.design.Contents[0])
	if !ok {
		t.Fatal("the contents have no place")
	}
	return fit
}

// tray is an open tray, 100 × 60 crease to crease and 30 high. Walls stand on
// their creases, so the room between them is half a caliper smaller each side.
const tray = `
base = panel("base", rect(100, 60))
walls = [panel(e.name, rect(w, 30), on = e, by = "bottom") for e, w in
         [(base.bottom, 100), (base.right, 60), (base.top, 100), (base.left, 60)]]
piece("tray", base, board = card)
`

func TestFitInATray(t *testing.T) {
	inf := math.Inf(1)
	r2 := math.Sqrt2
	for _, c := range []struct {
		name, contents string
		at             geom.Point
		free           [5]float64
		missing        float64 // at the worst panel, 0 where it fits
		panel          string
	}{
		{"in the middle", `(80, 50, 20), on = base`, geom.Pt(50, 30), [5]float64{9.75, 9.75, 4.75, 4.75, inf}, 0, ""},
		{"aside", `(80, 50, 20), on = base, at = (45, 30.5)`, geom.Pt(45, 30.5), [5]float64{4.75, 14.75, 5.25, 4.25, inf}, 0, ""},
		{"too near a wall", `(80, 50, 20), on = base, at = (41, 30), clearance = 1`, geom.Pt(41, 30), [5]float64{0.75, 18.75, 4.75, 4.75, inf}, 0.25, "left"},
		{"through a wall", `(80, 50, 20), on = base, at = (38, 30), clearance = 1`, geom.Pt(38, 30), [5]float64{-2.25, 21.75, 4.75, 4.75, inf}, 3.25, "left"},
		{"too long", `(101, 50, 20), on = base`, geom.Pt(50, 30), [5]float64{-0.75, -0.75, 4.75, 4.75, inf}, 0.75, "right"},
		{"a cylinder", `cylinder(40, 20), on = base`, geom.Pt(50, 30), [5]float64{29.75, 29.75, 9.75, 9.75, inf}, 0, ""},
		{"a cylinder aside", `cylinder(40, 20), on = base, at = (20.1, 30)`, geom.Pt(20.1, 30), [5]float64{-0.15, 59.65, 9.75, 9.75, inf}, 0.15, "left"},
		{"turned by 45 degrees", `(30, 30, 20), on = base, turn = 45`, geom.Pt(50, 30), [5]float64{49.75 - 15*r2, 49.75 - 15*r2, 29.75 - 15*r2, 29.75 - 15*r2, inf}, 0, ""},
		{"turned by 90 degrees", `(50, 80, 20), on = base, turn = 90`, geom.Pt(50, 30), [5]float64{9.75, 9.75, 4.75, 4.75, inf}, 0, ""},
		{"taller than the walls", `(80, 50, 90), on = base`, geom.Pt(50, 30), [5]float64{9.75, 9.75, 4.75, 4.75, inf}, 0, ""},
	} {
		fit := onlyFit(t, tray+`contents("goods", `+c.contents+`)`)
		near(t, c.name+": rest", fit.Rest, caliper/2, 1e-9)
		near(t, c.name+": place", fit.At.Dist(c.at), 0, 1e-6)
		for d, want := range c.free {
			if fit.Free[d] != want {
				near(t, c.name+": free "+Directions[d], fit.Free[d], want, 2*brush)
			}
		}
		if c.missing == 0 {
			if len(fit.Misfits) > 0 {
				t.Errorf("%s: %+v", c.name, fit.Misfits[0])
			}
			continue
		}
		if len(fit.Misfits) == 0 {
			t.Errorf("%s: it fits", c.name)
			continue
		}
		m := fit.Misfits[0]
		near(t, c.name+": missing", m.Missing, c.missing, 1e-9)
		if m.Panel.Name != c.panel {
			t.Errorf("%s: the worst panel is %s", c.name, m.Panel.Name)
		}
	}
}

// A box with a lid over dust flaps under the product and over it: it rests on
// the first board, a caliper above the floor for each layer, and the room on
// top is to the lowest board of the roof. By hand.
func TestFitOnDustFlaps(t *testing.T) {
	for _, c := range []struct {
		name       string
		step       string // by how much the sides are shorter, so that lids lie outside their flaps
		rest, free float64
		height     float64
	}{
		// 100 high crease to crease. Flaps in the plane of a lid fold before it and
		// lie inside it: the roof comes a caliper down, the floor a caliper up.
		{"in one plane", "0", caliper * 3 / 2, 100 - 80 - 3*caliper, 80},
		{"flaps a caliper inside", "card.caliper", caliper * 3 / 2, 100 - 80 - 3*caliper, 80},
	} {
		fit := onlyFit(t, fmt.Sprintf(`
front = panel("front", rect(80, 100))
right = panel("right", rect(50, 100 - 2 * %[1]s), on = front.right)
back = panel("back", rect(80, 100), on = right.right)
left = panel("left", rect(50, 100 - 2 * %[1]s), on = back.right)
for side in [right, left]:
    for end in [side.top, side.bottom]:
        flap(side.name + end.name, on = end, depth = 30)
flap("lid", on = back.top, depth = 49)
floor = flap("floor", on = back.bottom, depth = 49)
piece("box", front, board = card)
contents("goods", (60, 40, %[2]g), on = floor)
`, c.step, c.height))
		near(t, c.name+": rest", fit.Rest, c.rest, 1e-9)
		near(t, c.name+": free above", fit.Free[4], c.free, 1e-9)
		if len(fit.Misfits) > 0 {
			t.Errorf("%s: %+v", c.name, fit.Misfits[0])
		}
		// Across there is the same room on both sides, half a caliper less.
		near(t, c.name+": free left", fit.Free[0], 10-caliper/2, 1e-9)
		near(t, c.name+": free right", fit.Free[1], 10-caliper/2, 1e-9)
	}
}

// A glued tab inside a wall takes a caliper more, and the product stands half a
// caliper off the middle to share the room.
func TestFitBesideATab(t *testing.T) {
	fit := onlyFit(t, `
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
tab("seam", on = base.right, depth = 12, to = left.left)
piece("sleeve", top, board = card)
contents("soap", (58, 80, 26), on = base, clearance = 0.1)
`)
	for d, want := range [5]float64{(60 - 58 - 2*caliper) / 2, (60 - 58 - 2*caliper) / 2, math.Inf(1), math.Inf(1), 28 - 26 - caliper} {
		if fit.Free[d] != want {
			near(t, "free "+Directions[d], fit.Free[d], want, 1e-9)
		}
	}
	near(t, "off the middle", math.Abs(fit.At.X-30), caliper/2, 1e-9)
	near(t, "along the open way", fit.At.Y, 45, 1e-9)
}

// A cylinder between six walls, each √3/2 of the side from the middle: the
// closed form of a hexagon.
func TestFitInAHexagon(t *testing.T) {
	fit := onlyFit(t, `
base = panel("base", regular(6, 40))
for i, e in enumerate([base.e0, base.e1, base.e2, base.e3, base.e4, base.e5]):
    panel("wall " + str(i), rect(40, 50), on = e, by = "bottom")
piece("cup", base, board = card)
contents("candle", cylinder(60, 45), on = base, clearance = 4)
`)
	near(t, "x", fit.At.X, 20, 1e-6)
	near(t, "y", fit.At.Y, 20*math.Sqrt(3), 1e-6)
	room := 20*math.Sqrt(3) - 30 - caliper/2
	near(t, "free across a wall", fit.Free[2], room, brush)
	near(t, "free across a wall", fit.Free[3], room, brush)
	// Along x it slides on two walls that slope by 60 degrees.
	near(t, "free into a corner", fit.Free[0], room/math.Cos(math.Pi/6), 0.01)
	if len(fit.Misfits) > 0 {
		t.Errorf("%+v", fit.Misfits[0])
	}
}

// Where the middle will not do, the product moves to where it lacks least: a
// flap that leans in from one corner pushes it to the other side.
func TestFitMovesAside(t *testing.T) {
	fit := onlyFit(t, tray+`
flap("rib", on = walls[3].right.part(0, 20), depth = 24, fold = 120)
contents("goods", (60, 40, 20), on = base, clearance = 5)
`)
	if len(fit.Misfits) > 0 {
		t.Errorf("at %+v: %s lacks %g", fit.At, fit.Misfits[0].Panel.Name, fit.Misfits[0].Missing)
	}
	if fit.At.Dist(geom.Pt(50, 30)) < 1 {
		t.Errorf("it stayed at %+v", fit.At)
	}
}

// By hand: what is folded back on a wall makes room itself where it lies outside,
// for it hangs on the wall, and takes a caliper off the room where it lies inside.
func TestFitBesideAFoldedWing(t *testing.T) {
	for fold, room := range map[int]float64{-180: 9.75, 180: 9.75 - caliper} {
		fit := onlyFit(t, tray+fmt.Sprintf(`
flap("wing", on = walls[1].top, depth = 20, fold = %d)
contents("goods", (80, 50, 20), on = base, at = (50, 30))
`, fold))
		near(t, fmt.Sprintf("folded by %d: room", fold), fit.Free[1], room, 2*brush)
	}
}

// Law: a product of exactly the inside size fits its pack, whatever the sizes and
// the board, packs four and six times as long as wide among them; one a little
// larger does not, and one a little smaller fits beside walls that are 0.001°
// out of square.
func TestExactFits(t *testing.T) {
	rng := rand.New(rand.NewSource(42))
	for n := range 200 {
		c := [...]float64{0.2, 0.3, 0.5, 0.8, 1.2, 4}[rng.Intn(6)]
		w := 10 + math.Round(9000*rng.Float64())/100
		d := w * [...]float64{0.9, 1.3, 4, 6}[rng.Intn(4)]
		high := 10 + 70*rng.Float64()
		clearance := [...]float64{0, 0.5, 0.7}[rng.Intn(3)]
		for _, v := range []struct {
			fold, more float64
			fits       bool
		}{{90, 0, true}, {90, 0.02, false}, {90.001, -0.02, true}} {
			fit := onlyFit(t, fmt.Sprintf(`
b = board("b", caliper = %g)
base = panel("base", rect(b.span(inside = %g), b.span(inside = %g)))
for e in [base.left, base.right, base.top, base.bottom]:
    flap(e.name, on = e, fold = %g, depth = %g, inset = %g)
contents("p", (%g, %g, %g), on = base, clearance = %g)
piece("x", base, board = b)
`, c, w+2*clearance, d+2*clearance, v.fold, high, c/2, w+v.more, d+v.more, high/2, clearance))
			if fits := len(fit.Misfits) == 0 && !fit.Afloat; fits != v.fits {
				t.Errorf("case %d, %g mm more, walls at %g: fits %v, at %v: %+v", n, v.more, v.fold, fits, fit.At, fit.Misfits)
			}
			if !fit.Contents.Panel.Outline.Bounds().Contains(fit.At) {
				t.Errorf("case %d, %g mm more, walls at %g: it stands at %v", n, v.more, v.fold, fit.At)
			}
		}
	}
}

// A product stands on the first board that it meets on its way to the panel, at
// any height: one too high to go under a shelf stands on the shelf.
func TestProductsStandOnShelves(t *testing.T) {
	for _, c := range []struct{ high, rest float64 }{
		{15, caliper / 2},
		{30, 20 + caliper/2},
	} {
		fit := onlyFit(t, fmt.Sprintf(`
base = panel("base", rect(80, 60))
back = panel("back", rect(80, 100), on = base.top)
side = flap("side", on = base.left, depth = 20)
flap("shelf", on = side.tip, depth = 79)
flap("lid", on = back.top, depth = 60)
contents("p", (30, 30, %g), on = base)
piece("x", base, board = card)
`, c.high))
		near(t, fmt.Sprintf("%g mm high: rest", c.high), fit.Rest, c.rest, 1e-9)
		if len(fit.Misfits) > 0 {
			t.Errorf("%g mm high: %+v", c.high, fit.Misfits[0])
		}
	}
}

// By hand, in 2 mm board: a wall on a groove turns about the outside skin, so that
// its middle stands a caliper's half inside the fold and it begins at the skin's
// height; a product as large as the span's inside fits exactly.
func TestGroovesTurnAboutTheOutsideSkin(t *testing.T) {
	f := fromScript(t, `
grey = board("greyboard", kind = "greyboard", caliper = 2)
base = panel("base", rect(grey.span(inside = 120, line = "groove"), grey.span(inside = 90, line = "groove")))
right = flap("right", on = base.right, depth = 40, line = "groove")
back = flap("back", on = base.bottom, depth = 40, line = "groove", fold = -90)
left = flap("left", on = base.left, depth = 40, line = "groove")
contents("p", (120, 60, 30), on = base)
piece("tray", base, board = grey)
`)
	p := f.closed()
	near3(t, "the foot of the right wall", p.plates[1].world(geom.Pt(0, 0)), geom.Point3{X: 123, Y: 94, Z: 1}, 1e-9)
	near3(t, "its way out", p.plates[1].normal, geom.Point3{X: 1}, 1e-9)
	// Folded out, the groove is cut from the outside and the inside skin is whole.
	near3(t, "the foot of the wall folded out", p.plates[2].world(geom.Pt(0, 0)), geom.Point3{X: 124, Y: 1, Z: -1}, 1e-9)
	fit, ok, err := p.Fit(bg, f.design.Contents[0])
	if err != nil || !ok || len(fit.Misfits) > 0 {
		t.Errorf("%v, %v, %+v", ok, err, fit.Misfits)
	}
	near(t, "room along x", fit.Free[0]+fit.Free[1], 0, 1e-9)
}
