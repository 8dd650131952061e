package main

import (
	"bytes"
	"os"
	"testing"
)

// The table in preview is the one that the fonts give.
func TestTableIsFresh(t *testing.T) {
	want, err := table()
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile("../widths.go")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("run go generate ./runtime/internal/preview")
	}
}
