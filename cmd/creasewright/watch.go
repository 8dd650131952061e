package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// watchCommand is watch. A child process is got ready between runs, so that a save
// does not wait for it to start. It ends with exit code 0 on a signal and with 3
// when the script's path makes no sense.
// What a run leaves in the folder is as with make; findings and faults of a run are
// told and do not end the watch or count for the exit code.
func watchCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var dir string
	var also []string
	var open bool
	cmd := &cobra.Command{
		Use:   "watch SCRIPT|FOLDER",
		Short: "Run a script, or those in a folder, at every save of it or of anything it loads",
		Long: "Runs the script as make does, and again whenever the script or anything it loaded or looked for is\n" +
			"saved with other content. Files that could not be written are tried again; files that were taken\n" +
			"away come back at the next save, or touch, of the script. Errors do not end it. Ctrl-C does.\n\n" +
			"Of a folder it watches every script in it and below that makes a piece, and says which make none.\n" +
			"Scripts that are put there later are watched too, and those that are removed no longer." + limitsHelp(),
		Args:              oneScript,
		ValidArgsFunction: completeScripts(false),
		RunE: func(cmd *cobra.Command, args []string) error {
			if info, err := os.Stat(args[0]); err == nil && info.IsDir() && !isFile(args[0]+".star") {
				if dir != "" || open || len(also) > 0 {
					return &exit{code: engine.Broken, err: errors.New("-o, --open and --also go with one script, not with a folder of them")}
				}
				return c.watchFolder(cmd.Context(), args[0], &flags)
			}
			job, limits, err := flags.job(args[0], dir)
			if err != nil {
				return err
			}
			program := ""
			if job.Also, program, err = printing(also); err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			run, end := c.sandbox(program, limits, worker.Waiting)
			defer end()
			job.Build = run
			c.say("watching " + job.Script + "; Ctrl-C ends")
			return c.watch(cmd.Context(), job, &flags, open)
		},
	}
	flags.add(c, cmd)
	addDir(cmd, &dir)
	addAlso(cmd, &also)
	addOpen(cmd, &open)
	return cmd
}

// watch does a job at every save, until ctx ends.
func (c *console) watch(ctx context.Context, job live.Job, flags *scriptFlags, open bool) error {
	c.notes, c.paths = flags.notes, flags.paths()
	job.Polling = c.saysPolling
	t := watchLog{console: c, job: job, now: time.Now, preview: newPreviewer(job, open)}
	if err := job.Watch(ctx, t.log); err != nil {
		return &exit{code: engine.Crashed, err: err}
	}
	return nil
}

// watchFolder watches the scripts in a folder. They share one process that waits for
// the next save.
func (c *console) watchFolder(ctx context.Context, folder string, flags *scriptFlags) error {
	if _, err := parseSet(flags.set); err != nil {
		return err
	}
	limits, err := flags.bounds()
	if err != nil {
		return err
	}
	run, end := c.sandbox("", limits, worker.Waiting)
	defer end()
	c.notes, c.paths = flags.notes, flags.paths()
	return newFolderWatch(c, folder, flags, run).watch(ctx)
}

// saysPolling says that saves are found by looking at the files, and why.
func (c *console) saysPolling(interval time.Duration, why error) {
	c.say(fmt.Sprintf("the system does not tell of saves (%v): the files are looked at every %d ms", why, interval.Milliseconds()))
}
