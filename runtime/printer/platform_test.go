package printer

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// Same script, same bytes on every processor, for what this package writes with its own
// writer of PDF: templates, tiles and job sheets of the examples. It writes a line for every
// file to the file that CREASEWRIGHT_DIGESTS names, for .ci/run to compare between
// processors, as the engine's test of the same name does for cut files.
func TestDigestsForOtherProcessors(t *testing.T) {
	path := os.Getenv("CREASEWRIGHT_DIGESTS")
	if path == "" {
		t.Skip("CREASEWRIGHT_DIGESTS=FILE writes digests to be compared between processors, as .ci/run does")
	}
	scripts, err := filepath.Glob(filepath.Join("..", "..", "scripts", "*.star"))
	if err != nil || len(scripts) == 0 {
		t.Fatal("no examples", err)
	}
	var out bytes.Buffer
	for _, script := range scripts {
		name := filepath.Base(script)
		text := example(t, name)
		res, err := engine.Run(t.Context(), engine.Request{
			Script: name, Read: func(string) ([]byte, error) { return []byte(text), nil },
			Also: []emit.Kind{emit.KindPrint, emit.KindTiles, emit.KindSheet},
		})
		if err != nil || res.Exit > engine.Faulty {
			t.Fatal(name, err, res.Findings)
		}
		for _, f := range res.Files {
			fmt.Fprintf(&out, "%s: %s %x\n", name, f.Name, sha256.Sum256(f.Bytes))
		}
	}
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d designs, %d lines", len(scripts), bytes.Count(out.Bytes(), []byte("\n")))
}
