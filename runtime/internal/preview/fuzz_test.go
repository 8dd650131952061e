package preview

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// FuzzFault shows a fault over whatever lies where the last preview should: the
// picture is sound and made of known elements, whoever wrote that file.
func FuzzFault(f *testing.F) {
	for _, name := range []string{"sleeve.svg", "fault.svg"} {
		text, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text, "the lid is too long", "lid = panel()")
	}
	f.Add([]byte("<svg><script>alert(1)</script></svg>"), "</svg>", "\x1b[2J\u202e")
	f.Fuzz(func(t *testing.T, last []byte, message, line string) {
		fault := diag.Scriptf(source.Site{{File: "box.star", Line: 1, Column: 2, EndLine: 1, EndColumn: 5}}, "%s", message).WithHint("%s", line)
		d := xml.NewDecoder(bytes.NewReader(Fault(t.Context(), fault, line, last)))
		for {
			token, err := d.Token()
			if err == io.EOF {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if e, ok := token.(xml.StartElement); ok && !slices.Contains(append(oldElements, "svg", "title", "desc", "style", "tspan"), e.Name.Local) {
				t.Errorf("an element <%s>", e.Name.Local)
			}
		}
	})
}
