package page_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/page"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// stripText is the script of the strip that these tests show: two panels, and a
// finding about the second.
const stripText = `"""Strip."""
width = param("width", 60, min = 20, max = 200, doc = "to the crease")
card = board("card", caliper = 0.5)
a = panel("a", rect(width, 40))
b = panel("b", rect(30, 40), on = a.right)
piece("strip", a, board = card)
`

// strip is a run's display of that script, its first panel so wide. Its names are
// those of a hostile script when asked for.
func strip(width float64, hostile string) []byte {
	type list = []any
	type table = map[string]any
	line := func(n, end int) list { return list{list{0, n, 5, n, end}} }
	still := list{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}
	square := list{0, 0, -1, width, 0, 1, 0, 0, 1, 0, 0, 0}
	rect := func(w float64) list {
		return list{list{list{0, 0, 0, w, 0}, list{0, w, 0, w, 40}, list{0, w, 40, 0, 40}, list{0, 0, 40, 0, 0}}}
	}
	pose := func(name string, b list, fold float64) table {
		return table{"name": name, "panels": list{still, b}, "folds": list{fold}, "standsOn": nil, "isFlat": name == "flat",
			"layers": list{table{"stack": -1, "level": 0}, table{"stack": -1, "level": 0}}}
	}
	display := table{
		"format": "creasewright-display", "version": 1, "script": "strip.star", "title": "Strip" + hostile, "exit": 0,
		"sources": list{table{"file": "strip.star", "text": stripText}},
		"params": list{table{"name": "width", "kind": "whole", "value": width, "default": 60, "min": 20, "max": 200,
			"choices": nil, "doc": "to the crease", "site": list{list{0, 2, 9, 2, 71}}}},
		"kinds": list{table{"kind": "cut", "colour": "#000000", "width": 0.35, "dash": list{}, "does": "through"}},
		"pieces": list{table{
			"name": "strip" + hostile, "copies": 1, "inside": false, "bounds": list{0, 0, width + 30, 40}, "area": 40 * (width + 30), "mass": nil,
			"board":   table{"name": "card", "kind": "card", "caliper": 0.5, "gsm": nil, "grain": nil},
			"outside": nil, "innerSize": nil,
			"panels": list{
				table{"name": "a" + hostile, "role": "panel", "site": line(4, 32), "bent": false, "flat": list{1, 0, 0, 1, 0, 0}, "rings": rect(width), "area": 40 * width},
				table{"name": "b", "role": "panel", "site": line(5, 44), "bent": false, "flat": list{1, 0, 0, 1, width, 0}, "rings": rect(30), "area": 1200},
			},
			"windows": list{}, "joins": list{}, "contents": list{},
			"hinges": list{table{"name": "b", "parent": 0, "child": 1, "kind": "score", "closing": false, "length": 40, "site": line(5, 44),
				"curves": list{list{0, width, 0, width, 40}}, "axis": list{list{width, 0}, list{width, 40}}}},
			"strokes": list{table{"kind": "cut", "closed": true, "length": 2 * (width + 70),
				"curves": list{list{0, 0, 0, width + 30, 0}, list{0, width + 30, 0, width + 30, 40}, list{0, width + 30, 40, 0, 40}, list{0, 0, 40, 0, 0}}}},
			"poses": list{pose("flat", list{1, 0, 0, width, 0, 1, 0, 0, 0, 0, 1, 0}, 0), pose("closed", square, 90)},
		}},
		"findings": list{
			table{"number": 1, "rule": "strip-short", "severity": "warning", "message": `panel "b" is short` + hostile, "hint": `width = 34 for "b" instead of 30 would put it right`,
				"site": line(5, 44), "related": list{}, "piece": 0, "panel": 1, "pose": "closed", "at": list{width + 15, 20}},
			table{"number": 0, "rule": "strip-note", "severity": "note", "message": "a strip is no carton", "hint": "",
				"site": line(6, 32), "related": list{}, "piece": 0, "panel": nil, "pose": "", "at": nil},
		},
		"waived": list{}, "cautions": list{"Cutting: mind your hands."}, "prints": list{},
	}
	text, err := json.Marshal(display)
	if err != nil {
		panic(err)
	}
	return text
}

// strips stands in for what runs designs: it makes strips, and counts.
type strips struct {
	mu      sync.Mutex
	running int
	most    int // tries that ran at one time
	tried   []string
	edited  string
}

func (s *strips) Try(ctx context.Context, _ int, params map[string]string, _ func(string)) (page.Run, error) {
	s.mu.Lock()
	s.running++
	s.most = max(s.most, s.running)
	s.tried = append(s.tried, params["width"])
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		s.running--
		s.mu.Unlock()
	}()
	select {
	case <-time.After(5 * time.Millisecond):
	case <-ctx.Done():
		return page.Run{}, ctx.Err()
	}
	text := strings.TrimSuffix(params["width"], "in")
	width, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return page.Run{Exit: 2, Fault: "strip.star:2:9: error: no width\n"}, nil
	}
	if text != params["width"] {
		width *= 25.4
	}
	return page.Run{Display: strip(width, "")}, nil
}

func (s *strips) Motion(_ context.Context, _ int, _ map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	states := []map[string]any{}
	for _, at := range shares {
		states = append(states, map[string]any{"at": at, "found": true, "folds": []float64{90 * at},
			"panels": [][]float64{{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}, {1, 0, 0, 60, 0, 1, 0, 0, 0, 0, 1, 0}}})
	}
	return json.Marshal(map[string]any{"format": "creasewright-motion", "version": 1, "piece": piece, "pose": pose, "states": states})
}

func (s *strips) File(int, string) ([]byte, error) { return nil, errors.New("no files here") }

func (s *strips) Edit(_ int, file string, line int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.edited = fmt.Sprintf("%s %d", file, line)
	return nil
}

// openStrip opens a page on one strip.
func openStrip(t *testing.T, hostile string) (*browsertest.Tab, *page.Server, *strips) {
	t.Helper()
	outsidetest.Need(t, "Chromium")
	source := &strips{}
	server, err := page.New(page.Options{Source: source})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { server.Close() })
	id := server.Add(page.Script{Name: "strip.star", Path: "strip.star", Editor: true, Command: "creasewright make strip.star"})
	server.Show(id, page.Run{Display: strip(60, hostile), Files: []page.File{{Name: "strip.cut.svg", Kind: "cut", Size: 2100}}})
	b := browsertest.Open(t, server.URL())
	b.Wait(`creasewright.store.get().model && document.querySelector("#sizes [data-param]")`)
	return b, server, source
}

// put sets a field as if it was typed into.
func put(b *browsertest.Tab, selector, text string) {
	browsertest.Eval[bool](b, `(() => {
		const field = document.querySelector(`+browsertest.Quote(selector)+`);
		field.focus();
		field.value = `+browsertest.Quote(text)+`;
		return field.dispatchEvent(new Event("input", {bubbles: true}));
	})()`)
}

// press activates a button wherever it stands, for those that move as what is above them
// grows and shrinks.
func press(b *browsertest.Tab, selector string) {
	browsertest.Eval[bool](b, `(document.querySelector(`+browsertest.Quote(selector)+`).click(), true)`)
}

const widthField = `#sizes [data-param="width"]`

// One page goes through all of it: what is slow is to open one.
func TestTheFrameOfThePage(t *testing.T) {
	b, server, source := openStrip(t, "")
	changedSizeIsTriedAndTold(t, b)
	draggingPilesNothingUp(t, b, source)
	findingShowsItsLine(t, b)
	creaseBar(t, b)
	reloadKeepsTheState(b)
	faultLiesOverTheLastGoodModel(t, b, server, source)
	twoScripts(t, b, server)
	endOfTheWatch(b, server)
}

func changedSizeIsTriedAndTold(t *testing.T, b *browsertest.Tab) {
	t.Helper()
	put(b, widthField, "3in")
	b.Wait(`creasewright.store.get().model.params[0].value > 76.19 && creasewright.store.get().model.params[0].value < 76.21`)
	b.Wait(`document.querySelector("#command").textContent === "creasewright make strip.star --set width=3in"`)
	b.Wait(`document.querySelector(".size.tried .mark").textContent.includes("the script has 60")`)
	b.Wait(`document.querySelector("#values .changed").textContent.includes("files on disk")`)

	// Beyond its limits it is told at the field, and not tried.
	put(b, widthField, "201")
	b.Wait(`document.querySelector("#sizes .wrong").textContent.startsWith("At most 200")`)
	put(b, widthField, "wide")
	b.Wait(`document.querySelector("#sizes .wrong").textContent.startsWith("A number is needed")`)
	if now := browsertest.Eval[string](b, `creasewright.store.get().params.width`); now != "3in" {
		t.Errorf("tried is %q, want the last value within the limits", now)
	}

	press(b, "#all-back")
	b.Wait(`creasewright.store.get().model.params[0].value === 60 && !document.querySelector(".size.tried")`)
}

func draggingPilesNothingUp(t *testing.T, b *browsertest.Tab, source *strips) {
	t.Helper()
	browsertest.Eval[bool](b, `(async () => {
		const range = document.querySelector('#sizes input[type="range"]');
		for (let i = 1; i <= 100; i++) {
			range.value = String(60 + i);
			range.dispatchEvent(new Event("input", {bubbles: true}));
			await new Promise((done) => setTimeout(done, 1));
		}
		return true;
	})()`)
	b.Wait(`creasewright.store.get().model.params[0].value === 160 && !creasewright.store.get().trial.running`)
	press(b, "#all-back")
	b.Wait(`creasewright.store.get().model.params[0].value === 60`)
	source.mu.Lock()
	defer source.mu.Unlock()
	if last := source.tried[len(source.tried)-1]; last != "160" || source.most != 1 {
		t.Errorf("the last of %d tries is %s, and %d ran at once; want 160, 1", len(source.tried), last, source.most)
	}
}

func faultLiesOverTheLastGoodModel(t *testing.T, b *browsertest.Tab, server *page.Server, source *strips) {
	t.Helper()
	fault := "strip.star:4:5: error: there is nothing called panl\n     4 | a = panl(\n"
	server.Show(0, page.Run{Exit: 2, Fault: fault})
	b.Wait(`!document.querySelector("#fault").hidden`)
	if got := browsertest.Eval[string](b, `document.querySelector("#fault pre").textContent`); got != fault {
		t.Errorf("the fault reads %q, want %q", got, fault)
	}
	b.Wait(`document.querySelector("#desk").classList.contains("dimmed") && creasewright.store.get().model && creasewright.store.get().stale`)
	b.Click("#fault button")
	for {
		source.mu.Lock()
		edited := source.edited
		source.mu.Unlock()
		if edited == "strip.star 4" {
			break
		}
		if edited != "" {
			t.Fatalf("the editor opened %s, want strip.star 4", edited)
		}
		time.Sleep(time.Millisecond)
	}
	server.Show(0, page.Run{Display: strip(61, "")})
	b.Wait(`document.querySelector("#fault").hidden && !document.querySelector("#desk").classList.contains("dimmed")`)
	b.Wait(`creasewright.store.get().model.params[0].value === 61 && document.querySelector('` + widthField + `').value === "61"`)
}

func findingShowsItsLine(t *testing.T, b *browsertest.Tab) {
	t.Helper()
	if n := browsertest.Eval[int](b, `document.querySelectorAll("#findings li").length`); n != 1 {
		t.Errorf("%d findings are listed, want the warning and not the note", n)
	}
	b.Click(`#findings li[data-number="1"] button`)
	b.Wait(`document.querySelector("#source .here").dataset.line === "5"`)
	b.Wait(`document.querySelector("#source .here .span").textContent.startsWith("panel(")`)
	b.Wait(`document.querySelector('#source [data-line="5"] .cure').textContent.includes("34")`)
	b.Click(`.filter input`)
	b.Wait(`document.querySelectorAll("#findings li").length === 2`)
	b.Press("n")
	b.Wait(`document.querySelector("#source .here").dataset.line === "6"`)
}

func creaseBar(t *testing.T, b *browsertest.Tab) {
	t.Helper()
	b.Wait(`document.querySelector("#fold-slider").value === "48"`)
	b.Click(`#poses [data-pose="flat"]`)
	b.Wait(`document.querySelector("#fold-slider").value === "0" && creasewright.store.get().share === 0`)
	browsertest.Eval[bool](b, `document.querySelector("#fold-slider").focus() ?? true`)
	b.Press(browsertest.ArrowRight)
	b.Wait(`creasewright.store.get().share === 1 / 48`)
	b.Press(" ")
	b.Wait(`Number(document.querySelector("#fold-slider").value) > 3`)
	b.Press(" ")
	stop := browsertest.Eval[float64](b, `creasewright.store.get().share * 48`)
	if whole := float64(int(stop + 0.5)); whole-stop > 1e-9 || stop-whole > 1e-9 {
		t.Errorf("the fold stopped at %v of 48, want a whole step", stop)
	}
	b.Wait(fmt.Sprintf(`document.querySelector("#fold-words").textContent.startsWith("Step %d of 48")`, int(stop+0.5)))
}

// A reload keeps the sizes tried, the fold and the selection.
func reloadKeepsTheState(b *browsertest.Tab) {
	put(b, widthField, "95")
	b.Wait(`creasewright.store.get().model.params[0].value === 95`)
	b.Click(`#findings li[data-number="1"] button`)
	browsertest.Eval[bool](b, `(creasewright.store.set({share: 24 / 48}), true)`)
	b.Wait(`document.querySelector("#fold-slider").value === "24" && document.querySelector("#source .here")`)
	b.Reload()
	b.Wait(`creasewright.store.get().model?.params[0].value === 95`)
	b.Wait(`document.querySelector("#fold-slider").value === "24" && document.querySelector("#source .here")?.dataset.line === "5"`)
	b.Wait(`document.querySelector("#findings .selected")`)
	press(b, "#all-back")
	b.Wait(`creasewright.store.get().model.params[0].value === 60`)
}

// Each script has a state of its own, to which the page comes back.
func twoScripts(t *testing.T, b *browsertest.Tab, server *page.Server) {
	t.Helper()
	if !browsertest.Eval[bool](b, `document.querySelector("#scripts").hidden`) {
		t.Error("one script alone has a chooser")
	}
	browsertest.Eval[bool](b, `(creasewright.store.set({share: 0.25}), true)`)
	id := server.Add(page.Script{Name: "other.star", Path: "other.star", Command: "creasewright make other.star"})
	server.Show(id, page.Run{Display: strip(120, "")})
	b.Click(fmt.Sprintf(`#scripts [data-script="%d"]`, id))
	b.Wait(`creasewright.store.get().model?.params[0].value === 120 && creasewright.store.get().share === 1`)
	b.Wait(`document.querySelector("#command").textContent === "creasewright make other.star" && !document.querySelector("#trail .edit")`)
	b.Click(`#scripts [data-script="0"]`)
	b.Wait(`creasewright.store.get().model?.params[0].value === 61 && creasewright.store.get().share === 0.25`)
}

func endOfTheWatch(b *browsertest.Tab, server *page.Server) {
	b.Allow("events", "motion")
	server.Close()
	b.Wait(`!document.querySelector("#offline").hidden && document.querySelector("#offline").textContent.includes("creasewright watch strip.star")`)
	b.Wait(`creasewright.store.get().model`)
}

// Names that look like markup stand on the page as they are written.
func TestHostileNamesAreText(t *testing.T) {
	const hostile = "<img src=x onerror=document.title='taken'>\u202e<script>document.title='taken'</script>"
	b, _, _ := openStrip(t, hostile)
	browsertest.Eval[bool](b, `(creasewright.store.set({selection: {kind: "panel", index: 0, piece: 0}}), true)`)
	b.Wait(`document.querySelector("#trail .what").textContent.includes("<img src=x")`)
	if n := browsertest.Eval[int](b, `document.querySelectorAll("main img, main script, header img").length`); n != 0 {
		t.Errorf("%d elements were made of names", n)
	}
	if text := browsertest.Eval[string](b, `document.querySelector("main").innerText`); strings.Contains(text, "\u202e") {
		t.Error("a character that turns the direction of text is on the page")
	}
}
