package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/build"
	"github.com/creasewright/creasewright/runtime/live"
)

func watchCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var dir string
	cmd := &cobra.Command{
		Use:   "watch SCRIPT",
		Short: "Run a script at every save of it or of anything it loads",
		Long: "Runs the script as make does, and again whenever the script or anything it loaded or looked for is\n" +
			"saved with other content. Errors do not end it. Ctrl-C does.",
		Args: oneScript,
		RunE: func(cmd *cobra.Command, args []string) error {
			job, err := flags.job(args[0], dir)
			if err != nil {
				return err
			}
			c.notes = flags.notes
			fmt.Fprintf(c.err, "watching %s; Ctrl-C ends\n", job.Script)
			err = job.Watch(cmd.Context(), func(out live.Outcome) {
				c.outcome(stamp(out.Took), job, out)
			})
			if err != nil {
				return &exit{code: build.Crashed, err: err}
			}
			return nil
		},
	}
	flags.add(cmd)
	addDir(cmd, &dir)
	return cmd
}
