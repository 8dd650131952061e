package printer

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/pdf/pdftest"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// Laws of a grid over random blanks: its cores partition what it covers, which holds the
// blank with air round it; neighbours share the overlap; sheets are numbered from 1 without
// gaps, row by row; and each seam of two sheets has two joints in both windows, on the middle
// of the overlap, whose numbers are theirs alone.
func TestGrid(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 500 {
		size := geom.Pt(math.Exp(rnd.Float64()*7), math.Exp(rnd.Float64()*7))
		window := geom.Pt(100+rnd.Float64()*200, 100+rnd.Float64()*200)
		g := tileUp(size, window, func(geom.Box) bool { return rnd.Intn(4) == 0 })
		all, area, number := geom.EmptyBox(), 0.0, 0
		for i, a := range g.tiles {
			all, area = all.Union(a.core), area+a.core.Width()*a.core.Height()
			if a.number > 0 {
				if number++; a.number != number {
					t.Fatalf("sheet %d is called %d", number, a.number)
				}
			}
			if a.row != i/g.columns || a.column != i%g.columns || math.Abs(a.window.Width()-window.X)+math.Abs(a.window.Height()-window.Y) > 1e-9 {
				t.Fatalf("tile %d is %+v", i, a)
			}
			if a.column+1 < g.columns {
				if b := g.tiles[i+1]; math.Abs(a.window.Max.X-b.window.Min.X-overlap) > 1e-9 || math.Abs(a.core.Max.X-b.core.Min.X) > 1e-9 {
					t.Fatalf("%+v beside %+v", a, b)
				}
			}
			if a.row+1 < g.rows {
				if b := g.tiles[i+g.columns]; math.Abs(b.window.Max.Y-a.window.Min.Y-overlap) > 1e-9 || math.Abs(a.core.Min.Y-b.core.Max.Y) > 1e-9 {
					t.Fatalf("%+v above %+v", a, b)
				}
			}
		}
		if math.Abs(area-all.Width()*all.Height()) > 1e-6*area || number != g.sheets {
			t.Fatalf("cores of %g mm² cover %v; %d of %d sheets", area, all, number, g.sheets)
		}
		if blank := (geom.Box{Max: size}).Grow(air - 1e-9); !all.Contains(blank.Min) || !all.Contains(blank.Max) {
			t.Fatalf("%v does not cover %v", all, size)
		}
		checkJoints(t, &g)
	}
}

func checkJoints(t *testing.T, g *tiling) {
	t.Helper()
	byNumber := map[int]tile{}
	for _, a := range g.tiles {
		byNumber[a.number] = a
	}
	seams := map[[2]int]int{}
	for i, j := range g.joints {
		a, b := byNumber[j.sheets[0]], byNumber[j.sheets[1]]
		beside := a.row == b.row && a.column+1 == b.column && j.upright
		above := a.column == b.column && a.row+1 == b.row && !j.upright
		near := a.core.Grow(1e-9).Contains(j.at) && b.core.Grow(1e-9).Contains(j.at)
		if j.number != i+1 || a.number == 0 || b.number == 0 || !beside && !above || !near {
			t.Fatalf("joint %+v of %+v and %+v", j, a, b)
		}
		seams[j.sheets]++
	}
	for _, a := range g.tiles {
		for _, b := range []*tile{g.at(a.row, a.column+1), g.at(a.row+1, a.column)} {
			if a.number > 0 && b != nil && seams[[2]int{a.number, b.number}] != 2 {
				t.Fatalf("%d joints of sheets %d and %d", seams[[2]int{a.number, b.number}], a.number, b.number)
			}
		}
	}
}

// Law: a line touches a box just as the nearest of its points lies in it.
func TestTouches(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	hits := 0
	for range 2000 {
		v := func() geom.Point { return geom.Pt(float64(rnd.Intn(9)), float64(rnd.Intn(9))) }
		p, q, box := v(), v(), geom.BoxOf(v(), v())
		want := false
		for i := range 2521 { // a multiple of all differences up to 8, so that crossings with sides are met exactly
			want = want || box.Grow(1e-9).Contains(p.Lerp(q, float64(i)/2520))
		}
		if touches(p, q, box.Grow(1e-9)) != want {
			t.Fatalf("%v to %v and %v: %v", p, q, box, !want)
		}
		if want {
			hits++
		}
	}
	if hits < 500 {
		t.Errorf("only %d touch", hits)
	}
}

// tilesOf is the print of a piece on paper as it reads back, with the grid that it should
// have.
func tilesOf(t *testing.T, m engine.Made, paper engine.Paper) (*tiledPrint, *tiling, *pdftest.File, []byte) {
	t.Helper()
	m.Paper = paper
	file, err := Tiles(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	f, err := pdftest.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	row, _ := emit.Formats().Of(emit.KindTiles)
	if err := row.Check(context.Background(), file); err != nil {
		t.Error(err)
	}
	p := &tiledPrint{made: m, blank: m.Blanks[m.Index], doc: pdf.New("", "")}
	if p.text, err = newLettering(p.doc); err != nil {
		t.Fatal(err)
	}
	p.lay(context.Background())
	w, h := paper.Size()
	below := func(width float64) float64 { return p.foot(width, p.sheetName(tile{}, 1)).height + 2 }
	_, g := spread(p.size, geom.Pt(w, h), below, p.empty)
	return p, &g, f, file
}

// Laws, for every piece of the examples on A4, and two of them on Letter: every page is of that paper and has
// a bar of 100 mm; what a sheet shows are just the strokes that its window meets, at true
// size and at their places, within 0.01 mm; no stroke is missing; and two runs give the same
// bytes.
func TestTilesAreTheBlank(t *testing.T) {
	several := 0
	for name, pieces := range examples(t, "") {
		for _, m := range pieces {
			for i, paper := range engine.Papers() {
				if i > 0 && name != "seed-packet.star" && name != "tea-carton.star" {
					continue // one carton and one folder are enough for the other papers
				}
				p, g, f, file := tilesOf(t, m, paper)
				if _, _, _, again := tilesOf(t, m, paper); !bytes.Equal(file, again) {
					t.Errorf("%s: two runs differ", name)
				}
				w, h := paper.Size()
				for _, page := range f.Pages {
					if got := page.Media.Max; got.Dist(geom.Pt(w, h)) > 1e-5 && got.Dist(geom.Pt(h, w)) > 1e-5 {
						t.Errorf("%s: a page of %v", name, got)
					}
					if bar := barOf(page); math.Abs(bar-100) > 1e-3 {
						t.Errorf("%s: the bar is %g mm long", name, bar)
					}
				}
				if len(f.Pages) == 1 {
					checkSheet(t, name, p, f.Pages[0], nil)
					continue
				}
				several++
				if len(f.Pages) != g.sheets+1 {
					t.Fatalf("%s: %d pages for %d sheets", name, len(f.Pages), g.sheets)
				}
				for i := range g.tiles {
					if at := &g.tiles[i]; at.number > 0 {
						checkSheet(t, name, p, f.Pages[at.number], at)
					}
				}
			}
		}
	}
	if several < 5 {
		t.Errorf("only %d prints of several sheets", several)
	}
}

// barOf is how long the one broad line outside the window is.
func barOf(p pdftest.Page) float64 {
	for _, m := range p.Marks {
		if m.Window.Empty() && math.Abs(m.Width-0.4) < 1e-6 {
			return m.Paths[0].Curves[0].Length()
		}
	}
	return 0
}

// checkSheet compares what a sheet shows with the strokes that it should; nil is the one
// sheet of a print that has no other.
func checkSheet(t *testing.T, name string, p *tiledPrint, page pdftest.Page, at *tile) {
	t.Helper()
	var marks []pdftest.Mark
	for _, m := range page.Marks {
		if !m.Window.Empty() && m.Text == "" {
			marks = append(marks, m)
		}
	}
	if at == nil {
		size := marks[0].Window
		_, x := divide(p.size.X, size.Width())
		_, y := divide(p.size.Y, size.Height())
		at = &tile{window: geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+size.Width(), y+size.Height())}}
	}
	shift := marks[0].Window.Min.Sub(at.window.Min)
	if d := marks[0].Window.Max.Sub(at.window.Max).Dist(shift); d > off {
		t.Fatalf("%s: the window %v for %v", name, marks[0].Window, at.window)
	}
	n := 0
	for _, l := range p.lines {
		if !l.box.Intersects(at.window) {
			continue
		}
		n++
		want := make([]geom.Curve, len(l.path.Curves))
		for i, c := range l.path.Curves {
			want[i] = c.Transform(geom.Translation(shift.X, shift.Y))
		}
		if !slices.ContainsFunc(marks, func(m pdftest.Mark) bool {
			return m.Paths[0].Curves[0].P.Dist(want[0].P) < off && pdftest.Apart(want, m.Paths[0].Curves) < off && pdftest.Apart(m.Paths[0].Curves, want) < off
		}) {
			t.Errorf("%s: sheet %d shows no %s from %v", name, at.number, l.kind, l.path.Curves[0].P)
		}
	}
	joints, hatched := 0, 0
	for _, m := range marks {
		if math.Abs(m.Width-tileGlueWidth) < 1e-6 {
			hatched += len(m.Paths)
			joints++
			checkHatch(t, name, p, m, shift)
		}
		if math.Abs(m.Width-0.15) < 1e-6 || math.Abs(m.Width-0.2) < 1e-6 || math.Abs(m.Width-0.1) < 1e-6 {
			joints++ // marks and seams are thinner than any line of a blank
		}
	}
	if len(marks)-joints != n {
		t.Errorf("%s: sheet %d shows %d strokes, of %d", name, at.number, len(marks)-joints, n)
	}
	glued := 0
	for _, g := range p.glue {
		for _, l := range g.lines {
			if l.Bounds().Intersects(at.window) {
				glued++
			}
		}
	}
	if hatched != glued {
		t.Errorf("%s: sheet %d shows %d lines of hatching, of %d", name, at.number, hatched, glued)
	}
}

// checkHatch holds hatching to lie on glued board and beside the names there.
func checkHatch(t *testing.T, name string, p *tiledPrint, m pdftest.Mark, shift geom.Point) {
	t.Helper()
	place := geom.Translation(-p.blank.Bounds.Min.X, -p.blank.Bounds.Min.Y)
	if p.blank.Piece.Inside {
		place = geom.FlipX().Then(geom.Translation(p.blank.Bounds.Max.X, -p.blank.Bounds.Min.Y))
	}
	var rings [][]geom.Point
	for _, inside := range []bool{false, true} {
		if (inside == p.blank.Piece.Inside) == (m.Dash == nil) {
			rings = append(rings, flatRings(slices.Concat(preview.Glued(p.blank, inside)...), place, hatchTolerance)...)
		}
	}
	for _, path := range m.Paths {
		for _, c := range path.Curves {
			q := c.At(0.5).Sub(shift)
			if !within(rings, q) || slices.ContainsFunc(p.names, func(n laidName) bool { return n.box.Contains(q) }) {
				t.Errorf("%s: hatching at %v, where no glue or a name is", name, q)
			}
		}
	}
}

// A joint's number stands on the two sheets that it joins, twice on each, and at the same
// place of the blank.
func TestJointsAreOnBothSheets(t *testing.T) {
	m := given(t, "mug-carton.star", example(t, "mug-carton.star"))[0]
	_, g, f, _ := tilesOf(t, m, engine.A4)
	if len(g.joints) < 4 {
		t.Fatalf("%d joints", len(g.joints))
	}
	for _, j := range g.joints {
		var places []geom.Point
		for _, at := range g.tiles {
			if at.number == 0 {
				continue
			}
			for _, mark := range f.Pages[at.number].Marks {
				if mark.Text == fmt.Sprint(j.number) && !mark.Window.Empty() {
					places = append(places, mark.At.Sub(mark.Window.Min).Add(at.window.Min))
				}
			}
		}
		if len(places) != 4 || places[0].Dist(places[2]) > off || places[1].Dist(places[3]) > off || places[0].Dist(j.at) > 7 {
			t.Errorf("joint %d at %v stands at %v", j.number, j.at, places)
		}
	}
}

// No name lies on a joint where its board has room beside it, and none leaves its board for
// that: names sought on a grid of places along a seam on a wide board.
func TestNamesKeepOffJoints(t *testing.T) {
	board := [][]geom.Point{{geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 30), geom.Pt(0, 30)}}
	seam := []joint{{number: 1, upright: true, at: geom.Pt(20, 15)}}
	mark := geom.BoxOf(seam[0].at).Grow(jointRoom)
	moved := 0
	for x := 1.0; x < 30; x++ {
		for y := 1.0; y < 26; y++ {
			n := laidName{label: label{at: geom.Pt(x, y)}, box: geom.BoxOf(geom.Pt(x, y), geom.Pt(x+9, y+2)), rings: board}
			got := n.off(seam)
			step := got.at.Sub(n.at)
			if got.box.Min.Sub(n.box.Min).Sub(step).Len() > off || got.box.Intersects(mark) || got.box.Min.Y < 0 || got.box.Max.Y > 30 {
				t.Fatalf("the name at %v goes to %v", n.box, got.box)
			}
			if step != (geom.Point{}) {
				moved++
			} else if n.box.Intersects(mark) {
				t.Fatalf("the name at %v stays", n.box)
			}
		}
	}
	if moved == 0 {
		t.Error("none was in the way")
	}
}

// What takes hundreds of sheets gets one page that says so; what is worked from the inside
// is mirrored and says so; dashes tell kinds apart, and the key names those there are.
func TestTilesOfOddPieces(t *testing.T) {
	huge := strings.NewReplacer("60", "6000", "40", "4000", "80", "8000").Replace(sleeve)
	_, g, f, _ := tilesOf(t, given(t, "sleeve.star", huge)[0], engine.A4)
	if len(f.Pages) != 1 || g.sheets <= mostSheets || !strings.Contains(textOf(f.Pages[0]), fmt.Sprintf("some %d sheets", g.sheets)) {
		t.Errorf("%d pages, %d sheets: %s", len(f.Pages), g.sheets, textOf(f.Pages[0]))
	}
	inside := strings.Replace(sleeve, "caliper = 0.4)", `caliper = 0.4, grain = 30), view = "inside"`, 1)
	_, _, f, _ = tilesOf(t, given(t, "sleeve.star", inside)[0], engine.Letter)
	said := textOf(f.Pages[0])
	for _, want := range []string{"seen from the inside, as in its cut files", "cut: through", "score: folds to the inside", "grain", "one sheet"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in %s", want, said)
		}
	}
	dashes := map[string]bool{}
	for _, m := range f.Pages[len(f.Pages)-1].Marks {
		if !m.Window.Empty() && m.Text == "" && m.Width > 0.22 {
			dashes[fmt.Sprint(len(m.Dash))] = true
		}
	}
	if len(dashes) != 2 {
		t.Errorf("dashes of %v lengths", dashes)
	}
}

// textOf is what a page says, by lines as they were set.
func textOf(p pdftest.Page) string {
	var out []string
	for _, m := range p.Marks {
		if m.Text != "" {
			out = append(out, m.Text)
		}
	}
	return strings.Join(out, " ")
}

// A context that has ended ends the print.
func TestTilesEnded(t *testing.T) {
	ctx, end := context.WithCancel(context.Background())
	end()
	m := given(t, "sleeve.star", sleeve)[0]
	for _, make := range []engine.Maker{Tiles, Print} {
		if file, err := make(ctx, m); err == nil || file != nil {
			t.Errorf("%d bytes, %v", len(file), err)
		}
	}
}

// Readers that are not ours (Debian's qpdf, poppler, MuPDF) take the prints without a
// word and find the names of the sheets.
func TestTilesInOtherReaders(t *testing.T) {
	emittest.NeedReaders(t)
	for _, name := range []string{"tea-carton.star", "paper-lantern.star"} {
		_, g, _, file := tilesOf(t, given(t, name, example(t, name))[0], engine.Letter)
		path := filepath.Join(t.TempDir(), "tiles.pdf")
		if err := os.WriteFile(path, file, 0o600); err != nil {
			t.Fatal(err)
		}
		pdftest.Check(t, path)
		said, err := exec.CommandContext(t.Context(), "pdftotext", "-raw", path, "-").Output()
		if want := fmt.Sprintf("sheet %d of %d, row %d column %d", g.sheets, g.sheets, g.rows, g.columns); err != nil || !bytes.Contains(said, []byte(want)) {
			t.Errorf("%s: pdftotext does not say %q but %s, %v", name, want, said, err)
		}
	}
}
