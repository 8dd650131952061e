package page

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
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
