package live

import (
	"context"
	"errors"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/internal/watch"
	"github.com/creasewright/creasewright/runtime/source"
)

// Watch runs the job now and again whenever the script, or anything it loaded
// or looked for, changes in content, until ctx ends. Every finished run is
// told, good or bad; a run overtaken by a newer save is given up untold. A save
// without a change runs it when files of the last run are gone. Files that
// could not be written are tried again, which is told when it ends otherwise.
// The error says that the script's place on disk makes no sense.
func (j Job) Watch(ctx context.Context, tell func(Outcome)) error {
	j, err := j.absolute()
	if err != nil {
		return err
	}
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return err
	}
	w := watch.New()
	defer w.Close()
	s := session{
		job: j, folder: folder, output: publish.New(j.folder()), watcher: w, seen: unseen(folder.Script()),
		due: time.Now().Add(mostWait), disk: diskState{dir: j.Dir},
	}
	defer s.output.Close() // what cannot be synced, the next run finds out
	s.follow()
	for ctx.Err() == nil {
		if out, done := s.run(ctx); done {
			tell(out)
			s.wait(ctx, tell)
			s.due = time.Now().Add(mostWait)
		}
	}
	return nil
}

// watcher tells what happens to files: watch.Watcher, or a test's own.
type watcher interface {
	Follow(files []string) (polling error)
	Batches() <-chan watch.Batch
}

// session is one watch under way.
type session struct {
	job       Job
	folder    *read.Folder
	output    *publish.Output
	watcher   watcher
	seen      *texts    // by the last run that was finished
	lastEvent time.Time // when something last happened to one of them
	events    int       // how often something has been seen to happen to one
	polling   bool      // the texts are polled, and the job has been told so
	due       time.Time // when a run is finished and told, whatever happens
	disk      diskState // by the runs so far
}

// follow has the watcher follow what the last run saw, and tells the job when
// that takes polling.
func (s *session) follow() {
	why := s.watcher.Follow(s.folder.Trail(s.seen.labels()))
	if why != nil && !s.polling && s.job.Polling != nil {
		s.job.Polling(watch.PollInterval, why)
	}
	s.polling = why != nil
}

// run does one run from reading to writing; done is false when something newer
// came between. The script's place is looked at afresh each time, since it may
// lie behind a link.
func (s *session) run(ctx context.Context) (out Outcome, done bool) {
	folder, err := read.Beside(s.job.Script, s.job.Shelf)
	if err != nil {
		s.seen = nowhere(err)
		f := diag.Scriptf(nil, "%v", err)
		out = Outcome{Result: engine.Result{Exit: engine.Broken, Findings: []*diag.Finding{f}}}
		s.disk.note(&out)
		return out, true
	}
	s.folder = folder
	out, seen, done := s.build(ctx)
	if !done {
		return out, false
	}
	s.seen = seen
	grace := quietPeriod
	if out.Exit == engine.Broken {
		grace = partialSaveGrace
	}
	if s.moved(ctx, grace) || ctx.Err() != nil {
		return out, false
	}
	if s.job.publish(ctx, s.output, &out) != nil {
		return out, false
	}
	s.disk.note(&out)
	s.follow()
	return out, true
}

// build builds beside the loop that takes the watcher's batches; a batch after which
// the texts that the run has seen so far are others ends it, unless it has waited
// mostWait, and done is then false.
func (s *session) build(ctx context.Context) (out Outcome, seen *texts, done bool) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	finished := make(chan struct{})
	seen = &texts{}
	var err error
	go func() {
		defer close(finished)
		out, err = s.job.build(ctx, s.folder, s.output, seen)
	}()
	for {
		select {
		case <-finished:
			return out, seen, err == nil && ctx.Err() == nil
		case batch := <-s.watcher.Batches():
			s.noteEvent(batch.Last)
			if isClosed(finished) || !time.Now().Before(s.due) {
				continue
			}
			if same, _ := seen.compare(s.reader()); !same {
				cancel()
			}
		}
	}
}

func isClosed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

// reader reads the texts where they are now.
func (s *session) reader() source.Reader {
	folder, err := read.Beside(s.job.Script, s.job.Shelf)
	if err == nil && folder.Script() != s.folder.Script() {
		err = errElsewhere
	}
	if err != nil {
		return func(string) ([]byte, error) { return nil, err }
	}
	return folder.Text
}

// errElsewhere is what is seen of the texts once a link leads to another script.
var errElsewhere = errors.New("the script is another one now")
