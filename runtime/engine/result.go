package engine

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/source"
)

// Exit is how a run ended: the exit code of the commands.
type Exit int

// The ways a run ends.
const (
	Clean   Exit = iota // nothing worse than a warning
	Faulty              // the design has findings of severity error
	Broken              // the script or what was asked of it is at fault: no design
	Crashed             // the program failed
)

// File is one file to stand in the output folder.
type File struct {
	Name string // a base name
	emit.Traits
	Bytes []byte
}

// Result is everything a run gives. It is plain data and can be sent through
// JSON or gob.
type Result struct {
	Exit Exit

	// Files are those that should be written, the report last; files of
	// earlier runs that are not among them stay as they are. A Clean run gives
	// all, a Faulty one the preview and the report, a Broken one the preview
	// alone, a Crashed one none: so bad cut files never replace good ones.
	Files []File

	Findings []*diag.Finding // in the order of the script, errors among them
	Excerpts []Excerpt       // the script lines that findings point to
	Reads    []source.Read   // every text looked for, absences included
	Prints   []string        // what the script printed, a line each
	Pieces   []string        // names of the pieces laid out
	Targets  []emit.Target   // machines that have files of every piece
	Tests    []Test          // that were run, in the order of the script
	Cautions []string        // short warnings about the use of the files
	Stack    string          // where the program failed, for a bug report
}

// Excerpt is one line of a text, for quoting beside a finding.
type Excerpt struct {
	File string
	Line int
	Text string
}

// Lines gives the quoted lines by file and number, "" where no finding points.
func (r *Result) Lines() func(file string, line int) string {
	type place struct {
		file string
		line int
	}
	texts := make(map[place]string, len(r.Excerpts))
	for _, e := range r.Excerpts {
		texts[place{e.File, e.Line}] = e.Text
	}
	return func(file string, line int) string { return texts[place{file, line}] }
}

// Module reports whether the script only defines things for others to load: it
// ran well and made no piece.
func (r *Result) Module() bool {
	return r.Exit == Broken && len(r.Findings) == 1 && r.Findings[0].Cause == diag.MakesNothing
}

// Count gives how many findings have the severity.
func (r *Result) Count(s diag.Severity) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == s {
			n++
		}
	}
	return n
}
