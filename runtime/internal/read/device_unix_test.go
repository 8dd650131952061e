//go:build unix

package read

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A pipe nobody writes to must not hold the run up, and a device behind a
// link must not be read.
func TestDevicesAndPipesAreRefused(t *testing.T) {
	dir, f := design(t)
	if err := syscall.Mkfifo(filepath.Join(dir, "boxes", "pipe.star"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("/dev/zero", filepath.Join(dir, "boxes", "zero.star")); err != nil {
		t.Fatal(err)
	}
	for label, want := range map[string]string{
		"pipe.star": "a device or a pipe",
		"zero.star": "leads out",
		"parts":     "a folder",
	} {
		if _, err := f.Text(label); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", label, err)
		}
	}
}

// A pipe in place of the shelf or of a script's folder is not waited for.
func TestPipesInPlaceOfFolders(t *testing.T) {
	dir, _ := design(t)
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := Beside(filepath.Join(dir, "boxes", "tea.star"), pipe)
	if err != nil {
		t.Fatal(err)
	}
	if text, err := f.Text("@shelf//twist.star"); err == nil || err.Error() != "not a directory" {
		t.Errorf("on the shelf: %q, %v", text, err)
	}
	boxes := filepath.Join(dir, "boxes")
	if err := errors.Join(os.Rename(boxes, boxes+".old"), os.Rename(pipe, boxes)); err != nil {
		t.Fatal(err)
	}
	if text, err := f.Text("tea.star"); err == nil || err.Error() != "not a directory" {
		t.Errorf("beside the script: %q, %v", text, err)
	}
}
