package pdf_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/pdf/pdftest"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// randomPaths are chains of lines, arcs and cubics on a page of a size.
func randomPaths(rnd *rand.Rand, size float64) []pdf.Path {
	point := func() geom.Point { return geom.Pt(rnd.Float64()*size, rnd.Float64()*size) }
	var out []pdf.Path
	for range 1 + rnd.Intn(5) {
		start := point()
		if rnd.Intn(4) == 0 { // a circle
			sweep := geom.Radians(2 * math.Pi * float64(1-2*rnd.Intn(2)))
			out = append(out, pdf.Path{Curves: []geom.Curve{geom.ArcBetween(start, start, point(), sweep)}, Closed: true})
			continue
		}
		path := pdf.Path{Closed: rnd.Intn(2) == 0}
		at, n := start, 1+rnd.Intn(5)
		for i := range n {
			to := point()
			if path.Closed && n > 1 && i == n-1 {
				to = start
			}
			c := geom.LineFrom(at, to)
			if k := rnd.Intn(3); k == 1 {
				c = geom.CubicFrom(at, point(), point(), to)
			} else if arc, err := geom.ArcSweep(at, to, geom.Radians((rnd.Float64()-0.5)*11)); k == 2 && err == nil {
				c = arc
			}
			path.Curves, at = append(path.Curves, c), to
		}
		if path.Closed && n == 1 {
			path.Closed = false
		}
		out = append(out, path)
	}
	return out
}

// Law: numbers half way between two that can be written are written the same if their last bits differ, as they do
// between processors.
func TestNoiseIsNotWritten(t *testing.T) {
	rnd := rand.New(rand.NewSource(9))
	for range 200 {
		half := (math.Floor(rnd.Float64()*1e6) + 0.5) / 1e4
		var files [2][]byte
		for i, v := range [...]float64{math.Nextafter(half, 0), math.Nextafter(half, 1e9)} {
			d := pdf.New("noise", "")
			p := d.Page(pdf.Boxes{Media: geom.Box{Max: geom.Pt(200, 200)}})
			p.Stroke([]pdf.Path{{Curves: []geom.Curve{geom.LineFrom(geom.Pt(v, 1), geom.Pt(2, v))}}}, pdf.Pen{Width: 0.1})
			var err error
			if files[i], err = d.Bytes(); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(files[0], files[1]) {
			t.Fatalf("%v is written in two ways", half)
		}
	}
}

// readTolerance is what a file may add to a curve, in mm: a cubic's error and rounding.
const readTolerance = 5e-4 + 3e-4

// drawn is a page with random paths in two layers.
func drawn(t *testing.T, rnd *rand.Rand, size float64) ([]byte, [2][]pdf.Path) {
	t.Helper()
	d := pdf.New("a (title) of % and #, größer", "")
	cut, glue := d.Spot("cut", 0, 0, 0, 1), d.Spot("glue", 0.25, 0.5, 1)
	layers := [2]*pdf.Layer{
		d.Layer(pdf.Layer{Name: "cut", Step: pdf.Step{Group: "Structural", Type: "Cutting"}}),
		d.Layer(pdf.Layer{Name: "Größen", Step: pdf.Step{Group: "Dimensions"}, ScreenOnly: true}),
	}
	page := geom.BoxOf(geom.Pt(0, 0), geom.Pt(size, size/2))
	p := d.Page(pdf.Boxes{Media: page, Bleed: page.Grow(-1), Trim: page.Grow(-4)})
	var paths [2][]pdf.Path
	for i, l := range layers {
		paths[i] = randomPaths(rnd, size)
		p.In(l, func() {
			p.Stroke(paths[i], pdf.Pen{Colour: [2]pdf.Colour{cut, glue}[i], Width: 0.25, Dash: []float64{3, 1.5}})
		})
	}
	p.Window(page.Grow(-20), geom.Pt(7, -3), func() {
		p.Fill([]pdf.Path{{Curves: []geom.Curve{geom.ArcFrom(geom.Pt(40, 20), geom.Pt(30, 20), geom.Degrees(360).Angle())}, Closed: true}}, pdf.RGB(1, 0.5, 0))
	})
	file, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return file, paths
}

// Laws: what is drawn is read back, path by path, within the cubics' error of an arc, on
// pages from 100 mm to 60 m; colours, layers, boxes and the window are those asked for;
// and the same drawing has the same bytes.
func TestStrokesReadBack(t *testing.T) {
	for seed := range int64(60) {
		size := 100 * math.Pow(600, float64(seed)/59)
		file, paths := drawn(t, rand.New(rand.NewSource(seed)), size)
		if again, _ := drawn(t, rand.New(rand.NewSource(seed)), size); !bytes.Equal(file, again) {
			t.Fatal("two runs differ")
		}
		f, err := pdftest.Read(file)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		p := f.Pages[0]
		if f.Title != "a (title) of % and #, größer" || math.Abs(p.Media.Max.X-size) > 1e-5 || math.Abs(p.Bleed.Max.Y-size/2+1) > 1e-5 || math.Abs(p.Trim.Min.X-4) > 1e-5 {
			t.Errorf("title %q, boxes %v %v %v", f.Title, p.Media, p.Bleed, p.Trim)
		}
		want := []pdftest.Layer{{Name: "Größen", Group: "Dimensions", ScreenOnly: true}, {Name: "cut", Group: "Structural", Type: "Cutting"}}
		if !slices.Equal(f.Layers, want) || len(p.Marks) != len(paths[0])+len(paths[1])+1 {
			t.Fatalf("layers %v, %d marks", f.Layers, len(p.Marks))
		}
		for i, path := range slices.Concat(paths[0], paths[1]) {
			m := p.Marks[i]
			first := i < len(paths[0])
			if first != (m.Layer == "cut") || first != (m.Ink == "cut") || !m.Overprint || m.Filled || math.Abs(m.Width-0.25) > 1e-9 || len(m.Dash) != 2 || m.Paths[0].Closed != path.Closed {
				t.Fatalf("seed %d: mark %+v", seed, m)
			}
			if a, b := pdftest.Apart(path.Curves, m.Paths[0].Curves), pdftest.Apart(m.Paths[0].Curves, path.Curves); max(a, b) > readTolerance {
				t.Fatalf("seed %d: %g mm apart", seed, max(a, b))
			}
		}
		circle := p.Marks[len(p.Marks)-1]
		if circle.Ink != "" || circle.RGB != [3]float64{1, 0.5, 0} || circle.Layer != "" || math.Abs(circle.Window.Min.X-20) > 1e-9 || circle.Paths[0].Curves[0].P.Dist(geom.Pt(47, 17)) > 1e-9 {
			t.Errorf("the circle is %+v", circle)
		}
	}
}

// Law: the cubics of an arc stay within 0.0005 mm of its circle, and what rounding to
// four decimals adds, whatever the radius and the sweep.
func TestArcs(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 300 {
		r, sweep := math.Pow(10, rnd.Float64()*5-1), rnd.Float64()*2*math.Pi
		start := geom.Pt(rnd.Float64()*100, rnd.Float64()*100)
		arc := geom.ArcFrom(start, start.Add(geom.Polar(r, geom.Radians(rnd.Float64()*7))), geom.Radians(sweep))
		d := pdf.New("", "")
		p := d.Page(pdf.Boxes{Media: geom.BoxOf(geom.Pt(0, 0), geom.Pt(100, 100))})
		p.Stroke([]pdf.Path{{Curves: []geom.Curve{arc}}}, pdf.Pen{Colour: pdf.RGB(0, 0, 0), Width: 0.1})
		file, _ := d.Bytes()
		f, err := pdftest.Read(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range f.Pages[0].Marks[0].Paths[0].Curves {
			for i := range 50 {
				if off := math.Abs(c.At(float64(i)/49).Dist(arc.C) - r); off > 5e-4+1e-4 {
					t.Fatalf("radius %g, %g of a turn: off by %g", r, sweep/2/math.Pi, off)
				}
			}
		}
	}
}

// Laws: inks of a colour give it back, with k the share of black, as (1 − c)(1 − k), and
// one of the three others is not used.
func TestInks(t *testing.T) {
	for v := range 200 {
		hex := fmt.Sprintf("#%06X", v*83886)
		r, g, b := pdf.Parts(hex)
		k := pdf.Inks(hex)
		for i, want := range []float64{r, g, b} {
			if got := (1 - k[i]) * (1 - k[3]); math.Abs(got-want) > 1e-12 || k[i] < 0 || k[i] > 1 {
				t.Errorf("%s as %v gives %g for %g", hex, k, got, want)
			}
		}
		if min(k[0], k[1], k[2]) != 0 {
			t.Errorf("%s as %v", hex, k)
		}
	}
}

// Steps and inks that no reader would understand are refused. The group of the first
// row is the standard's, the rest of the table what pages may ask for.
func TestMisuse(t *testing.T) {
	for _, c := range []struct {
		step pdf.Step
		ink  string
		want string
	}{
		{pdf.Step{Group: "Structural", Type: "Creasing"}, "score", ""},
		{pdf.Step{Group: "Legend"}, "legend", ""},
		{pdf.Step{}, "art-2", ""},
		{pdf.Step{Group: "Structural"}, "score", "no processing step"},
		{pdf.Step{Group: "Structural", Type: "Cutting through"}, "score", "no processing step"},
		{pdf.Step{Group: "Legend", Type: "Creasing"}, "score", "no processing step"},
		{pdf.Step{Group: "Cutting"}, "score", "no processing step"},
		{pdf.Step{Type: "Cutting"}, "score", "no processing step"},
		{pdf.Step{}, "Cyan", "no ink can be called"},
		{pdf.Step{}, "All", "no ink can be called"},
		{pdf.Step{}, "two words", "no ink can be called"},
		{pdf.Step{}, "", "no ink can be called"},
		{pdf.Step{}, "2cut", "no ink can be called"},
	} {
		d := pdf.New("", "")
		d.Layer(pdf.Layer{Name: "l", Step: c.step})
		d.Spot(c.ink, 0, 0, 0, 1)
		d.Page(pdf.Boxes{Media: geom.BoxOf(geom.Pt(0, 0), geom.Pt(9, 9))})
		_, err := d.Bytes()
		if got := fmt.Sprint(err); c.want == "" && err != nil || !strings.Contains(got, c.want) {
			t.Errorf("%v, %q: %s", c.step, c.ink, got)
		}
	}
}

// The reader that these tests rest on takes no file that is broken in one place.
func TestReaderIsStrict(t *testing.T) {
	file, _ := drawn(t, rand.New(rand.NewSource(7)), 200)
	for _, harmless := range [][2]string{{"", ""}, {"(Creasewright)", "(Somebody)"}, {"\n0.25 w", "\n0.5 w"}} {
		if _, err := pdftest.Read(relaid(bytes.Replace(file, []byte(harmless[0]), []byte(harmless[1]), 1), file)); err != nil {
			t.Fatal(harmless, err)
		}
	}
	for _, c := range [][2]string{
		{"%PDF-1.7", "%PDF-1.4"}, {"1 0 obj", "01 0 obj"}, {"startxref\n", "startxref\n1"}, {"0000000000 65535 f ", "0000000001 65535 f "},
		{"/Type/OCG", "/Type/OCX"}, {"/PrintState/OFF", "/PrintState/ON"}, {"/Event/Print", "/Event/Export"}, {"/BaseState/ON/ON[", "/BaseState/ON/ON[9 0 R "},
		{"/FunctionType 2", "/FunctionType 3"}, {"/Separation/cut", "/Separation/"}, {"/MediaBox[0 0 ", "/MediaBox[1 0 "}, {"\nQ\nEMC\n", "\nEMC\nQ\n"},
		{"/OC/L0 BDC", "/OC/L9 BDC"}, {"/GS0 gs", "/GS1 gs"}, {"1 SCN", "0.5 SCN"}, {" 0 0 cm", " 0 cm"}, {"\nS\n", "\nS\nS\n"}, {"\nf\n", "\n"},
		{"re W n", "re n"}, {"/Count 1", "/Count 2"}, {"/Producer(Creasewright)", "/Producer(Creasewright"}, {"/Size ", "/Size 1"},
		{"/Title", "/Title 3/Title"}, {"endobj\nxref", "endobj\n% a word\nxref"}, {"\nendstream", " endstream"}, {"/Info 1 0 R", "/Info 2 0 R"},
	} {
		broken := bytes.Replace(file, []byte(c[0]), []byte(c[1]), 1)
		if bytes.Equal(broken, file) {
			t.Errorf("%q is not there", c[0])
			continue
		}
		if _, err := pdftest.Read(relaid(broken, file)); err == nil {
			t.Errorf("a file with %q for %q is read", c[1], c[0])
		}
	}
}

// relaid makes the table and the streams' lengths of a changed file anew, as far as they are
// there, so that what was changed is all that is wrong.
func relaid(broken, file []byte) []byte {
	at := bytes.Index(broken, []byte("\nxref\n")) + 1
	if at == 0 || bytes.Count(broken, []byte("\nendstream")) != bytes.Count(file, []byte("\nendstream")) {
		return broken
	}
	length := regexp.MustCompile(`/Length [0-9]+>>stream\n((?s:.*?))\nendstream`)
	body := length.ReplaceAllFunc(broken[:at], func(m []byte) []byte {
		return fmt.Appendf(nil, "/Length %d>>stream\n%s\nendstream", len(length.FindSubmatch(m)[1]), length.FindSubmatch(m)[1])
	})
	tail := string(broken[at:])
	for i, place := range regexp.MustCompile(`(?m)^0?[0-9]+ 0 obj`).FindAllIndex(body, -1) {
		rows := strings.SplitAfter(tail, "\n")
		if i+3 < len(rows) && strings.HasSuffix(rows[i+3], " n \n") {
			rows[i+3] = fmt.Sprintf("%010d 00000 n \n", place[0])
		}
		tail = strings.Join(rows, "")
	}
	tail = strings.Replace(tail, fmt.Sprintf("startxref\n%d", bytes.Index(file, []byte("\nxref\n"))+1), fmt.Sprintf("startxref\n%d", len(body)), 1)
	return append(body, tail...)
}

// Readers that are not ours (qpdf, pdfinfo, mutool of Debian) take files without a word,
// and see the boxes at the same places.
func TestOtherReaders(t *testing.T) {
	outsidetest.Need(t, "qpdf, poppler-utils and mupdf-tools of Debian")
	for seed := range int64(3) {
		name := filepath.Join(t.TempDir(), "file.pdf")
		file, _ := drawn(t, rand.New(rand.NewSource(seed)), 200)
		if err := os.WriteFile(name, file, 0o600); err != nil {
			t.Fatal(err)
		}
		pdftest.Check(t, name)
		info, err := exec.Command("pdfinfo", "-box", name).Output()
		if err != nil || !bytes.Contains(info, []byte("TrimBox:            11.34    11.34   555.59   272.13\n")) {
			t.Errorf("pdfinfo says %s, %v", info, err)
		}
	}
}
