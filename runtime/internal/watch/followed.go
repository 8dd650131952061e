package watch

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// followed is the set of files and the folders that must be watched for them.
type followed struct {
	source  events
	polling error // why the files are polled, nil when events tell of them
	files   []string
	folders []string // being watched
	states  states
}

func newFollowed(source events, polling error) *followed {
	return &followed{source: source, polling: polling, states: states{}}
}

func (f *followed) close() {
	if f.source.end != nil {
		_ = f.source.end() // nobody could do anything about it
	}
}

// lose gives the events up for good.
func (f *followed) lose(why error) {
	f.close()
	f.source, f.folders, f.polling = events{}, nil, why
}

// interval is how often the files are compared without any event.
func (f *followed) interval() time.Duration {
	if f.polling != nil {
		return PollInterval
	}
	return CheckInterval
}

// set replaces the files and lists those of the old ones that have changed since
// their states were last updated.
func (f *followed) set(files []string) (changed []string) {
	f.files = merge(nil, files)
	f.renew()
	return f.states.update(f.files)
}

// renew brings the watched folders in step with the files: for each file its
// folder and the folder above, in which the folder itself may vanish and come
// back, or where the folder is not there the nearest one that is.
func (f *followed) renew() {
	if f.source.watch == nil {
		return
	}
	f.polling = nil
	var want []string
	for _, file := range f.files {
		want = append(want, f.watchable(filepath.Dir(file))...)
	}
	want = merge(nil, want)
	for _, dir := range f.folders {
		if !slices.Contains(want, dir) {
			_ = f.source.forget(dir) // gone already if the folder is
		}
	}
	f.folders = want
}

// watchable watches dir and the folder above it, or what there is of them, and
// gives what it watches. It tries until nothing new turns up, since a folder
// may be made between the attempt to watch it and the watch on the one above.
func (f *followed) watchable(dir string) []string {
	got := f.nearest(dir)
	for {
		again := f.nearest(dir)
		if slices.Equal(got, again) {
			return got
		}
		got = again
	}
}

// nearest watches the two nearest folders there are, from dir upward.
func (f *followed) nearest(dir string) []string {
	var got []string
	for at := dir; len(got) < 2; at = filepath.Dir(at) {
		if err := f.source.watch(at); err == nil {
			got = append(got, at)
		} else if exhausted(err) {
			f.polling = err
			break
		}
		if filepath.Dir(at) == at {
			break
		}
	}
	return got
}

// exhausted reports whether the system has no watches left: inotify answers
// ENOSPC beyond its limit on watches, kqueue runs out of open files.
func exhausted(err error) bool {
	for _, why := range []error{syscall.ENOSPC, syscall.EMFILE, syscall.ENFILE, syscall.ENOMEM} {
		if errors.Is(err, why) {
			return true
		}
	}
	return false
}

// touched lists the followed files that an event is about: the file itself, or
// all those below a folder that came or went. Of changed attributes only the
// time and the mode count.
func (f *followed) touched(e fsnotify.Event) []string {
	name := filepath.Clean(e.Name)
	if slices.Contains(f.files, name) {
		if e.Op == fsnotify.Chmod && !f.states.differs(name) {
			return nil
		}
		return []string{name}
	}
	if e.Op == fsnotify.Chmod {
		return nil
	}
	var below []string
	for _, file := range f.files {
		if strings.HasPrefix(file, name+string(filepath.Separator)) {
			below = append(below, file)
		}
	}
	if len(below) > 0 {
		f.renew()
	}
	return below
}

// states is what stat said of each followed file when it was last asked, nil
// where there was no file.
type states map[string]os.FileInfo

// update asks anew and lists the files whose state has changed. A file asked for
// the first time is not among them, and one that is not asked for is dropped.
func (s states) update(files []string) (changed []string) {
	now := make(states, len(files))
	for _, file := range files {
		now[file] = stat(file)
		if before, ok := s[file]; ok && !sameState(before, now[file]) {
			changed = append(changed, file)
		}
	}
	clear(s)
	for file, info := range now {
		s[file] = info
	}
	return changed
}

// differs reports whether a file's state has changed since the last update.
func (s states) differs(file string) bool { return !sameState(s[file], stat(file)) }

// stat gives nil where there is no file.
func stat(file string) os.FileInfo {
	info, err := os.Stat(file)
	if err != nil {
		return nil
	}
	return info
}

func sameState(a, b os.FileInfo) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a.ModTime().Equal(b.ModTime()) && a.Size() == b.Size() && a.Mode() == b.Mode() && os.SameFile(a, b)
}
