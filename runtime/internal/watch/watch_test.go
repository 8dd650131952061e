package watch

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
)

// patience is how long a test waits for a batch that must come; lull, how long
// it waits for one that must not.
const (
	patience = 5 * time.Second
	lull     = 15 * Quiet
)

// following starts a watcher on files in a fresh folder.
func following(t *testing.T, names ...string) (dir string, w *Watcher) {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	w, err = New()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
	var files []string
	for _, n := range names {
		files = append(files, filepath.Join(dir, n))
	}
	w.Follow(files)
	return dir, w
}

// gives waits until every wanted file has been in a batch.
func gives(t *testing.T, w *Watcher, dir string, names ...string) {
	t.Helper()
	want := map[string]bool{}
	for _, n := range names {
		want[filepath.Join(dir, n)] = true
	}
	for late := time.After(patience); len(want) > 0; {
		select {
		case batch := <-w.Batches():
			for _, file := range batch {
				delete(want, file)
			}
		case <-late:
			t.Fatalf("no batch with %v", want)
		}
	}
}

// settle takes batches until there are none for a while.
func settle(w *Watcher) (taken [][]string) {
	for {
		select {
		case batch := <-w.Batches():
			taken = append(taken, batch)
		case <-time.After(lull):
			return taken
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
			dir, w := following(t, "tea.star")
			file := filepath.Join(dir, "tea.star")
			write(t, "old", file)
			gives(t, w, dir, "tea.star")
			settle(w)
			save(t, dir, file)
			gives(t, w, dir, "tea.star")
			settle(w)
			write(t, "and again", file)
			gives(t, w, dir, "tea.star")
		})
	}
}

func TestOtherFilesAreQuiet(t *testing.T) {
	dir, w := following(t, "tea.star")
	write(t, "picture", dir, "preview.svg")
	must(t, os.Mkdir(filepath.Join(dir, "tea"), 0o755))
	write(t, "report", dir, "tea", "report.json")
	must(t, os.Rename(filepath.Join(dir, "tea", "report.json"), filepath.Join(dir, "tea", "old.json")))
	if got := settle(w); len(got) > 0 {
		t.Errorf("batches for files nobody follows: %v", got)
	}
}

// A touch and another mode are events of the file, and not only found when it is
// looked at again; what changes neither is none.
func TestTouchesAndModes(t *testing.T) {
	dir, w := following(t, "tea.star")
	file := filepath.Join(dir, "tea.star")
	write(t, "one", file)
	settle(w)
	f := newFollowed(w.events)
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
		f.looks.again(f.files)
	}
	write(t, "other", dir, "mug.star")
	if got := f.touched(fsnotify.Event{Name: filepath.Join(dir, "mug.star"), Op: fsnotify.Chmod}); got != nil {
		t.Errorf("a file nobody follows: %v", got)
	}
}

// A storm of writes comes as few batches, the last after the last write.
func TestAStormIsOneBatchWhileItLasts(t *testing.T) {
	dir, w := following(t, "a.star", "b.star")
	for range 200 {
		write(t, "a", dir, "a.star")
		write(t, "b", dir, "b.star")
	}
	batches := settle(w)
	if n := len(batches); n == 0 || n > 5 {
		t.Fatalf("%d batches for 400 writes", n)
	}
	var all []string
	for _, b := range batches {
		if !slices.IsSorted(b) {
			t.Errorf("a batch is not sorted: %v", b)
		}
		all = merge(all, b)
	}
	if want := []string{filepath.Join(dir, "a.star"), filepath.Join(dir, "b.star")}; !slices.Equal(all, want) {
		t.Errorf("got %v", all)
	}
}

func TestFoldersThatComeAndGo(t *testing.T) {
	dir, w := following(t, "shelf/deep/twist.star")
	deep := filepath.Join(dir, "shelf", "deep")
	for range 3 {
		must(t, os.MkdirAll(deep, 0o755))
		write(t, "one", deep, "twist.star")
		gives(t, w, dir, "shelf/deep/twist.star")
		settle(w)
		must(t, os.RemoveAll(filepath.Join(dir, "shelf")))
		gives(t, w, dir, "shelf/deep/twist.star")
		settle(w)
	}
	must(t, os.MkdirAll(deep, 0o755))
	write(t, "two", deep, "twist.star")
	gives(t, w, dir, "shelf/deep/twist.star")
	settle(w)
	// The folder is put aside and another stands in its place.
	must(t, os.Rename(deep, deep+".old"), os.Mkdir(deep, 0o755))
	write(t, "three", deep, "twist.star")
	gives(t, w, dir, "shelf/deep/twist.star")
	settle(w)
	write(t, "four", deep, "twist.star")
	gives(t, w, dir, "shelf/deep/twist.star")
	settle(w)
	write(t, "in the old one", deep+".old", "twist.star")
	if got := settle(w); len(got) > 0 {
		t.Errorf("the folder put aside still stirs: %v", got)
	}
}

func TestFollowReplaces(t *testing.T) {
	dir, w := following(t, "a.star")
	w.Follow([]string{filepath.Join(dir, "b.star")})
	write(t, "a", dir, "a.star")
	write(t, "b", dir, "b.star")
	batches := settle(w)
	if len(batches) == 0 {
		t.Error("no batch for the file that is followed now")
	}
	for _, batch := range batches {
		if !slices.Equal(batch, []string{filepath.Join(dir, "b.star")}) {
			t.Errorf("got %v", batch)
		}
	}
}

func TestCloseEndsTheBatches(t *testing.T) {
	w, err := New()
	must(t, err)
	must(t, w.Close())
	if _, open := <-w.Batches(); open {
		t.Error("a batch came after the end")
	}
	w.Follow([]string{"x"}) // does not hang
}
