package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
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
	job     live.Job
	name    string // put before each line, where several scripts are watched
	now     func() time.Time
	preview *previewer

	last []pieceReport // of the last run that gave a report
	good time.Time     // when the cut files were last brought up to date
	bad  bool          // the run before left them behind
}

// log writes the line of one run.
// Only a run that wrote every file moves good on: a clean design whose files could
// not be written leaves older ones in the folder.
func (w *watchLog) log(out live.Outcome) {
	line := fmt.Sprintf("%s  %s%s  (%d ms)", w.clock(w.now()), w.name, w.line(out), max(1, out.Took().Milliseconds()))
	w.outcome(w.job, out, line)
	w.preview.after(w.console, out)
	if now := reportOf(&out.Result).Pieces; out.Err == nil && now != nil {
		w.last = now
	}
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
	return strings.Join(append([]string{line}, w.changes(out)...), "; ")
}

// changes says what a run changed: the sizes of blanks and the numbers of panels
// against the run before, pieces that are new or no longer made, and files.
func (w *watchLog) changes(out live.Outcome) (parts []string) {
	if w.last != nil {
		parts = pieceChanges(w.last, reportOf(&out.Result).Pieces)
	}
	switch {
	case w.good.IsZero(): // the first run: its files have been named
	case len(out.Written) > 0:
		parts = append(parts, "wrote "+list(out.Written))
	case len(out.Removed) == 0 && !w.bad:
		parts = append(parts, "no file changed")
	}
	if len(out.Removed) > 0 {
		parts = append(parts, "removed "+list(out.Removed))
	}
	return parts
}

// pieceChanges compares the pieces of two runs by name, in the order of the later.
func pieceChanges(before, now []pieceReport) (parts []string) {
	find := func(in []pieceReport, name string) (pieceReport, bool) {
		i := slices.IndexFunc(in, func(p pieceReport) bool { return p.Name == name })
		if i < 0 {
			return pieceReport{}, false
		}
		return in[i], true
	}
	for _, p := range now {
		was, ok := find(before, p.Name)
		switch {
		case !ok:
			parts = append(parts, fmt.Sprintf("%s is new: %s, %s", p.Name, p.size(), count(len(p.Panels), "panel")))
			continue
		case was.size() != p.size():
			parts = append(parts, fmt.Sprintf("%s is %s, was %s", p.Name, p.size(), was.size()))
		}
		if len(was.Panels) != len(p.Panels) {
			parts = append(parts, fmt.Sprintf("%s has %s, had %d", p.Name, count(len(p.Panels), "panel"), len(was.Panels)))
		}
	}
	for _, p := range before {
		if _, ok := find(now, p.Name); !ok {
			parts = append(parts, p.Name+" is gone")
		}
	}
	return parts
}

// size is the blank's, to a hundredth of a millimetre.
func (p pieceReport) size() string {
	return fmt.Sprintf("%s × %s mm", hundredths(p.Blank.Width), hundredths(p.Blank.Height))
}

// hundredths is a length without zeros at its end.
func hundredths(mm float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(mm, 'f', 2, 64), "0"), ".")
}

// stay says which cut files are in the folder after a run that made none.
func (w *watchLog) stay(out live.Outcome) string {
	if w.good.IsZero() {
		if len(cutFiles(out.Kept)) > 0 {
			return "no cut files written; those of an earlier run stay"
		}
		return "no cut files written"
	}
	if out.Gone {
		return "cut files of " + w.clock(w.good) + " are missing from " + w.job.Dir
	}
	return "the cut files stay as of " + w.clock(w.good)
}
