package script

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// Every error case gives the findings marked in it, each at its line, and no
// other.
func TestErrorCases(t *testing.T) {
	scripttest.Check(t, "../../../testdata/errors/*.star", func(c *scripttest.Case) []*diag.Finding {
		_, findings := Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, Options{Params: c.Params, Reached: func(source.Site) {}})
		return findings
	})
}
