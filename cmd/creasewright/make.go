package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// makeCommand is make. A context that ended before anything was written is told
// apart from a script path that makes no sense: exit codes 3 and 2. When the
// design has errors (1), preview and report are written and the cut files in the
// folder stay as they are; when the script does not run (2), the preview shows why
// and the report stays too. A file that could not be written makes it 3 whatever
// the design is. All that is said goes to standard error.
func makeCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var dir string
	var outputs outputFlags
	var open bool
	var table tableFlags
	cmd := &cobra.Command{
		Use:   "make SCRIPT",
		Short: "Run a script once and write its files",
		Long: "Runs the script once and writes preview.svg, report.json and, for each piece, NAME.cut.svg and\n" +
			"NAME.cut.dxf. A design with errors gets a preview and a report and leaves earlier cut files as they\n" +
			"are. With --for it also writes NAME.MACHINE.EXT, for a machine that the script describes; --also makes\n" +
			"further files. Files whose content did not change are not touched. What an earlier run made and this one was\n" +
			"not asked for, or cut files of pieces that are no longer made, are removed unless you changed them." + tableHelp + limitsHelp(),
		Example: "  creasewright make tea.star\n  creasewright make tea.star -o print --set width=3in\n  creasewright make tea.star --also pdf,png\n  creasewright make tea.star --for \"desktop cutter\" --also print\n" +
			"  creasewright make tea.star --table sizes.csv",
		Args:              oneScript,
		ValidArgsFunction: completeScripts(false),
		RunE: func(cmd *cobra.Command, args []string) error {
			if table.path == "" && table.part != "" {
				return &exit{code: engine.Broken, err: errors.New("--part goes with --table")}
			}
			if table.path != "" && open {
				return &exit{code: engine.Broken, err: errors.New("--open goes with one design, not with a table of them")}
			}
			if err := misspelt(args[0], table.path); err != nil {
				return err
			}
			job, limits, err := flags.job(args[0], dir)
			if err != nil {
				return err
			}
			program, err := outputs.ask(&job)
			if err != nil {
				return err
			}
			use := worker.Once
			if table.path != "" {
				use = worker.Batch
			}
			run, end := c.sandbox(program, limits, use)
			defer end()
			job.Build = run
			if table.path != "" {
				c.notes, c.paths = flags.notes, flags.paths()
				return c.makeTable(cmd.Context(), job, &table)
			}
			return c.once(cmd.Context(), job, &flags, open)
		},
	}
	flags.add(c, cmd)
	addDir(cmd, &dir)
	outputs.add(cmd)
	addOpen(cmd, &open)
	table.add(cmd)
	return cmd
}

// once does a job once and tells what came of it.
func (c *console) once(ctx context.Context, job live.Job, flags *scriptFlags, open bool) error {
	preview := newPreviewer(job, open)
	out, err := job.Once(ctx)
	if err != nil && ctx.Err() != nil {
		return interrupted("no files written")
	}
	if err != nil {
		return &exit{code: engine.Broken, err: err}
	}
	c.notes, c.paths = flags.notes, flags.paths()
	c.outcome(job, out, c.summary(job, out)+staleLayout(job, out))
	preview.after(c, out)
	return ended(exitOf(out))
}

// addDir adds -o. An empty value means that the folder was not chosen, which must
// then not be a link (see live.Job.Derived).
func addDir(cmd *cobra.Command, dir *string) {
	cmd.Flags().StringVarP(dir, "out", "o", "", "output `folder` (default: the script's name without .star, beside it)")
	complete(cmd, "out", completeFolders)
}
