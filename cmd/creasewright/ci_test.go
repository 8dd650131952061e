package main

import (
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
	tests, err := filepath.Glob(filepath.Join(root, "runtime", "*", "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, path := range tests {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`).FindAllStringSubmatch(string(text), -1) {
			found++
			if line := "\t" + filepath.Base(filepath.Dir(path)) + " " + m[1] + " "; !strings.Contains(string(script), line) {
				t.Errorf("%s of %s is not run", m[1], path)
			}
		}
	}
	if found < 8 {
		t.Errorf("only %d fuzz targets", found)
	}
}
