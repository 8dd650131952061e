package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// watchFlags are what watch takes.
type watchFlags struct {
	scriptFlags
	dir     string
	outputs outputFlags
	open    bool
	page    pageFlags
}

// watchCommand is watch. A child process is got ready between runs, so that a save
// does not wait for it to start. It ends with exit code 0 on a signal and with 3
// when the script's path makes no sense.
// What a run leaves in the folder is as with make; findings and faults of a run are
// told and do not end the watch or count for the exit code.
func watchCommand(c *console) *cobra.Command {
	var flags watchFlags
	cmd := &cobra.Command{
		Use:   "watch SCRIPT [SCRIPT ...] | FOLDER",
		Short: "Run scripts, or those in a folder, at every save of them or of anything they load",
		Long: "Runs the script as make does, and again whenever the script or anything it loaded or looked for is\n" +
			"saved with other content. Files that could not be written are tried again; files that were taken\n" +
			"away come back at the next save, or touch, of the script. Errors do not end it. Ctrl-C does.\n\n" +
			"Of a folder it watches every script in it and below that makes a piece, and says which make none.\n" +
			"Scripts that are put there later are watched too, and those that are removed no longer.\n\n" +
			pageHelp + limitsHelp(),
		Example:           "  creasewright watch tea.star --open\n  creasewright watch tea.star lid.star --page 8080\n  creasewright watch designs --page off\n  creasewright watch tea.star --editor \"code -g {file}:{line}\"",
		Args:              someScripts,
		ValidArgsFunction: completeScripts(true),
		RunE:              func(cmd *cobra.Command, args []string) error { return c.watchArgs(cmd.Context(), args, &flags) },
	}
	flags.add(c, cmd)
	addDir(cmd, &flags.dir)
	flags.outputs.add(cmd)
	cmd.Flags().BoolVar(&flags.open, "open", false, "open the page in the browser or, without a page, the preview in the program for pictures")
	flags.page.add(cmd)
	return cmd
}

// watchArgs watches what the command line names: one folder, or scripts.
func (c *console) watchArgs(ctx context.Context, args []string, flags *watchFlags) error {
	if err := flags.page.parse(); err != nil {
		return &exit{code: engine.Broken, err: err}
	}
	folder := ""
	for _, arg := range args {
		if info, err := os.Stat(arg); err != nil || !info.IsDir() || isFile(arg+".star") {
			continue
		}
		if folder = arg; len(args) > 1 {
			return &exit{code: engine.Broken, err: fmt.Errorf("watch takes scripts or one folder of them, and %q is a folder", arg)}
		}
	}
	scripts := distinct(args)
	if folder != "" || len(scripts) > 1 {
		if err := flags.oneOnly(); err != nil {
			return &exit{code: engine.Broken, err: err}
		}
	}
	if folder != "" {
		return c.watchFolder(ctx, folder, flags)
	}
	return c.watchScripts(ctx, scripts, flags)
}

// distinct is the paths without those that come twice, in their order.
func distinct(paths []string) (out []string) {
	for _, path := range paths {
		if path = filepath.Clean(path); !slices.Contains(out, path) {
			out = append(out, path)
		}
	}
	return out
}

// oneOnly is an error when something was asked for that goes with one script alone.
func (f *watchFlags) oneOnly() error {
	if f.dir != "" || f.outputs.given() {
		return errors.New("-o, --also and --for go with one script")
	}
	if f.open && f.page.off {
		return errors.New("--open goes with one script where there is no page")
	}
	return nil
}

// watchScripts watches one script, or several as if each were watched alone.
func (c *console) watchScripts(ctx context.Context, scripts []string, flags *watchFlags) error {
	var jobs []live.Job
	if err := misspelt(scripts...); err != nil {
		return err
	}
	for _, script := range scripts {
		job, _, err := flags.job(script, flags.dir)
		if err != nil {
			return err
		}
		jobs = append(jobs, job)
	}
	limits, err := flags.bounds()
	if err != nil {
		return err
	}
	var asked []*live.Job
	for i := range jobs {
		asked = append(asked, &jobs[i])
	}
	program, err := flags.outputs.ask(asked...)
	if err != nil {
		return err
	}
	run, end := c.sandbox(program, limits, worker.Waiting)
	defer end()
	run = bounded(run, runtime.GOMAXPROCS(0))
	for i := range jobs {
		jobs[i].Build = run
	}
	what := "watching " + list(scripts)
	if len(scripts) > mostNamed {
		what = "watching " + count(len(scripts), "script")
	}
	return c.watchJobs(ctx, jobs, flags, what)
}

// watchJobs does jobs at every save, until ctx ends or one makes no sense.
func (c *console) watchJobs(ctx context.Context, jobs []live.Job, flags *watchFlags, what string) error {
	w, err := c.newWatching(flags, what)
	if err != nil {
		return err
	}
	defer w.end()
	w.several = len(jobs) > 1
	w.preview = flags.open && w.page == nil && !w.several
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var under sync.WaitGroup
	for _, job := range jobs {
		shown := w.page.add(job) // here, so that the page has them in this order
		under.Go(func() {
			if err := w.script(ctx, job, shown); err != nil {
				cancel(&exit{code: engine.Crashed, err: err})
			}
		})
	}
	under.Wait()
	if e := (*exit)(nil); errors.As(context.Cause(ctx), &e) {
		return e
	}
	return nil
}

// watching is what a watch has under way. Each script has a watch of its own; what they
// say is told one after another.
type watching struct {
	*console
	page    *livePage // nil for none
	several bool      // lines begin with the script's path
	preview bool      // the preview of the first run is to be opened
	shut    func()    // removes what opened the page, nil when nothing did

	telling sync.Mutex // held while anything is said
	polled  sync.Once  // for saying once that files are polled
}

// newWatching begins to serve the page, if there is to be one, and says what is watched
// and where the page is. The caller calls end.
func (c *console) newWatching(flags *watchFlags, what string) (*watching, error) {
	c.notes, c.paths = flags.notes, flags.paths()
	w := &watching{console: c}
	page, fault := w.servePage(flags)
	if fault != nil && flags.page.addr != "" {
		return nil, &exit{code: engine.Broken, err: fault}
	}
	w.page = page
	w.tell(func() {
		var err error
		c.say(what + "; Ctrl-C ends")
		if fault != nil {
			c.say(fault.Error() + "; the watch goes on without it")
		}
		if page == nil {
			return
		}
		line := "the page is " + page.url()
		if !flags.open {
			line += "  (--open opens it)"
		}
		c.say(line)
		if flags.open {
			if w.shut, err = c.openPage(page.url()); err != nil {
				c.say("cannot open the page: " + err.Error())
			}
		}
	})
	return w, nil
}

// end ends the page.
func (w *watching) end() {
	w.page.close()
	if w.shut != nil {
		w.shut()
	}
}

// tell has something said while nothing else is.
func (w *watching) tell(what func()) {
	w.telling.Lock()
	defer w.telling.Unlock()
	what()
}

// script watches one script, and has the page show it, until ctx ends. The error says that
// its path makes no sense.
func (w *watching) script(ctx context.Context, job live.Job, shown *shownScript) error {
	defer shown.remove()
	job.Polling = func(interval time.Duration, why error) {
		w.polled.Do(func() { w.tell(func() { w.saysPolling(interval, why) }) })
	}
	log := watchLog{console: w.console, job: job, now: time.Now, preview: newPreviewer(job, w.preview)}
	log.preview.hint = !w.several && w.page == nil
	if w.several {
		log.name = job.Script + ": "
	}
	return shown.watched(job).Watch(ctx, func(out live.Outcome) {
		shown.show(out, w.faultText(job, out))
		w.tell(func() { log.log(out) })
	})
}

// saysPolling says that saves are found by looking at the files, and why.
func (c *console) saysPolling(interval time.Duration, why error) {
	c.say(fmt.Sprintf("the system does not tell of saves (%v): the files are looked at every %d ms", why, interval.Milliseconds()))
}

// bounded has at most so many runs at a time.
func bounded(run runner, most int) runner {
	places := make(chan struct{}, most)
	return func(ctx context.Context, req engine.Request) (engine.Result, error) {
		select {
		case places <- struct{}{}:
			defer func() { <-places }()
			return run(ctx, req)
		case <-ctx.Done():
			return engine.Result{}, context.Cause(ctx)
		}
	}
}
