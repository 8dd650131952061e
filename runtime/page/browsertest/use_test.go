package browsertest_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// tray is a small design; wider, broken and warned are what else it may be saved as.
const tray = `"""Tray"""
width = param("width", 60, min = 20, max = 200, doc = "left to right")
card = board("card", caliper = 0.4)
base = panel("base", rect(width, 40))
base.cut(circle(5).shift(30, 20))
wall = panel("wall", rect(width, 20), on = base.top)
piece("tray", base, board = card)
`

var (
	wider  = strings.Replace(tray, "60,", "70,", 1)
	broken = tray + "base.lid.cut(circle(1))\n"
	warned = tray + "spare = panel(\"spare\", rect(5, 5))\n"
)

// show opens a page on one script.
func show(t *testing.T, text string) (*studio, *browsertest.Tab) {
	t.Helper()
	s := newStudio(t, map[string]string{"tray.star": text})
	return s, s.open()
}

// lineOf is the number of the first line that holds some words.
func lineOf(t *testing.T, text, words string) int {
	t.Helper()
	before, _, ok := strings.Cut(text, words)
	if !ok {
		t.Fatalf("no %q in the script", words)
	}
	return 1 + strings.Count(before, "\n")
}

// waitLine waits until the script's text stands at a line, and that holds some words.
func waitLine(b *browsertest.Tab, line int, words string) {
	b.Wait(fmt.Sprintf(`(row => Number(row.dataset.line) === %d && row.textContent.includes(%s))(document.querySelector("#source .here"))`,
		line, browsertest.Quote(words)))
}

// A save is seen: the blank is the new one, in the same window.
func TestSavesAreShown(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	size := `(r => r.width / r.height)(document.querySelector('#flat path[data-panel="0"]').getBoundingClientRect())`
	narrow, before := browsertest.Eval[float64](b, size), b.Digest()
	s.save("tray.star", wider)
	after := b.WaitDigest(before)
	if w := browsertest.Eval[float64](b, browsertest.State+".model.params[0].value"); w != 70 {
		t.Errorf("the width is %v", w)
	}
	if wide := browsertest.Eval[float64](b, size); wide < narrow*1.1 {
		t.Errorf("the base is drawn %v times as wide as high, before %v times", wide, narrow)
	}
	s.save("tray.star", tray)
	if again := b.WaitDigest(after); again != before {
		t.Errorf("the same script again has another digest")
	}
}

// While the script is broken the last model stays, dimmed, with the words of the
// terminal on top; mended, it is as before.
func TestFaultsAreShownOverTheLastModel(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	before := b.Digest()
	s.save("tray.star", broken)
	b.Wait(`!document.getElementById("fault").hidden && ` + browsertest.State + `.stale`)
	text := browsertest.Eval[string](b, `document.getElementById("fault").textContent`)
	if !strings.Contains(text, `panel "base" has no edge "lid"`) {
		t.Errorf("the page says %q", text)
	}
	if b.Digest() != before || !browsertest.Eval[bool](b, browsertest.Drawn) {
		t.Error("the last model is gone")
	}
	b.Wait(`["#flat svg", "#folded canvas"].every(view => Number(getComputedStyle(document.querySelector(view)).opacity) < 1)`)
	b.Slide(20) // it can still be folded
	s.save("tray.star", tray)
	b.Wait(`document.getElementById("fault").hidden && !` + browsertest.State + `.stale`)
	if b.Digest() != before {
		t.Error("mended, it is another model")
	}
}

// A click on a panel of either view, on a hinge or on a window shows the line that made it,
// and both views show it as chosen.
func TestClicksShowTheLine(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	for _, c := range []struct{ selector, kind, words string }{
		{`#flat path[data-panel="0"]`, "panel", `panel("base"`},
		{`#flat path[data-panel="1"]`, "panel", `panel("wall"`},
		{`#flat [data-hinge="0"]`, "hinge", `panel("wall"`},
		{`#flat [data-window="0"]`, "window", `base.cut(circle(5)`},
	} {
		b.ClickAt(b.Inside(c.selector))
		b.Wait(browsertest.State + ".selection?.kind === " + browsertest.Quote(c.kind))
		waitLine(b, lineOf(t, tray, c.words), c.words)
	}
	// The folded view: somewhere on it each panel can be pointed at.
	b.Slide(24)
	for _, c := range []struct {
		index int
		words string
	}{{0, `panel("base"`}, {1, `panel("wall"`}} {
		b.ClickAt(findFolded(t, b, c.index))
		b.Wait(fmt.Sprintf(`(s => s?.kind === "panel" && s.index === %d)(%s.selection)`, c.index, browsertest.State))
		waitLine(b, lineOf(t, tray, c.words), c.words)
	}
}

// findFolded is a place of the folded view at which a panel is pointed at.
func findFolded(t *testing.T, b *browsertest.Tab, panel int) browsertest.Point {
	t.Helper()
	type box struct{ X, Y, W, H float64 }
	r := browsertest.Eval[box](b, `(r => ({X: r.x, Y: r.y, W: r.width, H: r.height}))(document.querySelector("#folded canvas").getBoundingClientRect())`)
	const n = 12
	for k := range n * n {
		// From the middle outward, row by row.
		i, j := (n/2+k/n)%n, (n/2+k%n)%n
		p := browsertest.Point{X: r.X + r.W*(float64(i)+0.5)/n, Y: r.Y + r.H*(float64(j)+0.5)/n}
		b.Hover(p)
		if browsertest.Eval[bool](b, fmt.Sprintf(`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() =>
			done((s => s?.kind === "panel" && s.index === %d)(%s.hover)))))`, panel, browsertest.State)) {
			return p
		}
	}
	t.Fatalf("panel %d is nowhere in the folded view", panel)
	return browsertest.Point{}
}

// Pointing at a panel in one view lights it in the other.
func TestPointingLightsBothViews(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	b.Slide(24)
	b.Hover(browsertest.Point{X: 1, Y: 1})
	dark := b.Part("#folded")
	b.Hover(b.Inside(`#flat path[data-panel="1"]`))
	b.Wait(browsertest.State + `.hover?.index === 1`)
	b.WaitChange("#folded", dark)
	unlit := b.Part("#flat")
	b.Hover(findFolded(t, b, 0))
	b.WaitChange("#flat", unlit)
}

// A hinge tells its angle where the piece stands, and a join its gap.
func TestHingesAndJoinsTellTheirFigures(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	b := s.open()
	b.Slide(24)
	b.ClickAt(b.Inside(`#flat [data-hinge="0"]`))
	b.Wait(browsertest.State + `.selection?.kind === "hinge"`)
	angle := browsertest.Eval[float64](b, browsertest.State+".state.folds[0]")
	b.Wait(fmt.Sprintf(`document.getElementById("desk").innerText.includes("%g°")`, math.Round(angle*10)/10))
	b.Pose("closed")
	b.ClickAt(b.Inside(`#flat [data-join="0"]`))
	b.Wait(browsertest.State + `.selection?.kind === "join"`)
	b.Wait(`/gap/.test(document.getElementById("desk").innerText)`)
}

// Findings are listed with their numbers and words, marked in the flat view, and lead to
// the script through the calls to the library.
func TestFindingsLeadToTheScript(t *testing.T) {
	t.Parallel()
	text := `load("//cartons.star", "sealed_carton")

card = board("card", caliper = 0.4)
box = sealed_carton(60, 40, 80, card)
piece("box", box.root, board = card)
spare = panel("spare", rect(5, 5))
`
	_, b := show(t, text)
	type finding struct {
		Number  int
		Message string
		Site    [][]int
	}
	list := browsertest.Eval[[]finding](b, browsertest.State+".model.findings")
	if !slices.ContainsFunc(list, func(f finding) bool { return f.Number > 0 }) {
		t.Fatalf("no finding: %+v", list)
	}
	for _, f := range list {
		if f.Number == 0 {
			continue
		}
		row := fmt.Sprintf(`#findings li[data-number="%d"]`, f.Number)
		b.Wait(fmt.Sprintf(`document.querySelector(%s).textContent.includes(%s)`, browsertest.Quote(row), browsertest.Quote(f.Message)))
		b.Click(row + " button")
		b.Wait(fmt.Sprintf(`Number(document.querySelector("#source .here").dataset.line) === %d`, f.Site[0][1]))
	}
	// A panel of the library's: its own line first, then where the library makes it.
	b.ClickAt(b.Inside(`#flat path[data-panel="1"]`))
	site := browsertest.Eval[[][]int](b, browsertest.State+".model.pieces[0].panels[1].site")
	if len(site) < 2 {
		t.Fatalf("a library's panel has the site %v", site)
	}
	waitLine(b, lineOf(t, text, "sealed_carton(60"), "sealed_carton(60")
	inner := site[len(site)-1]
	b.Click("#trail button:nth-of-type(" + strconv.Itoa(len(site)) + ")")
	b.Wait(fmt.Sprintf(`Number(document.querySelector("#source .here").dataset.line) === %d`, inner[1]))
	file := browsertest.Eval[string](b, fmt.Sprintf("%s.model.sources[%d].text", browsertest.State, inner[0]))
	if shown := browsertest.Eval[string](b, `document.querySelector("#source .here code").textContent`); shown != strings.Split(file, "\n")[inner[1]-1] {
		t.Errorf("the trail ends at %q", shown)
	}
}

// A reload keeps where the page was: slider, pose, selection, and how the flat view is
// moved and zoomed.
func TestReloadKeepsTheView(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	b.Slide(17)
	b.ClickAt(b.Inside(`#flat path[data-panel="1"]`))
	b.Wheel(b.Inside(`#flat path[data-panel="1"]`), -300)
	b.Wait(browsertest.State + ".flatView?.scale")
	b.Frames(2)
	kept := `JSON.stringify((({share, pose, selection, flatView, camera, piece, see, apart, projection}) =>
		({share, pose, selection, flatView, camera, piece, see, apart, projection}))(` + browsertest.State + `))`
	before := browsertest.Eval[string](b, kept)
	b.Reload()
	b.Wait(browsertest.Drawn)
	b.WaitStop(17)
	if after := browsertest.Eval[string](b, kept); after != before {
		t.Errorf("after a reload:\n%s\nbefore:\n%s", after, before)
	}
}

// Two scripts are shown in turn, each as it was left.
func TestScriptsAreSwitched(t *testing.T) {
	t.Parallel()
	s := newStudio(t, map[string]string{"a.star": tray, "b.star": strings.ReplaceAll(wider, "Tray", "Other")})
	b := s.open()
	if title := browsertest.Eval[string](b, "document.title"); !strings.Contains(title, "Tray") {
		t.Errorf("the title is %q", title)
	}
	b.Slide(12)
	first := b.Digest()
	b.Click(`#scripts [data-script="1"]`)
	b.WaitDigest(first)
	b.Wait(`document.title.includes("Other")`)
	b.Click(`#scripts [data-script="0"]`)
	b.Wait(browsertest.State + ".digest === " + browsertest.Quote(first))
	b.WaitStop(12)
	// One that is saved while another is shown does not take its place.
	s.save("b.star", tray)
	b.Frames(5)
	if b.Digest() != first {
		t.Error("a save of the other script is shown")
	}
}

// What is downloaded is what stands in the folder, byte for byte, and the copied command
// makes what is shown.
func TestDownloadsAreTheFiles(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	b.Wait(`document.querySelectorAll("#files a[data-name]").length >= 4`)
	files := s.files["tray.star"]
	for name, want := range files {
		link := `document.querySelector('#files a[data-name="' + CSS.escape(` + browsertest.Quote(name) + `) + '"]').href`
		got := browsertest.Eval[string](b, `fetch(`+link+`).then(async r => {
			if (!r.ok) throw new Error(r.status);
			if (!(r.headers.get("Content-Disposition") ?? "").startsWith("attachment")) throw new Error("no attachment");
			return r.text();
		})`)
		if got != string(want) {
			t.Errorf("%s: %d bytes, want %d", name, len(got), len(want))
		}
	}
}

// A parameter that is changed a hundred times in a second ends at its last value; the runs
// are fewer than the changes, for the newest wins; and the script is as it was.
func TestDraggingAParameter(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	browsertest.Eval[bool](b, `new Promise(done => {
		const field = document.querySelector('#sizes [data-param="width"]');
		let n = 0;
		const timer = setInterval(() => {
			field.value = 80 + n++;
			field.dispatchEvent(new Event("input", {bubbles: true}));
			if (n === 100) {
				clearInterval(timer);
				field.dispatchEvent(new Event("change", {bubbles: true}));
				done(true);
			}
		}, 10);
	})`)
	b.Wait(browsertest.State + ".model.params[0].value === 179 && !" + browsertest.State + ".stale && " + browsertest.Drawn)
	s.mu.Lock()
	tries, text := s.tries, s.texts["tray.star"]
	s.mu.Unlock()
	t.Logf("100 changes, %d runs", tries)
	if tries < 1 || tries > 101 {
		t.Errorf("%d runs for 100 changes", tries)
	}
	if text != tray {
		t.Error("the script has changed")
	}
	command := browsertest.Eval[string](b, `document.getElementById("copy-command").closest("section, div, p, form").textContent`)
	if !strings.Contains(command, "creasewright make tray.star --set width=179") {
		t.Errorf("the command is not in %q", command)
	}
	// A save of the script while sizes are tried: both count.
	s.save("tray.star", strings.Replace(tray, "rect(width, 20)", "rect(width, 25)", 1))
	b.Wait(`(m => m.params[0].value === 179 && Math.abs(m.pieces[0].panels[1].area - 179 * 25) < 1)(` + browsertest.State + `.model)`)
}

// Values that a script does not take are said in its words, and the last model stays.
func TestValuesOutOfRange(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	before := b.Digest()
	b.Set(`#sizes [data-param="width"]`, "500")
	b.Wait(`/200|width/.test(document.getElementById("fault").textContent) && !document.getElementById("fault").hidden ||
		document.querySelector('#sizes [data-param="width"]').matches(":invalid, [aria-invalid=true]")`)
	if b.Digest() != before {
		t.Error("another model is shown")
	}
	b.Set(`#sizes [data-param="width"]`, "90")
	b.Wait(browsertest.State + ".model.params[0].value === 90 && document.getElementById('fault').hidden")
}

// The page can be used with the keyboard alone: everything that can be done is reached by
// Tab, is seen to have the focus, and has a name for those who hear the page.
func TestKeyboardReachesEverything(t *testing.T) {
	t.Parallel()
	_, b := show(t, warned)
	type stop struct{ Tag, ID, Name, Ring string }
	seen := map[string]bool{}
	var order []string
	for range 150 {
		b.Press(browsertest.TabKey)
		at := browsertest.Eval[stop](b, `(el => {
			const ring = el => (s => s.outlineStyle + s.boxShadow)(getComputedStyle(el));
			const label = el.getAttribute("aria-label") || (el.getAttribute("aria-labelledby") || "").split(" ").map(id => document.getElementById(id)?.textContent).join(" ").trim()
				|| [...(el.labels ?? [])].map(l => l.textContent).join(" ") || el.textContent || el.title;
			const path = el.closest("[id]");
			return {Tag: el.tagName, ID: path ? path.id : "", Name: label.trim(), Ring: ring(el) === "nonenone" ? ring(el.parentElement) : ring(el)};
		})(document.activeElement)`)
		if at.Tag == "BODY" {
			break
		}
		if at.Name == "" {
			t.Errorf("what has the focus has no name: %+v", at)
		}
		if at.Ring == "nonenone" {
			t.Errorf("the focus is not to be seen: %+v", at)
		}
		seen[at.ID] = true
		order = append(order, at.ID+"/"+at.Name)
	}
	for _, id := range []string{"flat", "folded", "fold-slider", "poses", "findings", "sizes", "files", "copy-command"} {
		if !slices.ContainsFunc(order, func(s string) bool { return strings.HasPrefix(s, id) }) && !seen[id] {
			t.Errorf("Tab never comes to %s; it comes to %q", id, order)
		}
	}
	// The slider by keys.
	browsertest.Eval[bool](b, `(document.getElementById("fold-slider").focus(), true)`)
	b.Press(browsertest.HomeKey)
	b.WaitStop(0)
	b.Press(browsertest.ArrowRight)
	b.WaitStop(1)
	b.Press(browsertest.EndKey)
	b.WaitStop(48)
}

// The folded view says in words which panel faces where.
func TestFoldedViewIsTold(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	browsertest.Eval[bool](b, `([...document.querySelectorAll("#folded button")].find(e => e.textContent === "Describe").click(), true)`)
	text := browsertest.Eval[string](b, `document.querySelector("#folded dialog[open]").textContent`)
	for _, want := range []string{"base: faces front", "wall: faces top", "wall: 90°"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}

// A click has the user's editor open the file at the line.
func TestTheEditorIsOpened(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	b.ClickAt(b.Inside(`#flat path[data-panel="1"]`))
	waitLine(b, lineOf(t, tray, `panel("wall"`), `panel("wall"`)
	browsertest.Eval[bool](b, `([...document.querySelectorAll("#scripttext button, #scripttext a")].find(e => /editor/i.test(e.textContent + e.title + e.ariaLabel)).click(), true)`)
	want := fmt.Sprintf("tray.star:%d", lineOf(t, tray, `panel("wall"`))
	for {
		s.mu.Lock()
		edited := slices.Clone(s.edited)
		s.mu.Unlock()
		if len(edited) > 0 {
			if edited[0] != want {
				t.Errorf("the editor opens %q, want %q", edited, want)
			}
			return
		}
		b.Frames(1)
	}
}

// The page comes with a picture of the flat blank, where the live drawing is then.
func TestFirstPictureIsWhereTheBlankIs(t *testing.T) {
	t.Parallel()
	text := examples(t, "tea-carton.star")["tea-carton.star"]
	s := newStudio(t, map[string]string{"tea-carton.star": text})
	b := browsertest.New(t)
	b.BeforeScripts(`new MutationObserver((_, self) => {
		const board = document.querySelector("#flat > .first .board");
		if (!board || !document.querySelector("#keys")) return;
		self.disconnect();
		window.first = board.getBoundingClientRect();
	}).observe(document, {childList: true, subtree: true})`)
	for _, side := range []string{"outside", "inside"} {
		s.save("tea-carton.star", strings.Replace(text, ", board = card)", `, board = card, view = "`+side+`")`, 1))
		b.Go(s.URL())
		b.Wait(browsertest.Drawn)
		type box struct{ X, Y, Width, Height float64 }
		const boxOf = `(r => ({X: r.x, Y: r.y, Width: r.width, Height: r.height}))`
		first := browsertest.Eval[box](b, boxOf+`(window.first)`)
		live := browsertest.Eval[box](b, boxOf+`(document.querySelector("#flat svg.blank .board").getBoundingClientRect())`)
		const near = 3 // pixels
		for _, d := range []float64{first.X - live.X, first.Y - live.Y, first.Width - live.Width, first.Height - live.Height} {
			if math.Abs(d) > near {
				t.Errorf("%s: the first picture is at %.1f, the live one at %.1f", side, first, live)
				break
			}
		}
		b.Wait(`!document.querySelector(".first")`)
	}
}
