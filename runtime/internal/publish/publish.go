// Package publish puts a run's files where people and machines find them.
//
// # What holds at every instant
//
// Each file is the old one or the new one, never half of each; the report is
// replaced last. When one file cannot be written the others stay as they were.
// A file whose bytes did not change is not touched. All of this also holds for
// a process that is killed. Everything below the output folder is reached
// through one handle on it: exchanging the folder's name for a link during a
// run leads nothing astray. Runs that share a folder take turns by an advisory
// lock.
//
// # How files are replaced
//
// The new bytes are written to a temporary file, which then takes the place of
// the old one. Renaming over a file makes some file systems allocate the new
// one's blocks at once, which takes milliseconds; so the two exchange their
// names where the system can do that (Linux), and the old file is removed in the
// background. Elsewhere, and where the file system refuses, the new file is
// renamed over the old.
//
// # Record and journal
//
// The record, a hidden file, holds by script the digests of the files written
// here, so that those no longer made can be told from the user's own and be
// removed. Before anything is replaced, the digests of what is to come are
// written to a second hidden file, the journal. When the new files have reached
// the disk (see below) its entries are moved to the record. What a run finds in
// the journal is therefore of a run that was killed or is not synced yet: it
// compares the digests with what is in the folder, and reports the former.
//
// # What a loss of power can take
//
// Files returns when the new files can be read by everyone; they are synced in
// the background, which takes some ten milliseconds. If the machine loses power
// before that, any of the files just written may be the old one, the new one or
// empty, and so may be the journal. Files written earlier and the record
// survive. The next run compares bytes, finds what is wrong and writes it anew,
// and tells that the set was incomplete. Lost for good is at most the journal:
// cut files that were new in that run and are never made again then stay.
package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/safefile"
)

// Change is what Files did to a folder, by name.
type Change struct {
	Written []string // files whose bytes changed
	Removed []string // files of earlier runs that are made no more
	Kept    []string // files of earlier runs that this one, not having made all, leaves there
	// Interrupted says that files of the script's were found to come from
	// different runs, because one was killed or the machine lost power.
	Interrupted bool
}

// Output is the output folder of one script, for any number of runs that follow
// one another.
type Output struct {
	folder Folder
	disk   *disk // of the run under way; nil when the folder is not open
	failed bool  // the last Files failed on the way, which has been reported
	swept  bool  // temporary files of killed processes have been removed
	syncs  syncer

	lockWait, closeWait time.Duration
	hooks               testHooks
}

// New is the output folder of a script. Nothing is opened yet. Close ends it.
func New(folder Folder) *Output {
	return &Output{folder: folder, lockWait: lockWait, closeWait: closeWait}
}

// Begin begins a run: it opens the folder if it is there, so that Last and
// Files work on the same one whatever becomes of its name. Errors wait for
// Files.
func (o *Output) Begin() {
	o.release()
	_ = o.open(false)
}

func (o *Output) open(create bool) (err error) {
	if o.disk == nil {
		if o.disk, err = o.folder.open(create); err == nil {
			o.disk.testHooks = o.hooks
		}
	}
	return err
}

func (o *Output) release() {
	if o.disk != nil {
		o.disk.close()
		o.disk = nil
	}
}

// mostLast is the largest earlier output worth reading back, in bytes.
const mostLast = 32 << 20

// Last is what the name stands for in the folder that Begin opened, nil when
// that is no file of an ordinary size or cannot be read.
func (o *Output) Last(name string) []byte {
	if o.disk == nil {
		return nil
	}
	return o.disk.read(name, mostLast)
}

// Files writes the files into the folder, which is made if it is not there.
// With all, the files are all there should be: those that an earlier call wrote
// for the same script and that are not among them are removed, unless someone
// has changed them since. A file of the same name is replaced whichever script
// it is of. The context bounds only the wait for another run that is writing.
// On an error the change tells what was done, which is nothing unless the disk
// failed between two replacements.
func (o *Output) Files(ctx context.Context, files []engine.File, all bool) (Change, error) {
	for _, f := range files {
		if !plainName(f.Name) {
			return Change{}, fmt.Errorf("%q is not a file name", f.Name)
		}
	}
	if len(files) == 0 {
		return Change{}, nil
	}
	change, err := o.write(ctx, files, all)
	if errors.Is(err, fs.ErrNotExist) && len(change.Written)+len(change.Removed) == 0 {
		o.release() // the folder was removed while it was open: make it again
		change, err = o.write(ctx, files, all)
	}
	change.Interrupted = change.Interrupted && !o.failed
	o.failed = err != nil
	return change, err
}

// write does what Files says, and leaves the folder to the background to sync.
func (o *Output) write(ctx context.Context, files []engine.File, all bool) (Change, error) {
	if err := o.open(true); err != nil {
		return Change{}, err
	}
	unlock, err := o.disk.lock(ctx, o.lockWait)
	if err != nil {
		return Change{}, fmt.Errorf("cannot write to the output folder %s: %w", o.folder.shown(), err)
	}
	p := plan{disk: o.disk, script: o.folder.Script, ledger: readLedger(o.disk)}
	if !o.swept { // later ones are removed after writing, for which nobody waits
		p.disk.sweep()
	}
	p.recover()
	p.compare(files)
	var kept []string
	if all {
		p.findStale(files)
	} else {
		kept = p.findKept(files)
	}
	change, err := p.carryOut()
	change.Kept = kept
	o.swept = err == nil // else the disk may be full of them
	unlock()
	if err != nil {
		o.disk.removeOld()
	} else if b := p.toSync(); b != nil {
		o.syncs.add(b)
		o.disk = nil // the background's now
	}
	return change, err
}

// Close ends the output: it waits a moment for the files to be synced. The
// error says that this failed.
func (o *Output) Close() error {
	o.release()
	return o.syncs.waitFor(o.closeWait)
}

// plainName reports whether the name stays in its folder on every system.
func plainName(name string) bool {
	return name != "" && name != "." && name != ".." && !strings.ContainsAny(name, "/\\:\x00")
}

func reportLast(files []engine.File) []engine.File {
	out := slices.Clone(files)
	slices.SortStableFunc(out, func(a, b engine.File) int { return rank(a) - rank(b) })
	return out
}

func rank(f engine.File) int {
	if f.Kind == emit.KindReport {
		return 1
	}
	return 0
}

// failed is an error with the name of the file and without those of folders
// and temporary files.
func failed(what, name string, err error) error {
	return fmt.Errorf("cannot %s %s: %w", what, name, safefile.Cause(err))
}
