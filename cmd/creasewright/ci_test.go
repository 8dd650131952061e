package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every fuzz target is run with the other checks, so that none rots.
func TestEveryFuzzTargetIsRun(t *testing.T) {
	root := filepath.Join("..", "..")
	script, err := os.ReadFile(filepath.Join(root, ".ci", "run"))
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	visit := func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		folder, err := filepath.Rel(filepath.Join(root, "runtime"), filepath.Dir(path))
		if err != nil {
			return err
		}
		for _, m := range regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`).FindAllStringSubmatch(string(text), -1) {
			found++
			if line := "\t" + filepath.ToSlash(folder) + " " + m[1] + " "; !strings.Contains(string(script), line) {
				t.Errorf("%s of %s is not run", m[1], path)
			}
		}
		return nil
	}
	if err := filepath.WalkDir(filepath.Join(root, "runtime"), visit); err != nil {
		t.Fatal(err)
	}
	if found < 8 {
		t.Errorf("only %d fuzz targets", found)
	}
}
