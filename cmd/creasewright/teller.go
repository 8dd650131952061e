package main

import (
	"fmt"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// teller tells the runs of a watch, one line each, and what a run means for the
// cut files in the folder: a run with errors leaves the last good ones there, and
// whoever cuts from them has to know of what time they are.
// Times are those of now, told as local hours, minutes and seconds.
type teller struct {
	*console
	job live.Job
	now func() time.Time

	good time.Time // when the cut files were last brought up to date
	bad  bool      // the run before left them behind
}

// tell tells one run.
// Only a run that wrote every file moves good on: a clean design whose files could
// not be written leaves older ones in the folder.
func (t *teller) tell(out live.Outcome) {
	line := fmt.Sprintf("%s  %s  (%d ms)", t.clock(t.now()), t.line(out), max(1, out.Took().Milliseconds()))
	t.outcome(t.job.Dir, out, line)
	if t.bad = out.Exit != engine.Clean || out.Err != nil; !t.bad {
		t.good = t.now()
	}
}

// clock is a time of day without a date: a watch is read while it runs.
func (t *teller) clock(at time.Time) string { return at.Format("15:04:05") }

// line says what came of a run.
func (t *teller) line(out live.Outcome) string {
	switch {
	case out.Err != nil:
		return "not every file could be written; " + t.stay(out)
	case out.Exit == engine.Crashed:
		return "the run failed; " + t.stay(out)
	case out.Exit == engine.Broken && len(out.Files) == 0:
		return "there is nothing to run; " + t.stay(out)
	case out.Exit == engine.Broken:
		return "the script does not run: see " + emit.PreviewName + "; " + t.stay(out)
	case out.Exit == engine.Faulty:
		return tally(&out.Result) + ": see " + emit.PreviewName + "; " + t.stay(out)
	}
	line := tally(&out.Result)
	switch {
	case t.good.IsZero():
		line += "; files in " + t.job.Dir
	case t.bad:
		line = "mended: " + line + "; the cut files are up to date again"
	}
	if len(out.Removed) > 0 {
		line += "; removed " + list(out.Removed)
	}
	return line
}

// stay says which cut files are in the folder after a run that made none.
func (t *teller) stay(out live.Outcome) string {
	if t.good.IsZero() {
		return "no cut files written"
	}
	if out.Gone {
		return "cut files of " + t.clock(t.good) + " are missing from " + t.job.Dir
	}
	return "the cut files stay as of " + t.clock(t.good)
}
