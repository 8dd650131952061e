package diag

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

func TestScriptErrors(t *testing.T) {
	f := Scriptf(source.Site{span("a.star", 3, 5, 9)}, "no edge %q", "lid").WithHint("did you mean %q?", "left")
	if f.Rule != RuleScript || f.Severity != Error || f.Hint != `did you mean "left"?` {
		t.Errorf("got %+v", f)
	}
	if got := f.Error(); got != `a.star:3:5: no edge "lid"` {
		t.Errorf("as a Go error: %s", got)
	}
	if got := Scriptf(nil, "no script").Error(); got != "no script" {
		t.Errorf("without a place: %s", got)
	}
}

// Severities are ordered, and the worst of several is told.
func TestWorst(t *testing.T) {
	of := func(ss ...Severity) (fs []*Finding) {
		for _, s := range ss {
			fs = append(fs, &Finding{Severity: s})
		}
		return fs
	}
	for _, c := range []struct {
		fs   []*Finding
		want string
		ok   bool
	}{
		{nil, "note", false},
		{of(Note), "note", true},
		{of(Note, Warning, Note), "warning", true},
		{of(Error, Warning), "error", true},
	} {
		if got, ok := Worst(c.fs); got.String() != c.want || ok != c.ok {
			t.Errorf("worst of %d findings is %s, %v; want %s, %v", len(c.fs), got, ok, c.want, c.ok)
		}
	}
}

// Law: of too many findings those of the highest severities are told, as many
// as may be, in their order, and the last one counts the others.
func TestAtMost(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 500 {
		fs := make([]*Finding, r.Intn(30))
		for i := range fs {
			fs[i] = &Finding{Severity: Severity(r.Intn(3)), Message: fmt.Sprint(i)}
		}
		most := 1 + r.Intn(30)
		got := AtMost(most, fs)
		if len(fs) <= most {
			if !slices.Equal(got, fs) {
				t.Fatalf("%d of %d findings", len(got), len(fs))
			}
			continue
		}
		told, more := got[:len(got)-1], got[most]
		least, count := Error, map[Severity]int{}
		for _, f := range told {
			least = min(least, f.Severity)
		}
		next := 0
		for _, f := range fs {
			if next < len(told) && told[next] == f {
				next++
			} else if count[f.Severity]++; f.Severity > least {
				t.Fatalf("a %s is left out and a %s told", f.Severity, least)
			}
		}
		if next != most {
			t.Fatalf("%d of %d findings in their order, %d allowed", next, len(fs), most)
		}
		for s, n := range count {
			if !strings.Contains(more.Message, plural(n, s.String())) {
				t.Fatalf("%q for %v", more.Message, count)
			}
		}
		worst, _ := Worst(told)
		if more.Severity > worst || more.Severity == Error || more.Rule != RuleMore {
			t.Fatalf("the count is a %s (%s)", more.Severity, more.Rule)
		}
	}
	got := AtMost(2, []*Finding{{Severity: Note}, {Severity: Error}, {Severity: Warning}, {Severity: Warning}, {Severity: Error}})
	if len(got) != 3 || got[2].Message != "and 3 findings more: 2 warnings, 1 note" || got[2].Severity != Warning {
		t.Errorf("%v", got)
	}
}

// A few findings with very long texts are too many as well, but the first is
// always told.
func TestAtMostOfLongTexts(t *testing.T) {
	long := strings.Repeat("x", mostBytes/4)
	for _, f := range []*Finding{{Message: long}, {Hint: long}, {Related: []Related{{Message: long}}}, {Related: []Related{{Span: span(long, 1, 1, 1)}}}} {
		var fs []*Finding
		for range 6 {
			g := *f
			fs = append(fs, &g)
		}
		if got := AtMost(MostFindings, fs); len(got) != 5 {
			t.Errorf("%d findings", len(got)-1)
		}
	}
	if got := AtMost(MostFindings, []*Finding{{Message: strings.Repeat(long, 5)}}); len(got) != 1 || got[0].Rule == RuleMore {
		t.Errorf("a single finding is left out")
	}
}
