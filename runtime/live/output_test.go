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

// What a run reads has a path where it lies in a folder; all else has none.
func TestSourcesLieInFolders(t *testing.T) {
	top, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"boxes/tea.star": "tea", "boxes/parts/a b.star": "part", "shelf/twist.star": "twist", "secret.star": "secret"} {
		path := filepath.Join(top, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	job := Job{Script: filepath.Join(top, "boxes", "tea.star"), Shelf: filepath.Join(top, "shelf")}
	for label, want := range map[string]string{"tea.star": "boxes/tea.star", "parts/a b.star": "boxes/parts/a b.star", "@shelf//twist.star": "shelf/twist.star"} {
		path, text, err := job.Source(label)
		there, _ := os.ReadFile(path)
		if err != nil || path != filepath.Join(top, filepath.FromSlash(want)) || string(text) != string(there) {
			t.Errorf("%s: %q holds %q, %v", label, path, text, err)
		}
	}
	for _, label := range []string{"//closures.star", "../secret.star", "none.star", "", ".", "parts", "@shelf//../secret.star", filepath.Join(top, "secret.star")} {
		if path, text, err := job.Source(label); err == nil {
			t.Errorf("%s: %q holds %q", label, path, text)
		}
	}
	job.Text = []byte("text")
	if path, _, err := job.Source("tea.star"); err == nil {
		t.Errorf("a script that stands in no file lies at %q", path)
	}
}
