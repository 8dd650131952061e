package preview_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// made is a design's sheet, what its report says of its pieces, and the design.
type made struct {
	texts  []preview.SheetText
	views  []preview.SheetView
	report struct {
		Pieces []struct {
			Name   string
			Blank  struct{ Width, Height float64 }
			Panels []struct {
				Name string
				Flat [6]float64
			}
		}
	}
	design *model.Design
}

// Every example and every structure of the catalogue keeps the laws below.
func TestSheetsOfExamples(t *testing.T) {
	root := filepath.Join("..", "..", "..")
	for _, folder := range []string{"scripts", filepath.Join("scripts", "library"), filepath.Join("testdata", "structures")} {
		paths, err := filepath.Glob(filepath.Join(root, folder, "*.star"))
		if err != nil || len(paths) == 0 {
			t.Fatalf("no scripts in %s: %v", folder, err)
		}
		for _, path := range paths {
			t.Run(filepath.Base(path), func(t *testing.T) {
				m := makeScript(t, path)
				m.tellEveryPanel(t)
				m.overlapNowhere(t)
				m.measurePanelsOrBlanks(t)
				m.fillTheirPlaces(t)
			})
		}
	}
}

func makeScript(t *testing.T, path string) made {
	t.Helper()
	read := func(label string) ([]byte, error) {
		if text, ok := stdlib.Text(label); ok {
			return text, nil
		}
		return os.ReadFile(filepath.Join(filepath.Dir(path), label))
	}
	name := filepath.Base(path)
	res, err := engine.Run(t.Context(), engine.Request{Script: name, Read: read})
	if err != nil {
		t.Fatal(err)
	}
	var m made
	for _, f := range res.Files {
		switch f.Name {
		case "preview.svg":
			m.texts, m.views = preview.SheetTexts(t, f.Bytes), preview.SheetViews(t, f.Bytes)
		case "report.json":
			if err := json.Unmarshal(f.Bytes, &m.report); err != nil {
				t.Fatal(err)
			}
		}
	}
	m.design, _ = script.Run(t.Context(), source.NewStore(read), name, script.Options{Closed: simulate.Closed})
	if m.design == nil || len(m.texts) == 0 || len(m.report.Pieces) == 0 {
		t.Fatalf("%s: %v", name, res.Findings)
	}
	return m
}

// figure writes a size as sheets do.
func figure(v float64) string {
	return strconv.FormatFloat(math.Round(math.Round(v*1e7)/1e5)/100, 'f', -1, 64)
}

// extent is the size of a panel's outline turned by an angle, from points on it.
func extent(p *model.Panel, turn func(geom.Point) geom.Point) (w, h float64) {
	box := geom.EmptyBox()
	for _, e := range p.Outline.Edges {
		box = box.Add(turn(e.Curve.P))
		if e.Curve.Kind == geom.Line {
			continue
		}
		for i := range 20000 {
			box = box.Add(turn(e.Curve.At(float64(i) / 20000)))
		}
	}
	return box.Width(), box.Height()
}

// sizeOf is what the list must say of a panel: across × up of the blank as the report
// lays it, or along × out of its crease where that lies askew.
func sizeOf(p *model.Panel, flat [6]float64) string {
	turn := func(q geom.Point) geom.Point {
		return geom.Pt(flat[0]*q.X+flat[2]*q.Y, flat[1]*q.X+flat[3]*q.Y)
	}
	mark := ""
	if p.Hang != nil {
		by := p.Hang.By.Curve()
		if d := turn(by.Q.Sub(by.P)).Unit(); min(math.Abs(d.X), math.Abs(d.Y)) > 1e-3 {
			along := by.Q.Sub(by.P).Unit()
			turn = func(q geom.Point) geom.Point { return geom.Pt(q.Dot(along), along.Cross(q)) }
			mark = " *"
		}
	}
	w, h := extent(p, turn)
	return figure(w) + " × " + figure(h) + mark
}

// listed gives the list of panels: by size, the names that stand beside it.
func (m made) listed() map[string]string {
	var sizes []preview.SheetText
	for _, x := range m.texts {
		if _, _, ok := strings.Cut(x.Text, " × "); ok && x.In("text") && !strings.HasSuffix(x.Text, "mm") {
			sizes = append(sizes, x)
		}
	}
	out := map[string]string{}
	for _, s := range sizes {
		next := math.Inf(1) // the size below in the same column
		for _, o := range sizes {
			if near(o, s) && o.Mid.Y > s.Mid.Y+1 {
				next = min(next, o.Mid.Y)
			}
		}
		for _, x := range m.texts {
			if x.In("text") && x.Mid.X < s.Mid.X && s.Mid.X-x.Mid.X < 50 && x.Mid.Y > s.Mid.Y-1 && x.Mid.Y < next-1 {
				out[s.Text] += " " + x.Text
			}
		}
	}
	return out
}

// near reports whether two texts stand in one column of the sheet.
func near(a, b preview.SheetText) bool { return math.Abs(a.Mid.X-b.Mid.X) < 30 }

// Law: every panel's width and height can be read off the sheet, and are those of its
// outline laid as the report says.
func (m made) tellEveryPanel(t *testing.T) {
	t.Helper()
	list := m.listed()
	for i, piece := range m.report.Pieces {
		for j, p := range piece.Panels {
			panel := m.design.Pieces[i].Panels[j]
			if panel.Name != p.Name {
				t.Fatalf("the report's panel %q is %q", p.Name, panel.Name)
			}
			size := sizeOf(panel, p.Flat)
			names, ok := list[size]
			whole := strings.Contains(names, " more") // a long run of names is cut short
			for _, word := range strings.Fields(p.Name) {
				if ok = ok && (whole || strings.Contains(names, word)); !ok {
					t.Errorf("%q is %s; the list has %q", p.Name, size, names)
					break
				}
			}
		}
	}
}

// Law: no two texts of a sheet overlap, figures among them.
func (m made) overlapNowhere(t *testing.T) {
	t.Helper()
	for i, x := range m.texts {
		for _, y := range m.texts[:i] {
			if x.Meets(y) {
				t.Errorf("%q at %v overlaps %q at %v", x.Text, x.Mid, y.Text, y.Mid)
			}
		}
	}
}

// Law: every figure of a dimension line is the report's size of a blank, or the extent
// of one panel of the report along the sheet's axis, and so spans no crease.
func (m made) measurePanelsOrBlanks(t *testing.T) {
	t.Helper()
	var across, up, overall []string
	for i, piece := range m.report.Pieces {
		overall = append(overall, figure(piece.Blank.Width), figure(piece.Blank.Height))
		for j, p := range piece.Panels {
			w, h := extent(m.design.Pieces[i].Panels[j], func(q geom.Point) geom.Point {
				return geom.Pt(p.Flat[0]*q.X+p.Flat[2]*q.Y, p.Flat[1]*q.X+p.Flat[3]*q.Y)
			})
			across, up = append(across, figure(w)), append(up, figure(h))
		}
	}
	found := map[string]bool{}
	for _, x := range m.texts {
		if !x.In("dimensions") {
			continue
		}
		of := across
		if math.Abs(x.Turn) > 1 {
			of = up
		}
		if found[x.Text] = true; !slices.Contains(of, x.Text) && !slices.Contains(overall, x.Text) {
			t.Errorf("%s is no panel's", x.Text)
		}
	}
	for _, size := range overall {
		if !found[size] {
			t.Errorf("no figure is the blank's %s", size)
		}
	}
}

// Law: every folded view fills half of its place or more in one direction.
func (m made) fillTheirPlaces(t *testing.T) {
	t.Helper()
	for _, v := range m.views {
		all := v.Pictures[0]
		for _, p := range v.Pictures[1:] {
			all = all.Union(p)
		}
		if all.Width() < v.Across/2 && all.Height() < v.Up/2 {
			t.Errorf("%q: %.0f × %.0f mm in a place of %.0f × %.0f", v.Caption, all.Width(), all.Height(), v.Across, v.Up)
		}
	}
}
