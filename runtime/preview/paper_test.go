package preview

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func randomPoint(r *rand.Rand) geom.Point { return geom.Pt(r.Float64()*200-100, r.Float64()*200-100) }

// randomCurve is a line, an arc of up to a full turn or a cubic.
func randomCurve(r *rand.Rand) geom.Curve {
	p, q := randomPoint(r), randomPoint(r)
	switch r.Intn(3) {
	case 0:
		return geom.LineFrom(p, q)
	case 1:
		return geom.ArcFrom(p, q, (r.Float64()*2-1)*2*math.Pi)
	}
	return geom.CubicFrom(p, randomPoint(r), randomPoint(r), q)
}

// Law: a curve put on the paper keeps its kind, its length times the scale, and
// passes through the images of its own points.
func TestCurvesKeepTheirShapeOnPaper(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		c := randomCurve(r)
		m := placing{math.Exp(r.Float64()*4 - 2), randomPoint(r)}
		got := m.curve(c)
		if got.Kind != c.Kind || math.Abs(got.Length()-m.scale*c.Length()) > 1e-9*(1+got.Length()) {
			t.Fatalf("%v became %v", c, got)
		}
		for _, u := range []float64{0, 0.3, 0.5, 0.9, 1} {
			if d := got.At(u).Dist(m.point(c.At(u))); d > 1e-9 {
				t.Fatalf("%v at %g is %g mm off", c, u, d)
			}
		}
	}
}

// Law: path data read back is the curve it was written from, arcs as arcs, to
// within the rounding of coordinates. An arc's end-point form multiplies that
// rounding on short, flat arcs, so length is held to 0.02 mm.
func TestPathDataReadsBack(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 500 {
		c := randomCurve(r)
		back := parsePath(t, pathData([]geom.Curve{c}, false))
		length := 0.0
		for _, b := range back {
			if b.Kind != c.Kind {
				t.Fatalf("%v came back as %v", c, b)
			}
			length += b.Length()
			for _, u := range []float64{0, 0.5, 1} {
				if _, d := c.Nearest(b.At(u)); d > 0.02 {
					t.Fatalf("%v: the point %v lies %g mm off it", c, b.At(u), d)
				}
			}
		}
		if math.Abs(length-c.Length()) > 0.02 {
			t.Fatalf("%v is %g mm long, written %g", c, c.Length(), length)
		}
	}
}

// A closed stroke ends in Z, and a gap between curves starts a new subpath.
func TestPathDataSubpaths(t *testing.T) {
	square := chain([]geom.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 5}}, true)
	if got, want := pathData(square, true), "M0 0L5 0L5 5L0 0Z"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	apart := []geom.Curve{geom.LineFrom(geom.Pt(0, 0), geom.Pt(1, 0)), geom.LineFrom(geom.Pt(2, 0), geom.Pt(3, 0))}
	if got, want := pathData(apart, false), "M0 0L1 0M2 0L3 0"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got := pathData(nil, true); got != "" {
		t.Errorf("nothing became %s", got)
	}
}

// The sense of an arc: a quarter turn to the left in the design, drawn with y
// down, runs against SVG's positive angle, so its flag is 0.
func TestArcFlag(t *testing.T) {
	c := placing{scale: 1}.curve(geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), math.Pi/2))
	if got, want := pathData([]geom.Curve{c}, false), "M10 0A10 10 0 0 0 0 -10"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestNum(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.0001: "0", 1.0005: "1.001", 12.5: "12.5", -3: "-3", 1e6: "1000000"} {
		if got := num(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
}

// What XML cannot hold is replaced, and what it would read is escaped.
func TestWriterEscapes(t *testing.T) {
	w := &writer{}
	w.open("g", "class", `a"<b>&`, "id", "")
	w.text("x < y & \"z\" > \x00\x0b\ufffe\U0001F600")
	w.close("g")
	want := "<g class=\"a&quot;&lt;b&gt;&amp;\">x &lt; y &amp; &quot;z&quot; &gt; \uFFFD\uFFFD\uFFFD\U0001F600</g>\n"
	if got := string(w.bytes()); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if strings.Contains(string(w.bytes()), "id=") {
		t.Error("an empty attribute was written")
	}
}
