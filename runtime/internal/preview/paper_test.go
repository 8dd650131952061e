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
		return geom.ArcFrom(p, q, geom.Radians((r.Float64()*2-1)*2*math.Pi))
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
	w.chars("x < y & \"z\" > \x00\x0b\ufffe\U0001F600")
	w.close("g")
	want := "<g class=\"a&quot;&lt;b&gt;&amp;\">x &lt; y &amp; &quot;z&quot; &gt; \uFFFD\uFFFD\uFFFD\U0001F600</g>\n"
	if got := string(w.bytes()); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if strings.Contains(string(w.bytes()), "id=") {
		t.Error("an empty attribute was written")
	}
}
