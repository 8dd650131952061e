//go:build unix

package read

import (
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
