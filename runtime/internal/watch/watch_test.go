package watch

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
)

// hangGuard ends a test that waits for a batch that never comes; how fast it
// comes is nowhere held.
const hangGuard = 2 * time.Minute

// fixture is a watcher on files in a fresh folder.
type fixture struct {
	*testing.T
	*Watcher
	dir   string
	marks int // used so far
}

// maxMarks is how often a test may call sync.
const maxMarks = 20

func newFixture(t *testing.T, names ...string) *fixture {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	must(t, err)
	f := &fixture{T: t, Watcher: New(), dir: dir}
	t.Cleanup(f.Close)
	f.follow(names...)
	return f
}

// follow replaces the files; the marks for sync are always among them.
func (f *fixture) follow(names ...string) {
	f.Helper()
	var files []string
	for _, n := range names {
		files = append(files, f.path(n))
	}
	for i := range maxMarks {
		files = append(files, f.mark(i))
	}
	must(f.T, f.Watcher.Follow(files))
}

func (f *fixture) path(name string) string { return filepath.Join(f.dir, name) }

func (f *fixture) mark(i int) string { return f.path(fmt.Sprintf("mark-%d", i)) }

// next is the next batch.
func (f *fixture) next() []string {
	f.Helper()
	select {
	case batch := <-f.Batches():
		return batch.Files
	case <-time.After(hangGuard):
		f.Fatal("no batch")
		return nil
	}
}

// gives waits until a file has been in a batch.
func (f *fixture) gives(name string) {
	f.Helper()
	for !slices.Contains(f.next(), f.path(name)) {
	}
}

// sync takes the batches of all that has happened so far and gives their files,
// marks left out. It writes a mark of its own and waits for that: the system
// gives the events of a folder in their order.
func (f *fixture) sync() (files []string) {
	f.Helper()
	mark := f.mark(f.marks)
	f.marks++
	write(f.T, "", mark)
	for {
		batch := f.next()
		if !slices.IsSorted(batch) {
			f.Errorf("a batch is not sorted: %v", batch)
		}
		files = merge(files, batch)
		if slices.Contains(batch, mark) {
			return slices.DeleteFunc(files, func(file string) bool { return strings.HasPrefix(filepath.Base(file), "mark-") })
		}
	}
}

func write(t *testing.T, text string, path ...string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(path...), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func must(t *testing.T, errs ...error) {
	t.Helper()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
}

// The ways editors and commands save: each must give the file.
func TestEveryWayOfSaving(t *testing.T) {
	for name, save := range map[string]func(t *testing.T, dir, file string){
		"write in place": func(t *testing.T, dir, file string) { write(t, "new", file) },
		"append": func(t *testing.T, dir, file string) {
			f, err := os.OpenFile(file, os.O_APPEND|os.O_WRONLY, 0)
			must(t, err)
			_, err = f.WriteString("more")
			must(t, err, f.Close())
		},
		"new file in its place": func(t *testing.T, dir, file string) {
			write(t, "new", dir, "tea.star.part")
			must(t, os.Rename(filepath.Join(dir, "tea.star.part"), file))
		},
		"old file aside, then anew": func(t *testing.T, dir, file string) {
			must(t, os.Rename(file, file+"~"))
			write(t, "new", file)
		},
		"removed, then anew": func(t *testing.T, dir, file string) {
			must(t, os.Remove(file))
			write(t, "new", file)
		},
		"removed": func(t *testing.T, dir, file string) { must(t, os.Remove(file)) },
	} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t, "tea.star")
			file := f.path("tea.star")
			write(t, "old", file)
			f.gives("tea.star")
			f.sync()
			save(t, f.dir, file)
			f.gives("tea.star")
			f.sync()
			write(t, "and again", file)
			f.gives("tea.star")
		})
	}
}

func TestOtherFilesAreQuiet(t *testing.T) {
	f := newFixture(t, "tea.star")
	write(t, "picture", f.path("preview.svg"))
	must(t, os.Mkdir(f.path("tea"), 0o755))
	write(t, "report", f.path("tea/report.json"))
	must(t, os.Rename(f.path("tea/report.json"), f.path("tea/old.json")))
	if got := f.sync(); len(got) > 0 {
		t.Errorf("files that nobody follows: %v", got)
	}
}

// A touch and another mode are events of the file, and not only found when it is
// looked at again; what changes neither is none.
func TestTouchesAndModes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "tea.star")
	write(t, "one", file)
	f := newFollowed(events{}, nil)
	f.set([]string{file})
	attributes := fsnotify.Event{Name: file, Op: fsnotify.Chmod}
	for _, step := range []struct {
		name string
		do   func()
		want []string
	}{
		{"nothing", func() {}, nil},
		{"touched", func() { must(t, os.Chtimes(file, time.Time{}, time.Now().Add(time.Minute))) }, []string{file}},
		{"locked", func() { must(t, os.Chmod(file, 0o200)) }, []string{file}},
		{"only read", func() { must(t, os.Chtimes(file, time.Now(), time.Time{})) }, nil},
	} {
		step.do()
		if got := f.touched(attributes); !slices.Equal(got, step.want) {
			t.Errorf("%s: %v, want %v", step.name, got, step.want)
		}
		f.states.update(f.files)
	}
	other := filepath.Join(filepath.Dir(file), "mug.star")
	write(t, "other", other)
	if got := f.touched(fsnotify.Event{Name: other, Op: fsnotify.Chmod}); got != nil {
		t.Errorf("a file nobody follows: %v", got)
	}
}

// Law: the folder of a followed file and the one above are watched, or the two
// nearest there are. A folder that comes is an event of the files below it and has
// the watches set anew; its attributes are none. Nothing here waits for the
// comparison of states, which would find missed events late.
func TestWatchedFolders(t *testing.T) {
	root := t.TempDir()
	watched := map[string]bool{}
	f := newFollowed(events{
		watch: func(dir string) error {
			_, err := os.Stat(dir)
			if err == nil {
				watched[dir] = true
			}
			return err
		},
		forget: func(dir string) error { delete(watched, dir); return nil },
	}, nil)
	file := filepath.Join(root, "a", "b", "tea.star")
	f.set([]string{file})
	above, dir := filepath.Dir(root), root
	for _, name := range []string{"a", "b", ""} {
		want := []string{above, dir}
		if got := slices.Sorted(maps.Keys(watched)); !slices.Equal(got, want) {
			t.Errorf("watched are %q, want %q", got, want)
		}
		if name == "" {
			break
		}
		above, dir = dir, filepath.Join(dir, name)
		must(t, os.Mkdir(dir, 0o755))
		if got := f.touched(fsnotify.Event{Name: dir, Op: fsnotify.Chmod}); got != nil {
			t.Errorf("attributes of a folder: %v", got)
		}
		if got := f.touched(fsnotify.Event{Name: dir, Op: fsnotify.Create}); !slices.Equal(got, []string{file}) {
			t.Errorf("a folder that came: %v", got)
		}
	}
}

// The system's events are there, or there is a reason why not.
func TestSystemEvents(t *testing.T) {
	source, err := systemEvents()
	if (err == nil) != (source.watch != nil && source.events != nil) {
		t.Errorf("events %v, error %v", source.events, err)
	}
	if err == nil {
		must(t, source.end())
	}
}

func TestFoldersThatComeAndGo(t *testing.T) {
	const name = "shelf/deep/twist.star"
	f := newFixture(t, name)
	deep := f.path("shelf/deep")
	for range 3 {
		must(t, os.MkdirAll(deep, 0o755))
		write(t, "one", f.path(name))
		f.gives(name)
		f.sync()
		must(t, os.RemoveAll(f.path("shelf")))
		f.gives(name)
		f.sync()
	}
	must(t, os.MkdirAll(deep, 0o755))
	write(t, "two", f.path(name))
	f.gives(name)
	f.sync()
	// The folder is put aside and another stands in its place.
	must(t, os.Rename(deep, deep+".old"), os.Mkdir(deep, 0o755))
	write(t, "three", f.path(name))
	f.gives(name)
	f.sync()
	write(t, "four", f.path(name))
	f.gives(name)
	f.sync()
	write(t, "in the old one", deep+".old", "twist.star")
	if got := f.sync(); len(got) > 0 {
		t.Errorf("the folder put aside still gives events: %v", got)
	}
}

func TestFollowReplaces(t *testing.T) {
	f := newFixture(t, "a.star")
	f.follow("b.star")
	write(t, "a", f.path("a.star"))
	write(t, "b", f.path("b.star"))
	if got := f.sync(); !slices.Equal(got, []string{f.path("b.star")}) {
		t.Errorf("got %v", got)
	}
}

func TestCloseEndsTheBatches(t *testing.T) {
	for name, open := range map[string]func() (events, error){"events": systemEvents, "polling": refused} {
		w := start(open)
		w.Close()
		if _, open := <-w.Batches(); open {
			t.Errorf("%s: a batch came after the end", name)
		}
		if err := w.Follow([]string{"x"}); err != nil { // does not hang
			t.Errorf("%s: %v", name, err)
		}
	}
}
