package scripttest

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

const sample = `#= size=5
first = 1
second = 2  #! two #? half it
---
#! nothing here
load("lib.star", "f")  #>
--- lib.star
# not this one
f = g  #! no g #! no f
`

func readSample(t *testing.T) []*Case {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sample.star")
	if err := os.WriteFile(path, []byte(sample), 0o600); err != nil {
		t.Fatal(err)
	}
	cases, err := Read(path)
	if err != nil || len(cases) != 2 {
		t.Fatalf("%d cases, %v", len(cases), err)
	}
	return cases
}

// site is a place in a file, and what led to it.
func site(spans ...source.Span) source.Site { return spans }

func line(label string, n int) source.Span { return source.Span{File: label, Line: n, Column: 1} }

func TestReadKeepsLineNumbers(t *testing.T) {
	cases := readSample(t)
	if got := cases[0].Params["size"]; got != "5" {
		t.Errorf("size=%s", got)
	}
	store := cases[1].Store(func(string) ([]byte, bool) { return nil, false })
	for _, want := range []struct {
		label string
		line  int
		text  string
	}{
		{Main, 4, ""},
		{Main, 6, `load("lib.star", "f")  #>`},
		{"lib.star", 9, "f = g  #! no g #! no f"},
	} {
		if _, err := store.Text(want.label); err != nil {
			t.Fatal(err)
		}
		if got := store.Line(want.label, want.line); got != want.text {
			t.Errorf("%s:%d: %q", want.label, want.line, got)
		}
	}
	if _, err := store.Text("none.star"); err == nil {
		t.Error("a file that is not there was read")
	}
}

func TestFindingsThatAreExpected(t *testing.T) {
	cases := readSample(t)
	two := diag.Scriptf(site(line(Main, 3)), "two").WithHint("half it")
	if got := cases[0].Mismatches([]*diag.Finding{two}); len(got) > 0 {
		t.Error(got)
	}
	way := line(Main, 6)
	found := []*diag.Finding{
		diag.Scriptf(site(source.Span{File: Main}), "nothing here").WithHint("hints may be left out"),
		diag.Scriptf(site(way, line("lib.star", 9)), "no g"),
		diag.Scriptf(site(way, line("lib.star", 9)), "no f"),
	}
	if got := cases[1].Mismatches(found); len(got) > 0 {
		t.Error(got)
	}
}

// Whatever is not as marked is told: another message, hint, line, file or
// rule, a finding too many, and a mark that nothing meets.
func TestFindingsThatAreNot(t *testing.T) {
	c := readSample(t)[0]
	missing := `missing: case.star:3: #! two #? half it`
	ruled := diag.Scriptf(site(line(Main, 3)), "two").WithHint("half it")
	ruled.Rule = "require"
	for _, test := range []struct {
		found *diag.Finding
		want  []string
	}{
		{nil, []string{missing}},
		{diag.Scriptf(site(line(Main, 3)), "three").WithHint("half it"), []string{"unexpected: case.star:3: #! three #? half it", missing}},
		{diag.Scriptf(site(line(Main, 3)), "two").WithHint("double it"), []string{"unexpected: case.star:3: #! two #? double it", missing}},
		{diag.Scriptf(site(line(Main, 3)), "two"), []string{"unexpected: case.star:3: #! two", missing}},
		{diag.Scriptf(site(line(Main, 2)), "two").WithHint("half it"), []string{"unexpected: case.star:2: #! two #? half it", missing}},
		{diag.Scriptf(site(line("b.star", 3)), "two").WithHint("half it"), []string{"unexpected: b.star:3: #! two #? half it", missing}},
		{diag.Scriptf(nil, "two").WithHint("half it"), []string{"unexpected: :0: #! two #? half it", missing}},
		{ruled, []string{"unexpected: case.star:3: #! require: two #? half it", missing}},
		{diag.Scriptf(site(line(Main, 2), line(Main, 3)), "two").WithHint("half it"), []string{"unexpected: case.star:2: #>"}},
	} {
		var found []*diag.Finding
		if test.found != nil {
			found = append(found, test.found)
		}
		if got := c.Mismatches(found); !slices.Equal(got, test.want) {
			t.Errorf("%v: %q, not %q", test.found, got, test.want)
		}
	}
}

func TestReadNothing(t *testing.T) {
	if _, err := Read(filepath.Join(t.TempDir(), "none.star")); err == nil {
		t.Error("a file that is not there was read")
	}
}
