package main

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// scanInterval is how often a watched folder is looked through for scripts that came
// or went: files in it that nobody asked for give no events.
const scanInterval = 500 * time.Millisecond

// goneScans is how many scans in a row must miss a script before it is taken for
// removed: editors take a file away for a moment while they save it.
const goneScans = 2

// folderWatch watches every script in a folder and below that makes a piece.
type folderWatch struct {
	*watching
	folder  string
	flags   *watchFlags
	run     runner
	scripts map[string]*folderScript
}

// folderScript is a script that was come across. Exactly one of end and module is set.
type folderScript struct {
	end    context.CancelFunc // ends its watch
	done   chan struct{}      // closed when the watch has ended
	module os.FileInfo        // of the file when it made no piece
	missed int                // scans in a row that did not find it
}

// watchFolder watches the scripts in a folder until ctx ends, and then until every
// script's watch has ended. They share one process that waits for the next save, and as
// many run at a time as there are processors, however many begin to be watched at once.
// The error is of the first look through the folder or of the command line; later a
// folder that cannot be read is one without scripts.
func (c *console) watchFolder(ctx context.Context, folder string, flags *watchFlags) error {
	if _, err := parseSet(flags.set); err != nil {
		return err
	}
	limits, err := flags.bounds()
	if err != nil {
		return err
	}
	if _, err := targets([]string{folder}, designs); err != nil {
		return &exit{code: engine.Broken, err: err}
	}
	run, end := c.sandbox("", limits, worker.Waiting)
	defer end()
	shared, err := c.newWatching(flags, "watching the scripts in "+folder)
	if err != nil {
		return err
	}
	defer shared.end()
	shared.several = true
	w := &folderWatch{watching: shared, folder: folder, flags: flags, run: bounded(run, runtime.GOMAXPROCS(0)), scripts: map[string]*folderScript{}}
	return w.watch(ctx)
}

// watch looks through the folder again and again.
func (w *folderWatch) watch(ctx context.Context) error {
	again := time.NewTicker(scanInterval)
	defer again.Stop()
	defer w.endAll()
	for ctx.Err() == nil {
		if err := w.scan(ctx); err != nil {
			return err
		}
		select {
		case <-ctx.Done():
		case <-again.C:
		}
	}
	return nil
}

func (w *folderWatch) endAll() {
	for _, s := range w.scripts {
		if s.end != nil {
			s.end()
			<-s.done
		}
	}
}

// scan looks through the folder: new scripts and modules that were saved are taken in,
// and those that are gone are let go.
func (w *folderWatch) scan(ctx context.Context) error {
	var found []string
	_ = walkScripts(w.folder, designs, func(path string) { found = append(found, path) }) // see watchFolder
	for _, path := range found {
		if err := w.takeIn(ctx, path); err != nil {
			return err
		}
	}
	for path, s := range w.scripts {
		if slices.Contains(found, path) {
			s.missed = 0
			continue
		}
		if s.missed++; s.missed < goneScans {
			continue
		}
		if s.end != nil {
			s.end()
			<-s.done
			w.tell(func() { w.say(path + ": is gone, and no longer watched") })
		}
		delete(w.scripts, path)
	}
	return nil
}

// takeIn begins to watch a script that is new, or one that made no piece and has been
// saved since, if it is none that only others load.
func (w *folderWatch) takeIn(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	known := w.scripts[path]
	if err != nil || known != nil && (known.end != nil || known.module.ModTime().Equal(info.ModTime()) && known.module.Size() == info.Size()) {
		return nil
	}
	job, _, err := w.flags.job(path, "")
	if err != nil {
		return err
	}
	job.Build = w.run
	if res, err := job.Check(ctx); ctx.Err() == nil && err == nil && res.Module() {
		if w.scripts[path] = (&folderScript{module: info}); known == nil {
			w.tell(func() { w.say(path + ": makes no piece, so it is not watched") })
		}
		return nil
	}
	w.begin(ctx, job)
	return nil
}

// begin begins to watch one script.
func (w *folderWatch) begin(ctx context.Context, job live.Job) {
	ctx, end := context.WithCancel(ctx)
	s := &folderScript{end: end, done: make(chan struct{})}
	w.scripts[job.Script] = s
	go func() {
		defer close(s.done)
		if err := w.script(ctx, job, w.page.add(job)); err != nil {
			w.tell(func() { w.failed(fmt.Errorf("%s: %w", job.Script, err)) })
		}
	}()
}
