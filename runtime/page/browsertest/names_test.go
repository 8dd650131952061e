package browsertest_test

import (
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// Every name in the folded picture lies on its own panel: what is pointed at there is that panel.
func TestNamesLieOnTheirPanels(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	b := s.open()
	b.Pose("closed")
	b.Wait(`document.querySelector("#folded .names span.shown")`)
	type name struct {
		Panel int
		At    browsertest.Point
	}
	names := browsertest.Eval[[]name](b, `[...document.querySelectorAll("#folded .names span.shown")].map(el => {
		const r = el.getBoundingClientRect();
		return {Panel: Number(el.dataset.named), At: {X: r.x + r.width / 2, Y: r.y + r.height / 2}};
	})`)
	if len(names) < 2 {
		t.Errorf("%d names", len(names))
	}
	for _, n := range names {
		b.ClickAt(n.At)
		b.Wait(fmt.Sprintf(`(s => s?.kind === "panel" && s.index === %d)(%s.selection)`, n.Panel, browsertest.State))
	}
}

// A finding whose place lies in another panel than the one it names first stands on the panel that
// holds the place; one whose place no board holds stands on the panel it names.
func TestFindingsStandWhereTheirPlaceIs(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	got := browsertest.Eval[[]int](b, fmt.Sprintf(`(async () => {
		const [{createScene}, g] = await Promise.all([import("./a/scene.js"), import("./a/geometry.js")]);
		const model = await (await fetch("data/" + %s.scripts[0].digest)).json();
		const {panels} = model.pieces[0];
		const middle = g.apply6(panels[1].flat, createScene(model, 0, 1).middle(1));
		model.findings = [middle, [1e4, 1e4], null].map(at => ({piece: 0, panel: 0, at, related: [], severity: "error", number: 1}));
		return createScene(model, 0, 1).spots.map(s => s.panel);
	})()`, browsertest.State))
	if fmt.Sprint(got) != "[1 0 0]" {
		t.Errorf("marks stand on panels %v, want [1 0 0]", got)
	}
}

// Shift and arrows walk the folded piece as they do the blank, and Enter selects.
func TestKeysWalkTheFoldedPiece(t *testing.T) {
	t.Parallel()
	_, b := show(t, tray)
	b.Slide(24)
	press := func(key string) {
		browsertest.Eval[bool](b, fmt.Sprintf(`document.querySelector("#folded canvas").dispatchEvent(
			new KeyboardEvent("keydown", {key: %q, shiftKey: %q !== "Enter", bubbles: true, cancelable: true}))`, key, key))
	}
	at := func(kind string, index int) {
		t.Helper()
		b.Wait(fmt.Sprintf(`(s => s?.kind === %q && s.index === %d)(%s.hover)`, kind, index, browsertest.State))
	}
	b.Hover(browsertest.Point{X: 1, Y: 1})
	press("ArrowRight")
	at("panel", 0)
	press("ArrowRight")
	at("panel", 1)
	press("ArrowDown")
	at("window", 0)
	press("ArrowDown")
	at("hinge", 0)
	press("ArrowUp")
	at("window", 0)
	press("Enter")
	b.Wait(fmt.Sprintf(`%s.selection?.kind === "window"`, browsertest.State))
	waitLine(b, lineOf(t, tray, `base.cut(circle(5)`), `base.cut(circle(5)`)
}
