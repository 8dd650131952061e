package stdlib_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

const tests = "../testdata/stdlib"

// read gives the test scripts, which load one another and the library.
func read(label string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join(tests, filepath.Base(label)))
	if os.IsNotExist(err) {
		return nil, source.ErrAbsent
	}
	return text, err
}

// Every module has a test in the script language, whose requirements all hold
// and whose pieces come out without an error.
func TestModules(t *testing.T) {
	for _, label := range stdlib.Labels() {
		name := strings.TrimPrefix(label, "//")
		res, err := engine.Run(context.Background(), engine.Request{Script: name, Read: read})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			if f.Severity > diag.Note {
				t.Errorf("%v %s", f, f.Hint)
			}
		}
		if !slices.ContainsFunc(res.Reads, func(r source.Read) bool { return r.Label == label && !r.Absent }) {
			t.Errorf("%s does not load %s", name, label)
		}
	}
}

func TestText(t *testing.T) {
	for _, label := range []string{"closures.star", "//none.star", "//../go.mod", "//", "@shelf//closures.star"} {
		if _, ok := stdlib.Text(label); ok {
			t.Errorf("%s is there", label)
		}
	}
}
