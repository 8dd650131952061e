package toolpath

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// cutsOf is a layer of cuts: closed rims with board on their left, and lines with board on both sides.
func cutsOf(rims [][]geom.Curve, slits ...geom.Curve) blank.Layer {
	l := blank.Layer{Kind: blank.CutLine}
	for _, r := range rims {
		l.Strokes = append(l.Strokes, blank.Stroke{Curves: r, Closed: true, Rim: true})
	}
	for _, s := range slits {
		l.Strokes = append(l.Strokes, blank.Stroke{Curves: []geom.Curve{s}})
	}
	return l
}

func beamOf(kerf float64) board.Tool {
	return board.Tool{Kind: board.Beam, Kerf: kerf, Power: 1, Passes: 1, Compensate: true}
}

func hole(p geom.Path) []geom.Curve { return p.Reverse().Curves() }

// Steiner's formula for a disc rolled round a square of 100 with the radius 0.1: P' = P + 2πr = 400.6283,
// A' = A + P·r + πr² = 10040.0314. A hole of 20 by 10 shrinks to 19.8 by 9.8, with its corners; a round one of
// 10 to 9.8 across. A slit stays, and so does everything of a tool that does not compensate, and of
// other lines.
func TestKerfClosedForms(t *testing.T) {
	square := must(geom.Rect(100, 100, 0))
	window := must(geom.Rect(20, 10, 0)).Transform(geom.Translation(10, 10))
	round := must(geom.Circle(10)).Transform(geom.Translation(60, 60))
	slit := geom.LineFrom(geom.Pt(40, 20), geom.Pt(80, 20))
	l := cutsOf([][]geom.Curve{square.Curves(), hole(window), hole(round)}, slit)
	strokes, lost, err := kerfed(l, beamOf(0.2))
	if err != nil || len(strokes) != 4 || len(lost) > 0 {
		t.Fatal(strokes, lost, err)
	}
	for i, want := range []struct {
		length, area float64
		arcs         int
	}{{400.6283, 10040.0314, 4}, {2 * (19.8 + 9.8), -19.8 * 9.8, 0}, {9.8 * math.Pi, -9.8 * 9.8 / 4 * math.Pi, 4}} {
		area, arcs := 0.0, 0
		for _, c := range strokes[i].Curves {
			area += c.Area()
			if c.Kind == geom.Arc {
				arcs++
			}
		}
		if s := strokes[i]; math.Abs(s.Length()-want.length) > 5e-5 || math.Abs(area-want.area) > 5e-5 || arcs != want.arcs || !s.Closed || !s.Rim {
			t.Errorf("cut %d: length %.4f, area %.4f, %d arcs; want %v", i, s.Length(), area, arcs, want)
		}
	}
	if s := strokes[3]; len(s.Curves) != 1 || s.Curves[0] != slit {
		t.Errorf("the slit moved: %v", s)
	}
	plain := beamOf(0.2)
	plain.Compensate = false
	same := func(a, b []blank.Stroke) bool {
		return slices.EqualFunc(a, b, func(x, y blank.Stroke) bool { return slices.Equal(x.Curves, y.Curves) })
	}
	if got, _, _ := kerfed(l, plain); !same(got, l.Strokes) {
		t.Error("an uncompensated cut moved")
	}
	for _, kind := range blank.Kinds() {
		if kind != blank.CutLine {
			if got, _, _ := kerfed(blank.Layer{Kind: kind, Strokes: l.Strokes}, beamOf(0.2)); !same(got, l.Strokes) {
				t.Errorf("%s lines moved", kind)
			}
		}
	}
}

// What a kerf leaves no room for is told, once, with its place; what it has room for is not.
func TestLostToTheKerf(t *testing.T) {
	square := must(geom.Rect(50, 50, 0)).Curves()
	at := func(p geom.Path, err error) []geom.Curve {
		return hole(must(p, err).Transform(geom.Translation(20, 20)))
	}
	poly := func(pts ...float64) []geom.Curve {
		var out []geom.Point
		for i := 0; i < len(pts); i += 2 {
			out = append(out, geom.Pt(pts[i], pts[i+1]))
		}
		return must(geom.Polygon(out, nil)).Curves()
	}
	slot := poly(0, 0, 30, 0, 30, 30, 15.05, 30, 15.05, 10, 14.95, 10, 14.95, 30, 0, 30)
	neck := must(geom.Polygon([]geom.Point{geom.Pt(5, 5), geom.Pt(15, 5), geom.Pt(15, 9.95), geom.Pt(25, 9.95), geom.Pt(25, 5), geom.Pt(35, 5),
		geom.Pt(35, 15), geom.Pt(25, 15), geom.Pt(25, 10.05), geom.Pt(15, 10.05), geom.Pt(15, 15), geom.Pt(5, 15)}, nil))
	// A hole between two arcs that bulge toward each other to 0.1 mm.
	upper, lower := must(geom.ArcThrough(geom.Pt(30, 14), geom.Pt(20, 10.05), geom.Pt(10, 14))), must(geom.ArcThrough(geom.Pt(10, 6), geom.Pt(20, 9.95), geom.Pt(30, 6)))
	waist := []geom.Curve{lower, geom.LineFrom(geom.Pt(30, 6), geom.Pt(30, 14)), upper, geom.LineFrom(geom.Pt(10, 14), geom.Pt(10, 6))}
	pinched := geom.Path{Closed: true}
	for _, c := range waist {
		pinched.Edges = append(pinched.Edges, geom.Edge{Curve: c})
	}
	for _, test := range []struct {
		name string
		rims [][]geom.Curve
		cuts int
		want string
		at   geom.Point
	}{
		{"large hole", [][]geom.Curve{square, at(geom.Rect(3, 0.3, 0))}, 2, "", geom.Point{}},
		{"narrow hole", [][]geom.Curve{square, at(geom.Rect(3, 0.15, 0))}, 1, "a hole of 3.00 × 0.15 mm, in which there is no room for the kerf of 0.20 mm", geom.Pt(21.5, 20.075)},
		{"small hole", [][]geom.Curve{square, at(geom.Circle(0.18))}, 1, "a hole of 0.18 × 0.18 mm, in which there is no room for the kerf of 0.20 mm", geom.Pt(20, 20)},
		{"slot", [][]geom.Curve{slot}, 1, "40.10 mm of the outline, where an opening is narrower than the kerf of 0.20 mm", geom.Pt(15, 10)},
		{"neck", [][]geom.Curve{square, hole(neck)}, 3, "10.00 mm of the outline, where an opening is narrower than the kerf of 0.20 mm", geom.Pt(20, 9.95)},
		{"inner radius", [][]geom.Curve{square, at(geom.Rect(3, 3, 0.08))}, 2, "an inner radius of 0.08 mm: the kerf of 0.20 mm leaves one of its half", geom.Pt(20, 20)},
		{"notch", [][]geom.Curve{poly(0, 0, 30, 0, 30, 30, 17, 30, 15, 10, 13, 30, 0, 30)}, 1,
			"the last 0.90 mm of a notch of 11 degrees, in which there is no room for the kerf of 0.20 mm", geom.Pt(15, 10)},
		{"waist", [][]geom.Curve{square, hole(pinched)}, 3, "a place where an opening is narrower than the kerf of 0.20 mm", geom.Pt(20, 10)},
	} {
		strokes, lost, err := kerfed(cutsOf(test.rims), beamOf(0.2))
		if err != nil || len(strokes) != test.cuts {
			t.Errorf("%s: %d cuts, %v", test.name, len(strokes), err)
		}
		var texts []string
		for _, l := range lost {
			texts = append(texts, l.Text)
		}
		if strings.Join(slices.Compact(texts), "; ") != test.want {
			t.Errorf("%s: %q", test.name, texts)
			continue
		}
		if want := map[string]int{"": 0, "inner radius": 4}[test.name]; test.want != "" && len(lost) != max(1, want) {
			t.Errorf("%s: told %d times", test.name, len(lost))
		}
		if test.want != "" && !slices.ContainsFunc(lost, func(l Lost) bool { return l.At.Dist(test.at) < 1.5 && l.Kind == blank.CutLine }) {
			t.Errorf("%s: at %v", test.name, lost)
		}
	}
}

// Law: of random shapes with holes the beam leaves the model, as TestBeamLeavesTheModel says.
func TestBeamLeavesRandomShapes(t *testing.T) {
	for seed := range int64(150) {
		rnd := rand.New(rand.NewSource(seed))
		rims := [][]geom.Curve{randomOutline(rnd)}
		for range rnd.Intn(4) {
			p := must(geom.Rect(0.3+rnd.Float64()*3, 0.3+rnd.Float64()*3, 0)).Transform(geom.Rotation(geom.Radians(rnd.Float64()*7), geom.Pt(0, 0)).
				Then(geom.Translation(rnd.NormFloat64()*3, rnd.NormFloat64()*3)))
			clear := geom.Winding(rims[0], p.Start()) != 0
			for _, r := range rims {
				for _, c := range r {
					for _, e := range p.Edges {
						clear = clear && len(geom.Intersect(c, e.Curve)) == 0
					}
				}
			}
			for _, r := range rims[1:] {
				clear = clear && geom.Winding(r, p.Start()) == 0 && !p.Contains(r[0].P)
			}
			if clear {
				rims = append(rims, hole(p))
			}
		}
		kerf := []float64{0.1, 0.2, 0.5}[rnd.Intn(3)]
		l := cutsOf(rims)
		strokes, lost, err := kerfed(l, beamOf(kerf))
		if err != nil {
			t.Fatal(err)
		}
		p := &Program{Place: geom.Translation(0, 0), Lost: lost}
		pass := Pass{Kind: blank.CutLine}
		for _, s := range strokes {
			pass.Strokes = append(pass.Strokes, p.stroke(s))
		}
		p.Passes = []Pass{pass}
		t.Run(fmt.Sprint(seed), func(t *testing.T) { checkBeam(t, p, &blank.Blank{Layers: []blank.Layer{l}}, kerf) })
	}
}
