package live

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// What is given is the content of a regular file in the folder itself.
func TestOutputsAreFilesOfTheFolder(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "tea")
	err := errors.Join(
		os.MkdirAll(filepath.Join(dir, "deep"), 0o755),
		os.WriteFile(filepath.Join(dir, "tea.cut.svg"), []byte("cut"), 0o644),
		os.WriteFile(filepath.Join(dir, "deep", "x.svg"), []byte("deep"), 0o644),
		os.WriteFile(filepath.Join(top, "secret"), []byte("secret"), 0o644),
	)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Symlink("../secret", filepath.Join(dir, "out.svg")), os.Symlink("tea.cut.svg", filepath.Join(dir, "in.svg"))); err != nil {
		t.Skip(err)
	}
	job := Job{Dir: dir}
	if text, err := job.Output("tea.cut.svg", 3); err != nil || string(text) != "cut" {
		t.Errorf("%q, %v", text, err)
	}
	if text, err := job.Output("tea.cut.svg", 2); err == nil || text != nil {
		t.Errorf("more than was allowed: %q", text)
	}
	for _, name := range []string{"", ".", "..", "../secret", "deep", "deep/x.svg", "out.svg", "in.svg", "none.svg", filepath.Join(dir, "tea.cut.svg"), "tea.cut.svg\x00"} {
		if text, err := job.Output(name, 100); err == nil || text != nil {
			t.Errorf("%q gave %q", name, text)
		}
	}
	if err := os.Symlink("tea", filepath.Join(top, "link")); err != nil {
		t.Fatal(err)
	}
	for _, derived := range []bool{false, true} {
		if _, err := (Job{Dir: filepath.Join(top, "link"), Derived: derived}).Output("tea.cut.svg", 3); (err != nil) != derived {
			t.Errorf("a folder that is a link, derived %v: %v", derived, err)
		}
	}
}
