package browsertest_test

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// set changes the page's state.
func set(b *browsertest.Tab, patch string) {
	browsertest.Eval[bool](b, "(creasewright.store.set({"+patch+"}), true)")
}

// A window across a crease is outlined on both sides of it, each part in its own panel: together
// they are as long as the window's outline, and none reaches beyond the crease.
func TestWindowAcrossACrease(t *testing.T) {
	t.Parallel()
	_, b := show(t, strings.Replace(tray, "base.cut(circle(5).shift(30, 20))", "", 1)+"base.cut(circle(10).shift(30, 38))\n")
	type part struct {
		Panel       int
		Length, Far float64 // mm; how far from the panel's own side of the crease
	}
	parts := browsertest.Eval[[]part](b, `(async () => {
		const { createScene } = await import("./a/scene.js");
		return createScene(`+browsertest.State+`.model, 0, 0.1).threads.filter(t => t.item.kind === "window").map(({panel, points}) => ({
			Panel: panel,
			Length: points.slice(1).reduce((sum, [x, y], k) => sum + Math.hypot(x - points[k][0], y - points[k][1]), 0),
			Far: Math.max(...points.map(([, y]) => panel === 0 ? y - 40 : -y)),
		}));
	})()`)
	length := map[int]float64{}
	for _, p := range parts {
		length[p.Panel] += p.Length
		if p.Far > 0.01 {
			t.Errorf("a part of panel %d reaches %v mm beyond the crease", p.Panel, p.Far)
		}
	}
	// The crease is a chord 2 mm above the middle of a circle of radius 5 mm. Chords are a little
	// shorter than their arcs.
	above := 2 * 5 * math.Acos(2./5)
	if math.Abs(length[1]/above-1) > 0.02 || math.Abs(length[0]/(2*math.Pi*5-above)-1) > 0.02 || len(length) != 2 {
		t.Errorf("lengths by panel are %v, want %v on the upper", length, above)
	}
}

// The words of measures that lie close stand apart, with a line to where they belong.
func TestMeasuresStandApart(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	b.Click(`#flat .block button[aria-keyshortcuts="m"]`)
	on := b.Inside(`#flat path[data-panel="0"]`)
	for _, d := range []float64{0, 4, 8} {
		for _, x := range []float64{-60, 60} {
			b.ClickAt(browsertest.Point{X: on.X + x, Y: on.Y + d})
		}
	}
	b.Wait(`document.querySelectorAll("#flat .measure:not(.going) text").length === 3`)
	if over := browsertest.Eval[int](b, `(boxes => boxes.flatMap((a, i) => boxes.slice(i + 1).filter(b =>
		a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)).length)
		([...document.querySelectorAll("#flat .measure text")].map(t => t.getBoundingClientRect()))`); over > 0 {
		t.Errorf("%d pairs of words cover one another", over)
	}
	if lines := browsertest.Eval[int](b, `document.querySelectorAll("#flat .measure .leader").length`); lines == 0 {
		t.Error("no line leads from words to their measure")
	}
}

// misfit is a tube one of whose walls is 3 mm too wide.
const misfit = `front = panel("front", rect(60, 90))
right = panel("right", rect(33, 90), on = front.right)
back = panel("back", rect(60, 90), on = right.right)
left = panel("left", rect(30, 90), on = back.right)
tab("seam", on = front.left, depth = 12, to = left.right)
piece("sleeve", front, board = card)
`

// overlapping is a tray whose two walls share board at their corner.
const overlapping = `grey = board("greyboard", kind = "greyboard", caliper = 2)
floor = panel("floor", rect(120, 90))
flap("left", on = floor.left, depth = 40)
flap("top", on = floor.top, depth = 40)
piece("tray", floor, board = grey)
`

// A finding about two boards lights both of them in the folded view.
func TestFindingsLightAllTheirPanels(t *testing.T) {
	t.Parallel()
	_, b := show(t, overlapping)
	panels := browsertest.Eval[[]int](b, `(async () => {
		const { createScene } = await import("./a/scene.js");
		const { model } = `+browsertest.State+`;
		return createScene(model, 0, 0.1).spots.find(s => s.item.index === model.findings.findIndex(f => f.rule === "boards-overlap")).panels.sort();
	})()`)
	if !slices.Equal(panels, []int{1, 2}) {
		t.Errorf("a finding about panels 1 and 2 lights %v", panels)
	}
}

// A size that a hint proposes and that the script writes nowhere stands behind the call that made
// the panel, with its word.
func TestHintsOfUnwrittenSizes(t *testing.T) {
	t.Parallel()
	_, b := show(t, `grey = board("greyboard", caliper = 2)
base = panel("base", rect(100, 90))
panel("lip", rect(100, 33), on = base.top)
piece("tray", base, board = grey)
`)
	got := browsertest.Eval[[]string](b, `(async () => {
		const { cures } = await import("./a/hints.js");
		const model = structuredClone(`+browsertest.State+`.model);
		model.findings = [{number: 7, hint: 'depth = 30 for "lip" instead of 33 would put it right', piece: 0}];
		return cures(model).map(c => JSON.stringify([c.spot.line, c.spot.column, c.argument, c.wanted]));
	})()`)
	if want := []string{`[3,43,"",30]`}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Errors of a piece that is not shown are told with its name, and a click shows it.
func TestErrorsOfOtherPieces(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray+misfit)
	errors := browsertest.Eval[int](b, browsertest.State+`.model.findings.filter(f => f.severity === "error" && f.piece === 1).length`)
	if errors == 0 {
		t.Fatal("the second piece has no error")
	}
	told := fmt.Sprintf("%d error", errors)
	b.Wait(`(e => !e.hidden && e.textContent.startsWith(` + browsertest.Quote(told) + `) && e.textContent.includes("piece “sleeve”"))(document.getElementById("elsewhere"))`)
	b.Click("#elsewhere")
	b.Wait(browsertest.State + `.piece === 1 && ` + browsertest.State + `.selection.kind === "finding" && document.getElementById("elsewhere").hidden`)
}

// A blank so slender that its lines cannot be told apart is shown with its scale, and its width
// is offered: all of it, as far as the sheet reaches.
func TestSlenderBlanks(t *testing.T) {
	t.Parallel()
	for _, shape := range []string{"rect(4, 2000)", "rect(2000, 4)"} {
		_, b := show(t, "card = board(\"card\", caliper = 0.4)\nstrip = panel(\"strip\", "+shape+")\npiece(\"strip\", strip, board = card)\n")
		b.Wait(`/shown 1 : \d/.test(document.querySelector("#flat .caption").textContent)`)
		b.Click("#flat .corner button:not([hidden])")
		b.Wait(`(([v, s]) => Math.min(s.width / v.width, s.height / v.height) > 0.5 && s.left < v.right && s.right > v.left && s.top < v.bottom && s.bottom > v.top)
			(["#flat .view", "#flat .board"].map(q => document.querySelector(q).getBoundingClientRect()))`)
		b.Wait(`/shown \d.* : 1$/.test(document.querySelector("#flat .caption").textContent)`)
	}
	_, b := show(t, tray)
	if browsertest.Eval[bool](b, `[...document.querySelectorAll("#flat .corner button")].some(e => e.checkVisibility())`) {
		t.Error("a blank that is not slender is offered its width")
	}
}

// Sizes below the end of their card are counted there, and a click goes to them.
func TestSizesBelowAreTold(t *testing.T) {
	t.Parallel()
	var more strings.Builder
	for i := range 7 {
		fmt.Fprintf(&more, "more%d = param(\"more%d\", 5, min = 1, max = 9)\n", i, i)
	}
	_, b := show(t, strings.Replace(tray, "card =", more.String()+"card =", 1))
	const seen = `(card => [...document.querySelectorAll("#sizes .size")].filter(s => s.getBoundingClientRect().bottom <= card.bottom + 1).length)(document.getElementById("make").getBoundingClientRect())`
	b.Wait(`document.querySelector("#values .more").textContent === (8 - ` + seen + `) + " more sizes below ▾" && ` + seen + ` >= 3`)
	b.Click("#values .more")
	b.Wait(seen + ` > 4`)
	browsertest.Eval[bool](b, `(document.getElementById("make").scrollTo(0, 9999), true)`)
	b.Wait(`document.querySelector("#values .more").hidden`)
}

// Contents that the panels do not hold at some fold are said to be gone, with their figures; and
// where panels are named after sides, it is said whose sides are meant.
func TestWhatIsNotSeenIsTold(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	b := s.open()
	set(b, `selection: {kind: "contents", index: 0, piece: 0}`)
	b.Wait(`/^contents "tea pouch", 70/.test(document.querySelector("#folded .callout.picked").textContent)`)
	b.Slide(12)
	b.Wait(`document.querySelector("#folded .caption").textContent.includes("contents not held at this fold")`)
	b.Wait(`(w => w.includes("not shown at this fold") && w.includes("free round it"))(document.querySelector("#folded .callout.picked").textContent)`)
	b.Wait(`document.getElementById("folded-words").textContent.includes("Sides are those of the piece as it stands")`)
	b.Pose("closed")
	b.Wait(`document.querySelector('#folded [data-side="back"]').title.includes("facing there: “back”")`)
	b.Wait(`!document.querySelector("#folded .caption").textContent.includes("not held")`)
}

// At every step of the fold all of the piece is in the picture, until the user moves it.
func TestFoldingStaysInThePicture(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	b := s.open()
	for _, stop := range []int{48, 36, 24, 12, 0} {
		b.Slide(stop)
		b.Wait(fmt.Sprintf("Math.round(document.getElementById('folded').dataset.drawn * 48) === %d", stop))
		b.Frames(2)
		picture, _, err := image.Decode(bytes.NewReader(b.Part("#folded canvas")))
		if err != nil {
			t.Fatal(err)
		}
		r := picture.Bounds()
		ground, inside := picture.At(r.Min.X, r.Min.Y), 0
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				if picture.At(x, y) == ground {
					continue
				}
				if inside++; x < r.Min.X+4 || x >= r.Max.X-4 || y < r.Min.Y+4 || y >= r.Max.Y-4 {
					t.Fatalf("at %d/48 something is drawn at %d, %d, on the rim of %v", stop, x, y, r)
				}
			}
		}
		if inside < 1000 {
			t.Errorf("at %d/48 %d pixels are drawn", stop, inside)
		}
	}
}
