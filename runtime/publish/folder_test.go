package publish

import (
	"os"
	"path/filepath"
	"testing"
)

func TestDefaultFolder(t *testing.T) {
	for script, want := range map[string]string{
		"tea.star":         "tea",
		"boxes/tea.star":   "boxes/tea",
		"tea":              "tea.files",
		"boxes/.star":      "boxes/.star.files",
		"tea.star/mug.txt": "tea.star/mug.txt.files",
		"boxes/..star":     "boxes/..star.files",
		"boxes/...star":    "boxes/...star.files",
		"...star":          "...star.files",
		"....star":         "....star.files",
		".tea.star":        ".tea",
		"../tea.star":      "../tea",
	} {
		if got := Beside(filepath.FromSlash(script)); got != filepath.FromSlash(want) {
			t.Errorf("%s: %s, want %s", script, got, want)
		}
	}
}

func TestLastIsAnOrdinaryFileOrNothing(t *testing.T) {
	dir := t.TempDir()
	if got := Last(dir, "preview.svg"); got != nil {
		t.Errorf("absent: %q", got)
	}
	publish(t, dir, file("preview.svg", "p"))
	if got := Last(dir, "preview.svg"); string(got) != "p" {
		t.Errorf("got %q", got)
	}
	if err := os.Symlink("preview.svg", filepath.Join(dir, "link.svg")); err != nil {
		t.Fatal(err)
	}
	if got := Last(dir, "link.svg"); got != nil {
		t.Errorf("a link was followed: %q", got)
	}
	if err := os.Truncate(filepath.Join(dir, "preview.svg"), mostLast+1); err != nil {
		t.Fatal(err)
	}
	if got := Last(dir, "preview.svg"); got != nil {
		t.Errorf("%d bytes were read", len(got))
	}
}
