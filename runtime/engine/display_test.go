package engine

import (
	"bytes"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/limit"
)

// leaf is a small design with an error.
const leaf = `front = panel("front", rect(60, 40))
lid = flap("lid", on = front.top, depth = 20, fold = 90)
require(False, "it is never right")
piece("leaf", front, board = board("card", caliper = 0.4))
`

// What is asked for beside the files changes none of them, nor anything else that a run
// gives; it stands before the report.
func TestShowingChangesNothing(t *testing.T) {
	req := everything(t)
	plain := mustRun(req)
	req.Also = []emit.Kind{emit.KindDisplay}
	shown := mustRun(req)
	if n := len(plain.Files); len(shown.Files) != n+1 || shown.Files[n-1].Kind != emit.KindDisplay || !shown.Files[n-1].Unwritten {
		t.Fatalf("%d files, %d without a display", len(shown.Files), n)
	}
	rest := slices.DeleteFunc(slices.Clone(shown.Files), func(f File) bool { return f.Kind == emit.KindDisplay })
	if !slices.EqualFunc(plain.Files, rest, func(a, b File) bool { return a.Name == b.Name && bytes.Equal(a.Bytes, b.Bytes) }) {
		t.Error("other files are made beside a display")
	}
}

// A motion is the only file of its run, which comes no further than to the folds and asks
// of no rule: a design with errors folds as well.
func TestAMotionIsAllThereIs(t *testing.T) {
	var told []string
	res := mustRun(Request{
		Script: "leaf.star", Read: from(map[string]string{"leaf.star": leaf}), Also: []emit.Kind{emit.KindDisplay},
		Motion: &MotionRequest{Pose: "closed", Shares: []float64{0.5}}, Stage: func(stage string) { told = append(told, stage) },
	})
	if res.Exit != Clean || len(res.Files) != 1 || res.Files[0].Kind != emit.KindMotion || len(res.Findings) > 0 {
		t.Fatalf("exit %d, %d files, %v", res.Exit, len(res.Files), res.Findings)
	}
	if f, _ := emit.Formats().Of(emit.KindMotion); f.Check(t.Context(), res.Files[0].Bytes) != nil {
		t.Errorf("it is %.100s", res.Files[0].Bytes)
	}
	if !slices.Equal(told, []string{StageScript, StageFolds}) {
		t.Errorf("it went through %v", told)
	}
}

// A motion is not made by its name, and a script at fault leaves no picture for one.
func TestMotionsThatAreNotMade(t *testing.T) {
	read := from(map[string]string{"leaf.star": leaf, "bad.star": "piece("})
	res := mustRun(Request{Script: "leaf.star", Read: read, Also: []emit.Kind{emit.KindMotion}})
	if res.Exit != Broken || res.Findings[0].Message != `there is no file format "motion"` {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
	res = mustRun(Request{Script: "bad.star", Read: read, Motion: &MotionRequest{Pose: "closed", Shares: []float64{0.5}}})
	if res.Exit != Broken || len(res.Files) > 0 || len(res.Findings) != 1 {
		t.Errorf("exit %d, %d files, %v", res.Exit, len(res.Files), res.Findings)
	}
}

// What is not written is bounded by itself: a display that is too large keeps no file from
// being made, and a motion that is says so.
func TestUnwrittenFilesAreBounded(t *testing.T) {
	req := Request{Script: "c.star", Read: from(map[string]string{"c.star": concertina(100)}), Formats: emit.Formats().Only([]emit.Kind{emit.KindCutDXF, emit.KindDisplay}), Limits: limit.Defaults()}
	written := int64(len(mustRun(req).Files[0].Bytes))
	req.Also = []emit.Kind{emit.KindDisplay}
	if shown := int64(len(mustRun(req).Files[1].Bytes)); shown < written {
		t.Fatalf("a display of %d bytes is no larger than the %d of the cut file", shown, written)
	}
	req.Limits[limit.Output] = written
	res := mustRun(req)
	if res.Exit != Clean || len(res.Files) != 2 || int64(len(res.Files[1].Bytes)) > written || !bytes.Contains(res.Files[1].Bytes, []byte("too large to be shown")) {
		t.Errorf("exit %d, %d files, %v", res.Exit, len(res.Files), res.Findings)
	}
	req.Motion = &MotionRequest{Pose: "closed", Shares: make([]float64, 100)}
	if res := mustRun(req); res.Exit != Broken || len(res.Files) > 0 {
		t.Errorf("a motion: exit %d, %d files", res.Exit, len(res.Files))
	}
}
