package main

import (
	"fmt"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// watchLog writes a line for each run of a watch, and with it what the run means for the
// cut files in the folder: a run with errors leaves the last good ones there, and
// whoever cuts from them has to know of what time they are.
// Times are those of now, told as local hours, minutes and seconds.
type watchLog struct {
	*console
	job live.Job
	now func() time.Time

	good time.Time // when the cut files were last brought up to date
	bad  bool      // the run before left them behind
}

// log writes the line of one run.
// Only a run that wrote every file moves good on: a clean design whose files could
// not be written leaves older ones in the folder.
func (w *watchLog) log(out live.Outcome) {
	line := fmt.Sprintf("%s  %s  (%d ms)", w.clock(w.now()), w.line(out), max(1, out.Took().Milliseconds()))
	w.outcome(w.job, out, line)
	if w.bad = out.Exit != engine.Clean || out.Err != nil; !w.bad {
		w.good = w.now()
	}
}

// clock is a time of day without a date: a watch is read while it runs.
func (w *watchLog) clock(at time.Time) string { return at.Format("15:04:05") }

// line says what came of a run.
func (w *watchLog) line(out live.Outcome) string {
	switch {
	case out.Err != nil:
		return "not every file could be written; " + w.stay(out)
	case out.Exit == engine.Crashed:
		return "the run failed; " + w.stay(out)
	case out.Exit == engine.Broken && len(out.Files) == 0:
		return "there is nothing to run; " + w.stay(out)
	case out.Exit == engine.Broken:
		return "the script does not run: see " + emit.PreviewName + "; " + w.stay(out)
	case out.Exit == engine.Faulty:
		return tally(&out.Result) + ": see " + emit.PreviewName + "; " + w.stay(out)
	}
	line := tally(&out.Result)
	switch {
	case w.good.IsZero():
		line += "; files in " + w.job.Dir
	case w.bad:
		line = "mended: " + line + "; the cut files are up to date again"
	}
	if len(out.Removed) > 0 {
		line += "; removed " + list(out.Removed)
	}
	return line
}

// stay says which cut files are in the folder after a run that made none.
func (w *watchLog) stay(out live.Outcome) string {
	if w.good.IsZero() {
		return "no cut files written"
	}
	if out.Gone {
		return "cut files of " + w.clock(w.good) + " are missing from " + w.job.Dir
	}
	return "the cut files stay as of " + w.clock(w.good)
}
