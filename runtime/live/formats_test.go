package live

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/worker"
)

// toys is the table with two formats more, as a contributor would add them: one
// of each piece, and one of the design that is made only when asked for.
func toys() emit.Table {
	return slices.Insert(engine.Formats(), 0,
		emit.Format{
			Traits: emit.Traits{Kind: "toy", From: emit.FromPiece, When: emit.WithErrors}, Name: ".toy.txt", Head: "toy ", Tail: "\n",
			Piece: func(_ context.Context, b *blank.Blank) ([]byte, error) {
				return fmt.Appendf(nil, "toy %s %g\n", b.Piece.Name, b.Bounds.Width()), nil
			},
		},
		emit.Format{
			Traits: emit.Traits{Kind: "tally", From: emit.FromDesign, When: emit.WhenClean, Asked: true}, Name: "tally.txt", Head: "tally ", Tail: "\n",
			Design: func(_ context.Context, r emit.Run) ([]byte, error) {
				return fmt.Appendf(nil, "tally %d\n", len(r.Design.Panels)), nil
			},
		})
}

// A format needs nothing but its row: its files come through a process of their
// own and onto disk, and go from there when they are made no more.
func TestAFormatIsOneRow(t *testing.T) {
	dir, job := newJob(t)
	pool := worker.New(limit.Defaults(), worker.Once)
	defer pool.Close()
	job.Build = pool.Run
	job.Formats = toys()
	once := func(want ...string) {
		t.Helper()
		out, err := job.Once(context.Background())
		if err != nil || out.Err != nil || !slices.Equal(out.Written, want) {
			t.Fatalf("wrote %v, want %v; %v, %v, %v", out.Written, want, err, out.Err, out.Findings)
		}
	}
	once("box.toy.txt", "box.cut.svg", "box.cut.dxf", "preview.svg", "report.json")
	if text, err := os.ReadFile(filepath.Join(job.Dir, "box.toy.txt")); err != nil || string(text) != "toy box 50\n" {
		t.Errorf("%q, %v", text, err)
	}
	job.Also = []emit.Kind{"tally"}
	once("tally.txt")
	save(t, box+"require(False, \"no\")\n", dir, "box.star")
	once("preview.svg", "report.json")
	save(t, box, dir, "box.star")
	job.Formats, job.Also = nil, nil
	out, err := job.Once(context.Background())
	if err != nil || out.Err != nil || !slices.Equal(out.Removed, []string{"box.toy.txt", "tally.txt"}) {
		t.Errorf("removed %v; %v, %v", out.Removed, err, out.Err)
	}
	job.Also = []emit.Kind{"tally"}
	if out, err := job.Once(context.Background()); err != nil || out.Exit != engine.Broken || out.Findings[0].Message != `there is no file format "tally"` {
		t.Errorf("an unknown format: %v, %v", out.Findings, err)
	}
}

// Files for machines come through a process of their own and onto disk, stay while the
// design has errors, and go when they are no longer asked for.
func TestFilesForMachines(t *testing.T) {
	dir, job := newJob(t)
	pool := worker.New(limit.Defaults(), worker.Once)
	defer pool.Close()
	job.Build, job.For = pool.Run, []string{"big die"}
	shop := box + `machine("big die", bed = (700, 1000), format = "dxf")` + "\n"
	save(t, shop, dir, "box.star")
	for _, c := range []struct {
		script           string
		asked            []string
		written, removed []string
	}{
		{shop, job.For, []string{"box.cut.svg", "box.cut.dxf", "box.big die.dxf", "preview.svg", "report.json"}, nil},
		{shop + "require(False, \"no\")\n", job.For, []string{"preview.svg", "report.json"}, nil},
		{shop, nil, []string{"preview.svg", "report.json"}, []string{"box.big die.dxf"}},
	} {
		save(t, c.script, dir, "box.star")
		job.For = c.asked
		out, err := job.Once(context.Background())
		if err != nil || out.Err != nil || !slices.Equal(out.Written, c.written) || !slices.Equal(out.Removed, c.removed) {
			t.Fatalf("wrote %q, removed %q; %v, %v, %v", out.Written, out.Removed, err, out.Err, out.Findings)
		}
	}
}
