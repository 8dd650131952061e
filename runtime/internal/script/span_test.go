package script

import (
	"context"
	"fmt"
	"math/rand"
	"reflect"
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

// reaching runs texts and gives the places it came to.
func reaching(f files) (places []string) {
	Run(context.Background(), f.store(), "main.star", Options{Reached: func(at source.Site) {
		var all []string
		for _, s := range at {
			all = append(all, s.String())
		}
		places = append(places, strings.Join(all, " > "))
	}})
	return places
}

func TestEveryStatementIsReached(t *testing.T) {
	got := reaching(files{
		"main.star": `"""Title"""
load("part.star", "double")

def two(x):
    """Says what it does."""
    return double(x)

for i in range(2):
    if i == 0:
        pass
    else:
        two(i)
`,
		"part.star": "def double(x):\n    y = x\n    return y + y\n",
	})
	want := []string{
		"main.star", "main.star:2:6", // the file itself, then what to load
		"main.star:2:6 > part.star", "main.star:2:6 > part.star:1:1",
		"main.star:4:1", "main.star:8:1",
		"main.star:9:5", "main.star:10:9",
		"main.star:9:5", "main.star:12:9", "main.star:6:5",
		"main.star:6:5 > part.star:2:5", "main.star:6:5 > part.star:3:5",
	}
	for i := range want {
		want[i] = strings.Replace(want[i], "main.star:2:6", "main.star:2:1", 1)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Law: whether anyone watches makes no difference to what comes of a script.
func TestWatchingChangesNothing(t *testing.T) {
	r := rand.New(rand.NewSource(23))
	texts := []string{sleeveScript}
	for _, w := range Words() {
		texts = append(texts, w.Example)
	}
	sound := 0
	for i := range 1000 {
		text := texts[i%len(texts)]
		if i >= len(texts) {
			text = spoil(r, text)
		}
		// Marks are steps too, so the runaway loops among them are left out.
		plain, alone := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{Limits: steps(1_000_000)})
		seen := 0
		watched, told := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{
			Limits: steps(4_000_000), Reached: func(source.Site) { seen++ },
		})
		if fmt.Sprint(alone) != fmt.Sprint(told) || (plain == nil) != (watched == nil) {
			t.Fatalf("%q: %v, watched %v", text, alone, told)
		}
		if plain != nil {
			sound++
			if !reflect.DeepEqual(plain.Panels, watched.Panels) || !reflect.DeepEqual(plain.Pieces, watched.Pieces) {
				t.Errorf("%q: another design when watched", text)
			}
			if seen < 2 {
				t.Errorf("%q: only %d places were reached", text, seen)
			}
		}
	}
	if sound < 100 {
		t.Errorf("only %d sound scripts", sound)
	}
}
