package build

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/script/scripttest"
	"github.com/creasewright/creasewright/runtime/source"
)

// Every error that shows only after the script has run is found at the call
// that made what it is about, and no other; notes and warnings are the rules'
// own matter.
func TestErrorCases(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/errors/build/*.star")
	if err != nil || len(paths) == 0 {
		t.Fatal("no error cases", err)
	}
	for _, path := range paths {
		cases, err := scripttest.Read(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			res := Run(context.Background(), Request{Script: scripttest.Main, Params: c.Params, Read: func(label string) ([]byte, error) {
				if text, ok := c.Files[label]; ok {
					return []byte(text), nil
				}
				return nil, source.ErrAbsent
			}})
			var errors []*diag.Finding
			for _, f := range res.Findings {
				if f.Severity == diag.Error {
					errors = append(errors, f)
				}
			}
			for _, m := range c.Mismatches(errors) {
				t.Errorf("%s: %s", c.Name, m)
			}
		}
	}
}
