package worker

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// Whatever our examples make is recognised, and so are the pictures of faults.
func TestOwnFilesAreRecognised(t *testing.T) {
	for path, text := range examples(t) {
		req := request(text)
		res, _ := engine.Run(context.Background(), req)
		for _, f := range res.Files {
			if f.Kind == emit.KindPreview {
				req.LastPreview = f.Bytes
			}
		}
		fault := &diag.Finding{Rule: "script", Severity: diag.Error, Message: "no < or \" on it = '>'", Site: source.Site{{File: "box.star", Line: 1}}}
		shown, _ := engine.Stopped(context.Background(), req, fault)
		for _, f := range append(res.Files, shown.Files...) {
			if format, ok := emit.Formats().Of(f.Kind); !ok || format.Check(t.Context(), f.Bytes) != nil {
				t.Errorf("%s: %s is taken for something else", path, f.Name)
			}
		}
	}
}
