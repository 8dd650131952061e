package preview

import (
	"encoding/xml"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

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
	square := polyline([]geom.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 5}}, true)
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
	c := placing{scale: 1}.curve(geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(math.Pi/2)))
	if got, want := pathData([]geom.Curve{c}, false), "M10 0A10 10 0 0 0 0 -10"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Law: points written as lines are the curves through them, put on the paper;
// Z closes a ring without a line of its own.
func TestPointsAreLines(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 100 {
		m := placing{0.5, randomPoint(r)}
		pts := make([]geom.Point, 2+r.Intn(9))
		for i := range pts {
			pts[i] = randomPoint(r)
		}
		want := pathData(m.curves(polyline(pts, false)), false)
		if got := string(appendPoints(nil, m.runs([][]geom.Point{pts})[0], false)); got != want {
			t.Fatalf("%s, want %s", got, want)
		}
		if got := string(appendPoints([]byte("x"), m.runs([][]geom.Point{pts})[0], true)); got != "x"+want+"Z" {
			t.Fatalf("closed: %s, want %s and Z", got, want)
		}
	}
	if got := string(appendPoints(nil, nil, true)); got != "" {
		t.Errorf("nothing became %s", got)
	}
}

// The document says that it is one picture, what it is called and shows, and in which
// language, and a fault does too.
func TestDocumentHead(t *testing.T) {
	for sort, c := range map[string]struct {
		file        []byte
		title, desc string
	}{
		"sheet": {svg(sleeve()), "Sleeve for a bar of soap, open at both ends.", "sleeve laid flat, 188 by 90 mm. No findings."},
		"fault": {Fault(t.Context(), lidFault(), lidLine, nil), lidFault().Message, "There is no earlier drawing to show."},
	} {
		var doc struct {
			Role  string `xml:"role,attr"`
			Lang  string `xml:"http://www.w3.org/XML/1998/namespace lang,attr"`
			By    string `xml:"aria-labelledby,attr"`
			Title struct {
				ID   string `xml:"id,attr"`
				Text string `xml:",chardata"`
			} `xml:"title"`
			Desc struct {
				ID   string `xml:"id,attr"`
				Text string `xml:",chardata"`
			} `xml:"desc"`
		}
		if err := xml.Unmarshal(c.file, &doc); err != nil {
			t.Fatal(err)
		}
		if doc.Role != "img" || doc.Lang != "en" || doc.By != doc.Title.ID+" "+doc.Desc.ID {
			t.Errorf("%s: role %q, language %q, labelled by %q", sort, doc.Role, doc.Lang, doc.By)
		}
		if doc.Title.Text != c.title || doc.Desc.Text != c.desc {
			t.Errorf("%s: %q, %q", sort, doc.Title.Text, doc.Desc.Text)
		}
	}
}

func pathData(cs []geom.Curve, closed bool) string { return string(appendCurves(nil, cs, closed)) }

// polyline joins points by lines.
func polyline(pts []geom.Point, closed bool) []geom.Curve {
	var cs []geom.Curve
	for i := 1; i < len(pts); i++ {
		cs = append(cs, geom.LineFrom(pts[i-1], pts[i]))
	}
	if closed && len(pts) > 2 {
		cs = append(cs, geom.LineFrom(pts[len(pts)-1], pts[0]))
	}
	return cs
}
