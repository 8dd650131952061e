package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// A watch from its first good run through every kind of trouble and back.
func TestLinesOfAWatch(t *testing.T) {
	var talk bytes.Buffer
	at := time.Date(2031, 5, 4, 9, 59, 0, 0, time.UTC)
	log := watchLog{
		console: newConsole(&bytes.Buffer{}, &talk, func(string) string { return "1" }),
		job:     live.Job{Dir: "tea"},
		now:     func() time.Time { return at },
		preview: &previewer{told: true},
	}
	picture := []engine.File{{Name: emit.PreviewName, Traits: emit.Traits{Kind: emit.KindPreview}}}
	fault := []*diag.Finding{diag.Scriptf(nil, "no good")}
	pieces := []string{"tea", "lid"}
	for _, step := range []struct {
		result  engine.Result
		removed []string
		err     error
		want    string
	}{
		{engine.Result{Exit: engine.Broken, Findings: fault}, nil, nil, "error: no good\n10:00:00  there is nothing to run; no cut files written  (7 ms)\n"},
		{engine.Result{Pieces: pieces}, nil, nil, "10:01:00  2 pieces, nothing to mend; files in tea  (7 ms)\n"},
		{engine.Result{Pieces: pieces[:1]}, []string{"lid.cut.svg", "lid.cut.dxf"}, nil, "10:02:00  1 piece, nothing to mend; removed lid.cut.svg and lid.cut.dxf  (7 ms)\n"},
		{engine.Result{Exit: engine.Broken, Findings: fault, Files: picture}, nil, nil, "error: no good\n10:03:00  the script does not run: see preview.svg; the cut files stay as of 10:02:00  (7 ms)\n"},
		{engine.Result{Exit: engine.Faulty, Findings: fault, Files: picture, Pieces: pieces}, nil, nil, "error: no good\n10:04:00  2 pieces, 1 error: see preview.svg; the cut files stay as of 10:02:00  (7 ms)\n"},
		{engine.Result{Pieces: pieces}, nil, nil, "10:05:00  mended: 2 pieces, nothing to mend; the cut files are up to date again  (7 ms)\n"},
		{engine.Result{Pieces: pieces}, nil, nil, "10:06:00  2 pieces, nothing to mend; no file changed  (7 ms)\n"},
		{engine.Result{Exit: engine.Crashed, Findings: fault, Stack: "at line 3\n"}, nil, nil, "error: no good\nat line 3\n10:07:00  the run failed; the cut files stay as of 10:06:00  (7 ms)\n"},
		{engine.Result{Pieces: pieces, Files: picture}, nil, errors.New("no space left"), "creasewright: no space left\n10:08:00  not every file could be written; the cut files stay as of 10:06:00  (7 ms)\n"},
		{engine.Result{Pieces: pieces}, nil, nil, "10:09:00  mended: 2 pieces, nothing to mend; the cut files are up to date again  (7 ms)\n"},
	} {
		at = at.Add(time.Minute)
		talk.Reset()
		log.log(live.Outcome{
			Result: step.result, Change: live.Change{Removed: step.removed}, Err: step.err,
			Built: 4 * time.Millisecond, Published: 3 * time.Millisecond,
		})
		if talk.String() != step.want {
			t.Errorf("got\n%swant\n%s", talk.String(), step.want)
		}
	}
}

// Cut files that someone took away do not stay.
func TestCutFilesThatAreMissing(t *testing.T) {
	var talk bytes.Buffer
	at := time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)
	log := watchLog{
		console: newConsole(&bytes.Buffer{}, &talk, func(string) string { return "1" }),
		job:     live.Job{Dir: "tea"},
		now:     func() time.Time { return at },
		preview: &previewer{told: true},
	}
	log.log(live.Outcome{Result: engine.Result{Pieces: []string{"tea"}}})
	talk.Reset()
	log.log(live.Outcome{Result: engine.Result{Exit: engine.Broken}, Gone: true})
	if want := "10:00:00  there is nothing to run; cut files of 10:00:00 are missing from tea  (1 ms)\n"; talk.String() != want {
		t.Errorf("got\n%swant\n%s", talk.String(), want)
	}
}

// What a run takes in a process of its own, the commands say as they say
// everything else.
func TestCommandsWithWorkers(t *testing.T) {
	desk(t, tray)
	put(t, "endless.star", "x = 1\ny = max(range(1 << 34))\n")
	worked := func(args ...string) ran {
		var out, err bytes.Buffer
		c := newConsole(&out, &err, func(string) string { return "" })
		return ran{engine.Exit(run(t.Context(), c, args)), out.String(), err.String()}
	}
	worked("make", "tray.star").wants(t, engine.Clean, "", "1 piece, nothing to mend; wrote tray.cut.svg")
	worked("make", "endless.star", "--limit", "time=200ms").wants(t, engine.Broken, "",
		"endless.star:2:1: error: the run takes more than 0.2 s\n", "     2 | y = max(range(1 << 34))\n",
		"hint: a loop may run far longer than meant; --limit time=400ms allows more\n", "wrote preview.svg in endless")
	worked("check", "endless.star", "tray.star", "--limit", "time=1s").wants(t, engine.Broken, "", "takes more than", "checked 2 scripts, 1 error")
}

func TestLimitsOnTheCommandLine(t *testing.T) {
	desk(t, tray+"x = [[[[1]]]]\n")
	for _, command := range []string{"make", "check"} {
		cli(command, "tray.star").wants(t, engine.Clean, "")
		cli(command, "tray.star", "--limit", "nesting=3").wants(t, engine.Broken, "", "brackets stand within one another more than 3 times", "--limit nesting=6")
		cli(command, "tray.star", "--limit", "nesting=3", "--limit", "nesting=4").wants(t, engine.Clean, "")
		cli(command, "tray.star", "--limit", "panel=3").wants(t, engine.Broken, "", `--limit: there is no limit called "panel"`)
	}
	cli("watch", "tray.star", "--limit", "time").wants(t, engine.Broken, "", "not of the form name=value")
	for _, command := range []string{"make", "check", "watch"} {
		got := cli(command, "--help")
		for _, want := range []string{"--limit name=value", "  memory        256 MB   ", "  panels        20,000   "} {
			if !strings.Contains(got.out, want) {
				t.Errorf("%s --help does not say %q", command, want)
			}
		}
	}
}

// A piece that is given another name takes its old files with it, but not what
// someone has changed.
func TestMakeRemovesWhatIsMadeNoMore(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star").wants(t, engine.Clean, "")
	put(t, "tray/tray.cut.dxf", "changed by hand")
	put(t, "tray.star", strings.Replace(tray, `piece("tray"`, `piece("dish"`, 1))
	cli("make", "tray.star").wants(t, engine.Clean, "", "report.json in tray, removed tray.cut.svg\n")
	files := folder(t, "tray")
	if _, there := files["tray.cut.svg"]; there || files["tray.cut.dxf"] != "changed by hand" || files["dish.cut.svg"] == "" {
		t.Errorf("%d files are left", len(files))
	}
}

// One line says what a save changed: sizes of blanks, numbers of panels, pieces that
// came and went, files.
func TestChangesOfAWatch(t *testing.T) {
	var talk bytes.Buffer
	log := watchLog{
		console: newConsole(&bytes.Buffer{}, &talk, func(string) string { return "1" }),
		job:     live.Job{Dir: "tray"}, now: func() time.Time { return time.Time{}.Add(time.Hour) },
		preview: &previewer{told: true},
	}
	lid := "lid = panel(\"lid\", rect(width, 30.5))\npiece(\"lid\", lid, board = card)\n"
	wing := "panel(\"wing\", rect(20, 10), on = wall.left)\n"
	for _, step := range []struct{ script, want string }{
		{tray, "1 piece, nothing to mend; files in tray  ("},
		{strings.Replace(tray, "60,", "72.5,", 1), "1 piece, nothing to mend; tray is 72.5 × 60 mm, was 60 × 60 mm; wrote preview.svg  ("},
		{tray + wing, "tray is 80 × 60 mm, was 72.5 × 60 mm; tray has 3 panels, had 2; wrote preview.svg  ("},
		{tray + wing, "nothing to mend; wrote preview.svg  ("},
		{tray + lid, "2 pieces, nothing to mend; tray is 60 × 60 mm, was 80 × 60 mm; tray has 2 panels, had 3; lid is new: 60 × 30.5 mm, 1 panel; wrote"},
		{faulty, "1 piece, 1 error: see preview.svg"},
		{tray, "mended: 1 piece, nothing to mend; the cut files are up to date again; wrote preview.svg  ("},
	} {
		talk.Reset()
		res := runTray(t, step.script)
		log.log(live.Outcome{Result: res, Change: live.Change{Written: []string{"preview.svg"}}})
		if !strings.Contains(talk.String(), step.want) {
			t.Errorf("got\n%swant\n%s", talk.String(), step.want)
		}
	}
	talk.Reset()
	log.log(live.Outcome{Result: runTray(t, strings.Replace(tray, `piece("tray"`, `piece("dish"`, 1)), Change: live.Change{Removed: []string{"tray.cut.svg"}}})
	if want := "dish is new: 60 × 60 mm, 2 panels; tray is gone; removed tray.cut.svg  ("; !strings.Contains(talk.String(), want) {
		t.Errorf("got\n%swant\n%s", talk.String(), want)
	}
}
