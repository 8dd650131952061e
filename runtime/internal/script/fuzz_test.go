package script

import (
	"context"
	"regexp"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// leap matches what could fill this process's memory in one step. Scripts that
// do are run in processes of their own elsewhere.
var leap = regexp.MustCompile(`\d{4}|<<|\d[eE]\d|0[xXoObB]`)

// FuzzScript holds the law of spoilt scripts against whatever the fuzzer makes
// of a text: a design or findings that point into it, and no panic.
func FuzzScript(f *testing.F) {
	f.Add(sleeveScript)
	for _, w := range Words() {
		f.Add(w.Example)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if leap.MatchString(text) || len(text) > 10_000 {
			t.Skip("could fill the memory in one step")
		}
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		go endWhenFull(ctx, cancel)
		d, fs := Run(ctx, files{"main.star": text}.store(), "main.star", Options{
			Limits: bound(limit.Steps, 20_000), Reached: func(source.Site) {},
		})
		if d == nil && len(fs) == 0 {
			t.Errorf("no design and no finding")
		}
		for _, f := range fs {
			// A script's own messages may be of any form.
			if !strings.Contains(text, "fail") && !strings.Contains(text, "require") {
				checkPlaces(t, text, f)
			}
		}
	})
}

// endWhenFull ends a run that doubles something over and over.
func endWhenFull(ctx context.Context, cancel func()) {
	heap := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	for ctx.Err() == nil {
		if metrics.Read(heap); heap[0].Value.Uint64() > 400<<20 {
			cancel()
		}
		time.Sleep(time.Millisecond)
	}
}
