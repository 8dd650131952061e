package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/format"
)

// fmtCommand is fmt. Names of files that differ are the result of --check, one a
// line on standard output, and what comes of "-" is the script itself; all else is
// talk. A file that is no script is exit code 2, one that cannot be read or written
// 3, and the others are formatted all the same.
func fmtCommand(c *console) *cobra.Command {
	var check bool
	cmd := &cobra.Command{
		Use:   "fmt FILE|FOLDER...",
		Short: "Put scripts into the one style of spaces, lines and indents",
		Long: "Puts the scripts, and those in the folders and below them, into the one style: four spaces a block,\n" +
			"name = value with spaces, a call that goes over several lines with one argument on each. Comments stay,\n" +
			"and so does everything that a script says. A file is the old one or the new one at every instant, and\n" +
			"one that is in style is not touched. \"-\" takes a script from standard input to standard output.\n\n" +
			"With --check nothing is written: the names of the files that differ go to standard output, and the exit\n" +
			"code is 1 when there are any.",
		Example:           "  creasewright fmt tea.star\n  creasewright fmt --check designs\n  creasewright fmt - < draft.star > tidy.star",
		ValidArgsFunction: completeScripts(true),
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return errors.New(`fmt takes at least one script or folder, or "-" for standard input`)
			case len(args) > 1 && slices.Contains(args, "-"):
				return errors.New(`"-" stands alone: the script then comes from standard input`)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			f := formatter{console: c, check: check}
			if args[0] == "-" {
				return f.stream(cmd.InOrStdin())
			}
			scripts, err := targets(args, everyScript)
			if err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			for _, t := range scripts {
				if cmd.Context().Err() != nil {
					return interrupted("not every script was looked at")
				}
				f.file(t.path)
			}
			f.total(len(scripts))
			return ended(f.worst)
		},
	}
	cmd.Flags().BoolVar(&check, "check", false, "write nothing and name the files that differ; exit code 1 when there are any")
	return cmd
}

// formatter is one use of fmt.
type formatter struct {
	*console
	check   bool
	differs int
	worst   engine.Exit
}

// file formats or checks one file.
func (f *formatter) file(path string) {
	res, err := format.File(path, !f.check)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.worst = max(f.worst, engine.Broken)
		f.failed(noFile(path))
	case err != nil:
		f.worst = engine.Crashed
		f.failed(fmt.Errorf("%s: %w", path, err))
	case res.Findings != nil:
		f.faults(path, res.Text, res.Findings)
	case res.Differs:
		f.differs++
		if f.check {
			f.worst = max(f.worst, engine.Faulty)
			f.result([]byte(diag.Printable(path) + "\n"))
		} else {
			f.say(path + ": formatted")
		}
	}
}

// faults tells why a text cannot be formatted.
func (f *formatter) faults(path string, text []byte, found []*diag.Finding) {
	f.worst = max(f.worst, engine.Broken)
	style := diag.Style{Line: format.Line(text), Path: func(string) string { return path }, Width: columns(f.err), Colour: f.colourErr}
	_, _ = f.err.Write(style.Text(found))
	f.say(path + ": not formatted")
}

// total sums up in a line what came of several scripts.
func (f *formatter) total(n int) {
	switch {
	case f.check && f.differs > 0:
		f.say(fmt.Sprintf("%d of %s not in style; creasewright fmt without --check mends that", f.differs, count(n, "script")))
	case f.check && n > 1 && f.worst == engine.Clean:
		f.say(count(n, "script") + ", all in style")
	case n > 1 && f.worst == engine.Clean:
		f.say(fmt.Sprintf("%s, %d formatted, the others in style already", count(n, "script"), f.differs))
	}
}

// stream formats what comes from standard input.
func (f *formatter) stream(in io.Reader) error {
	text, err := io.ReadAll(io.LimitReader(in, format.MaxText+1))
	if err != nil {
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot read standard input: %w", cause(err))}
	}
	formatted, findings := format.Text(stdin, text)
	switch {
	case findings != nil:
		f.faults(stdin, text, findings)
	case !f.check:
		f.result(formatted)
	case string(formatted) != string(text):
		f.worst = engine.Faulty
		f.result([]byte(stdin + "\n"))
	}
	return ended(f.worst)
}

// stdin is what messages call the script that comes from standard input.
const stdin = "(standard input)"
