package diag

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// The carets must stand under the marked characters whatever comes before
// them: tabs, wide characters, combining marks.
func TestCaretsStandUnderTheSpan(t *testing.T) {
	for _, c := range []struct{ name, line, marked, want string }{
		{"plain", `x = rct(1)`, "rct", "     1 | x = rct(1)\n       |     ^^^\n"},
		{"tab", "\tx = rct(1)", "rct", "     1 |     x = rct(1)\n       |         ^^^\n"},
		{"east Asian wide", `茶 = rct(1)`, "rct", "     1 | 茶 = rct(1)\n       |      ^^^\n"},
		{"wide and marked", `rct("茶箱")`, `"茶箱"`, "     1 | rct(\"茶箱\")\n       |     ^^^^^^\n"},
		{"emoji", `panel("🎁", rct)`, "rct", "     1 | panel(\"🎁\", rct)\n       |             ^^^\n"},
		{"joined emoji", `panel("👩‍👩‍👧", rct)`, "rct", "     1 | panel(\"👩‍👩‍👧\", rct)\n       |             ^^^\n"},
		{"combining", "panel(\"e\u0301\", rct)", "rct", "     1 | panel(\"e\u0301\", rct)\n       |            ^^^\n"},
	} {
		column := 1 + len([]rune(c.line[:strings.Index(c.line, c.marked)]))
		at := span("a.star", 1, column, column+len([]rune(c.marked)))
		var out strings.Builder
		Style{Line: scripts(map[string]string{"a.star": c.line})}.excerpt(&out, at, plain)
		if out.String() != c.want {
			t.Errorf("%s: got\n%swant\n%s", c.name, out.String(), c.want)
		}
	}
}

func TestSpansThatLeaveTheirLine(t *testing.T) {
	line := scripts(map[string]string{"a.star": "x = panel(\n  1)\n\n"})
	for _, c := range []struct {
		name string
		at   source.Span
		want string
	}{
		{"over several lines", source.Span{File: "a.star", Line: 1, Column: 5, EndLine: 2, EndColumn: 4}, "     1 | x = panel(\n       |     ^^^^^^\n"},
		{"no end", source.Span{File: "a.star", Line: 1, Column: 5}, "     1 | x = panel(\n       |     ^\n"},
		{"past the end", span("a.star", 1, 90, 95), "     1 | x = panel(\n       |           ^\n"},
		{"empty line", span("a.star", 3, 1, 1), ""},
		{"no such line", span("a.star", 30, 1, 1), ""},
	} {
		var out strings.Builder
		Style{Line: line}.excerpt(&out, c.at, plain)
		if out.String() != c.want {
			t.Errorf("%s: got\n%swant\n%s", c.name, out.String(), c.want)
		}
	}
}

// excerptOf is what is shown of a line and the row of carets below it.
func excerptOf(text string, at source.Span, columns int) (line, carets string) {
	var out strings.Builder
	Style{Line: scripts(map[string]string{"a.star": text}), Width: columns}.excerpt(&out, at, plain)
	line, carets, _ = strings.Cut(out.String(), "\n")
	return line, strings.TrimSuffix(carets, "\n")
}

// A line of thousands of characters shows the spot and its surroundings.
func TestLongLinesAreShownRoundTheSpot(t *testing.T) {
	text := strings.Repeat("a", 5000) + "HERE" + strings.Repeat("b", 5000)
	line, carets := excerptOf(text, span("a.star", 1, 5001, 5005), 40)
	const want = "     1 | …" + "aaaaaaaaaaaaaaaaa" + "HERE" + "bbbbbbbb" + "…"
	if line != want || carets != "       | "+strings.Repeat(" ", 18)+"^^^^" {
		t.Errorf("got\n%s\n%s\nwant\n%s", line, carets, want)
	}
	line, carets = excerptOf(text, span("a.star", 1, 4999, 9000), 40)
	if !strings.HasSuffix(line, "aaHERE"+strings.Repeat("b", 16)+"…") || !strings.HasSuffix(carets, strings.Repeat("^", 23)) {
		t.Errorf("got\n%s\n%s", line, carets)
	}
}

// The law of excerpts, for lines of random characters and spots anywhere in them: no
// line is wider than the terminal, or than 100 columns where its width is unknown; the
// carets stand under the whole spot, or under its beginning and an ellipsis where it is
// wider than the room there is; and what is shown beside it is what stands there.
func TestExcerptsNeverCutTheSpotOff(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	clusters := []string{"a", "b", "(", " ", "\t", "茶", "箱", "é", "e\u0301", "o\u0308\u0323", "🎁", "👩\u200d👩\u200d👧", "🇳🇿", "\u202e", "\x1b", "ก็", "한", "\u00a0"}
	for range 4000 {
		var text strings.Builder
		starts := []int{0} // of each cluster and of the end, in code points
		for range 1 + r.IntN(260) {
			c := clusters[r.IntN(len(clusters))]
			text.WriteString(c)
			starts = append(starts, starts[len(starts)-1]+len([]rune(c)))
		}
		if strings.TrimSpace(text.String()) == "" {
			continue
		}
		from := r.IntN(len(starts) - 1)
		to := from + 1 + r.IntN(min(len(starts)-1-from, 1+r.IntN(200)))
		columns := []int{0, 40, 60, 80, 100, 132}[r.IntN(6)]
		line, carets := excerptOf(text.String(), span("a.star", 1, starts[from]+1, starts[to]+1), columns)
		if columns == 0 {
			columns = 100
		}
		runes := []rune(text.String())
		spot := visible(runes[starts[from]:starts[to]])
		before, after := visible(runes[:starts[from]]), visible(runes[starts[to]:])
		shownBefore, marked, shownAfter := under(line, carets)
		begin, cutSpot := strings.CutSuffix(marked, ellipsis)
		endOf, cutBefore := strings.CutPrefix(shownBefore, ellipsis)
		beginOf, cutAfter := strings.CutSuffix(shownAfter, ellipsis)
		room := columns - len("     1 | ") - min(1, width(before)) - min(1, width(after))
		switch {
		case width(line) > columns || width(carets) > columns:
			t.Errorf("%d columns:\n%s\n%s", columns, line, carets)
		case width(spot) <= room && marked != spot:
			t.Errorf("spot %q is not whole:\n%s\n%s", spot, line, carets)
		case width(spot) > room && !(cutSpot && begin != "" && strings.HasPrefix(spot, begin)):
			t.Errorf("not the beginning of spot %q:\n%s\n%s", spot, line, carets)
		case !strings.HasSuffix(before, endOf) || !cutBefore && shownBefore != before:
			t.Errorf("before the spot stands %q:\n%s\n%s", before, line, carets)
		case !cutSpot && (!strings.HasPrefix(after, beginOf) || !cutAfter && shownAfter != after):
			t.Errorf("after the spot stands %q:\n%s\n%s", after, line, carets)
		}
	}
}

// under takes a line of an excerpt apart by the carets below it.
func under(line, carets string) (before, marked, after string) {
	const gutter = len("     1 | ")
	from := strings.IndexByte(carets, '^')
	for _, c := range cellsOf(line[gutter:]) {
		switch at := width(line[:gutter] + before + marked + after); {
		case at < from:
			before += c.text
		case at < len(carets) && after == "":
			marked += c.text
		default:
			after += c.text
		}
	}
	return before, marked, after
}
