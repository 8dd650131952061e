package script

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/script/scripttest"
	"github.com/creasewright/creasewright/stdlib"
)

// Every error case gives the findings marked in it, each at its line, and no
// other.
func TestErrorCases(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/errors/*.star")
	if err != nil || len(paths) == 0 {
		t.Fatal("no error cases", err)
	}
	for _, path := range paths {
		cases, err := scripttest.Read(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			_, findings := Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, Options{Params: c.Params})
			for _, m := range c.Mismatches(findings) {
				t.Errorf("%s: %s", c.Name, m)
			}
		}
	}
}
