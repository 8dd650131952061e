package main

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// scanInterval is how often a watched folder is looked through for scripts that came
// or went: files in it that nobody asked for give no events.
const scanInterval = 500 * time.Millisecond

// goneScans is how many scans in a row must miss a script before it is taken for
// removed: editors take a file away for a moment while they save it.
const goneScans = 2

// folderWatch watches every script in a folder and below that makes a piece. Each has
// a watch of its own; what they say is told one after another.
type folderWatch struct {
	*console
	folder string
	flags  *scriptFlags
	run    runner

	telling sync.Mutex // held while anything is said
	polled  sync.Once  // for saying once that files are polled
	scripts map[string]*folderScript
}

// folderScript is a script that was come across. Exactly one of end and module is set.
type folderScript struct {
	end    context.CancelFunc // ends its watch
	done   chan struct{}      // closed when the watch has ended
	module os.FileInfo        // of the file when it made no piece
	missed int                // scans in a row that did not find it
}

// newFolderWatch has as many runs at a time as there are processors, however many
// scripts begin to be watched at once.
func newFolderWatch(c *console, folder string, flags *scriptFlags, run runner) *folderWatch {
	places := make(chan struct{}, runtime.GOMAXPROCS(0))
	bounded := func(ctx context.Context, req engine.Request) (engine.Result, error) {
		select {
		case places <- struct{}{}:
			defer func() { <-places }()
			return run(ctx, req)
		case <-ctx.Done():
			return engine.Result{}, context.Cause(ctx)
		}
	}
	return &folderWatch{console: c, folder: folder, flags: flags, run: bounded, scripts: map[string]*folderScript{}}
}

// watch goes on until ctx ends, and then until every script's watch has ended. The
// error is of the first look through the folder or of the command line; later a folder
// that cannot be read is one without scripts.
func (w *folderWatch) watch(ctx context.Context) error {
	if _, err := targets([]string{w.folder}, designs); err != nil {
		return &exit{code: engine.Broken, err: err}
	}
	w.tell(func() { w.say("watching the scripts in " + w.folder + "; Ctrl-C ends") })
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

func (w *folderWatch) tell(what func()) {
	w.telling.Lock()
	defer w.telling.Unlock()
	what()
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
	_ = walkScripts(w.folder, designs, func(path string) { found = append(found, path) }) // see watch
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
	job.Polling = func(interval time.Duration, why error) {
		w.polled.Do(func() { w.tell(func() { w.saysPolling(interval, why) }) })
	}
	preview := newPreviewer(job, false)
	preview.many = true
	log := watchLog{console: w.console, job: job, now: time.Now, preview: preview, name: job.Script + ": "}
	go func() {
		defer close(s.done)
		err := job.Watch(ctx, func(out live.Outcome) { w.tell(func() { log.log(out) }) })
		if err != nil {
			w.tell(func() { w.failed(fmt.Errorf("%s: %w", job.Script, err)) })
		}
	}()
}
