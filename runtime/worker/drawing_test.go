package worker

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// Whatever our examples make looks right, and so do the pictures of faults.
func TestOwnFilesLookRight(t *testing.T) {
	for path, text := range examples(t) {
		req := request(text)
		res := engine.Run(context.Background(), req)
		for _, f := range res.Files {
			if f.Kind == engine.Preview {
				req.LastPreview = f.Bytes
			}
		}
		fault := &diag.Finding{Rule: "script", Severity: diag.Error, Message: "no < or \" on it = '>'", Site: source.Site{{File: "box.star", Line: 1}}}
		for _, f := range append(res.Files, engine.Stopped(req, fault).Files...) {
			if !looksRight(f.Kind, f.Bytes) {
				t.Errorf("%s: %s is taken for something else", path, f.Name)
			}
		}
	}
}

func TestPicturesThatDoMore(t *testing.T) {
	head := string(heads[engine.Preview])
	for name, c := range map[string]struct {
		text string
		want bool
	}{
		"plain":           {head + `width="1mm"><g id="cut"><path d="M0 0"/></g></svg>`, true},
		"text":            {head + `><text x="1">3 &lt; 4 onload="x" 'href'</text></svg>`, true},
		"script":          {head + `><script>x()</script></svg>`, false},
		"event":           {head + `><g onload="x()"/></svg>`, false},
		"link":            {head + `><a href="x"/></svg>`, false},
		"image":           {head + `><image href="http://x"/></svg>`, false},
		"style":           {head + `><g style="fill:url(http://x)"/></svg>`, false},
		"foreign":         {head + `><foreignObject/></svg>`, false},
		"entity":          {head[:len(head)-5] + `<!DOCTYPE svg [<!ENTITY x "y">]><svg></svg>`, false},
		"comment":         {head + `><!-- x --></svg>`, false},
		"half quoted":     {head + `><g id="a>" onload="x"/></svg>`, false},
		"other quotes":    {head + `><g id='a""> ' onload="x"/></svg>`, false},
		"spaced":          {head + `><g id = "a" /></svg>`, false},
		"broken line":     {head + "><g\nonload=\"x\"/></svg>", false},
		"tag within":      {head + `><g id="<g"/></svg>`, false},
		"never ends":      {head + `><g`, false},
		"not XML":         {"#!/bin/sh\n", false},
		"nothing":         {"", false},
		"another's names": {head + `><x:script/></svg>`, false},
	} {
		if got := looksRight(engine.Preview, []byte(c.text)); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	if looksRight(engine.CutDXF, []byte("#!/bin/sh\n")) || looksRight(engine.Report, []byte("<svg>")) || looksRight("mood", nil) {
		t.Error("other kinds are taken for what they are not")
	}
}
