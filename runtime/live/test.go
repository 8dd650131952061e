package live

import (
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// Test runs the tests in the script, each in a run of its own with its own limits; no
// file is made. A test that passes a limit has failed, and the others are run. The
// error is that of Check.
func (j Job) Test(ctx context.Context) (engine.Result, error) {
	script, texts, err := j.source()
	if err != nil {
		return engine.Result{}, err
	}
	run := func(only string) (engine.Result, error) {
		return j.run(ctx, engine.Request{
			Script: script, Read: texts, Formats: emit.Table{}, Tests: true, Only: only,
		})
	}
	all, err := run(engine.NoTest)
	if err != nil || all.Exit != engine.Clean {
		return all, err
	}
	all.Prints = nil // each test has them again
	for i := range all.Tests {
		t := &all.Tests[i]
		one, err := run(t.Name)
		if err != nil {
			return engine.Result{}, err
		}
		if one.Exit == engine.Crashed {
			return one, nil
		}
		t.Failed = one.Exit != engine.Clean
		for _, f := range one.Findings {
			if one.Exit == engine.Broken {
				g := *f
				g.Message = diag.Short(t.Name + ": " + g.Message)
				f = &g
			}
			all.Findings = append(all.Findings, f)
		}
		if t.Failed {
			all.Exit = engine.Faulty
		}
		all.Excerpts = append(all.Excerpts, one.Excerpts...)
		all.Prints = append(all.Prints, one.Prints...)
	}
	return all, nil
}
