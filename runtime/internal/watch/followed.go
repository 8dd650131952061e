package watch

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/fsnotify/fsnotify"
)

// followed is the set of files and the folders that must be watched for them.
type followed struct {
	events  *fsnotify.Watcher
	files   []string
	folders []string // being watched
	looks   looks
}

func newFollowed(events *fsnotify.Watcher) *followed {
	return &followed{events: events, looks: looks{}}
}

// set replaces the files and lists those of the old ones that have changed since
// they were last looked at.
func (f *followed) set(files []string) (changed []string) {
	f.files = merge(nil, files)
	f.renew()
	return f.looks.again(f.files)
}

// renew brings the watched folders in step with the files: for each file its
// folder and the folder above, in which the folder itself may vanish and come
// back, or where the folder is not there the nearest one that is.
func (f *followed) renew() {
	var want []string
	for _, file := range f.files {
		want = append(want, f.watchable(filepath.Dir(file))...)
	}
	want = merge(nil, want)
	for _, dir := range f.folders {
		if !slices.Contains(want, dir) {
			_ = f.events.Remove(dir) // gone already if the folder is
		}
	}
	f.folders = want
}

// watchable watches dir and the folder above it, or what there is of them, and
// gives what it watches. It tries until nothing new turns up, since a folder
// may be made between the look at it and the watch on the one above.
func (f *followed) watchable(dir string) []string {
	got := f.climb(dir)
	for {
		again := f.climb(dir)
		if slices.Equal(got, again) {
			return got
		}
		got = again
	}
}

// climb watches the two nearest folders there are, from dir upward.
func (f *followed) climb(dir string) []string {
	var got []string
	for at := dir; len(got) < 2; at = filepath.Dir(at) {
		if f.events.Add(at) == nil {
			got = append(got, at)
		}
		if filepath.Dir(at) == at {
			break
		}
	}
	return got
}

// touched lists the followed files that an event is about: the file itself, or
// all those below a folder that came or went. Of what is no part of a text only
// the time and who may read it count.
func (f *followed) touched(e fsnotify.Event) []string {
	name := filepath.Clean(e.Name)
	if slices.Contains(f.files, name) {
		if e.Op == fsnotify.Chmod && !f.looks.differs(name) {
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
