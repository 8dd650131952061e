package engine

import (
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
)

// Every error that shows only after the script has run is found at the call
// that made what it is about, and no other; notes and warnings are the rules'
// own matter.
func TestErrorCases(t *testing.T) {
	scripttest.Check(t, "../../testdata/errors/engine/*.star", func(c *scripttest.Case) []*diag.Finding {
		res := mustRun(Request{Script: scripttest.Main, Read: from(c.Files), Params: c.Params})
		return slices.DeleteFunc(res.Findings, func(f *diag.Finding) bool { return f.Severity != diag.Error })
	})
}
