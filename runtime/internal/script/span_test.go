package script

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// textOf cuts a span out of a text, by lines and code points.
func textOf(text string, s source.Span) string {
	lines := strings.Split(text, "\n")
	at := func(line, column int) int {
		n := 0
		for _, l := range lines[:line-1] {
			n += len(l) + 1
		}
		return n + len(string([]rune(lines[line-1])[:column-1]))
	}
	return text[at(s.Line, s.Column):at(s.EndLine, s.EndColumn)]
}

// A fault marks the smallest stretch of text that shows it. The marks are in
// «» here and taken out before the script runs.
func TestFaultsMarkWhatTheyAreAbout(t *testing.T) {
	for _, marked := range []string{
		"lid = «panel(\"lid\")»",
		"lid = panel(\"lid\", «rect(\"6\", 9)»)",
		"é = «rect(\n    5,\n)»",
		"hole = circle(18).«shift(1)»",
		"hole = (path(0, 0)\n    .line(9, 0)\n    .«line(9, 0)»)",
		"card = board(\"c\", 1)\nx = «card.span()»",
		"x = rect(1, 2).«aera»",
		"x = 1\ny = x.«foo»",
		"x = «1 + \"a\"»",
		"x = 2 * («1 + \"a\"»)",
		"x = «-\"a\"»",
		"x = «[1][2]»",
		"x = 5\n«x[0]» = 3",
		"x = 5\ny = «x»[0:2]",
		"«a, b = 5»",
		"«for x in 5»:\n    pass",
		"y = [x «for x in 5»]",
		"x = {1: 2, «[]: 3»}",
		"x = «unknown»",
		"x = «unknown».y",
		"x = 5 «mm»",
		"x = 5«mm»",
		"x = rect«(»1, 2",
		"x = [1, \"two\" «\"three\"»]",
		"if x «=» 5:\n    pass",
		"load(«\"none.star\"», \"x\")",
	} {
		text := strings.NewReplacer("«", "", "»", "").Replace(marked)
		want := marked[strings.Index(marked, "«")+len("«") : strings.Index(marked, "»")]
		_, fs := runText(text)
		if len(fs) == 0 {
			t.Errorf("%q: no fault", text)
			continue
		}
		site := fs[0].Site
		if got := textOf(text, site[len(site)-1]); got != want {
			t.Errorf("%q: %q is marked, not %q (%s)", text, got, want, fs[0].Message)
		}
	}
}

// randomCall writes a call of nested calls, spread over lines at random.
func randomCall(r *rand.Rand, depth int) string {
	gap := func() string { return []string{"", " ", "\n  ", " # é)\n"}[r.Intn(4)] }
	if depth == 0 {
		return []string{"5", "mm(5)", "\")\"", "(1)"}[r.Intn(4)]
	}
	parts := []string{[]string{"max", "größe", "(max)"}[r.Intn(3)], gap(), "("}
	for i := range 1 + r.Intn(3) {
		if i > 0 {
			parts = append(parts, ",")
		}
		parts = append(parts, gap(), randomCall(r, depth-1), gap())
	}
	return strings.Join(append(parts, ")"), "")
}

// Law: however a script is laid out, the span of a call runs from the first
// letter of what is called to its closing bracket, and its brackets balance.
func TestCallSpansLaw(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 300 {
		text := "größe = max\nx = (" + randomCall(r, 3) + ")\n"
		file, err := dialect.Parse("main.star", text, 0)
		if err != nil {
			t.Fatal(err)
		}
		for at, span := range spansOf("main.star", file) {
			if rune(textOf(text, source.Span{Line: int(at.line), Column: int(at.column), EndLine: int(at.line), EndColumn: int(at.column) + 1})[0]) != '(' {
				continue
			}
			call := textOf(text, span)
			_, open := openBracket(scanned(call))
			if open || !strings.HasSuffix(call, ")") || !startsWithCallee(call) {
				t.Errorf("in %q the bracket at %v marks %q", text, at, call)
			}
		}
	}
}

func startsWithCallee(call string) bool {
	for _, callee := range []string{"max", "größe", "(max)", "mm"} {
		if strings.HasPrefix(call, callee) {
			return true
		}
	}
	return false
}

// The site of what a function makes begins at the designer's own line.
func TestSiteFollowsTheCalls(t *testing.T) {
	d, fs := runText(`def wall(name):
    return panel(name, rect(60, 90))

def pair():
    return wall("one"), [wall(n) for n in ["two"]]

root, others = pair()
piece("card", root, board = board("card", caliper = 0.4))
`)
	if d == nil {
		t.Fatal(fs)
	}
	for i, want := range []string{"[main.star:7:16 main.star:5:12 main.star:2:12]", "[main.star:7:16 main.star:5:26 main.star:2:12]"} {
		if got := fmt.Sprint(d.Panels[i].Site); got != want {
			t.Errorf("%s: %s, not %s", d.Panels[i].Name, got, want)
		}
	}
}
