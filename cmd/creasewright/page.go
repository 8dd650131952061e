package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/page"
	"github.com/creasewright/creasewright/runtime/worker"
)

// livePage is the page of a watch. It answers what the page asks for (page.Source). A nil
// one is no page: its methods do nothing.
type livePage struct {
	server  *page.Server
	console *watching // where it is told that the editor does not start
	flags   *watchFlags
	limits  limit.Set

	mu      sync.Mutex
	scripts map[int]*shownScript
	tries   runner         // nil until something is tried
	end     func()         // of tries
	under   sync.WaitGroup // tries under way
	closed  bool
}

// shownScript is a script as the page shows it. A nil one is shown nowhere: its methods
// do nothing.
type shownScript struct {
	page  *livePage
	id    int
	given live.Job // with paths as on the command line, for messages

	mu    sync.Mutex
	job   live.Job        // with absolute paths, and the texts of the last run that gave a display
	files map[string]bool // names of the files that the last run listed
	reads map[string]bool // labels of the texts that were read by the last run, and by that one
}

// servePage begins to serve the page, unless it is off.
func (w *watching) servePage(flags *watchFlags) (*livePage, error) {
	if flags.page.off {
		return nil, nil
	}
	limits, err := flags.bounds()
	if err != nil {
		return nil, err
	}
	p := &livePage{console: w, flags: flags, limits: limits, scripts: map[int]*shownScript{}}
	if p.server, err = w.newPage(page.Options{Addr: flags.page.addr, Source: p}); err != nil {
		return nil, flags.page.cannotServe(err)
	}
	return p, nil
}

func (p *livePage) url() string { return p.server.URL() }

// close ends the page, and then what it has had done.
func (p *livePage) close() {
	if p == nil {
		return
	}
	_ = p.server.Close() // nothing is left to be done about it
	p.mu.Lock()
	p.closed = true
	p.mu.Unlock()
	p.under.Wait()
	if p.end != nil {
		p.end()
	}
}

// add has the page show a script.
func (p *livePage) add(job live.Job) *shownScript {
	if p == nil {
		return nil
	}
	s := &shownScript{page: p, given: job, job: job, reads: map[string]bool{}}
	for _, path := range []*string{&s.job.Script, &s.job.Dir, &s.job.Shelf} {
		if abs, err := filepath.Abs(*path); err == nil && *path != "" {
			*path = abs
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	s.id = p.server.Add(page.Script{
		Name: filepath.Base(job.Script), Path: job.Script, Folder: job.Dir,
		Editor: p.flags.page.editor != nil, Command: p.flags.makeCommand(job),
	})
	p.scripts[s.id] = s
	return s
}

// remove has the page forget the script.
func (s *shownScript) remove() {
	if s == nil {
		return
	}
	s.page.server.Remove(s.id)
	s.page.mu.Lock()
	defer s.page.mu.Unlock()
	delete(s.page.scripts, s.id)
}

// watched is the job as it is to be watched for the page.
func (s *shownScript) watched(job live.Job) live.Job {
	if s == nil {
		return job
	}
	job.Display = true
	job.Stage = func(stage string) { s.page.server.Working(s.id, stage) }
	return job
}

// show has the page show a run, with what the terminal says when it failed.
func (s *shownScript) show(out live.Outcome, fault string) {
	if s == nil {
		return
	}
	files := filesIn(s.job.Dir, out)
	s.mu.Lock()
	if s.files = map[string]bool{}; out.Display != nil {
		s.reads = map[string]bool{}
	}
	for _, f := range files {
		s.files[f.Name] = true
	}
	for _, r := range out.Reads {
		if !r.Absent {
			s.reads[r.Label] = true
		}
	}
	if out.Display != nil {
		s.job = *out.Frozen
	}
	s.mu.Unlock()
	s.page.server.Show(s.id, page.Run{
		Display: out.Display, Exit: int(exitOf(out)), Fault: fault, Files: files, Gone: out.Gone, Took: out.Took(),
	})
}

// filesIn lists the files of a script that are in its folder after a run: those that the
// run made and those of earlier runs that it left there.
func filesIn(dir string, out live.Outcome) (files []page.File) {
	add := func(name string, kind emit.Kind) {
		if info, err := os.Lstat(filepath.Join(dir, name)); err == nil && info.Mode().IsRegular() {
			files = append(files, page.File{Name: name, Kind: string(kind), Size: info.Size()})
		}
	}
	for _, f := range out.Files {
		add(f.Name, f.Kind)
	}
	for _, name := range out.Kept {
		add(name, kindOf(name))
	}
	return files
}

// kindOf is the kind of an output file by its name, "" for none.
func kindOf(name string) emit.Kind {
	for _, f := range engine.Formats() {
		if name == f.Name || f.From == emit.FromPiece && strings.HasSuffix(name, f.Name) {
			return f.Kind
		}
	}
	return ""
}

// find gives a script that is shown.
func (p *livePage) find(script int) (*shownScript, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if s := p.scripts[script]; s != nil {
		return s, nil
	}
	return nil, errors.New("the script is not watched any more")
}

// try runs what is tried. That has processes of its own, so that a save finds one ready
// whatever is tried, and leaves it a processor where there are several.
func (p *livePage) try(ctx context.Context, req engine.Request) (engine.Result, error) {
	p.mu.Lock()
	if p.closed {
		p.mu.Unlock()
		return engine.Result{}, errors.New("the watch has ended")
	}
	if p.tries == nil {
		var run runner
		run, p.end = p.console.sandbox("", p.limits, worker.Batch)
		p.tries = bounded(run, max(1, runtime.GOMAXPROCS(0)-1))
	}
	p.under.Add(1)
	defer p.under.Done()
	p.mu.Unlock()
	return p.tries(ctx, req)
}

// trial is the job by which a script's tries and motions are made: that of the last run
// that gave a display, so that both are about what the page shows.
func (s *shownScript) trial() live.Job {
	s.mu.Lock()
	defer s.mu.Unlock()
	job := s.job
	job.Display, job.Also, job.For, job.Build, job.Stage = true, nil, nil, s.page.try, nil
	return job
}

// Try runs a script with other values.
func (p *livePage) Try(ctx context.Context, script int, params map[string]string, stage func(string)) (page.Run, error) {
	s, err := p.find(script)
	if err != nil {
		return page.Run{}, err
	}
	job := s.trial()
	job.Stage = stage
	out, err := job.Try(ctx, params)
	if err != nil {
		return page.Run{}, err
	}
	return page.Run{Display: out.Display, Exit: int(exitOf(out)), Fault: p.console.faultText(s.given, out), Took: out.Took()}, nil
}

// Motion gives states along the fold to a pose.
func (p *livePage) Motion(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	s, err := p.find(script)
	if err != nil {
		return nil, err
	}
	return s.trial().Motion(ctx, params, piece, pose, shares)
}

// File gives an output file as it stands on disk.
func (p *livePage) File(script int, name string) ([]byte, error) {
	s, err := p.find(script)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	job, listed := s.job, s.files[name]
	s.mu.Unlock()
	if !listed {
		return nil, errors.New("the last run has no such file")
	}
	return job.Output(name, p.limits[limit.Output])
}

// Edit opens a text that a run has read in the user's editor. One that does not start is
// told in the terminal as well.
func (p *livePage) Edit(script int, file string, line int) error {
	s, err := p.find(script)
	if err != nil {
		return err
	}
	editor := p.flags.page.editor
	if editor == nil {
		return errors.New("no editor is set: watch takes --editor COMMAND")
	}
	s.mu.Lock()
	job, read := s.job, s.reads[file]
	s.mu.Unlock()
	if !read {
		return fmt.Errorf("the script has not read %q", file)
	}
	path, text, err := job.Source(file)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	if lines := strings.Count(string(text), "\n") + 1; line < 1 || line > lines {
		return fmt.Errorf("%s has no line %d", file, line)
	}
	if err := editor.start(path, line); err != nil {
		err = fmt.Errorf("the editor does not start: %w", err)
		p.console.tell(func() { p.console.failed(err) })
		return err
	}
	return nil
}

// makeCommand is the command line that makes a job's files as the watch does, but for
// values of parameters.
func (f *watchFlags) makeCommand(job live.Job) string {
	script := job.Script
	if strings.HasPrefix(script, "-") {
		script = "." + string(filepath.Separator) + script
	}
	words := []string{"creasewright", "make", script}
	if !job.Derived {
		words = append(words, "-o", job.Dir)
	}
	if f.shelf != "" {
		words = append(words, "--shelf", f.shelf)
	}
	for _, l := range f.limits {
		words = append(words, "--limit", l)
	}
	words = append(words, f.outputs.words()...)
	for i, w := range words {
		words[i] = shellQuoted(w)
	}
	return strings.Join(words, " ")
}

// shellQuoted is a word as a shell takes it: quoted where it holds anything that means
// something there. In the names of files of Windows there are no double quotes.
func shellQuoted(word string) string {
	plain := func(r rune) bool {
		return r > 127 || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./=:,@%+", r)
	}
	switch {
	case word != "" && !slices.ContainsFunc([]rune(word), func(r rune) bool { return !plain(r) }):
		return word
	case runtime.GOOS == "windows":
		return `"` + word + `"`
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
