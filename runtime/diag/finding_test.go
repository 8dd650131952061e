package diag

import (
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
