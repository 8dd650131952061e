package manual_test

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// The picture book shows every function of the library as it is now: its page of the
// manual, and the sheet of the script in its docstring.
func TestBook(t *testing.T) {
	book := golden.In(t, filepath.Join("..", "..", "stdlib", "book"), ".md", ".svg")
	var index strings.Builder
	index.WriteString("# Picture book of the standard library\n\nEvery function with the sheet of its example, flat and folded. Made from the modules by a test.\n")
	for _, label := range stdlib.Labels() {
		text, _ := stdlib.Text(label)
		pages, err := manual.ModulePages(label, text)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(label[2:], ".star")
		fmt.Fprintf(&index, "\n## [`%s`](%s.md)\n\n%s\n\n", label, name, pages[0].Brief)
		var out strings.Builder
		fmt.Fprintf(&out, "# %s\n\n%s\n", label, pages[0].Brief)
		for _, page := range pages[1:] {
			fmt.Fprintf(&index, "- [%s](%s.md#%s): %s\n", page.Name, name, page.Name, page.Brief)
			_, body, _ := strings.Cut(page.Text, "\n")
			fmt.Fprintf(&out, "\n## %s\n\n", page.Name)
			if page.Script != "" {
				fmt.Fprintf(&out, "![%s, flat and folded](%s.svg)\n\n", page.Name, page.Name)
				title := strings.ReplaceAll(page.Name, "_", " ")
				title = strings.ToUpper(title[:1]) + title[1:]
				book.Check(page.Name+".svg", sheetOf(t, page.Name, fmt.Sprintf("%q\n%s", title, page.Script)))
			}
			fmt.Fprintf(&out, "```text\n%s\n```\n%s\n", page.Title, strings.TrimRight(body, "\n"))
		}
		book.Check(name+".md", []byte(out.String()))
	}
	book.Check("README.md", []byte(index.String()))
}

// sheetOf is the sheet of a script.
func sheetOf(t *testing.T, name, text string) []byte {
	t.Helper()
	formats := slices.DeleteFunc(slices.Clone(engine.Formats()), func(f emit.Format) bool { return f.Kind != emit.KindPreview })
	res, err := engine.Run(context.Background(), engine.Request{
		Script: name + ".star", Formats: formats,
		Read: func(label string) ([]byte, error) {
			if label == name+".star" {
				return []byte(text), nil
			}
			return nil, source.ErrAbsent
		},
	})
	if err != nil || len(res.Files) != 1 {
		t.Fatalf("%s: %d files, %v, %v", name, len(res.Files), err, res.Findings)
	}
	return res.Files[0].Bytes
}
