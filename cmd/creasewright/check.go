package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// formats are the ways findings can be given.
var formats = []string{"text", "json", "sarif"}

// checkCommand is check. Results go to standard output and everything else to
// standard error, so that the output can be piped whatever the scripts print.
// Text is given script by script as each run ends, JSON and SARIF as one document
// after the last, so that an interrupted check (exit code 3) leaves no part of
// one. Nothing is written to disk. A flag that makes no sense or a folder without
// scripts ends it with exit code 2 before any script is run; a script that is not
// there is a finding (see checkOne).
func checkCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var format string
	cmd := &cobra.Command{
		Use:   "check SCRIPT|FOLDER...",
		Short: "Give the findings of scripts and write nothing",
		Long: "Runs the scripts, and those in the folders and below them that make pieces, and gives what was found on\n" +
			"standard output: as text, as a JSON array or as a SARIF 2.1.0 log. Writes no file. The exit code is that\n" +
			"of the worst script, so that a script or a build server can go by it." + limitsHelp(),
		Example:           "  creasewright check tea.star\n  creasewright check designs --format sarif > findings.sarif",
		Args:              someScripts,
		ValidArgsFunction: completeScripts(true),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(formats, format) {
				return &exit{code: engine.Broken, err: fmt.Errorf("--format %q is none of text, json, sarif", format)}
			}
			params, err := parseSet(flags.set)
			if err != nil {
				return err
			}
			scripts, err := targets(args, designs)
			if err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			limits, err := flags.bounds()
			if err != nil {
				return err
			}
			use := worker.Once
			if len(scripts) > 1 {
				use = worker.Batch
			}
			run, end := c.sandbox("", limits, use)
			defer end()
			c.notes, c.paths = flags.notes, flags.paths()
			all := checks{paths: flags.paths(), script: map[*diag.Finding]string{}}
			for _, t := range scripts {
				res := checkOne(cmd.Context(), run, t.path, flags.shelfFolder(), params)
				if cmd.Context().Err() != nil {
					return interrupted("not every script was checked")
				}
				if t.found && res.Module() {
					c.say(t.path + ": makes no piece, so there is nothing to check")
					continue
				}
				all.add(t.path, &res)
				c.each(t.path, &res, format)
			}
			c.whole(&all, format)
			if len(scripts) > 1 {
				c.checkTotal(&all)
			}
			return ended(all.worst)
		},
	}
	flags.add(c, cmd)
	cmd.Flags().StringVar(&format, "format", "text", "how to give the findings: text, json or sarif")
	complete(cmd, "format", fixed(formats...))
	return cmd
}

// checkOne runs one script. A path that makes no sense is a finding like any
// other, so that it shows in every format.
func checkOne(ctx context.Context, run runner, path, shelf string, params map[string]string) engine.Result {
	job := live.Job{Script: path, Shelf: shelf, Params: params, Build: run}
	res, err := job.Check(ctx)
	if err != nil {
		return engine.Result{Exit: engine.Broken, Findings: []*diag.Finding{diag.Scriptf(nil, "%v", err)}}
	}
	return res
}

// checks is what the scripts of one command line came to.
// Findings are in the order of the command line and, within a script, in that of
// its run. A finding names its script by the base name alone, so script keeps the
// path as given, by identity of the finding.
type checks struct {
	paths    paths
	scripts  int
	clean    int // of them, those with nothing to mend
	found    []*diag.Finding
	script   map[*diag.Finding]string // the path of a finding's script
	errors   int
	warnings int
	worst    engine.Exit
}

// add counts a script in. The exit code is the highest of all scripts: engine.Exit
// is ordered by severity.
func (a *checks) add(path string, res *engine.Result) {
	a.scripts++
	a.worst = max(a.worst, res.Exit)
	a.found = append(a.found, res.Findings...)
	for _, f := range res.Findings {
		a.script[f] = path
	}
	e, w := res.Count(diag.Error), res.Count(diag.Warning)
	if a.errors, a.warnings = a.errors+e, a.warnings+w; e+w == 0 {
		a.clean++
	}
}

// each gives what there is to give of a script at once.
func (c *console) each(path string, res *engine.Result, format string) {
	c.prints(res.Prints)
	if format == "text" {
		c.checkResult(path, res)
	}
}

// whole gives everything found, in a format for programs.
func (c *console) whole(a *checks, format string) {
	switch format {
	case "json":
		c.result(a.log().JSON())
	case "sarif":
		c.result(a.log().SARIF())
	}
}

// log is everything found as one log, with what each rule is about.
// In SARIF the folder of a script is relative to the current one, as a build server
// needs to find the file in its working copy; see folderOf. In JSON the paths are as
// given on the command line.
func (a *checks) log() diag.Log {
	return diag.Log{
		Findings: a.found,
		Folder:   func(f *diag.Finding) string { return folderOf(a.script[f]) },
		Path: func(f *diag.Finding, label string) string {
			path, _ := a.paths.of(a.script[f], label)
			return filepath.ToSlash(path)
		},
		About: aboutRule,
	}
}

// aboutRule is a rule's title and page; faults of scripts and of the program
// have no page.
func aboutRule(id string) (title, page string) {
	switch id {
	case diag.RuleScript:
		return "the script does not run", ""
	case engine.RuleCrash:
		return "the program failed", ""
	case diag.RuleMore:
		return "there are more findings than are told", ""
	}
	if r, ok := engine.RuleNamed(id); ok {
		return r.Title, r.Page()
	}
	return "", ""
}

// String sums up in one line.
// Notes are not counted: a script with nothing but notes is clean.
func (a *checks) String() string {
	parts := []string{count(a.scripts, "script")}
	if a.errors > 0 {
		parts = append(parts, count(a.errors, "error"))
	}
	if a.warnings > 0 {
		parts = append(parts, count(a.warnings, "warning"))
	}
	switch a.clean {
	case 0:
	case a.scripts:
		parts = append(parts, "nothing to mend")
	default:
		parts = append(parts, fmt.Sprintf("nothing to mend in %d", a.clean))
	}
	return strings.Join(parts, ", ")
}
