package fold

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
)

// star is a vertex of sectors, in degrees, whose creases have the folds as they are
// written in a script, the first between sectors 1 and 2.
func star(sectors []float64, folds []string) string {
	out, at := "", 0.0
	pts := func(a, b float64) string {
		c, s := math.Cos(a*math.Pi/180), math.Sin(a*math.Pi/180)
		d, e := math.Cos(b*math.Pi/180), math.Sin(b*math.Pi/180)
		m, n := math.Cos((a+b)*math.Pi/360), math.Sin((a+b)*math.Pi/360)
		return fmt.Sprintf("polygon([(0, 0), (%.9f, %.9f), (%.9f, %.9f), (%.9f, %.9f)], edges = [\"a\", \"rim\", \"tip\", \"b\"])", 60*c, 60*s, 60*m, 60*n, 60*d, 60*e)
	}
	for i, w := range sectors {
		if i == 0 {
			out += "root = panel(\"root\", " + pts(0, w) + ")\nlast = root\n"
		} else {
			out += fmt.Sprintf("last = panel(\"p%d\", %s, on = last.b, by = \"a\", fold = %s)\n", i, pts(at, at+w), folds[i-1])
		}
		at += w
	}
	return out + fmt.Sprintf("hinge(last.b, root.a, fold = %s, name = \"last\")\n", folds[len(folds)-1])
}

// A vertex of three creases that lean does not fold, nor one with a sector of half a
// turn or more (T. C. Hull, from memory): that is told, whatever sides are asked. Two
// creases in line fold as one.
func TestRigidVertex(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for n := range 16 {
		sectors := []float64{60 + 60*rng.Float64(), 70 + 60*rng.Float64(), 0}
		sectors[2] = 360 - sectors[0] - sectors[1]
		folds := []string{fmt.Sprint(10 + rng.Intn(150)), in, out}
		if n%2 == 0 {
			wide := 185 + 60*rng.Float64()
			part := (360 - wide) / 4
			sectors = []float64{wide, part, part * (1 + rng.Float64()), 0}
			sectors[3] = 360 - wide - sectors[1] - sectors[2]
			folds = []string{fmt.Sprint(10 + rng.Intn(150)), in, out, out}
		}
		if fault := foldScript(t, star(sectors, folds)).fault("closed", LoopUnsolved); !fault.Rigid {
			t.Errorf("%v: %+v", sectors, fault)
		}
	}
	if foldScript(t, star([]float64{50, 85, 130, 95}, []string{"30", in, in, in})).fault("closed", LoopUnsolved).Rigid {
		t.Error("a vertex on wrong sides is called rigid")
	}
}

// A vertex of four creases folds up to some angle of the given one only, unless
// opposite sectors add up to half a turn: the angle told is reached, and a
// degree more is not.
func TestMotionEndsBeforeItsValue(t *testing.T) {
	told := 0
	rng := rand.New(rand.NewSource(6))
	for range 8 {
		a, b, c := 50+60*rng.Float64(), 60+50*rng.Float64(), 50+60*rng.Float64()
		sectors := []float64{a, b, c, 360 - a - b - c}
		for _, sides := range [][3]string{{in, in, out}, {out, in, in}, {in, out, in}, {out, out, out}} {
			at := func(deg float64) *folded {
				return foldScript(t, star(sectors, []string{fmt.Sprintf("%.1f", deg), sides[0], sides[1], sides[2]}))
			}
			faults := at(178).poses["closed"].Faults
			if len(faults) == 0 || faults[0].Until == nil {
				continue
			}
			told++
			end := float64(faults[0].UntilDegrees)
			at(end).sound("closed")
			at(end).closes("closed")
			if end < 177 && len(at(end + 1).poses["closed"].Faults) == 0 {
				t.Errorf("%v %v: %g degrees is not the end", sectors, sides, end)
			}
		}
	}
	if told < 3 {
		t.Errorf("only %d motions end", told)
	}
}

// Where a folded sheet can go several ways, the place to look that is told leads to
// one.
func TestNearThatIsToldWorks(t *testing.T) {
	for _, size := range []float64{60, 75, 100} {
		const card = `
root = panel("root", rect(%g, %[1]g))
b = panel("b", rect(%[1]g, %[1]g), on = root.right, fold = 180)
c = panel("c", rect(%[1]g, %[1]g), on = b.top, fold = %[2]s)
d = panel("d", rect(%[1]g, %[1]g), on = root.top, fold = %[3]s)
hinge(c.left, d.right, fold = %[4]s, name = "last")
`
		fault := foldScript(t, fmt.Sprintf(card, size, out, in, in)).fault("closed", LoopUnsolved)
		if !fault.Several || fault.Near == nil {
			t.Fatalf("%+v", fault)
		}
		folds := map[string]string{"c": out, "d": in, "last": in}
		side := "in"
		if fault.NearDegrees < 0 {
			side = "out"
		}
		folds[fault.Near.Name] = fmt.Sprintf("free(%q, near = %g)", side, fault.NearDegrees)
		f := foldScript(t, fmt.Sprintf(card, size, folds["c"], folds["d"], folds["last"]))
		f.sound("closed")
		f.closes("closed")
	}
}

// A fold of a hundred-thousandth of a degree folds the web of a corner like any
// small one: its halves turn (√2 − 1) times as far, the web twice as far (the limit
// of the spherical triangle).
func TestTinyFolds(t *testing.T) {
	for _, deg := range []float64{1e-3, 1e-5, 1e-7} {
		f := cornerOf(t, fmt.Sprintf("%.9f", deg), fmt.Sprintf("%.9f", deg), out, out, in)
		f.sound("closed")
		for hinge, want := range map[string]float64{"near": 1 - math.Sqrt2, "far": 1 - math.Sqrt2, "web": 2} {
			if got := f.angle("closed", hinge) / deg; !(math.Abs(got-want) < 1e-5) {
				t.Errorf("%g degrees: %q turns %g times as far, want %g", deg, hinge, got, want)
			}
		}
		for _, web := range []string{in, out} {
			if fault := cornerOf(t, fmt.Sprintf("%.9f", deg), fmt.Sprintf("%.9f", deg), in, out, web).fault("closed", LoopUnsolved); len(fault.Other) == 0 {
				t.Errorf("%g degrees on the wrong side: %+v", deg, fault)
			}
		}
	}
}
