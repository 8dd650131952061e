package publish

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
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
	o := patient(Folder{Path: dir})
	defer o.Close()
	if got := o.Last("preview.svg"); got != nil {
		t.Errorf("before the folder is open: %q", got)
	}
	o.Begin()
	put(t, "p", dir, "preview.svg")
	if err := os.Symlink("preview.svg", filepath.Join(dir, "link.svg")); err != nil {
		t.Skip(err)
	}
	for name, want := range map[string]string{"preview.svg": "p", "link.svg": "", "none.svg": ""} {
		if got := o.Last(name); string(got) != want || want == "" && got != nil {
			t.Errorf("%s: %q", name, got)
		}
	}
	if err := os.Truncate(filepath.Join(dir, "preview.svg"), mostLast+1); err != nil {
		t.Fatal(err)
	}
	if got := o.Last("preview.svg"); got != nil {
		t.Errorf("%d bytes were read", len(got))
	}
}

// A folder that nobody chose may be a link that came with the script, whether
// it leads anywhere yet or not. One that was chosen is the user's business.
func TestADerivedFolderIsNoLink(t *testing.T) {
	dir := t.TempDir()
	files := []engine.File{file("a.cut.svg", "a")}
	victim := filepath.Join(dir, "victim")
	put(t, "", dir, "tea.star")
	derived := Beside(filepath.Join(dir, "tea.star"))
	if err := os.Symlink("victim", derived); err != nil {
		t.Skip(err)
	}
	for _, there := range []bool{false, true} {
		if there {
			if err := os.Mkdir(victim, 0o755); err != nil {
				t.Fatal(err)
			}
		}
		_, err := once(Folder{Path: derived, Derived: true}, files, true)
		if err == nil || !strings.Contains(err.Error(), derived+" is a symbolic link; give -o "+derived) {
			t.Errorf("it leads somewhere: %v; error: %v", there, err)
		}
	}
	if got := stands(t, victim); len(got) > 0 {
		t.Errorf("written where the link leads: %v", got)
	}
	if _, err := once(Folder{Path: derived}, files, true); err != nil || stands(t, victim)["a.cut.svg"] != "a" {
		t.Errorf("a chosen link: %v", err)
	}
	if err := os.Remove(derived); err != nil {
		t.Fatal(err)
	}
	for range 2 { // made, and there already
		if _, err := once(Folder{Path: derived, Derived: true}, files, true); err != nil {
			t.Errorf("no link: %v", err)
		}
	}
}
