package watch

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// A folder that gives no events is followed all the same, if more slowly.
func TestChangesWithoutEvents(t *testing.T) {
	dir, w := following(t, "tea.star")
	must(t, w.events.Remove(dir), w.events.Remove(filepath.Dir(dir)))
	write(t, "one", dir, "tea.star")
	gives(t, w, dir, "tea.star")
	must(t, os.Remove(filepath.Join(dir, "tea.star")))
	gives(t, w, dir, "tea.star")
	select {
	case batch := <-w.Batches():
		t.Errorf("nothing happened, and %v came", batch)
	case <-time.After(3 * Recheck / 2):
	}
}

func TestLooks(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	put := func(path, text string) {
		write(t, text, path)
		must(t, os.Chtimes(path, long, long))
	}
	l := looks{}
	put(a, "one")
	for _, step := range []struct {
		name string
		do   func()
		want []string
	}{
		{"first look", func() {}, nil},
		{"nothing", func() {}, nil},
		{"made", func() { put(b, "one") }, []string{b}},
		{"longer", func() { put(a, "longer") }, []string{a}},
		{"later", func() { must(t, os.Chtimes(a, long, long.Add(time.Minute))) }, []string{a}},
		{"no longer for others", func() { must(t, os.Chmod(a, 0o600)) }, []string{a}},
		{"another of the same size and time", func() {
			put(a+".new", "longer")
			must(t, os.Chtimes(a+".new", long, long.Add(time.Minute)), os.Rename(a+".new", a))
		}, []string{a}},
		{"gone", func() { must(t, os.Remove(a), os.Remove(b)) }, []string{a, b}},
		{"still gone", func() {}, nil},
	} {
		step.do()
		if got := l.again([]string{a, b}); !slices.Equal(got, step.want) {
			t.Errorf("%s: %v, want %v", step.name, got, step.want)
		}
	}
	if got := l.again([]string{a}); got != nil || len(l) != 1 {
		t.Errorf("a file that is no longer followed: %v, %v", got, l)
	}
}
