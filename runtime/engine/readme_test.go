package engine

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/golden"
)

// firstScript is the first script shown in the README.
func firstScript(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, begins := strings.Cut(string(text), "\n```python\n")
	script, _, ends := strings.Cut(rest, "\n```\n")
	if !begins || !ends {
		t.Fatal("the README shows no script")
	}
	return script + "\n"
}

// The first script of the README works as it stands there, and the picture
// beside it is what it makes. After a change run
//
//	go test ./runtime/engine -run Readme -update
//
// and look at the picture.
func TestReadmeShowsWhatItsScriptMakes(t *testing.T) {
	const name = "sleeve.star"
	res := mustRun(Request{Script: name, Read: from(map[string]string{name: firstScript(t)})})
	for _, f := range res.Findings {
		if f.Severity > diag.Note {
			t.Errorf("%v", f)
		}
	}
	if got, want := names(res.Files), "sleeve.cut.svg sleeve.cut.dxf preview.svg report.json"; res.Exit != Clean || got != want {
		t.Fatalf("exit %d with files %q, want %q", res.Exit, got, want)
	}
	golden.In(t, filepath.Join("..", "..", "testdata", "readme"), ".svg").Check("sleeve.svg", fileNamed(res, "preview.svg"))
}

func fileNamed(res Result, name string) []byte {
	for _, f := range res.Files {
		if f.Name == name {
			return f.Bytes
		}
	}
	return nil
}
