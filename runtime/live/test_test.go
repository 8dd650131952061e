package live

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// Each test is a run of its own: one that is stopped has failed, the others are run
// all the same, and what stands outside of tests is printed once for each.
func TestTestsAreRunOneByOne(t *testing.T) {
	dir := t.TempDir()
	save(t, "print(\"begun\")\n\ndef test_a():\n    pass\n\ndef test_b():\n    pass\n\ndef test_c():\n    same(1, 2)\n", dir, "box_test.star")
	var asked []string
	job := Job{Script: filepath.Join(dir, "box_test.star"), Build: func(ctx context.Context, r engine.Request) (engine.Result, error) {
		asked = append(asked, r.Only)
		if r.Only == "test_b" {
			f := diag.Scriptf(source.Site{{File: r.Script, Line: 6, Column: 1}}, "the run takes more than 2 s")
			return engine.Result{Exit: engine.Broken, Findings: []*diag.Finding{f}}, nil
		}
		return engine.Run(ctx, r)
	}}
	res, err := job.Test(t.Context())
	if err != nil || res.Exit != engine.Faulty || strings.Join(res.Prints, " ") != "begun begun" {
		t.Errorf("exit %d, printed %q, %v", res.Exit, res.Prints, err)
	}
	if got := strings.Join(asked, " "); got != "- test_a test_b test_c" {
		t.Errorf("asked for %s", got)
	}
	want := []engine.Test{{Name: "test_a"}, {Name: "test_b", Failed: true}, {Name: "test_c", Failed: true}}
	for i := range want {
		if len(res.Tests) != len(want) || res.Tests[i] != want[i] {
			t.Fatalf("ran %v", res.Tests)
		}
	}
	if len(res.Findings) != 2 || res.Findings[0].Message != "test_b: the run takes more than 2 s" || res.Findings[1].Message != "test_c: this is 1, not 2" {
		t.Errorf("%v", res.Findings)
	}
}

// A file that does not run has no tests, and is told once.
func TestAFileOfTestsThatDoesNotRun(t *testing.T) {
	dir := t.TempDir()
	save(t, "x = foo\n\ndef test_a():\n    pass\n\ndef test_b():\n    pass\n", dir, "box_test.star")
	res, err := Job{Script: filepath.Join(dir, "box_test.star")}.Test(t.Context())
	if err != nil || res.Exit != engine.Broken || len(res.Findings) != 1 || len(res.Tests) != 0 {
		t.Errorf("exit %d, %v, ran %v, %v", res.Exit, res.Findings, res.Tests, err)
	}
}
