package script

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
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

const onePiece = `piece("card", panel("card", rect(60, 90)), board = board("card", caliper = 0.4))` + "\n"

// How a text is stored makes no difference to what it says: with a byte-order
// mark, with the line ends of any system.
func TestTextsOfAnySystem(t *testing.T) {
	unix := "# one\n\n" + onePiece
	for name, text := range map[string]string{
		"LF":              unix,
		"CR LF":           strings.ReplaceAll(unix, "\n", "\r\n"),
		"byte-order mark": "\ufeff" + unix,
		"no last line":    strings.TrimSuffix(unix, "\n"),
	} {
		d, fs := runText(text)
		for _, f := range fs {
			t.Errorf("%s: %v", name, f)
		}
		if d == nil {
			continue
		}
		want := source.Span{File: "main.star", Line: 3, Column: 15, EndLine: 3, EndColumn: 42}
		if got := d.Panels[0].Site.First(); got != want {
			t.Errorf("%s: the panel is at %+v", name, got)
		}
	}
}

// What is no text is told with its line and column, in code points.
func TestBadBytes(t *testing.T) {
	for _, c := range []struct {
		text, place, message string
	}{
		{"a = 1\n# é\x00\n", "main.star:2:4", "there is a NUL character here"},
		{"\x00", "main.star:1:1", "there is a NUL character here"},
		{"a = 1\r\nb = \"caf\xe9\"\r\n", "main.star:2:9", "the byte 0xE9 here is not UTF-8 text"},
		{"\ufeff\xff", "main.star:1:1", "the byte 0xFF here is not UTF-8 text"},
		{"a\rb\xed\xa0\x80", "main.star:2:2", "the byte 0xED here is not UTF-8 text"}, // half of a surrogate pair
	} {
		_, fs := runText(c.text)
		if len(fs) != 1 || fs[0].Message != c.message || fs[0].Site.First().String() != c.place {
			t.Errorf("%q: %v", c.text, fs)
		}
	}
	// U+FFFD itself is a character like any other.
	if _, fs := runText("# \ufffd\n" + onePiece); len(fs) > 0 {
		t.Error(fs[0])
	}
}

func TestTextsThatCannotBeHad(t *testing.T) {
	long := "#" + strings.Repeat("x", MaxText)
	for want, read := range map[string]source.Reader{
		`"main.star" is 257 KB long; a script may be 256 KB`: func(string) ([]byte, error) { return []byte(long), nil },
		`"main.star" cannot be read: the disk is on fire`:    func(string) ([]byte, error) { return nil, errors.New("the disk is on fire") },
		`there is no file "main.star"`:                       func(string) ([]byte, error) { return nil, fmt.Errorf("x: %w", source.ErrAbsent) },
	} {
		_, fs := Run(context.Background(), source.NewStore(read), "main.star", Options{})
		if len(fs) != 1 || fs[0].Message != want || fs[0].Site.First() != (source.Span{File: "main.star"}) {
			t.Errorf("want %s, got %v", want, fs)
		}
	}
}

func TestQuoteAndList(t *testing.T) {
	if got := quote(strings.Repeat("é", 100)); got != `"`+strings.Repeat("é", 59)+`…"` {
		t.Error(got)
	}
	for want, words := range map[string][]string{"": nil, "a": {"a"}, "a and b": {"a", "b"}, "a, b and c": {"a", "b", "c"}} {
		if got := list(words, "and"); got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}
