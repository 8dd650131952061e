package preview

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The goldens are a whole sheet and a fault over an empty page. They were
// looked at as pictures; look again after every update.
func TestGoldens(t *testing.T) {
	for name, got := range map[string][]byte{
		"sleeve.svg": SVG(sleeve()),
		"fault.svg":  Fault(lidFault(), lidLine, nil),
	} {
		file := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(file, got, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs; run with -update and look at the picture\n%s", file, got)
		}
	}
}
