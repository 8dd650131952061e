package publish

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// Law: whichever change of the disk is refused, the file is the old one or the new
// one, and no temporary file is left.
func TestReplaceWholeOrNotAtAll(t *testing.T) {
	refused := errors.New("refused")
	for at := 0; ; at++ {
		dir := t.TempDir()
		path := filepath.Join(dir, "box.star")
		if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		d, err := Folder{Path: dir}.open(false)
		if err != nil {
			t.Fatal(err)
		}
		defer d.close()
		changes := 0
		d.step = func(string, string) error {
			if changes++; changes == at+1 {
				return refused
			}
			return nil
		}
		err = d.replaceWhole("box.star", []byte("new text"))
		text, _ := os.ReadFile(path)
		info, _ := os.Stat(path)
		if got := string(text); got != "new text" && (err == nil || got != "old") || info.Mode().Perm() != 0o600 {
			t.Errorf("change %d refused: %q, %v, %v", at+1, got, info.Mode(), err)
		}
		if changes <= at {
			if string(text) != "new text" || err != nil {
				t.Errorf("nothing refused: %q, %v", text, err)
			}
			return
		}
		if at < 4 && !errors.Is(err, refused) {
			t.Errorf("change %d refused: %v", at+1, err)
		}
		if left, _ := filepath.Glob(filepath.Join(dir, ".*")); at < 4 && left != nil {
			t.Errorf("change %d refused: left behind %q", at+1, left)
		}
	}
}

func TestReplaceMakesWhatIsNotThere(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	err = Replace(root, "box.star", []byte("new"))
	if text, _ := os.ReadFile(filepath.Join(dir, "box.star")); err != nil || string(text) != "new" {
		t.Errorf("%q, %v", text, err)
	}
}
