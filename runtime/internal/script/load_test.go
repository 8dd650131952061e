package script

import (
	"context"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

func TestFullLabel(t *testing.T) {
	for _, c := range []struct{ from, label, want string }{
		{"main.star", "parts.star", "parts.star"},
		{"main.star", "parts/lids.star", "parts/lids.star"},
		{"parts/lids.star", "locks.star", "parts/locks.star"},
		{"main.star", "//closures.star", "//closures.star"},
		{"//closures.star", "tubes.star", "//tubes.star"},
		{"//deep/closures.star", "tubes.star", "//deep/tubes.star"},
		{"@shelf//lids.star", "locks.star", "@shelf//locks.star"},
		{"@shelf//lids.star", "//closures.star", "//closures.star"},
		{"main.star", "..star", "..star"}, // an odd name, but it leads nowhere
	} {
		got, fault := fullLabel(c.from, c.label)
		if fault != nil || got != c.want {
			t.Errorf("%s from %s: %s %v, not %s", c.label, c.from, got, fault, c.want)
		}
	}
}

// A module is run once, however many files load it, and the record of reads
// says what was looked for.
func TestModulesRunOnce(t *testing.T) {
	store := files{
		"main.star": `load("a.star", "size", also = "label")
load("b.star", "twice")
piece("card", panel("card", rect(size, twice)), board = board(also, caliper = 0.4))
`,
		"a.star": "print(\"a runs\")\nsize = 60\nlabel = \"card\"\n",
		"b.star": "load(\"a.star\", \"size\")\ntwice = 2 * size\n",
	}.store()
	var lines []string
	d, fs := Run(context.Background(), store, "main.star", Options{Print: func(l string) { lines = append(lines, l) }})
	if d == nil {
		t.Fatal(fs)
	}
	if !slices.Equal(lines, []string{"a runs"}) {
		t.Errorf("printed %q", lines)
	}
	if b := d.Panels[0].Outline.Bounds(); b.Width() != 60 || b.Height() != 120 {
		t.Errorf("the panel is %v", b)
	}
	want := []source.Read{{Label: "a.star"}, {Label: "b.star"}, {Label: "main.star"}}
	if got := store.Reads(); !slices.Equal(got, want) {
		t.Errorf("read %v", got)
	}
}

// What a loaded file makes is sited at the designer's line and then its own.
func TestSiteReachesIntoModules(t *testing.T) {
	store := files{
		"main.star": "load(\"lib.star\", \"card\")\nroot = card(\"card\")\n" +
			"piece(\"card\", root, board = board(\"card\", caliper = 0.4))\n",
		"lib.star": "def card(name):\n    return panel(name, rect(60, 90))\n",
	}.store()
	d, fs := Run(context.Background(), store, "main.star", Options{})
	if d == nil {
		t.Fatal(fs)
	}
	site := d.Panels[0].Site
	if site.First().String() != "main.star:2:8" || len(site.Inner()) != 1 || site.Inner()[0].String() != "lib.star:2:12" {
		t.Errorf("made at %v", site)
	}
}
