package read

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// trailOf is a folder's trail without the folder that all of a test lies in.
func trailOf(t *testing.T, dir string, f *Folder, labels ...string) []string {
	t.Helper()
	var out []string
	for _, path := range f.Trail(labels) {
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, filepath.ToSlash(rel))
	}
	return out
}

func link(t *testing.T, target string, path ...string) {
	t.Helper()
	if err := os.Symlink(target, filepath.Join(path...)); err != nil {
		t.Fatal(err)
	}
}

func TestTrails(t *testing.T) {
	dir, f := design(t)
	link(t, "flap.star", dir, "boxes", "parts", "again.star")
	link(t, "parts", dir, "boxes", "bits")
	link(t, "loop.star", dir, "boxes", "loop.star")
	for label, want := range map[string][]string{
		"tea.star":           nil,
		"absent.star":        {"boxes/absent.star"},
		"parts/flap.star":    {"boxes/parts/flap.star"},
		"parts/again.star":   {"boxes/parts/again.star", "boxes/parts/flap.star"},
		"bits/again.star":    {"boxes/bits", "boxes/bits/again.star", "boxes/parts/again.star", "boxes/parts/flap.star"},
		"loop.star":          {"boxes/loop.star"},
		"@shelf//none.star":  {"shelf/none.star"},
		"//closures.star":    nil,
		"../secret.star":     nil,
		"parts/no/none.star": {"boxes/parts/no/none.star"},
	} {
		want = append(want, "boxes/tea.star")
		slices.Sort(want)
		if got := trailOf(t, dir, f, label); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", label, got, want)
		}
	}
}

// A shelf that is a link, and a script that is one, are followed to where they
// lead; the links themselves may be turned elsewhere.
func TestTrailsOfLinkedRoots(t *testing.T) {
	dir, _ := design(t)
	link(t, "shelf", dir, "myshelf")
	link(t, filepath.Join("boxes", "tea.star"), dir, "today.star")
	f, err := Beside(filepath.Join(dir, "today.star"), filepath.Join(dir, "myshelf"))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"boxes/tea.star", "myshelf", "myshelf/twist.star", "shelf/twist.star", "today.star"}
	if got := trailOf(t, dir, f, "tea.star", "@shelf//twist.star"); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// A name that no label can be is refused, not taken for one that is not there.
func TestNamesThatAreNoText(t *testing.T) {
	if _, err := Beside(filepath.Join(t.TempDir(), "\xff.star"), ""); err == nil {
		t.Error("a name that is not UTF-8 was taken")
	}
}
