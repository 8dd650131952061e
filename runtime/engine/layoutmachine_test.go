package engine

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf/pdftest"
)

// bedMachines are machines for layouts; the last takes no files.
const bedMachines = `
work = {kind: knife(offset = 0.25, feed = 30, depth = 1) for kind in ["cut", "score", "drawn"]}
machine("plain", bed = (300, 350), margin = 5, format = "gcode", tools = work)
machine("plotter", bed = (300, 350), margin = 5, format = "hpgl", tools = work)
machine("film", bed = (300, 350), margin = 5, format = "svg")
machine("die", bed = (300, 350), margin = 5, format = "dxf")
machine("page", bed = (300, 350), margin = 5, format = "pdf")
machine("laser", bed = (300, 350), margin = 5, format = "gcode", tools = {
    "cut": beam(kerf = 0.2, compensate = True, feed = 20), "score": beam(power = 20, feed = 50), "drawn": beam(power = 5, feed = 50)})
machine("led", bed = (300, 350), margin = 5, format = "gcode", nicks = nicks(0.5, count = 4), tools = {
    kind: knife(offset = 0.25, feed = 30, depth = 1, compensate = True) for kind in ["cut", "score", "drawn"]})
machine("sheet", bed = (300, 350), margin = 5)
`

// onBedOf lays a script on the bed of a machine.
func onBedOf(text, machine string, gap float64) (Result, map[string][]byte) {
	res := mustRun(Request{
		Script: "box.star", Read: from(map[string]string{"box.star": text + bedMachines}),
		Layout: &LayoutRequest{Machine: machine, Gap: gap, Looks: 20000},
	})
	files := map[string][]byte{}
	for _, f := range res.Files {
		files[f.Name] = f.Bytes
	}
	return res, files
}

// Law: the file of a layout for a machine holds, in its format, the lines of the sheet, on the bed where the sheet's
// files have them; also without a gap. One that takes no files has none.
func TestLayoutForMachinesHoldsTheSheet(t *testing.T) {
	limits := emittest.Limits{Bed: [2]float64{300, 350}, Depth: map[int]float64{0: 1, 1: 1}}
	rng := rand.New(rand.NewPCG(11, 1))
	for i := range 2 {
		text, gap := randomBox(rng, ""), [...]float64{3, 0}[i]
		if i == 0 {
			text = strings.Replace(text, "board = card)", `board = card, view = "inside")`, 1)
		}
		for _, c := range [...]struct {
			machine, name string
			tol           float64
		}{{"plain", "layout.plain.gcode", 0.007}, {"plotter", "layout.plotter.hpgl", 0.04}, {"film", "layout.film.svg", 0.001}, {"die", "layout.die.dxf", 0.001}, {"page", "layout.page.pdf", 0.002}, {"sheet", "", 0}} {
			res, files := onBedOf(text, c.machine, gap)
			if want := 5 - map[bool]int{true: 1}[c.name == ""]; res.Exit != Clean || len(files) != want {
				t.Fatalf("case %d, %s: exit %d, %d files, %v\n%s", i, c.machine, res.Exit, len(files), res.Findings, text)
			}
			if c.name == "" {
				continue
			}
			sheet, err := emittest.ParseSVG(files[emit.LayoutSVGName])
			if err != nil {
				t.Fatal(err)
			}
			var drawn emittest.Drawing
			var work emittest.Work
			switch c.machine {
			case "plain":
				work, err = emittest.ParseGCode(files[c.name], limits)
			case "plotter":
				work, err = emittest.ParseHPGL(files[c.name], limits)
			case "film":
				drawn, err = emittest.ParseSVG(files[c.name])
			case "die":
				drawn, err = emittest.ParseDXF(files[c.name])
			case "page":
				var page *pdftest.File
				if page, err = pdftest.Read(files[c.name]); err == nil {
					for _, m := range page.Pages[0].Marks {
						work.Cuts = append(work.Cuts, emittest.Cut{Curves: m.Paths[0].Curves})
					}
				}
			}
			if err != nil {
				t.Fatalf("case %d, %s: %v", i, c.name, err)
			}
			for _, l := range drawn.Layers {
				work.Cuts = append(work.Cuts, emittest.Cut{Curves: emittest.Curves(l)})
			}
			programIsTold(t, files, c.machine, len(drawn.Layers) == 0, work, c.tol)
			if err := emittest.SameLines(sheet, work, 0, false, c.tol); err != nil {
				t.Errorf("case %d, %s, gap %g: %v\n%s", i, c.name, gap, err, text)
			}
		}
	}
}

// programIsTold proves the figures of a program on the sheet against what a reader of its file does,
// where every place may be off by tol. Drawings need not keep strokes apart.
func programIsTold(t *testing.T, files map[string][]byte, machine string, strokes bool, work emittest.Work, tol float64) {
	t.Helper()
	var l laidOut
	if err := json.Unmarshal(files[emit.LayoutJSONName], &l); err != nil {
		t.Fatal(err)
	}
	p := l.Program
	if p == nil || p.Name != machine || p.Unordered < p.Travel-1e-9 {
		t.Fatalf("%s: told as %+v", machine, p)
	}
	length, travel, at := 0.0, 0.0, geom.Point{}
	for _, c := range work.Cuts {
		travel += at.Dist(c.Curves[0].P)
		at = c.Curves[len(c.Curves)-1].Q
		for _, e := range c.Curves {
			length += e.Length()
		}
	}
	slack := 2 * tol * float64(len(work.Cuts))
	if math.Abs(length-p.Length) > slack+1e-3*length {
		t.Errorf("%s: %g mm of strokes, told as %g", machine, length, p.Length)
	}
	if strokes && (len(work.Cuts) != p.Strokes || math.Abs(travel-p.Travel) > slack) {
		t.Errorf("%s: %d strokes and %g mm between them, told as %d and %g", machine, len(work.Cuts), travel, p.Strokes, p.Travel)
	}
}

// Law: on the sheet too a compensated beam keeps half of its kerf from the board of every copy and comes that near to all
// of its outline, and a led blade starts as often as the nicks of all copies make it.
func TestLayoutForMachinesCompensates(t *testing.T) {
	limits := emittest.Limits{Bed: [2]float64{300, 350}, Depth: map[int]float64{0: 1, 1: 1}}
	rng := rand.New(rand.NewPCG(12, 1))
	const r, tol = 0.1, 0.012
	for i := range 3 {
		text := randomBox(rng, "")
		_, files := onBedOf(text, "laser", [...]float64{0.3, 2}[i%2])
		work, err := emittest.ParseGCode(files["layout.laser.gcode"], emittest.Limits{Bed: limits.Bed})
		if err != nil {
			t.Fatal(err)
		}
		var l laidOut
		if err := json.Unmarshal(files[emit.LayoutJSONName], &l); err != nil {
			t.Fatal(err)
		}
		var rims, cuts []geom.Curve
		for _, m := range l.Pieces[0].Places {
			for _, ring := range outline(blanksOf(t, text)[0]) {
				rims = append(rims, ringPlaced(ring, geom.Isometry{A: m[0], B: m[1], C: m[2], D: m[3], E: m[4], F: m[5]})...)
			}
		}
		for _, c := range work.Cuts {
			if c.Power == 1000 {
				cuts = append(cuts, c.Curves...)
			}
		}
		if least, _ := apart(cuts, rims); least < r-tol {
			t.Errorf("case %d: the beam comes to %g mm of the board\n%s", i, least, text)
		}
		// Sharp inner corners between flaps keep a fillet.
		if _, most := apart(rims, cuts); most > 12*r {
			t.Errorf("case %d: the beam stays %g mm off an outline\n%s", i, most, text)
		}
		_, files = onBedOf(text, "led", 3)
		if work, err = emittest.ParseGCode(files["layout.led.gcode"], limits); err != nil {
			t.Fatal(err)
		}
		if n := 4 * l.Sets / 2; len(work.Cuts) < n {
			t.Errorf("case %d: %d strokes for %d copies with nicks", i, len(work.Cuts), l.Sets)
		}
	}
}

// apart is the least and the largest distance of places along curves from other curves.
func apart(from, to []geom.Curve) (least, most float64) {
	least = math.Inf(1)
	for _, c := range from {
		for k := range 9 {
			d := math.Inf(1)
			for _, o := range to {
				_, x := o.Nearest(c.At(float64(k) / 8))
				d = min(d, x)
			}
			least, most = min(least, d), max(most, d)
		}
	}
	return least, most
}

// A gap that the kerf needs, cuts in common and nicks that have no place are told.
func TestLayoutForMachinesTells(t *testing.T) {
	const box = "card = board(\"card\", caliper = 0.4)\npiece(\"box\", panel(\"base\", rect(60, 40)), board = card)\n"
	for _, c := range []struct {
		machine string
		gap     float64
		exit    Exit
		want    string
	}{
		{"laser", 0.25, Broken, `a gap of 0.25 mm between pieces has no room for the beam of machine "laser", whose kerf of 0.2 mm`},
		{"laser", 0, Clean, `every piece comes out smaller by half of the kerf, 0.1 mm, all round`},
		{"led", 0, Clean, `leaves no nicks in`},
		{"laser", 0.3, Clean, ""},
		{"led", 3, Clean, ""},
		{"lazer", 3, Broken, `there is no machine "lazer"`},
	} {
		res, _ := onBedOf(box, c.machine, c.gap)
		var said []string
		for _, f := range res.Findings {
			if f.Severity > diag.Note {
				said = append(said, f.Message)
			}
		}
		if got := strings.Join(said, "\n"); res.Exit != c.exit || c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s, gap %g: exit %d, %q", c.machine, c.gap, res.Exit, got)
		}
	}
}
