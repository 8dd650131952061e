package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// exitOf is the exit code of a run and of bringing it to disk. A design without
// errors whose files could not be written must not look like one that was made.
func exitOf(out live.Outcome) engine.Exit {
	if out.Err != nil {
		return engine.Crashed
	}
	return out.Exit
}

// summary is a run in one line: what was found and what was written where.
func (c *console) summary(job live.Job, out live.Outcome) string {
	return fmt.Sprintf("%s: %s; %s", filepath.Base(job.Script), c.tally(&out.Result), deeds(job, out))
}

// tally counts pieces and what was found.
// Notes are counted but do not keep a result from having nothing to mend.
func tally(res *engine.Result) string {
	var parts []string
	if n := len(res.Pieces); n > 0 {
		parts = append(parts, count(n, "piece"))
	}
	if n := res.Count(diag.Error); n > 0 {
		parts = append(parts, count(n, "error"))
	}
	if n := res.Count(diag.Warning); n > 0 {
		parts = append(parts, count(n, "warning"))
	}
	if res.Count(diag.Error)+res.Count(diag.Warning) == 0 {
		parts = append(parts, "nothing to mend")
	}
	if n := res.Count(diag.Note); n > 0 {
		parts = append(parts, count(n, "note"))
	}
	return strings.Join(parts, ", ")
}

// tally is that, and says how to see notes that are not shown.
func (c *console) tally(res *engine.Result) string {
	line := tally(res)
	if !c.notes && res.Count(diag.Note) > 0 {
		line += " (--notes shows them)"
	}
	return line
}

// deeds says what happened in the output folder. Files whose bytes were there
// already count as up to date and are not listed.
func deeds(job live.Job, out live.Outcome) string {
	switch {
	case out.Err != nil:
		return "not every file was written"
	case len(out.Files) == 0:
		return "no files written"
	}
	wrote := "files up to date in " + job.Dir
	if len(out.Written) > 0 {
		wrote = "wrote " + list(out.Written) + " in " + job.Dir
	}
	if len(out.Removed) > 0 {
		wrote += ", removed " + list(out.Removed)
	}
	if out.Exit != engine.Clean {
		wrote += ", no cut files written"
		if kept := cutFiles(out.Kept); len(kept) > 0 {
			wrote += "; " + list(kept) + " of an earlier run " + verb(len(kept), "stays", "stay")
		}
	}
	return wrote
}

// staleLayout tells of a sheet beside which a piece's cut files were written since; "" where there is none.
// A machine's file or a picture, asked for later, does not make a sheet old.
func staleLayout(job live.Job, out live.Outcome) string {
	cut, _ := engine.Formats().Of(emit.KindCutDXF)
	if !slices.ContainsFunc(out.Written, func(name string) bool { return strings.HasSuffix(name, cut.Name) }) || !isFile(filepath.Join(job.Dir, emit.LayoutJSONName)) {
		return ""
	}
	return "; the sheet in layout.* is that of an earlier run"
}

// cutFiles picks from names of files those that a machine works from.
func cutFiles(names []string) (cut []string) {
	for _, name := range names {
		var of emit.Format // with the longest ending: a machine's is the extension alone
		for _, f := range engine.Formats() {
			whole := f.From != emit.FromPiece && f.From != emit.FromProgram
			if strings.HasSuffix(name, f.Name) && (!whole || name == f.Name) && len(f.Name) > len(of.Name) {
				of = f
			}
		}
		if of.From == emit.FromProgram || of.From == emit.FromPiece && of.Name != "" && of.When == emit.WhenClean {
			cut = append(cut, name)
		}
	}
	return cut
}

// verb is a verb after so many things.
func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// count is a number with its noun, in the plural but for one.
func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// mostNamed is how many files are named one by one.
const mostNamed = 8

// list names a few files, or counts many.
// names must not be empty.
func list(names []string) string {
	n := len(names) - 1
	switch {
	case n == 0:
		return names[0]
	case n < mostNamed:
		return strings.Join(names[:n], ", ") + " and " + names[n]
	}
	return count(len(names), "file")
}
