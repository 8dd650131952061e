package live

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// shown is what these tests read of a display.
type shown struct {
	Format string
	Exit   int
	Params []struct{ Name, Kind string }
	Pieces []struct {
		Name   string
		Bounds [4]float64
	}
}

// displayed reads a display.
func displayed(t *testing.T, text []byte) (d shown) {
	t.Helper()
	if err := json.Unmarshal(text, &d); err != nil || d.Format != "creasewright-display" {
		t.Fatalf("%v in %.200s", err, text)
	}
	return d
}

// lidded is a script with one parameter.
const lidded = `w = param("w", 60)
front = panel("front", rect(w, 40))
lid = flap("lid", on = front.top, depth = 20, fold = 90)
piece("box", front, board = board("card", caliper = 0.4))
`

// A display comes with a run and never reaches the folder, whatever formats are made
// beside it; a script without a design has none.
func TestDisplayIsHandedOver(t *testing.T) {
	dir, job := newJob(t)
	save(t, lidded, dir, "box.star")
	once := func() Outcome {
		t.Helper()
		out, err := job.Once(context.Background())
		if err != nil || out.Err != nil {
			t.Fatal(err, out.Err)
		}
		return out
	}
	if out := once(); out.Display != nil || out.Frozen != nil {
		t.Error("a display that nobody asked for")
	}
	job.Display = true
	for _, formats := range []emit.Table{nil, engine.Formats(), engine.Formats().Only([]emit.Kind{emit.KindReport})} {
		job.Formats = formats
		out := once()
		if d := displayed(t, out.Display); len(d.Pieces) != 1 || d.Pieces[0].Bounds != [4]float64{0, 0, 60, 60} || d.Exit != 0 {
			t.Errorf("shows %+v", d)
		}
		if slices.ContainsFunc(out.Files, func(f engine.File) bool { return f.Unwritten }) {
			t.Error("it stands among the files")
		}
	}
	if _, err := os.Stat(filepath.Join(job.Dir, emit.DisplayName)); err == nil {
		t.Error("it was written")
	}
	job.Formats = nil
	save(t, lidded+"require(False, \"no\")\n", dir, "box.star")
	if d := displayed(t, once().Display); d.Exit != int(engine.Faulty) {
		t.Errorf("a faulty design shows exit %d", d.Exit)
	}
	save(t, "piece(", dir, "box.star")
	if out := once(); out.Display != nil || out.Frozen != nil || out.Exit != engine.Broken {
		t.Errorf("a broken script shows %s", out.Display)
	}
}

// Trying values writes nothing, goes by the texts on disk, and leaves the job as it is;
// values that the script refuses are told.
func TestTry(t *testing.T) {
	dir, job := newJob(t)
	save(t, lidded, dir, "box.star")
	job.Params = map[string]string{"w": "70"}
	try := func(params map[string]string) Outcome {
		t.Helper()
		out, err := job.Try(context.Background(), params)
		if err != nil || len(out.Files) > 0 || len(out.Written) > 0 {
			t.Fatal(err, out.Files, out.Written)
		}
		return out
	}
	for want, params := range map[float64]map[string]string{70: nil, 95.5: {"w": "95.5"}} {
		if d := displayed(t, try(params).Display); d.Pieces[0].Bounds[2] != want {
			t.Errorf("%v: %v wide, want %v", params, d.Pieces[0].Bounds[2], want)
		}
	}
	if out := try(map[string]string{"w": "wide"}); out.Exit != engine.Broken || out.Display != nil || len(out.Findings) != 1 {
		t.Errorf("a value that is none: %+v", out.Findings)
	}
	if _, err := os.Stat(job.Dir); err == nil {
		t.Error("an output folder was made")
	}
	if len(job.Params) != 1 || job.Params["w"] != "70" {
		t.Errorf("the job has other values now: %v", job.Params)
	}
	save(t, strings.Replace(lidded, "rect(w, 40)", "rect(w, 45)", 1), dir, "box.star")
	if d := displayed(t, try(nil).Display); d.Pieces[0].Bounds[3] != 65 {
		t.Errorf("after a save: %v", d.Pieces[0].Bounds)
	}
	ctx, cancel := context.WithCancelCause(context.Background())
	given := errors.New("something newer")
	cancel(given)
	if _, err := job.Try(ctx, nil); !errors.Is(err, given) {
		t.Errorf("after the end of its context: %v", err)
	}
}

// Law: what a frozen job tries and folds is of the run it was frozen in, byte for byte,
// whatever becomes of the script on disk; the job itself goes by the disk.
func TestFrozenJobKeepsItsTexts(t *testing.T) {
	dir, job := newJob(t)
	job.Display = true
	save(t, "load(\"sizes.star\", \"deep\")\n"+lidded[:len(lidded)-1]+"\nfront.cut(circle(deep).shift(30, 20))\n", dir, "box.star")
	save(t, "deep = 9\n", dir, "sizes.star")
	first, err := job.Once(context.Background())
	if err != nil || first.Exit != engine.Clean {
		t.Fatal(err, first.Findings)
	}
	shares := []float64{0, 1. / 3, 1}
	motion := func(j Job) []byte {
		t.Helper()
		text, err := j.Motion(context.Background(), nil, 0, "closed", shares)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	want := motion(job)
	if !bytes.Equal(motion(*first.Frozen), want) {
		t.Error("before the change the two differ")
	}
	for _, change := range []func(){
		func() { save(t, "deep = 4\n", dir, "sizes.star") },
		func() { save(t, "piece(", dir, "box.star") },
		func() { _ = os.Remove(filepath.Join(dir, "box.star")) },
		func() { _ = os.RemoveAll(dir) },
	} {
		change()
		again, err := first.Frozen.Try(context.Background(), nil)
		if err != nil || !bytes.Equal(again.Display, first.Display) {
			t.Errorf("the frozen job shows something else: %v", err)
		}
		if !bytes.Equal(motion(*first.Frozen), want) || !bytes.Equal(motion(*again.Frozen), want) {
			t.Error("the frozen job folds something else")
		}
	}
	if _, err := job.Motion(context.Background(), nil, 0, "closed", shares); err == nil {
		t.Error("the job folds a script that is gone")
	}
}

// What cannot be folded is an error that says so.
func TestMotionOfNothing(t *testing.T) {
	dir, job := newJob(t)
	save(t, lidded, dir, "box.star")
	for _, c := range []struct {
		params map[string]string
		piece  int
		pose   string
		shares []float64
		want   string
	}{
		{nil, 1, "closed", []float64{1}, "there is no piece 1"},
		{nil, -1, "closed", []float64{1}, "there is no piece -1"},
		{nil, 0, "ajar", []float64{1}, `box has no pose "ajar"`},
		{nil, 0, "closed", []float64{0.5, 1.25}, "a motion runs from 0 to 1, not to 1.25"},
		{nil, 0, "closed", make([]float64, engine.MaxShares+1), "1001 states are asked for at once, of at most 1000"},
		{map[string]string{"v": "3"}, 0, "closed", []float64{1}, `no param is named "v"`},
	} {
		var f *diag.Finding
		text, err := job.Motion(context.Background(), c.params, c.piece, c.pose, c.shares)
		if text != nil || !errors.As(err, &f) || f.Message != c.want {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// A watch hands over the display of each run that it tells, once its stages have been
// told; while the script is broken there is none, and the last frozen job folds on.
func TestWatchShows(t *testing.T) {
	dir, job := newJob(t)
	save(t, lidded, dir, "box.star")
	job.Display = true
	stages := make(chan string, 1000)
	job.Stage = func(stage string) { stages <- stage }
	told := watching(t, job)
	first := next(t, told)
	displayed(t, first.Display)
	for _, want := range engine.Stages() {
		if got := <-stages; got != want {
			t.Errorf("stage %s, want %s", got, want)
		}
	}
	save(t, "piece(", dir, "box.star")
	if out := next(t, told); out.Display != nil || out.Frozen != nil {
		t.Error("a broken script shows something")
	}
	if text, err := first.Frozen.Motion(context.Background(), nil, 0, "closed", []float64{0.5}); err != nil || len(text) == 0 {
		t.Errorf("the last run that was shown does not fold: %v", err)
	}
	save(t, strings.Replace(lidded, "60", "64", 1), dir, "box.star")
	if d := displayed(t, next(t, told).Display); d.Pieces[0].Bounds[2] != 64 {
		t.Errorf("healed, it shows %v", d.Pieces[0].Bounds)
	}
}

// The stages of a run are told in their order, and of a run that ends early as far as it
// comes.
func TestStagesAreTold(t *testing.T) {
	dir, job := newJob(t)
	var told []string
	job.Stage = func(stage string) { told = append(told, stage) }
	for text, want := range map[string][]string{
		lidded:   engine.Stages(),
		"piece(": {engine.StageScript},
	} {
		told = nil
		save(t, text, dir, "box.star")
		if _, err := job.Once(context.Background()); err != nil || !slices.Equal(told, want) {
			t.Errorf("%v, %v, want %v", err, told, want)
		}
	}
}
