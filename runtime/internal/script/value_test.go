package script

import (
	"slices"
	"strings"
	"testing"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/model"
)

// values runs a script and gives its globals.
func values(t *testing.T, text string) starlark.StringDict {
	t.Helper()
	h := newHost(files{"main.star": text}.store(), "main.star", Options{})
	globals, err := h.exec(h.thread(Options{}), "main.star")
	if err != nil {
		t.Fatal(h.explain(err))
	}
	return globals
}

const everyValue = `
card = board("card", caliper = 0.4, gsm = 250)
base = panel("base", rect(60, 90))
lid = panel("lid", rect(60, 90), on = base.top)
window = base.cut(rect(20, 10).shift(5, 5))
slit = path(1, 2).line(3, 4)
start = path(1, 2)
outline = rect(60, 90)
fold_in = free("in")
fold_out = free("out")
candle = cylinder(70, 110)
edge = base.top
stretch = base.top.part(10, 30.5)
hole = window.top
loose = outline.edge("left")
word = rect
method = base.cut
`

// Every value prints so that a designer recognises it, and a message names it
// so that it reads aloud.
func TestValuesReadable(t *testing.T) {
	g := values(t, everyValue)
	for name, want := range map[string][2]string{
		"card":     {`board("card")`, `the board "card"`},
		"base":     {`panel("base")`, `the panel "base"`},
		"window":   {`opening in panel("base")`, `the opening in panel "base"`},
		"slit":     {`path(e0; 2 × 2)`, `a path that is not closed`},
		"start":    {`path(1, 2)`, `a path that is not closed`},
		"outline":  {`outline(bottom right top left; 60 × 90)`, `an outline`},
		"fold_in":  {`free("in")`, `a free fold`},
		"fold_out": {`free("out")`, `a free fold`},
		"candle":   {`cylinder(70, 110)`, `a cylinder`},
		"edge":     {`base.top`, `the edge base.top`},
		"stretch":  {`base.top.part(10, 30.5)`, `the edge base.top.part(10, 30.5)`},
		"hole":     {`base opening.top`, `the edge base opening.top`},
		"loose":    {`left`, `the edge left`},
		"word":     {`<built-in function rect>`, `the word rect itself`},
		"method":   {`<built-in function cut>`, `the word cut itself`},
	} {
		v := g[name]
		if v.String() != want[0] || describe(v) != want[1] {
			t.Errorf("%s: prints %s, is %s", name, v, describe(v))
		}
		if v.Truth() != starlark.True {
			t.Errorf("%s is false", name)
		}
		if _, err := v.Hash(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		v.Freeze()
	}
}

func TestDescribePlainValues(t *testing.T) {
	for want, v := range map[string]starlark.Value{
		"None":              starlark.None,
		"True":              starlark.True,
		"the number 12.5":   starlark.Float(12.5),
		"the number 12":     starlark.MakeInt(12),
		`a string, "90"`:    starlark.String("90"),
		"a list of 0 items": starlark.NewList(nil),
		"a tuple of 1 item": starlark.Tuple{starlark.None},
		"a dict":            starlark.NewDict(0),
		"a set":             starlark.NewSet(0),
		"a bytes":           starlark.Bytes("x"),
	} {
		if got := describe(v); got != want {
			t.Errorf("%s, not %s", got, want)
		}
	}
	if got := aOrAn("edge"); got != "an edge" {
		t.Error(got)
	}
}

// Values compare by what they are: a panel with itself, an outline with one
// of the same edges, an edge with the same stretch of the same edge.
func TestValuesCompare(t *testing.T) {
	g := values(t, everyValue+`
truths = [
    base == base, base != lid, base.top == base.top, base.top != lid.top, base.top != base.bottom,
    base.top.part(0, 60) == base.top, base.top.part(0, 5) != base.top,
    rect(60, 90) == outline, rect(60, 91) != outline, not rect(60, 90) != outline,
    polygon([(0, 0), (60, 0), (60, 90), (0, 90)]) != outline, path(1, 2) == start, path(1, 3) != start,
    fold_in == fold_in, fold_in != free("in"), cylinder(70, 110) == candle, card == card, window == window,
    hole == window.top, hole != base.top, base.edge("top") == base.top, window.edge("top") == hole,
]
seen = {base: 1, base.top: 2, outline: 3}
found = seen[base] + seen[base.top] + seen[rect(60, 90)]
`)
	list := g["truths"].(*starlark.List)
	for i := range list.Len() {
		if list.Index(i) != starlark.True {
			t.Errorf("truth %d does not hold", i)
		}
	}
	if g["found"].String() != "6" {
		t.Errorf("found %s", g["found"])
	}
}

// What a value lists is what it has.
func TestAttributesListedAndThere(t *testing.T) {
	for name, v := range values(t, everyValue) {
		has, ok := v.(starlark.HasAttrs)
		if !ok {
			continue
		}
		for _, attr := range has.AttrNames() {
			if got, err := has.Attr(attr); got == nil || err != nil {
				t.Errorf("%s.%s: %v", name, attr, err)
			}
		}
		if _, err := has.Attr("no such thing"); err == nil {
			t.Errorf("%s has everything", name)
		}
	}
}

func TestEdgeFigures(t *testing.T) {
	g := values(t, everyValue+`
lengths = (edge.length, stretch.length, hole.length, loose.length)
ends = (edge.start, edge.end, base.right.start, stretch.start, stretch.end, hole.start, hole.end, loose.part(10, 20).start)
names = (edge.name, edge.panel.name, hole.panel.name, loose.panel)
figures = (card.name, card.kind, card.caliper, card.gsm, card.grain, base.name)
shapes = (outline.area, outline.length, outline.bounds, slit.bounds, start.bounds)
`)
	for name, want := range map[string]string{
		"lengths": `(60.0, 20.5, 20.0, 90.0)`,
		// Seen from the panel looking out over its top, left is left. Looking
		// out over its right, left is the top. Looking into the opening over
		// its top edge from the board above it, left is its right-hand end.
		"ends":    `((0.0, 90.0), (60.0, 90.0), (60.0, 90.0), (10.0, 90.0), (30.5, 90.0), (25.0, 15.0), (5.0, 15.0), (0.0, 10.0))`,
		"names":   `("top", "base", "base", None)`,
		"figures": `("card", "card", 0.4, 250.0, None, "base")`,
		"shapes":  `(5400.0, 300.0, (0.0, 0.0, 60.0, 90.0), (1.0, 2.0, 3.0, 4.0), (1.0, 2.0, 1.0, 2.0))`,
	} {
		if got := g[name].String(); got != want {
			t.Errorf("%s: %s, not %s", name, got, want)
		}
	}
}

// Edges may not take the panel's own words, and the model knows them all.
func TestPanelWordsAgree(t *testing.T) {
	have := vocabulary().members("panel")
	slices.Sort(have)
	want := model.PanelWords()
	slices.Sort(want)
	if !slices.Equal(have, want) {
		t.Errorf("the table has %s, the model %s", strings.Join(have, " "), strings.Join(want, " "))
	}
}
