package script

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// spoil changes a text at a few places, the way slips of the hand do: a stretch
// left out, doubled, moved, or a sign put in.
func spoil(r *rand.Rand, text string) string {
	runes := []rune(text)
	for range 1 + r.Intn(3) {
		at := r.Intn(len(runes))
		to := min(len(runes), at+1+r.Intn(6))
		piece := runes[at:to:to]
		switch r.Intn(4) {
		case 0:
			runes = append(runes[:at:at], runes[to:]...)
		case 1:
			runes = append(append(runes[:to:to], piece...), runes[to:]...)
		case 2:
			other := r.Intn(len(runes))
			runes = append(append(runes[:other:other], piece...), runes[other:]...)
		default:
			sign := []rune("()[]{},.:=+-\"'#\n \té0x")[r.Intn(20)]
			runes = append(append(runes[:at:at], sign), runes[at:]...)
		}
		if len(runes) == 0 {
			return "x"
		}
	}
	return string(runes)
}

// Law: whatever becomes of a script, it gives a design or findings that point
// into it, each a message in one line that is no sentence of its own.
func TestSpoiltScriptsAreExplained(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	texts := []string{sleeveScript}
	for _, w := range Words() {
		texts = append(texts, w.Example)
	}
	for range 3000 {
		text := spoil(r, texts[r.Intn(len(texts))])
		store := files{"main.star": text}.store()
		d, fs := Run(t.Context(), store, "main.star", Options{Limits: steps(100_000)})
		if d == nil && len(fs) == 0 {
			t.Errorf("%q: no design and no finding", text)
		}
		for _, f := range fs {
			checkFinding(t, text, f)
		}
	}
}

func checkFinding(t *testing.T, text string, f *diag.Finding) {
	t.Helper()
	if strings.HasSuffix(f.Message, ".") && !strings.HasSuffix(f.Message, "..") {
		t.Errorf("%q: message %q", text, f.Message)
	}
	checkPlaces(t, text, f)
}

// checkPlaces checks that a finding has a message in one line and points into
// the text.
func checkPlaces(t *testing.T, text string, f *diag.Finding) {
	t.Helper()
	if f.Message == "" || strings.ContainsRune(f.Message, '\n') {
		t.Errorf("%q: message %q", text, f.Message)
	}
	if len(f.Site) == 0 {
		t.Errorf("%q: %q has no site", text, f.Message)
	}
	for _, s := range f.Site {
		if s.File == "main.star" && s.Known() && !within(text, s) {
			t.Errorf("%q: %q is at %+v", text, f.Message, s)
		}
	}
}

// within reports whether a span is one of the text; it may begin at the end of
// a line and end a column past it.
func within(text string, s source.Span) bool {
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	ordered := s.EndLine > s.Line || s.EndLine == s.Line && s.EndColumn > s.Column
	if s.Column < 1 || !ordered || s.EndLine > len(lines) {
		return false
	}
	return s.Column <= 1+len([]rune(lines[s.Line-1])) && s.EndColumn <= 2+len([]rune(lines[s.EndLine-1]))
}

// All unknown names of a file are told at once, each where it first stands.
func TestUnknownNamesAreToldTogether(t *testing.T) {
	_, fs := runText("a = one\nb = [two, one]\nc = two + three\n")
	var got []string
	for _, f := range fs {
		got = append(got, f.Site.First().String()+" "+f.Message)
	}
	want := "main.star:1:5 there is nothing called one, main.star:2:6 there is nothing called two, main.star:3:11 there is nothing called three"
	if strings.Join(got, ", ") != want {
		t.Errorf("%q", got)
	}
}

// Unknown names are told as they stand in the text, by line and then by column, though
// the language looks within functions first.
func TestUnknownNamesAreToldInOrder(t *testing.T) {
	_, fs := runText("a = one + (lambda: two)() + three\nb = four\ndef f():\n    return five\n")
	var got []string
	for _, f := range fs {
		got = append(got, strings.TrimPrefix(f.Message, "there is nothing called "))
	}
	if strings.Join(got, " ") != "one two three four five" {
		t.Errorf("%q", got)
	}
}

// Two numbers in a tuple are a number with a decimal comma where the second has no
// sign; a longer tuple, or another, is none.
func TestDecimalCommaInATuple(t *testing.T) {
	for _, c := range []struct {
		v    starlark.Tuple
		want string
	}{
		{starlark.Tuple{starlark.MakeInt(12), starlark.MakeInt(5)}, "numbers have a decimal point: 12.5"},
		{starlark.Tuple{starlark.MakeInt(-12), starlark.MakeInt(0)}, "numbers have a decimal point: -12.0"},
		{starlark.Tuple{starlark.MakeInt(12), starlark.MakeInt(-5)}, ""},
		{starlark.Tuple{starlark.MakeInt(12), starlark.Float(5)}, ""},
		{starlark.Tuple{starlark.String("12"), starlark.MakeInt(5)}, ""},
		{starlark.Tuple{starlark.MakeInt(12)}, ""},
		{starlark.Tuple{starlark.MakeInt(12), starlark.MakeInt(5), starlark.MakeInt(5)}, ""},
	} {
		if got := numberHint(c.v); got != c.want {
			t.Errorf("%v: %q", c.v, got)
		}
	}
}

// A name that is unknown twice is told once, with the same suggestion as ever.
func TestUnknownNamesAreToldOnce(t *testing.T) {
	_, fs := runText("width = 1\n" + strings.Repeat("x = widht0 + widht1\n", 3) + "y = widht2\n")
	if len(fs) != 3 || fs[1].Site.First().String() != "main.star:2:14" || fs[2].Site.First().Line != 5 || fs[2].Hint != "did you mean width?" {
		t.Errorf("%v", fs)
	}
}

// Of thousands of unknown names each is told, those within functions too, and
// only the first ones are compared with all that is known.
func TestManyUnknownNames(t *testing.T) {
	var text strings.Builder
	const n = 3000
	for i := range n {
		fmt.Fprintf(&text, "known%d = 1\ndef f%d():\n    return [knwon%d, g] # g comes later\n", i, i, i)
	}
	text.WriteString("g = late\nlate = 1\n")
	_, fs := runText(text.String())
	if len(fs) != n+1 || fs[n].Message != "late is used before it is given a value" {
		t.Fatalf("%d findings, the last %v", len(fs), fs[len(fs)-1])
	}
	for i, f := range fs[:n] {
		if f.Message != fmt.Sprintf("there is nothing called knwon%d", i) || f.Site.First().Line != 3*i+3 || strings.Contains(f.Hint, "did you mean") != (i < mostSuggestions) {
			t.Fatalf("finding %d: %v at %v, hint %q", i, f, f.Site, f.Hint)
		}
	}
}
