package diag

import (
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// scripts gives lines of made-up texts.
func scripts(texts map[string]string) func(string, int) string {
	return func(label string, line int) string {
		lines := strings.Split(texts[label], "\n")
		if line < 1 || line > len(lines) {
			return ""
		}
		return lines[line-1]
	}
}

func span(file string, line, column, endColumn int) source.Span {
	return source.Span{File: file, Line: line, Column: column, EndLine: line, EndColumn: endColumn}
}

func checkText(t *testing.T, style Style, f *Finding, want string) {
	t.Helper()
	if got := string(style.Text([]*Finding{f})); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestTextOfAFinding(t *testing.T) {
	style := Style{Line: scripts(map[string]string{
		"box.star":        "front = panel(\"front\", rect(58, 90))\nlid = tuck(\"lid\", on = front.top)",
		"//closures.star": "\n\n    return panel(name, rect(60, 20), on = on)",
	})}
	f := (&Finding{
		Rule: "edge-length", Severity: Error,
		Message: `panel "lid": edge "bottom" is 60.00 mm, the hinge edge front.top is 58.00 mm`,
		Site:    source.Site{span("box.star", 2, 7, 34), span("//closures.star", 3, 12, 46)},
		Related: []Related{{span("box.star", 1, 9, 37), "front is made here"}},
	}).WithHint("make the lid %d mm wide", 58)
	checkText(t, style, f, `box.star:2:7: error: panel "lid": edge "bottom" is 60.00 mm, the hinge edge front.top is 58.00 mm (edge-length)
     2 | lid = tuck("lid", on = front.top)
       |       ^^^^^^^^^^^^^^^^^^^^^^^^^^^
  //closures.star:3:12: inside this library call
     3 |     return panel(name, rect(60, 20), on = on)
       |            ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
  box.star:1:9: front is made here
     1 | front = panel("front", rect(58, 90))
       |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^
  hint: make the lid 58 mm wide
`)
}

func TestTextWithoutAPlaceOrALine(t *testing.T) {
	checkText(t, Style{}, &Finding{Rule: RuleScript, Severity: Error, Message: "no such parameter"},
		"error: no such parameter\n")
	checkText(t, Style{}, &Finding{Rule: "r", Severity: Warning, Message: "m", Site: source.Site{span("a.star", 1, 1, 2)}},
		"a.star:1:1: warning: m (r)\n")
	checkText(t, Style{Line: scripts(nil)}, &Finding{Rule: "r", Message: "m", Site: source.Site{{File: "a.star"}}},
		"a.star: note: m (r)\n")
}

func TestFindingsStandApart(t *testing.T) {
	a := &Finding{Rule: RuleScript, Severity: Error, Message: "one"}
	b := &Finding{Rule: RuleScript, Severity: Error, Message: "two"}
	if got := string(Style{}.Text([]*Finding{a, b})); got != "error: one\n\nerror: two\n" {
		t.Errorf("got %q", got)
	}
	if got := (Style{}).Text(nil); len(got) != 0 {
		t.Errorf("no findings give %q", got)
	}
}

// Names come from scripts, and scripts come from others: nothing in them may
// reach the terminal as a command or turn the writing round.
func TestHostileNamesAreShownEscaped(t *testing.T) {
	hostile := "a\x1b[31mb\r\u202ec\u2066d\u200be\nf\x00g\u2028h\x9bi\u00adj\xffk"
	f := &Finding{Rule: RuleScript, Severity: Error, Message: hostile, Hint: hostile,
		Site:    source.Site{span("a"+hostile+".star", 1, 1, 9)},
		Related: []Related{{span(hostile, 1, 1, 2), hostile}}}
	style := Style{Line: func(string, int) string { return hostile }}
	text := string(style.Text([]*Finding{f}))
	for _, r := range text {
		if r != '\n' && unprintable(r) {
			t.Errorf("%U reaches the terminal in %q", r, text)
		}
	}
	const want = `a\x1b[31mb\x0d\u{202e}c\u{2066}d\u{200b}e\nf\x00g\u{2028}h\u{fffd}i\u{ad}j\u{fffd}k`
	if got := Printable(hostile); got != want {
		t.Errorf("printable gives %s\nwant %s", got, want)
	}
	if got := strings.Count(text, "\n"); got != 7 {
		t.Errorf("%d lines, want 7:\n%s", got, text)
	}
}

func TestColourOnlyWhenAsked(t *testing.T) {
	f := (&Finding{Rule: "r", Severity: Warning, Message: "m", Site: source.Site{span("a.star", 1, 1, 2)}}).WithHint("h")
	line := func(string, int) string { return "x" }
	with := string(Style{Line: line, Colour: true}.Text([]*Finding{f}))
	without := string(Style{Line: line}.Text([]*Finding{f}))
	if strings.Contains(without, "\x1b") || !strings.Contains(with, "\x1b[1;33mwarning:\x1b[0m") {
		t.Errorf("with colour %q, without %q", with, without)
	}
	bare := with
	for _, p := range []paint{bold, red, yellow, magenta, "0"} {
		bare = strings.ReplaceAll(bare, "\x1b["+string(p)+"m", "")
	}
	if bare != without {
		t.Errorf("colour changes the text: %q and %q", bare, without)
	}
}

// Characters that a terminal would obey are escaped wherever they stand.
func TestPrintableFromTheFirstCharacter(t *testing.T) {
	for s, want := range map[string]string{"\x1b": `\x1b`, "\x1ba": `\x1ba`, "a\x1b": `a\x1b`, "plain é": "plain é", "": "", "a\tb\x7f": `a\tb\x7f`, "a\u0080": `a\u{80}`} {
		if got := Printable(s); got != want {
			t.Errorf("%q: %s, want %s", s, got, want)
		}
	}
}

// A spot that two notes of one finding share is quoted once, be it the
// finding's own or another one.
func TestSpotsAreQuotedOnce(t *testing.T) {
	at := source.Span{File: "box.star", Line: 1, Column: 1, EndLine: 1, EndColumn: 4}
	f := &Finding{Rule: "r", Severity: Error, Site: source.Site{at}, Message: "first", Related: []Related{{at, "second"}, {at, "third"}}}
	got := string(Style{Line: func(string, int) string { return "tab(1)" }}.Text([]*Finding{f}))
	want := "box.star:1:1: error: first (r)\n     1 | tab(1)\n       | ^^^\n  box.star:1:1: second\n  box.star:1:1: third\n"
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	other := source.Span{File: "box.star", Line: 2, Column: 1, EndLine: 2, EndColumn: 4}
	f.Related = []Related{{other, "second"}, {other, "third"}}
	got = string(Style{Line: func(string, int) string { return "tab(1)" }}.Text([]*Finding{f}))
	want = "box.star:1:1: error: first (r)\n     1 | tab(1)\n       | ^^^\n  box.star:2:1: second\n     2 | tab(1)\n       | ^^^\n  box.star:2:1: third\n"
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}
