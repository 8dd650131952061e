package live

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// retry is how long after a failed write the next one is tried, without any
// event: nothing tells when a disk has room again.
const retry = time.Second

// diskState is what the runs of a watch have left in the output folder, and what of it is to be
// mended though no text changes.
type diskState struct {
	dir       string   // the output folder
	made      []string // files that the last run brought to disk
	cut       []string // cut files of the last run without errors
	crashed   bool     // it failed, through no fault of the script's perhaps
	unwritten *Outcome // it, when the disk failed
}

// note takes in a run that has been written, or was to be, and adds to it what
// has become of the cut files.
func (d *diskState) note(out *Outcome) {
	d.made, d.unwritten = nil, nil
	d.crashed = out.Exit == engine.Crashed
	if out.Err != nil {
		kept := *out
		d.unwritten = &kept
	} else {
		d.wrote(out)
	}
	out.Gone = !d.present(d.cut)
}

// wrote lists the files of a run that are all on disk.
func (d *diskState) wrote(out *Outcome) {
	if out.Exit == engine.Clean {
		d.cut = nil
	}
	for _, f := range out.Files {
		d.made = append(d.made, f.Name)
		if f.When == emit.WhenClean {
			d.cut = append(d.cut, f.Name)
		}
	}
}

// incomplete reports whether a run of the same texts would mend something: files
// that have been taken away since, or a failure.
func (d *diskState) incomplete() bool { return d.crashed || !d.present(d.made) }

// present reports whether all the files are in the folder.
func (d *diskState) present(files []string) bool {
	for _, name := range files {
		if _, err := os.Lstat(filepath.Join(d.dir, name)); err != nil {
			return false
		}
	}
	return true
}

// wait returns when a text is no longer what the last run saw, when something
// happened to one and a run would mend what the last one left, or when ctx
// ends. It looks once before it waits, for what changed before it was followed.
// What could not be written it tries to write, and tells when that ends
// otherwise than it did.
func (s *session) wait(ctx context.Context, tell func(Outcome)) {
	heard := s.events
	if s.outdated(ctx, heard) {
		return
	}
	for {
		heard = s.events
		s.sleep(ctx)
		if s.outdated(ctx, heard) {
			return
		}
		if out, other := s.writeAgain(ctx); other {
			tell(out)
		}
	}
}

// outdated reports whether wait is to return. Events count since heard: the
// comparison of the texts itself takes some in while an editor is in the middle
// of a save.
func (s *session) outdated(ctx context.Context, heard int) bool {
	return s.changed(ctx) || ctx.Err() != nil || s.events > heard && s.disk.incomplete()
}

// sleep waits for the next event, or until it is time to write again.
func (s *session) sleep(ctx context.Context) {
	var again <-chan time.Time
	if s.disk.unwritten != nil {
		again = time.After(retry)
	}
	select {
	case <-ctx.Done():
	case <-again:
	case batch := <-s.watcher.Batches():
		s.noteEvent(batch.Last)
		s.follow() // a file may have become a link
	}
}

// writeAgain publishes what could not be written, if there is any, and reports
// whether that ended otherwise than the last time.
func (s *session) writeAgain(ctx context.Context) (out Outcome, other bool) {
	if s.disk.unwritten == nil {
		return out, false
	}
	out = *s.disk.unwritten
	before := out.Err.Error()
	if s.job.publish(ctx, s.output, &out) != nil {
		return out, false
	}
	s.disk.note(&out)
	return out, out.Err == nil || out.Err.Error() != before
}
