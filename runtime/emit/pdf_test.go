package emit_test

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

// A PDF is recognised only if, outside its streams, nothing in it acts on whoever
// opens it, and nothing hides from who looks for that.
func TestHarmlessPDF(t *testing.T) {
	pdf, _ := emit.Formats().Of(emit.KindPDF)
	for body, want := range map[string]bool{
		"1 0 obj\n<</Type/Catalog/Pages 3 0 R>>\nendobj":                                                     true,
		"6 0 obj\n<</Length 20>>stream\n/JavaScript #%() (x)\nendstream\n\nendobj\n2 0 obj\n<</Title(Tea)>>": true,
		"1 0 obj\n<</Type/Catalog/OpenAction 4 0 R>>":                                                        false,
		"4 0 obj\n<</S/JavaScript>>":                                                                         false,
		"4 0 obj\n<</S/Java#53cript>>":                                                                       false,
		"4 0 obj\n<</S /Launch>>":                                                                            false,
		"6 0 obj\n<</Length 1>>stream\nx\nendstream\n4 0 obj\n<</AA 5 0 R>>":                                 false,
		"% <<>>stream\n4 0 obj\n<</S/Launch>>\nendstream\n":                                                  false,
		"2 0 obj\n<</Title(>>stream\n)/S/Launch>>\nendstream\n":                                              false,
		"6 0 obj\n<</Length 9>>stream\nand no end":                                                           false,
		"6 0 obj\nstream\nx\nendstream\n":                                                                    false,
	} {
		if got := pdf.Check(context.Background(), []byte(pdf.Head+body+pdf.Tail)) == nil; got != want {
			t.Errorf("%q: recognised: %t", body, got)
		}
	}
}
