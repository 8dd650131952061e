package fold

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Closure (belcastro and Hull, Linear Algebra Appl. 348 (2002) 273–282; formula
// from memory, vectors computed from first principles): once round a vertex,
// the product of the turns about the creases and through the sectors is the
// identity. The corners of solids close to 2e-12 with these sectors and folds.
var cornersOfSolids = []struct {
	name    string
	sectors []float64
	fold    float64
}{
	{"cube", []float64{90, 90, 90}, 90},
	{"tetrahedron", []float64{60, 60, 60}, 109.471221},
	{"octahedron", []float64{60, 60, 60, 60}, 70.528779},
	{"icosahedron", []float64{60, 60, 60, 60, 60}, 41.810315},
	{"dodecahedron", []float64{108, 108, 108}, 63.434949},
	{"skew", []float64{60, 90, 60, 90}, 54.735610},
}

// exactFold sharpens a fold given to a millionth of a degree: all of a corner's
// folds are equal, so one number makes it close.
func exactFold(sectors []float64, near float64) float64 {
	miss := func(deg float64) float64 {
		m := product(sectors, deg)
		return geom.Point3{X: m.R[5] - m.R[7], Y: m.R[6] - m.R[2], Z: m.R[1] - m.R[3]}.Len()
	}
	lo, hi := near-1e-5, near+1e-5
	for range 100 {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if miss(a) < miss(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

// product multiplies the closure out for folds that are all alike.
func product(sectors []float64, deg float64) geom.RigidTransform {
	m := geom.Identity3()
	for _, s := range sectors {
		fold := geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Degrees(-deg).Angle())
		sector := geom.RotationAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Degrees(s).Angle())
		m = sector.Then(fold).Then(m)
	}
	return m
}

func TestClosureOfCorners(t *testing.T) {
	for _, c := range cornersOfSolids {
		deg := exactFold(c.sectors, c.fold)
		if math.Abs(deg-c.fold) > 5e-7 {
			t.Errorf("%s closes at %.9f, the table says %.6f", c.name, deg, c.fold)
		}
		m := product(c.sectors, deg)
		for i, v := range geom.Identity3().R {
			if math.Abs(m.R[i]-v) > 1e-10 {
				t.Errorf("%s: the product is %v", c.name, m.R)
				break
			}
		}
	}
}

// A fan of the sectors, hinged as a strip and folded by the same angles, brings
// its last edge home to its first.
func TestFansFoldToCorners(t *testing.T) {
	for _, c := range cornersOfSolids {
		deg := exactFold(c.sectors, c.fold)
		var faces [][]geom.Point
		var parent []int
		a := 0.0
		for i, s := range c.sectors {
			faces = append(faces, []geom.Point{{}, geom.Polar(1, geom.Degrees(a).Angle()), geom.Polar(1, geom.Degrees(a+s).Angle())})
			parent = append(parent, i-1)
			a += s
		}
		p := net(faces, parent, func(a, b int) model.Fold { return given(deg) })
		pose := foldClosed(t, p)
		n := len(faces)
		first := pose.Place[0].Apply(faces[0][1].Space())
		last := pose.Place[n-1].Apply(faces[n-1][2].Space())
		if gap := first.Dist(last); gap > 1e-9 {
			t.Errorf("%s gapes by %g", c.name, gap)
		}
	}
}

// A symmetric vertex (g, g, 180−g, 180−g) folds in the ratio cos g (Huffman,
// IEEE Trans. Comput. C-25 (1976) 1010–1019, value from memory); the 45° corner
// gusset has 0.70710678.
func TestSymmetricVertex(t *testing.T) {
	for g, ratio := range map[float64]float64{45: 0.70710678, 30: math.Cos(math.Pi / 6), 75: math.Cos(75 * math.Pi / 180)} {
		for _, r := range []float64{5, 60, 120, 175} {
			p4 := 2 * math.Atan(ratio*math.Tan(r/2*math.Pi/180)) * 180 / math.Pi
			p := sheet(ring(g, g, 180-g, 180-g), ringFolds(given(r), free(model.Out), free(model.In), free(model.In)))
			pose := foldClosed(t, p)
			for i, want := range []float64{r, -p4, r, p4} {
				if got := ringAngles(p, pose)[i]; !got.OK || math.Abs(float64(got.Degrees)-want) > 1e-5 {
					t.Errorf("g = %v, r = %v: crease %d folds %v, want %v", g, r, i, got, want)
				}
			}
		}
	}
}

// Two opposite creases given, equal as mode A wants them, leave two to be
// found; given unequal they are told to be wrong.
func TestTwoOppositeCreasesGiven(t *testing.T) {
	sectors := []float64{60, 80, 120, 100}
	fold := func(third float64) (*model.Piece, *Pose) {
		p := sheet(ring(sectors...), ringFolds(given(70), free(model.Out), given(third), free(model.In)))
		return p, foldClosed(t, p)
	}
	p, pose := fold(70)
	for i, want := range []float64{70, -27.335721, 70, 27.335721} {
		if got := ringAngles(p, pose)[i]; !got.OK || math.Abs(float64(got.Degrees)-want) > 1e-6 {
			t.Errorf("crease %d folds %v, want %v", i, got, want)
		}
	}
	p, pose = fold(60)
	if len(pose.Faults) != 1 || pose.Faults[0].Kind != LoopOpen {
		t.Errorf("unequal: %+v", pose.Faults)
	}
	if got := ringAngles(p, pose)[1]; got.OK {
		t.Errorf("unequal: a fold is given all the same: %v", got)
	}
}

// Fully folded, the vertex is flat to the last digit: every crease is a whole
// half turn and every panel lies in the plane.
func TestFullyFoldedVertex(t *testing.T) {
	for _, sectors := range [][]float64{{60, 80, 120, 100}, {45, 45, 135, 135}, {50, 100, 130, 80}} {
		p := sheet(ring(sectors...), ringFolds(given(180), free(model.Out), free(model.In), free(model.In)))
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("%v: %+v", sectors, pose.Faults[0])
		}
		for i, a := range pose.Angles {
			if float64(a.Degrees.Abs()) != 180 {
				t.Errorf("%v: hinge %s folds %v", sectors, p.Hinges[i].Name, a.Degrees)
			}
		}
		for i, panel := range p.Panels {
			for _, q := range corners(panel, pose.Place[i]) {
				if math.Abs(q.Z) > 1e-12 {
					t.Errorf("%v: a corner stands %g off the plane", sectors, q.Z)
				}
			}
		}
	}
}

// Sectors (50, 100, 120, 90) break Kawasaki's rule: with all four creases given
// 180 the loop stays open. (50, 100, 130, 80) keep it and close.
func TestVertexThatDoesNotFoldFlat(t *testing.T) {
	for faults, sectors := range [][]float64{{50, 100, 130, 80}, {50, 100, 120, 90}} {
		p := sheet(ring(sectors...), ringFolds(given(180), given(-180), given(180), given(180)))
		pose := foldClosed(t, p)
		if len(pose.Faults) != faults {
			t.Errorf("%v: faults %+v", sectors, pose.Faults)
		}
	}
}

// squareFrame is eight squares round a hole, with folds from the root on.
func squareFrame(folds ...any) string {
	return fmt.Sprintf(`
square = rect(40, 40)
root = panel("root", square)
b = panel("b", square, on = root.right, fold = %v)
c = panel("c", square, on = b.right, fold = %v)
d = panel("d", square, on = c.top, fold = %v)
e = panel("e", square, on = d.top, fold = %v)
f = panel("f", square, on = e.left, fold = %v)
g = panel("g", square, on = f.left, fold = %v)
h = panel("h", square, on = g.bottom, fold = %v)
hinge(h.bottom, root.top, fold = %v)
`, folds...)
}

// Round a hole more equations than three are independent. With all folds but two to
// four given at random the loop does not close, and it is told as open where fewer
// than three are free and as without a solution else: none passes.
func TestTooManyGivenRoundAHole(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for trial := range 12 {
		free, want := 2+trial%3, LoopUnsolved
		if free < 3 {
			want = LoopOpen
		}
		folds := make([]any, 8)
		for k, at := range rng.Perm(8) {
			if folds[at] = []string{in, out}[rng.Intn(2)]; k >= free {
				folds[at] = float64(rng.Intn(120)) - 59.5
			}
		}
		foldScript(t, squareFrame(folds...)).fault("closed", want)
	}
}

// Folds of closed shapes round a hole go together only in the end state; the few
// that are left free are found all the same.
func TestEnoughGivenRoundAHole(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	shapes := 0
	for range 40 {
		s, g := only(t, foldScript(t, squareFrame(in, in, in, in, in, in, in, in)).piece)
		for _, u := range g.unknowns {
			s.value[u] = 2*rng.Float64() - 1
		}
		flattest := math.Inf(1)
		closed := s.minimize(g, g.loops, byAngle) < closedTo
		for _, u := range g.unknowns {
			flattest = min(flattest, math.Abs(s.value[u]))
		}
		if !closed || flattest < 0.1 {
			continue
		}
		shapes++
		for free := 2; free <= 4; free++ {
			folds := make([]any, 8)
			for k, at := range rng.Perm(8) {
				switch fold := float64(s.angle(at).Degrees()); {
				case k >= free:
					folds[at] = fmt.Sprintf("%.9f", fold)
				case fold > 0:
					folds[at] = in
				default:
					folds[at] = out
				}
			}
			foldScript(t, squareFrame(folds...)).sound("closed")
		}
	}
	if shapes < 5 {
		t.Errorf("only %d shapes", shapes)
	}
}
