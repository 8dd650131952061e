package page

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// num is a number that geometry.js must come to, with nine decimals.
type num float64

func (n num) MarshalJSON() ([]byte, error) {
	text := strconv.FormatFloat(float64(n), 'f', 9, 64)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		text = "0"
	}
	return []byte(text), nil
}

// round gives what a reader of the vectors gets.
func round(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'f', 9, 64), 64)
	return r
}

func nums(values ...float64) (out []num) {
	for _, v := range values {
		out = append(out, num(v))
	}
	return out
}

// written is a curve as the page's data has it, to the last digit.
func written(c geom.Curve) []float64 {
	switch c.Kind {
	case geom.Arc:
		return []float64{1, c.P.X, c.P.Y, c.Q.X, c.Q.Y, c.C.X, c.C.Y, c.R, c.Sweep.Radians()}
	case geom.Cubic:
		return []float64{2, c.P.X, c.P.Y, c.C.X, c.C.Y, c.D.X, c.D.Y, c.Q.X, c.Q.Y}
	}
	return []float64{0, c.P.X, c.P.Y, c.Q.X, c.Q.Y}
}

type curveVector struct {
	Curve   []float64 `json:"curve"`
	Length  num       `json:"length"`
	Area    num       `json:"area"`
	Bounds  []num     `json:"bounds"`
	At      [][]num   `json:"at"`      // parameter, x, y
	Nearest [][]num   `json:"nearest"` // x, y of a point, and its distance from the curve
	Moved   []num     `json:"moved"`   // by the vectors' matrix
	Path    string    `json:"path"`    // commands of its path data
}

type motionVector struct {
	Matrix []float64 `json:"matrix"`
	Point  []num     `json:"point"`
	Moved  []num     `json:"moved"`
	Then   []num     `json:"then"` // moved once more
}

// vectorCurves are all sorts of curves: random ones; full, half and very short arcs, both
// ways; arcs of 60 and 300 degrees on a level chord; cubics with a cusp, with a loop, straight
// ones, and one whose control points are its ends.
func vectorCurves(r *rand.Rand) (curves []geom.Curve) {
	point := func() geom.Point { return geom.Pt(round(200*r.Float64()-100), round(200*r.Float64()-100)) }
	for range 4 {
		curves = append(curves, geom.LineFrom(point(), point()), geom.CubicFrom(point(), point(), point(), point()))
	}
	for _, degrees := range []geom.Degrees{360, -360, 180, -180, 90, -270, 60, 300, -0.01, 37} {
		curves = append(curves, geom.ArcFrom(point(), point(), degrees.Angle()))
	}
	for _, degrees := range []geom.Degrees{60, 300} {
		c, err := geom.ArcSweep(geom.Pt(0, 0), geom.Pt(40, 0), degrees.Angle())
		if err != nil {
			panic(err)
		}
		curves = append(curves, c)
	}
	at := geom.Pt
	return append(curves,
		geom.CubicFrom(at(0, 0), at(30, 30), at(0, 30), at(30, 0)), geom.CubicFrom(at(0, 0), at(60, 30), at(-30, 30), at(30, 0)),
		geom.CubicFrom(at(0, 0), at(10, 0), at(20, 0), at(30, 0)), geom.CubicFrom(at(5, 5), at(5, 5), at(45, 25), at(45, 25)))
}

func vectorOf(c geom.Curve, m geom.Isometry, r *rand.Rand) curveVector {
	b := c.Bounds()
	v := curveVector{
		Curve: written(c), Length: num(c.Length()), Area: num(c.Area()), Bounds: nums(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y),
		Moved: nums(written(c.Transform(m))...), Path: "M" + strings.Repeat(letters[c.Kind], parts(c)),
	}
	if c.P.Dist(c.Q) < geom.Tiny {
		v.Path += "Z"
	}
	for _, t := range []float64{0, 0.125, 0.5, 0.8, 1} {
		p := c.At(t)
		v.At = append(v.At, nums(t, p.X, p.Y))
	}
	for range 4 {
		p := geom.Pt(round(300*r.Float64()-150), round(300*r.Float64()-150))
		_, d := c.Nearest(p)
		v.Nearest = append(v.Nearest, nums(p.X, p.Y, d))
	}
	return v
}

var letters = map[geom.Kind]string{geom.Line: "L", geom.Arc: "A", geom.Cubic: "C"}

// parts is how many commands draw a curve: an arc takes one for each 90 degrees begun.
func parts(c geom.Curve) int {
	quarters := 1
	for float64(quarters)*90 < float64(c.Sweep.Abs().Degrees())-1e-6 {
		quarters++
	}
	return quarters
}

func motionOf(r *rand.Rand) motionVector {
	space := func() geom.Point3 {
		return geom.Point3{X: round(r.Float64()), Y: round(r.Float64()), Z: round(1 + r.Float64())}
	}
	m := geom.RotationAbout(space(), space(), geom.Radians(6*r.Float64()))
	p := space()
	q := m.Apply(p)
	then := m.Apply(q)
	return motionVector{
		Matrix: rows(m), Point: nums(p.X, p.Y, p.Z), Moved: nums(q.X, q.Y, q.Z), Then: nums(then.X, then.Y, then.Z),
	}
}

// rows are the three rows of a motion's matrix, with the shift last.
func rows(m geom.RigidTransform) []float64 {
	o := m.Apply(geom.Point3{})
	x, y, z := m.ApplyDir(geom.Point3{X: 1}), m.ApplyDir(geom.Point3{Y: 1}), m.ApplyDir(geom.Point3{Z: 1})
	return []float64{x.X, y.X, z.X, o.X, x.Y, y.Y, z.Y, o.Y, x.Z, y.Z, z.Z, o.Z}
}

// vectors are what geometry.js must compute, by geom.
func vectors(t *testing.T) []byte {
	r := rand.New(rand.NewPCG(11, 7))
	m := geom.FlipX().Then(geom.Rotation(geom.Degrees(30).Angle(), geom.Pt(3, 4))).Then(geom.Translation(-20, 50))
	var curves []curveVector
	for _, c := range vectorCurves(r) {
		curves = append(curves, vectorOf(c, m, r))
	}
	var motions []motionVector
	for range 5 {
		motions = append(motions, motionOf(r))
	}
	text, err := json.Marshal(map[string]any{"matrix": []float64{m.A, m.B, m.C, m.D, m.E, m.F}, "curves": curves, "motions": motions})
	if err != nil {
		t.Fatal(err)
	}
	// A line for each curve, so that what changed can be seen.
	return []byte(strings.ReplaceAll(string(text), `},{"`, "},\n{\"") + "\n")
}

// The vectors are those that geom computes today.
func TestGeometryVectorsAreFresh(t *testing.T) {
	golden.In(t, "testdata").Check("geometry.json", vectors(t))
}

// Law: the page's curves have the lengths, areas, boxes, points, nearest places and path
// data that geom gives them, and its matrices move as geom's do.
func TestPageGeometryAgreesWithGeom(t *testing.T) {
	checkModules(t, "geometrycheck.js", string(vectors(t)), "geometry.js")
}

// Measures and places for words are held to cases by hand and to laws: see the check.
func TestPageMeasuresKeepTheirLaws(t *testing.T) {
	checkModules(t, "measurecheck.js", "", "geometry.js", "measure.js", "places.js")
}

// checkModules calls a check of testdata in a browser with modules of the page, and then
// with more if that is not "". The check gives what it found amiss.
func checkModules(t *testing.T, check, more string, modules ...string) {
	t.Helper()
	text, err := os.ReadFile("testdata/" + check)
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	tab := browsertest.Open(t, s.URL()+"a/"+modules[0])
	tab.Allow("favicon.ico") // a script shown by itself names no icon, so one is asked for
	imports := `Promise.all(["./` + strings.Join(modules, `", "./`) + `"].map((m) => import(new URL(m, location.href))))`
	faults := browsertest.Eval[[]string](tab, imports+`.then((modules) => (`+function(string(text))+`)(...modules, `+more+`))`)
	if len(faults) > 0 {
		t.Errorf("%d faults, the first %s", len(faults), strings.Join(faults[:min(8, len(faults))], "\n"))
	}
}

// function is the check without the comment at its head.
func function(text string) string {
	lines := strings.Split(text, "\n")
	return strings.Join(lines[slices.IndexFunc(lines, func(l string) bool { return !strings.HasPrefix(l, "//") }):], "\n")
}
