package page

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// What a print is held to, in mm.
const (
	pageTolerance  = 0.5  // sides of a page: a browser rounds them to whole points
	scaleTolerance = 0.05 // the scale bar, over its 100 mm
	lineTolerance  = 0.1  // lines over one page: the bar's error over twice its length
	markTolerance  = 0.05 // a mark on its two sheets
	dashGap        = 0.9  // half the largest gap in a dashed line, of three times 0.6 mm
	dashRim        = 0.3  // half the width of the widest line
)

// Colours and widths by which parts of a page are told apart in its PDF.
const (
	inkColour = "#1C2226"
	barWidth  = 0.4
	markWidth = 0.15
)

// servePrint serves a display, and gives the address of its print page. It skips a test
// for which there is no browser.
func servePrint(t *testing.T, display []byte) (url string) {
	t.Helper()
	outsidetest.Need(t, "chromium and poppler-utils of Debian")
	s, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	id := s.Add(Script{Name: "x.star", Path: "x.star"})
	s.Show(id, Run{Display: display})
	return fmt.Sprintf("%sprint/%d", s.URL(), id)
}

// window is what a page shows of the blank as it lies on the paper (tiles.js).
type window struct{ X, Y, Width, Height float64 }

// printOn prints on a kind of paper, and gives what its pages show; the plan shows nothing.
// The key is taken away, for its lines look like those of the blank.
func printOn(t *testing.T, url, paperName, turn string) (pages []paper, windows []window) {
	t.Helper()
	b := browsertest.Open(t, url+"?piece=0&paper="+paperName+"&turn="+turn)
	b.Wait("document.querySelector('#print[data-ready]')")
	windows = browsertest.Eval[[]window](b, `(() => {
		document.querySelectorAll(".key").forEach((key) => key.remove());
		return [...document.querySelectorAll(".page")].map((page) => {
			const shown = page.querySelector(".window")?.viewBox.baseVal;
			return shown ? {X: shown.x, Y: shown.y, Width: shown.width, Height: shown.height} : {X: 0, Y: 0, Width: 0, Height: 0};
		});
	})()`)
	pages = readPaper(t, b.PDF())
	if len(pages) != len(windows) {
		t.Fatalf("%d pages drawn, %d printed", len(windows), len(pages))
	}
	return pages, windows
}

// colours of line kinds in these tests: none is that of anything else on a page.
var testColours = map[blank.Kind]string{
	blank.DrawnLine: "#B46A93", blank.ScoreLine: "#0072B2", blank.BackScoreLine: "#008863", blank.PartCutLine: "#AF7900",
	blank.BackPartCutLine: "#D55E00", blank.PerforatedLine: "#4189B1", blank.CutLine: "#000000",
}

// displayOf is what a page is told of a piece, as far as a print asks for it.
func displayOf(t *testing.T, b *blank.Blank, inside bool, panels ...any) []byte {
	t.Helper()
	kinds, strokes := []any{}, []any{}
	for _, l := range b.Layers {
		kinds = append(kinds, object{"kind": l.Kind, "colour": testColours[l.Kind], "width": 0.3, "dash": []float64{}, "does": "what it does"})
		for _, s := range l.Strokes {
			curves := []any{}
			for _, c := range s.Curves {
				curves = append(curves, curveNumbers(c))
			}
			strokes = append(strokes, object{"kind": l.Kind, "closed": s.Closed, "curves": curves})
		}
	}
	bounds := []float64{b.Bounds.Min.X, b.Bounds.Min.Y, b.Bounds.Max.X, b.Bounds.Max.Y}
	piece := object{
		"name": "piece", "copies": 1, "inside": inside, "bounds": bounds, "panels": append([]any{}, panels...), "hinges": []any{}, "strokes": strokes,
		"board": object{"name": "card", "kind": "card", "caliper": 0.4, "gsm": nil, "grain": 30},
	}
	out, err := json.Marshal(object{
		"title": "a test", "script": "x.star", "kinds": kinds, "pieces": []any{piece},
		"findings": []any{}, "cautions": []string{"mind the knife"}, "params": []any{},
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

type object = map[string]any

// curveNumbers is a curve as a display holds it.
func curveNumbers(c geom.Curve) []float64 {
	switch c.Kind {
	case geom.Arc:
		return []float64{1, c.P.X, c.P.Y, c.Q.X, c.Q.Y, c.C.X, c.C.Y, c.R, c.Sweep.Radians()}
	case geom.Cubic:
		return []float64{2, c.P.X, c.P.Y, c.C.X, c.C.Y, c.D.X, c.D.Y, c.Q.X, c.Q.Y}
	}
	return []float64{0, c.P.X, c.P.Y, c.Q.X, c.Q.Y}
}

// The law of prints: whatever is laid out, on whatever paper, each page is of the size
// asked for and has a scale bar of 100 mm; each joining mark is on two sheets, at one place
// of the blank; and the sheets put together by the marks show the lines of the cut file, of
// each kind all of them and nothing else.
func TestPrintsAreTheCutFile(t *testing.T) {
	rnd := rand.New(rand.NewSource(5))
	for _, way := range [][2]string{{"one", "90"}, {"a4", "90"}, {"letter", "auto"}} {
		b := emittest.RandomBlank(rnd)
		inside := rnd.Intn(2) == 0
		t.Run(way[0]+" "+way[1], func(t *testing.T) {
			cut, err := emit.SVG(context.Background(), b, inside)
			if err != nil {
				t.Fatal(err)
			}
			pages, windows := printOn(t, servePrint(t, displayOf(t, b, inside)), way[0], way[1])
			checkPrint(t, pages, windows, cut, way[0], way[1])
		})
	}
}

// The same law for designs as they are run. In a blank with panels their names are
// printed too.
func TestScriptsPrintAsTheyAreCut(t *testing.T) {
	for _, c := range []struct{ script, paper, turn, name string }{
		{"mug-carton.star", "a4", "auto", "front roof"},
		{"paper-lantern.star", "one", "90", "plate"},
	} {
		t.Run(c.script, func(t *testing.T) {
			display, cut := runScript(t, c.script)
			pages, windows := printOn(t, servePrint(t, display), c.paper, c.turn)
			checkPrint(t, pages, windows, cut, c.paper, c.turn)
			all := ""
			for _, p := range pages {
				all += p.text() + "\n"
			}
			if !strings.Contains(all, c.name) {
				t.Errorf("no panel %q in %s", c.name, all)
			}
		})
	}
}

// runScript gives the display and the cut SVG of one of the example scripts, which makes
// one piece.
func runScript(t *testing.T, script string) (display, cut []byte) {
	t.Helper()
	res, err := engine.Run(context.Background(), engine.Request{
		Script: script,
		Read: func(label string) ([]byte, error) {
			return os.ReadFile(filepath.Join("..", "..", "scripts", filepath.FromSlash(label)))
		},
		Also: []emit.Kind{emit.KindDisplay},
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range res.Files {
		switch {
		case f.Kind == emit.KindDisplay:
			display = f.Bytes
		case strings.HasSuffix(f.Name, ".cut.svg"):
			cut = f.Bytes
		}
	}
	return display, cut
}

// checkPrint holds a print to its law.
func checkPrint(t *testing.T, pages []paper, windows []window, cut []byte, paperName, turn string) {
	t.Helper()
	want, err := emittest.ParseSVG(cut)
	if err != nil {
		t.Fatal(err)
	}
	checkSizes(t, pages, want, paperName, turn)
	checkScale(t, pages)
	checkMarks(t, pages, windows)
	checkLines(t, pages, windows, want, paperName == "one" && turn == "90")
}

// board is a display with one panel and its outline, through corners in the plane.
func board(t *testing.T, corners ...geom.Point) []byte {
	t.Helper()
	b := &blank.Blank{Bounds: geom.BoxOf(corners...)}
	var curves []geom.Curve
	var ring []any
	for i, p := range corners {
		c := geom.LineFrom(p, corners[(i+1)%len(corners)])
		curves, ring = append(curves, c), append(ring, curveNumbers(c))
	}
	b.Layers = []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{{Curves: curves, Closed: true}}}}
	panel := object{"name": "the only panel", "flat": []float64{1, 0, 0, 1, 0, 0}, "rings": []any{ring}}
	return displayOf(t, b, false, panel)
}

// Sheets without line or board are left out, and that is said; one in the middle of a
// panel has no line and is printed.
func TestEmptySheetsAreLeftOut(t *testing.T) {
	square := []geom.Point{geom.Pt(0, 0), geom.Pt(540, 0), geom.Pt(540, 540), geom.Pt(0, 540)}
	angle := []geom.Point{geom.Pt(0, 0), geom.Pt(540, 0), geom.Pt(540, 20), geom.Pt(20, 20), geom.Pt(20, 540), geom.Pt(0, 540)}
	for _, c := range []struct {
		name         string
		corners      []geom.Point
		places, left int
	}{
		// Three windows of 190 mm less two overlaps of 8 are 554 wide; of the height of
		// A4 less margins and what stands below, three are needed as well.
		{"square", square, 9, 0},
		// An angle needs one column and one row.
		{"angle", angle, 9, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := opened(t, board(t, c.corners...), "?paper=a4&turn=0")
			sheets := c.places - c.left
			if got := browsertest.Eval[int](b, "document.querySelectorAll('.page').length"); got != sheets+1 {
				t.Errorf("%d pages for %d sheets and a plan", got, sheets)
			}
			said := browsertest.Eval[string](b, "document.getElementById('count').textContent")
			want := fmt.Sprintf("%d sheets of 210 × 297 mm: a plan, and %d to be joined", sheets+1, sheets)
			if c.left > 0 {
				want += fmt.Sprintf("; %d of %d places are empty and left out", c.left, c.places)
			}
			if said != want+"." {
				t.Errorf("said %q, want %q", said, want)
			}
			if got := browsertest.Eval[int](b, "[...document.querySelectorAll('.plan text')].filter((n) => n.textContent === 'left out').length"); got != c.left {
				t.Errorf("the plan leaves out %d places, want %d", got, c.left)
			}
		})
	}
}

// opened is the print page of a display, drawn.
func opened(t *testing.T, display []byte, query string) *browsertest.Tab {
	t.Helper()
	b := browsertest.Open(t, servePrint(t, display)+query)
	b.Wait("document.querySelector('#print[data-ready]')")
	return b
}

var small = []geom.Point{geom.Pt(0, 0), geom.Pt(120, 0), geom.Pt(60, 90)}

// All that can be chosen is reached and changed by keys alone, in the order of reading, and
// the address keeps it.
func TestPrintIsChosenByKeys(t *testing.T) {
	b := opened(t, board(t, small...), "")
	focused := func() string {
		return browsertest.Eval[string](b, "(document.activeElement.name ?? '') + ' ' + (document.activeElement.value || document.activeElement.id)")
	}
	pages := func(query string) {
		t.Helper()
		b.Wait("location.search.includes(" + browsertest.Quote(query) + ") && document.querySelector('#print[data-ready]')")
	}
	const tab, down = "\t", "\u0301" // as chromedp names keys
	for _, step := range []struct{ key, focus, query string }{
		{tab, "paper one", ""},
		{down, "paper a4", "paper=a4"},
		{down, "paper letter", "paper=letter"},
		{tab, "turn auto", "turn=auto"},
		{down, "turn 0", "turn=0"},
		{down, "turn 90", "turn=90"},
		{tab, " go", ""},
		{tab, " back", ""},
	} {
		b.Press(step.key)
		if got := focused(); got != step.focus {
			t.Fatalf("the key leads to %q, want %q", got, step.focus)
		}
		pages(step.query)
	}
	// The one sheet of Letter lies on its side, as asked.
	p := readPaper(t, b.PDF())
	if len(p) != 1 || p[0].width < p[0].height {
		t.Errorf("%d pages, the first %.0f × %.0f mm", len(p), p[0].width, p[0].height)
	}
}

// A page too narrow for the scale bar of 100 mm has one of 50.
func TestNarrowPrintHasAShortScaleBar(t *testing.T) {
	b := opened(t, board(t, geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(0, 30)), "?paper=one")
	pages := readPaper(t, b.PDF())
	if checkScale(t, pages); len(pages) != 1 || pages[0].width > 100 {
		t.Errorf("%d pages, the first %.1f mm wide", len(pages), pages[0].width)
	}
}

// tiling is what tiles.js gives, in the words that it uses.
type tiling struct {
	Rows, Columns, Sheets int
	Tiles                 []struct {
		Row, Column, Number int
		X, Y, Width, Height float64
		Core                [4]float64
	}
	Marks []struct {
		Number int
		Seam   string
		X, Y   float64
		Sheets [2]int
	}
}

// The laws of tiling, on random sizes: cores lie side by side without gaps and hold the
// blank, and stand 4 mm inside their windows where they meet; sheets are numbered by rows over what
// is not left out; two neighbours that are both printed share two marks, whole on each.
func TestTilesCoverTheBlank(t *testing.T) {
	b := opened(t, board(t, small...), "")
	rnd := rand.New(rand.NewSource(9))
	for range 200 {
		w, h := rnd.Float64()*2000+1, rnd.Float64()*2000+1
		ww, wh := 100+rnd.Float64()*200, 100+rnd.Float64()*200
		g := browsertest.Eval[tiling](b, fmt.Sprintf(
			`import(new URL("../a/tiles.js", location.href)).then((m) => m.tile(%g, %g, %g, %g, (x, y) => Math.sin(x * 7 + y * 3) > 0.8))`, w, h, ww, wh))
		at := func(row, column int) int {
			if row >= g.Rows || column >= g.Columns {
				return 0
			}
			return g.Tiles[row*g.Columns+column].Number
		}
		sheets, joints := 0, 0
		for i, tile := range g.Tiles {
			if tile.Row != i/g.Columns || tile.Column != i%g.Columns {
				t.Fatalf("tile %d is in row %d, column %d", i, tile.Row, tile.Column)
			}
			if tile.Number > 0 {
				if sheets++; tile.Number != sheets {
					t.Errorf("sheet %d is number %d", sheets, tile.Number)
				}
				if at(tile.Row+1, tile.Column) > 0 {
					joints++
				}
				if at(tile.Row, tile.Column+1) > 0 {
					joints++
				}
			}
			x0, y0, x1, y1 := tile.X, tile.Y, tile.X+ww, tile.Y+wh
			if tile.Column > 0 {
				x0 += 4
				near(t, "the core before", g.Tiles[i-1].Core[2], tile.Core[0])
			} else if x0 > -1 {
				t.Errorf("the first window begins at %.2f mm, want -1 or less", x0)
			}
			if tile.Row > 0 {
				y0 += 4
				near(t, "the core above", g.Tiles[i-g.Columns].Core[3], tile.Core[1])
			} else if y0 > -1 {
				t.Errorf("the first window begins at %.2f mm, want -1 or less", y0)
			}
			if tile.Column < g.Columns-1 {
				x1 -= 4
			} else if x1 < w+1 {
				t.Errorf("the last window ends at %.2f of %.2f mm", x1, w)
			}
			if tile.Row < g.Rows-1 {
				y1 -= 4
			} else if y1 < h+1 {
				t.Errorf("the last window ends at %.2f of %.2f mm", y1, h)
			}
			for k, v := range []float64{x0, y0, x1, y1} {
				near(t, "a side of a core", tile.Core[k], v)
			}
		}
		if sheets != g.Sheets || len(g.Marks) != 2*joints {
			t.Errorf("%d sheets said, %d numbered; %d marks for %d seams", g.Sheets, sheets, len(g.Marks), joints)
		}
		for _, tile := range g.Tiles {
			inner := geom.BoxOf(geom.Pt(tile.X, tile.Y), geom.Pt(tile.X+ww, tile.Y+wh)).Grow(-3)
			for _, m := range g.Marks {
				if tile.Number > 0 && (tile.Number == m.Sheets[0] || tile.Number == m.Sheets[1]) && !inner.Contains(geom.Pt(m.X, m.Y)) {
					t.Errorf("mark %d is not whole on sheet %d", m.Number, tile.Number)
				}
			}
		}
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// A name is text whatever it holds, on the screen and on paper, and what cannot be seen in it is
// written out.
func TestPrintedNamesAreText(t *testing.T) {
	title := "<img src=x onerror=alert(1)> \u202egpj.exe"
	display := strings.Replace(string(board(t, small...)), `"a test"`, browsertest.Quote(title), 1)
	b := opened(t, []byte(display), "")
	const want = "<img src=x onerror=alert(1)> ⟨U+202E⟩gpj.exe"
	if got := browsertest.Eval[string](b, "document.getElementById('title').textContent"); got != want {
		t.Errorf("on the screen: %q", got)
	}
	if got := browsertest.Eval[int](b, "document.images.length"); got != 0 {
		t.Errorf("%d pictures", got)
	}
	if p := readPaper(t, b.PDF()); !p[0].says("onerror=alert(1)>") {
		t.Errorf("on paper: %s", p[0].text())
	}
}

// What cannot be printed is said in words, with nothing half drawn.
func TestWhatCannotBePrintedIsSaid(t *testing.T) {
	large := []geom.Point{geom.Pt(0, 0), geom.Pt(6000, 0), geom.Pt(0, 5000)}
	for _, c := range []struct {
		name, query, want string
	}{
		{"gone", "?digest=" + strings.Repeat("0", 64), "no longer kept"},
		{"too large for a page", "?paper=one", "needs a page of 60"},
		{"too large for sheets", "?paper=a4", "more than anybody tapes together"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := browsertest.New(t)
			b.Allow("404")
			url := servePrint(t, board(t, large...)) + c.query
			browsertest.Eval[bool](b, "(location.href = "+browsertest.Quote(url)+", true)")
			b.Wait("document.getElementById('fault')?.hidden === false")
			if got := browsertest.Eval[string](b, "document.getElementById('fault').textContent"); !strings.Contains(got, c.want) {
				t.Errorf("said %q", got)
			}
			if !browsertest.Eval[bool](b, "document.getElementById('go').disabled && !document.querySelector('.page')") {
				t.Error("there is something to print")
			}
		})
	}
}

func checkSizes(t *testing.T, pages []paper, want emittest.Drawing, paperName, turn string) {
	t.Helper()
	// ISO 216, and 8.5 by 11 inches.
	sides := map[string][2]float64{"a4": {210, 297}, "letter": {215.9, 279.4}}[paperName]
	for i, p := range pages {
		if paperName == "one" {
			w, h := want.Width, want.Height
			if turn == "90" {
				w, h = h, w
			}
			// Margins of 10 mm, and below the blank what is said of it.
			if p.width < w+20 || p.height < h+20+15 || p.width > max(w, 60)+40 || p.height > h+150 {
				t.Errorf("a page of %.1f × %.1f mm for a blank of %.1f × %.1f", p.width, p.height, w, h)
			}
			continue
		}
		low, high := min(p.width, p.height), max(p.width, p.height)
		if math.Abs(low-sides[0]) > pageTolerance || math.Abs(high-sides[1]) > pageTolerance {
			t.Errorf("page %d is %.1f × %.1f mm", i+1, p.width, p.height)
		}
		if turn == "0" && p.width > p.height || turn == "90" && p.width < p.height {
			t.Errorf("turn %s gives a page of %.1f × %.1f mm", turn, p.width, p.height)
		}
	}
}

func checkScale(t *testing.T, pages []paper) {
	t.Helper()
	for i, p := range pages {
		bars := 0
		for _, l := range p.lines {
			if l.filled || l.colour != inkColour || math.Abs(l.width-barWidth) > 1e-6 {
				continue
			}
			bars++
			want := 100.0
			if p.width < 122 { // with its margins
				want = 50
			}
			if length := l.chains[0][0].Dist(l.chains[0][1]); math.Abs(length-want) > scaleTolerance {
				t.Errorf("page %d: the scale bar is %.3f mm", i+1, length)
			}
			if !p.says(fmt.Sprintf("must measure %g mm; print at 100 %%, not fitted to the page", want)) {
				t.Errorf("page %d does not say what to do with the scale bar: %s", i+1, p.text())
			}
		}
		if bars != 1 {
			t.Errorf("page %d has %d scale bars", i+1, bars)
		}
	}
}

func (p paper) text() string {
	var out []string
	for _, w := range p.words {
		out = append(out, w.text)
	}
	return strings.Join(out, " ")
}

func (p paper) says(words string) bool { return strings.Contains(p.text(), words) }

// toBlank takes a point of a page to the blank as it lies on the paper. The margin is 10 mm.
func (w window) toBlank(p geom.Point) geom.Point { return p.Add(geom.Pt(w.X-10, w.Y-10)) }

func checkMarks(t *testing.T, pages []paper, windows []window) {
	t.Helper()
	places := map[int][]geom.Point{}
	for i, p := range pages {
		for _, l := range p.lines {
			if l.filled || l.colour != inkColour || math.Abs(l.width-markWidth) > 1e-6 || len(l.chains) != 3 {
				continue
			}
			mid := boxOf(l.chains).Mid()
			if seen := boxOf(l.chains); !l.clip.Contains(seen.Min) || !l.clip.Contains(seen.Max) {
				t.Errorf("page %d: a mark is not seen whole", i+1)
			}
			n := p.markNumber(t, mid)
			places[n] = append(places[n], windows[i].toBlank(mid))
		}
	}
	for n := 1; n <= len(places); n++ {
		at := places[n]
		if len(at) != 2 {
			t.Errorf("mark %d is on %d sheets", n, len(at))
		} else if d := at[0].Dist(at[1]); d > markTolerance {
			t.Errorf("mark %d is off by %.3f mm", n, d)
		}
	}
	if sheets := len(pages) - 1; sheets > 1 && len(places) < 2 {
		t.Errorf("%d sheets with %d marks", sheets, len(places))
	}
}

// markNumber is what stands on both sides of the seam beside a mark.
func (p paper) markNumber(t *testing.T, mid geom.Point) int {
	t.Helper()
	var found []int
	for _, w := range p.words {
		if n, err := strconv.Atoi(w.text); err == nil && w.box.Mid().Dist(mid) < 6 {
			found = append(found, n)
		}
	}
	if len(found) != 2 || found[0] != found[1] {
		t.Errorf("a mark has the numbers %v", found)
		return 0
	}
	return found[0]
}

// checkLines compares what can be seen on all pages with the cut file.
func checkLines(t *testing.T, pages []paper, windows []window, want emittest.Drawing, turned bool) {
	t.Helper()
	place := func(p geom.Point) geom.Point { // y down, then a quarter turn to the left
		p.Y = want.Height - p.Y
		if turned {
			p = geom.Pt(p.Y, want.Width-p.X)
		}
		return p
	}
	printed := map[string][]geom.Curve{}
	dashed := map[string]bool{}
	for i, p := range pages {
		for _, l := range p.lines {
			dashed[l.colour] = dashed[l.colour] || l.filled
			for _, chain := range l.chains {
				for k := 1; k < len(chain); k++ {
					if a, b, ok := clipped(chain[k-1], chain[k], l.clip); ok {
						printed[l.colour] = append(printed[l.colour], geom.LineFrom(windows[i].toBlank(a), windows[i].toBlank(b)))
					}
				}
			}
		}
	}
	for _, l := range want.Layers {
		var lines []geom.Curve
		for _, c := range emittest.Curves(l) {
			chain := c.Flatten([]geom.Point{c.P}, 0.01)
			for k := 1; k < len(chain); k++ {
				lines = append(lines, geom.LineFrom(place(chain[k-1]), place(chain[k])))
			}
		}
		got := printed[testColours[l.Kind]]
		gap, rim := lineTolerance, lineTolerance
		if dashed[testColours[l.Kind]] { // each dash is printed as what it covers
			gap, rim = gap+dashGap, rim+dashRim
		}
		if off, at := strays(lines, got, gap); off > gap {
			t.Errorf("%s: the cut file's line at %.2f is %.3f mm from what is printed", l.Kind, at, off)
		}
		if off, at := strays(got, lines, rim); off > rim {
			t.Errorf("%s: what is printed at %.2f is %.3f mm from the cut file", l.Kind, at, off)
		}
	}
}

// clipped is the part of a line that lies in a box.
func clipped(p, q geom.Point, box geom.Box) (a, b geom.Point, ok bool) {
	from, to := 0.0, 1.0
	d := q.Sub(p)
	for _, side := range [][2]float64{{-d.X, p.X - box.Min.X}, {d.X, box.Max.X - p.X}, {-d.Y, p.Y - box.Min.Y}, {d.Y, box.Max.Y - p.Y}} {
		switch speed, room := side[0], side[1]; {
		case speed < 0:
			from = max(from, room/speed)
		case speed > 0:
			to = min(to, room/speed)
		case room < 0:
			return a, b, false
		}
	}
	return p.Lerp(q, from), p.Lerp(q, to), from < to
}

// strays is how far the worst point of some lines is from all of others, and where.
// Points are taken every 3 mm and at the ends. What is further than asked for is as far as
// twice that.
func strays(lines, others []geom.Curve, most float64) (worst float64, at geom.Point) {
	boxes := make([]geom.Box, len(others))
	for i, c := range others {
		boxes[i] = geom.BoxOf(c.P, c.Q)
	}
	if len(others) == 0 {
		return math.Inf(1), at
	}
	tree := geom.NewBoxTree(boxes)
	for _, c := range lines {
		n := int(math.Ceil(c.P.Dist(c.Q)/3)) + 1
		for i := range n + 1 {
			p := c.At(float64(i) / float64(n))
			near := tree.Intersecting(geom.BoxOf(p).Grow(2*most), nil)
			d := 2 * most
			for _, k := range near {
				_, off := others[k].Nearest(p)
				d = min(d, off)
			}
			if d > worst {
				worst, at = d, p
			}
		}
	}
	return worst, at
}
