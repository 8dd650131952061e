package browsertest_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// held is a tray with a pot that stands out of it and a window in its wall.
const held = `"""Tray with a pot"""
card = board("card", caliper = 0.5)
base = panel("base", rect(60, 40))
wall = panel("wall", rect(60, 20), on = base.top)
side = panel("side", rect(20, 40), on = base.right)
wall.cut(circle(8).shift(30, 10))
contents("pot", (30, 20, 35), on = base)
piece("tray", base, board = card)
`

// findItem is a place of the folded view at which an item is pointed at, and one or two pixels
// beside it as well.
func findItem(b *browsertest.Tab, kind string, index int) browsertest.Point {
	const find = `((kind, index) => {
		const canvas = document.querySelector("#folded canvas"), r = canvas.getBoundingClientRect(), step = 5;
		const over = (x, y) => {
			canvas.dispatchEvent(new PointerEvent("pointermove", {bubbles: true, pointerType: "mouse", clientX: x, clientY: y}));
			const { hover } = ` + browsertest.State + `;
			return hover?.kind === kind && hover.index === index;
		};
		for (let y = r.top + step; y < r.bottom; y += step) {
			for (let x = r.left + step; x < r.right; x += step) {
				if (document.elementFromPoint(x, y) !== canvas || !over(x, y)) continue;
				if ([[1, 0], [-1, 0], [0, 1], [0, -1], [2, 0], [-2, 0]].filter(([i, j]) => over(x + i, y + j)).length > 3) return window.found = {X: x, Y: y};
			}
		}
		return null;
	})`
	call := fmt.Sprintf("%s(%s, %d)", find, browsertest.Quote(kind), index)
	b.Wait(call)
	return browsertest.Eval[browsertest.Point](b, "window.found")
}

// A click of the mouse on anything of the folded view chooses it and shows the line that made it.
func TestClicksOnTheFoldedPiece(t *testing.T) {
	t.Parallel()
	_, b := show(t, held)
	b.Pose("closed")
	for _, c := range []struct{ kind, words string }{
		{"contents", `contents("pot"`},
		{"window", `wall.cut(circle(8)`},
		{"hinge", `panel("wall"`},
	} {
		b.ClickAt(findItem(b, c.kind, 0))
		b.Wait(fmt.Sprintf(`(s => s?.kind === %s && s.index === 0)(%s.selection)`, browsertest.Quote(c.kind), browsertest.State))
		waitLine(b, lineOf(t, held, c.words), c.words)
	}
}

// So does one on the edges of a join, and one on the mark of a finding.
func TestClicksOnJoinsAndMarks(t *testing.T) {
	t.Parallel()
	text := "card = board(\"card\", caliper = 0.4)\n" + misfit
	_, b := show(t, text)
	b.Slide(24)
	for _, click := range []func(){
		func() { b.ClickAt(findItem(b, "join", 0)) },
		func() { b.Click(`#folded .mark:not([hidden])`) },
	} {
		click()
		b.Wait(`["join", "finding"].includes(` + browsertest.State + `.selection?.kind)`)
		waitLine(b, lineOf(t, text, `tab("seam"`), `tab("seam"`)
		set(b, "selection: null")
	}
}

// The command is put on the clipboard; where that is refused it is selected, to be copied by hand.
func TestCommandIsCopied(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	b.Set(`#sizes [data-param="width"]`, "75")
	const want = "creasewright make tray.star --set width=75"
	b.Wait(`document.getElementById("command").textContent === ` + browsertest.Quote(want))
	for _, what := range []string{"clipboard-read", "clipboard-write"} {
		b.Permit(s.URL(), what, "granted")
	}
	b.Click("#copy-command")
	b.Wait(`document.getElementById("say").textContent === "The command is on the clipboard."`)
	if got := browsertest.Eval[string](b, "navigator.clipboard.readText()"); got != want {
		t.Errorf("the clipboard has %q, want %q", got, want)
	}
	b.Permit(s.URL(), "clipboard-write", "denied")
	browsertest.Eval[bool](b, `(navigator.clipboard.writeText = () => Promise.reject(new Error("refused")), true)`)
	b.Click("#copy-command")
	b.Wait(`getSelection().toString() === ` + browsertest.Quote(want) + ` && document.activeElement.id === "command"`)
}

// Where less motion is asked for the fold goes from end to end at once and not through its stops.
func TestLessMotion(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	b.Prefer("prefers-reduced-motion", "reduce")
	b.Wait(`document.getElementById("fold-play").textContent === "Other end"`)
	browsertest.Eval[bool](b, `(window.shares = [], creasewright.store.on("share", ({share}) => shares.push(share)), true)`)
	b.Click("#fold-play")
	b.WaitStop(0)
	b.Click("#fold-play")
	b.WaitStop(48)
	if got := browsertest.Eval[[]float64](b, "shares"); !slices.Equal(got, []float64{0, 1}) {
		t.Errorf("the fold went through %v, want its ends alone", got)
	}
	b.Prefer("prefers-reduced-motion", "no-preference")
	b.Wait(`document.getElementById("fold-play").textContent === "Fold to and fro"`)
	b.Click("#fold-play")
	b.Wait("shares.length > 4")
	b.Click("#fold-play")
	b.Wait(`document.getElementById("fold-play").textContent === "Fold to and fro"`)
}

// Those who hear the page are told of its parts by role and name.
func TestPageIsHeard(t *testing.T) {
	t.Parallel()
	_, b := show(t, held)
	set(b, `selection: {kind: "panel", index: 0, piece: 0}`)
	b.Wait(`document.querySelector("#folded canvas").getAttribute("aria-label") === "Folded piece tray, closed 100 %"`)
	var heard []string
	for _, want := range []string{
		"heading Tray with a pot", "heading Flat blank", "heading Folded piece", "heading Fold", "heading Found", "heading Script", "heading Sizes", "heading Files and print",
		"slider Fold, from flat to the pose", "group Poses", "button flat", "button closed", "button Fold to and fro",
		"application Flat blank of tray, 3 panels", "button Fit the whole blank", "button Larger", "button Smaller", "button Measure", "checkbox names", "checkbox marks",
		"image Folded piece tray, closed 100 %", "slider see through", "slider layers apart", "button front", "button whole", "button perspective", "checkbox contents", "button Describe",
		"region Findings and cautions", "region Script text", "button Copy command", "textbox Command that makes these sizes", "combobox Colours", "button Keys",
		`button panel "base", 60 × 40 mm`, "link Download tray.cut.svg", "link Skip to the fold",
	} {
		found := func() bool {
			return slices.ContainsFunc(heard, func(h string) bool { return strings.HasPrefix(h, want) })
		}
		if !found() {
			if heard = b.Heard(); !found() {
				t.Errorf("nothing is heard as %q", want)
			}
		}
	}
	if t.Failed() {
		t.Logf("heard: %q", heard)
	}
}
