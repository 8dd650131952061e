package live

import (
	"context"
	"maps"
	"time"

	"github.com/creasewright/creasewright/runtime/read"
	"github.com/creasewright/creasewright/runtime/watch"
)

// tornGrace is how long a text that has just vanished or become empty is given
// to come back. Editors leave a file so for half a millisecond or so.
const tornGrace = 100 * time.Millisecond

// Watch runs the job now and again whenever the script, or anything it loaded
// or looked for, changes in content, until ctx ends. Every finished run is
// told, good or bad; a run overtaken by a newer save is given up untold. The
// error says that watching itself failed.
func (j Job) Watch(ctx context.Context, tell func(Outcome)) error {
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return err
	}
	w, err := watch.New()
	if err != nil {
		return err
	}
	defer w.Close()
	s := session{job: j, folder: folder, watcher: w, seen: texts{folder.Script(): {}}}
	s.follow()
	for ctx.Err() == nil {
		if out, done := s.build(ctx); done {
			tell(out)
			s.wait(ctx)
		}
	}
	return nil
}

// session is one watch under way.
type session struct {
	job     Job
	folder  *read.Folder
	watcher *watch.Watcher
	seen    texts // by the last run that was finished
}

// follow has the watcher follow what the last run saw.
func (s *session) follow() { s.watcher.Follow(s.seen.paths(s.folder)) }

// build runs the job beside the loop that takes the watcher's batches; a batch
// ends the run, and done is then false.
func (s *session) build(ctx context.Context) (out Outcome, done bool) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	finished := make(chan struct{})
	var seen texts
	go func() {
		defer close(finished)
		out, seen = s.job.run(ctx, s.folder)
	}()
	select {
	case <-finished:
	case <-s.watcher.Batches():
		if !isClosed(finished) {
			cancel()
			<-finished
			return out, false
		}
	case <-ctx.Done():
		<-finished
		return out, false
	}
	s.seen = seen
	s.follow()
	return out, true
}

func isClosed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

// wait returns when a text is no longer what the last run saw, or ctx ends. It
// looks once before it waits, for what changed before it was followed.
func (s *session) wait(ctx context.Context) {
	for !s.changed(ctx) {
		select {
		case <-ctx.Done():
			return
		case <-s.watcher.Batches():
		}
	}
}

// changed looks at the texts again, and once more after a while where one
// seems torn.
func (s *session) changed(ctx context.Context) bool {
	now := s.seen.again(s.folder.Text)
	if s.seen.torn(now) {
		select {
		case <-ctx.Done():
		case <-time.After(tornGrace):
		}
		now = s.seen.again(s.folder.Text)
	}
	return !maps.Equal(s.seen, now)
}
