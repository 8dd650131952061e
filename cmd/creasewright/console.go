package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"golang.org/x/term"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/page"
)

// console is where everything is said: results to out, talk to err.
// Texts that may come from a script or a file name are escaped by diag.Printable
// before they are written. It is not safe for use by several goroutines.
type console struct {
	out                  *errWriter
	err                  io.Writer
	colourOut, colourErr bool
	rewrites             bool // err is a terminal whose last line can be written over
	notes                bool // show notes too
	paths                paths
	sandbox              sandbox
	open                 func(path string) error // opens a file for the user to look at
	newPage              func(page.Options) (*page.Server, error)

	cautioned []string // said already
	told      string   // the last that was said of interrupted runs
}

// errWriter remembers the first error of writing: a result that did not arrive is
// none.
type errWriter struct {
	to  io.Writer
	err error
}

// Write passes text on and keeps the first error, also for callers that drop it;
// run asks for it at the end and turns it into exit code 3.
func (w *errWriter) Write(text []byte) (int, error) {
	n, err := w.to.Write(text)
	if w.err == nil {
		w.err = err
	}
	return n, err
}

// newConsole looks at what the two ends are and at NO_COLOR and TERM.
// Colour is decided for each stream by itself: none when NO_COLOR holds anything
// (no-color.org), when TERM is "dumb", or when the stream is no terminal.
func newConsole(out, err io.Writer, env func(string) string) *console {
	plain := env("NO_COLOR") != "" || env("TERM") == "dumb"
	return &console{
		out: &errWriter{to: out}, err: err,
		colourOut: !plain && isTerminal(out),
		colourErr: !plain && isTerminal(err),
		rewrites:  env("TERM") != "dumb" && isTerminal(err),
		sandbox:   workers,
		open:      openWithSystem,
		newPage:   page.New,
	}
}

// isTerminal takes every character device for a terminal. /dev/null is one too,
// where colours do no harm.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// columns is how wide the terminal behind a stream is; 0 when that is none or does
// not say.
func columns(w io.Writer) int {
	if to, ok := w.(*errWriter); ok {
		w = to.to
	}
	f, ok := w.(*os.File)
	if !ok {
		return 0
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
}

// result gives a command's own result.
func (c *console) result(text []byte) { _, _ = c.out.Write(text) } // see errWriter

// failed says what ended a command.
func (c *console) failed(err error) { c.say("creasewright: " + err.Error()) }

// say says one line. Names of files are in many of them, and those may hold
// anything.
func (c *console) say(line string) { fmt.Fprintln(c.err, diag.Printable(line)) }

// outcome tells a run: what it printed, what was found, and in one line what
// came of it and of the folder.
// All of it goes to standard error: the results of make and watch are files.
func (c *console) outcome(job live.Job, out live.Outcome, line string) {
	c.prints(out.Prints)
	c.outcomeFaults(job, out)
	c.interrupted(job.Dir, out)
	c.say(line)
	c.cautions(out.Cautions)
}

// outcomeFaults tells what is wrong with a run: the findings, the disk's failure, and where the
// program failed. A stack trace has its tabs as spaces, for they would be escaped.
func (c *console) outcomeFaults(job live.Job, out live.Outcome) {
	c.findings(c.err, c.colourErr, job.Script, &out.Result, c.shown(out.Findings))
	if out.Err != nil {
		c.failed(out.Err)
	}
	if out.Stack != "" {
		c.prints(strings.Split(strings.TrimRight(strings.ReplaceAll(out.Stack, "\t", "    "), "\n"), "\n"))
	}
}

// faultText is what outcomeFaults tells, as plain text, of a run that gave no whole result, and
// "" of any other. It may be called while something else is told.
func (c *console) faultText(job live.Job, out live.Outcome) string {
	if exitOf(out) < engine.Broken {
		return ""
	}
	var text strings.Builder
	plain := console{err: &text, notes: c.notes, paths: c.paths}
	plain.outcomeFaults(job, out)
	return strings.TrimRight(text.String(), "\n")
}

// interrupted tells, once, that the run found files of different runs.
// Repetitions within a watch are suppressed until the state of the folder changes.
func (c *console) interrupted(dir string, out live.Outcome) {
	text := ""
	switch {
	case !out.Interrupted:
	case out.Exit == engine.Clean && out.Err == nil:
		text = "the files in " + dir + " were from an interrupted run; they have been written anew"
	default:
		text = "the files in " + dir + " are from an interrupted run; a run without errors writes them anew"
	}
	if text != "" && text != c.told {
		c.say(text)
	}
	c.told = text
}

// checkResult writes the findings of one script: those of the design are the
// result, those of the script are errors.
// The tally that ends it is no result and goes to standard error as well.
func (c *console) checkResult(path string, res *engine.Result) {
	var script, design []*diag.Finding
	for _, f := range c.shown(res.Findings) {
		if f.Rule == diag.RuleScript || f.Rule == engine.RuleCrash {
			script = append(script, f)
		} else {
			design = append(design, f)
		}
	}
	c.findings(c.out, c.colourOut, path, res, design)
	c.findings(c.err, c.colourErr, path, res, script)
	c.say(path + ": " + c.tally(res))
}

// checkTotal writes the tally of several scripts.
func (c *console) checkTotal(a *checks) { fmt.Fprintf(c.err, "checked %s\n", a) }

// shown is the findings without notes, or with them where they were asked for.
// found itself is left as it is.
func (c *console) shown(found []*diag.Finding) []*diag.Finding {
	if c.notes {
		return found
	}
	return slices.DeleteFunc(slices.Clone(found), func(f *diag.Finding) bool { return f.Severity == diag.Note })
}

// findings writes findings of a script, by its path, with the lines they point to, and nothing when there are none.
// An error of writing to standard output is kept by errWriter, one of standard error
// has nowhere to be told.
func (c *console) findings(to io.Writer, colour bool, script string, res *engine.Result, found []*diag.Finding) {
	if len(found) > 0 {
		style := diag.Style{Line: res.Lines(), Path: c.paths.shown(script), Width: columns(to), Colour: colour}
		_, _ = to.Write(style.Text(found))
	}
}

// prints passes on what the script printed, in one go.
func (c *console) prints(lines []string) {
	var out strings.Builder
	for _, line := range lines {
		out.WriteString(diag.Printable(line) + "\n")
	}
	_, _ = io.WriteString(c.err, out.String())
}

// cautions says each caution once, however often a script runs.
func (c *console) cautions(texts []string) {
	for _, text := range texts {
		if !slices.Contains(c.cautioned, text) {
			c.cautioned = append(c.cautioned, text)
			fmt.Fprint(c.err, strings.TrimLeft(manual.Wrapped("caution: "+text, "  "), " "))
		}
	}
}
