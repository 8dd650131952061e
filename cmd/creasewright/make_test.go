package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

func TestMakeWritesEverythingBesideTheScript(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star").wants(t, engine.Clean, "",
		"tray.star: 1 piece, nothing to mend; wrote tray.cut.svg, tray.cut.dxf, preview.svg and report.json in tray\n",
		"caution: Cutting")
	files := folder(t, "tray")
	for name, holds := range map[string]string{
		"tray.cut.svg": `width="60.0000mm" height="60.0000mm"`,
		"tray.cut.dxf": "LWPOLYLINE",
		"preview.svg":  "Tray",
		"report.json":  `"script": "tray.star"`,
	} {
		if !strings.Contains(files[name], holds) {
			t.Errorf("%s holds no %q", name, holds)
		}
	}
	if len(files) != 4 {
		t.Errorf("%d files", len(files))
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if strings.Contains(text, filepath.ToSlash(here)) || strings.Contains(text, filepath.Base(filepath.Dir(here))) {
			t.Errorf("%s tells where the script lies", name)
		}
	}
}

func TestMakeTwiceGivesTheSameBytes(t *testing.T) {
	desk(t, warned)
	cli("make", "tray.star")
	first := folder(t, "tray")
	cli("make", "tray.star").wants(t, engine.Clean, "", "files up to date in tray")
	cli("make", "tray.star", "-o", "again").wants(t, engine.Clean, "", "in again")
	if !reflect.DeepEqual(folder(t, "tray"), first) || !reflect.DeepEqual(folder(t, "again"), first) {
		t.Error("the second run gave other bytes")
	}
}

// After an error the cut files of the last good run stay.
func TestMakeKeepsGoodFiles(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star")
	good := folder(t, "tray")

	put(t, "tray.star", faulty)
	cli("make", "tray.star").wants(t, engine.Faulty, "",
		"tray.star:7:1: error: the rack takes 50 mm (require)\n", "1 piece, 1 error; wrote preview.svg and report.json in tray, no cut files written; tray.cut.dxf and tray.cut.svg of an earlier run stay\n")
	changed(t, good, "preview.svg", "report.json")

	put(t, "tray.star", broken)
	before := folder(t, "tray")
	cli("make", "tray.star").wants(t, engine.Broken, "",
		`tray.star:7:6: error: panel "base" has no edge "lid"`, "     7 | base.lid.cut(circle(1))\n", "wrote preview.svg in tray, no cut files written; tray.cut.dxf and tray.cut.svg of an earlier run stay\n")
	changed(t, before, "preview.svg")
	for name, holds := range map[string]string{"the fault": "has no edge", "the last drawing": ">wall<"} {
		if !strings.Contains(folder(t, "tray")["preview.svg"], holds) {
			t.Errorf("the preview does not show %s", name)
		}
	}

	put(t, "tray.star", tray)
	cli("make", "tray.star").wants(t, engine.Clean, "")
	changed(t, good)
}

// changed checks that just the named files of the tray differ from before.
func changed(t *testing.T, before map[string]string, names ...string) {
	t.Helper()
	want := map[string]bool{}
	for _, n := range names {
		want[n] = true
	}
	now := folder(t, "tray")
	if len(now) != len(before) {
		t.Errorf("%d files, were %d", len(now), len(before))
	}
	for name, text := range now {
		if (text != before[name]) != want[name] {
			t.Errorf("%s: changed is not %v", name, want[name])
		}
	}
}

func TestMakeSetsParameters(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star", "--set", "width=3in").wants(t, engine.Clean, "")
	// A 3 × 4 inch panel is 76.2 × 101.6 mm (common practice, no source).
	if svg := folder(t, "tray")["tray.cut.svg"]; !strings.Contains(svg, `width="76.2000mm"`) {
		t.Errorf("not three inches wide: %.200s", svg)
	}
	cli("make", "tray.star", "--set", "width=90", "--set", "width = 30").wants(t, engine.Clean, "")
	if svg := folder(t, "tray")["tray.cut.svg"]; !strings.Contains(svg, `width="30.0000mm"`) {
		t.Errorf("the last value does not hold: %.200s", svg)
	}
	for set, talk := range map[string]string{
		"width=300":  "width",
		"width=wide": "width",
		"widht=30":   `did you mean "width"?`,
	} {
		cli("make", "tray.star", "--set", set).wants(t, engine.Broken, "", "error: ", talk)
	}
}

func TestMakeWithoutAScriptMakesNoFolder(t *testing.T) {
	desk(t, tray)
	cli("make", "sleeve.star").wants(t, engine.Broken, "", `there is no file "sleeve.star"`, "no files written")
	if _, err := os.Stat("sleeve"); err == nil {
		t.Error("a folder was made for a script that is not there")
	}
}

// A file where -o wants a folder is a fault of the command line, also above it;
// nothing is run and nothing written.
func TestMakeIntoAFile(t *testing.T) {
	desk(t, tray)
	put(t, "taken", "in the way")
	for _, dir := range []string{"taken", filepath.Join("taken", "deep", "down")} {
		for _, command := range []string{"make", "watch"} {
			cli(command, "tray.star", "-o", dir).wants(t, engine.Broken, "", "-o "+dir+" names the folder for the files, and taken is a file\n")
		}
	}
	if got := folder(t, "."); len(got) != 2 || got["taken"] != "in the way" {
		t.Errorf("the folder holds %d files", len(got))
	}
}

// Cut files that were taken away do not stay, and a first run with errors has none
// that could.
func TestMakeSaysWhichCutFilesStay(t *testing.T) {
	desk(t, faulty)
	const none = "wrote preview.svg and report.json in tray, no cut files written\n"
	cli("make", "tray.star").wants(t, engine.Faulty, "", none)
	put(t, "tray.star", tray)
	cli("make", "tray.star").wants(t, engine.Clean, "")
	if err := os.Remove(filepath.Join("tray", "tray.cut.dxf")); err != nil {
		t.Fatal(err)
	}
	put(t, "tray.star", faulty)
	cli("make", "tray.star").wants(t, engine.Faulty, "", "no cut files written; tray.cut.svg of an earlier run stays\n")
}

// A machine's file of an earlier run is told to be there as well, and what people look at is not.
func TestMakeSaysWhichMachineFilesStay(t *testing.T) {
	const cutter = `
machine("cutter", bed = (300, 300), format = "svg")
`
	desk(t, tray+cutter)
	cli("make", "tray.star", "--for", "cutter").wants(t, engine.Clean, "")
	put(t, filepath.Join("tray", "preview.svg"), "looked at")
	put(t, "tray.star", faulty+cutter)
	cli("make", "tray.star", "--for", "cutter").wants(t, engine.Faulty, "", "; tray.cut.dxf, tray.cut.svg and tray.cutter.svg of an earlier run stay\n")
	if got := cutFiles([]string{"preview.svg", "preview.pdf", "sheet.pdf", "report.json", "a.b.pdf", "a.b.gcode"}); !slices.Equal(got, []string{"a.b.pdf", "a.b.gcode"}) {
		t.Error(got)
	}
}

func TestMakeWithoutADisk(t *testing.T) {
	desk(t, tray)
	put(t, "tray", "in the way")
	cli("make", "tray.star").wants(t, engine.Crashed, "", "cannot make the output folder", "not every file was written")
}

func TestMakeFromTheShelf(t *testing.T) {
	desk(t, "load(\"@shelf//size.star\", \"width\")\n"+strings.Replace(tray, "param(\"width\", 60, min = 20, max = 200)", "width", 1))
	if err := os.Mkdir("mine", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join("mine", "size.star"), "width = 44\n")
	cli("make", "tray.star", "--shelf", "mine").wants(t, engine.Clean, "")
	if svg := folder(t, "tray")["tray.cut.svg"]; !strings.Contains(svg, `width="44.0000mm"`) {
		t.Errorf("the shelf was not read: %.200s", svg)
	}
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	cli("make", "tray.star").wants(t, engine.Broken, "", "shelf")
}

// What a script prints reaches the terminal, and cannot steer it.
func TestMakeShowsPrints(t *testing.T) {
	desk(t, tray+`print("width", width, "\x1b[2J")`)
	cli("make", "tray.star").wants(t, engine.Clean, "", "width 60 \\x1b[2J\n")
}

func TestNotesOnlyWhenAskedFor(t *testing.T) {
	c := &console{}
	all := runTray(t, warned).Findings
	all[0].Severity = diag.Note
	if n := len(c.shown(all)); n != len(all)-1 {
		t.Errorf("%d of %d findings shown without notes", n, len(all))
	}
	c.notes = true
	if n := len(c.shown(all)); n != len(all) {
		t.Errorf("%d of %d findings shown with notes", n, len(all))
	}
}

func runTray(t *testing.T, script string) engine.Result {
	t.Helper()
	res, err := engine.Run(t.Context(), engine.Request{Script: "tray.star", Read: func(string) ([]byte, error) { return []byte(script), nil }})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// A link that came with the script does not choose the output folder; the user
// may.
func TestMakeIntoALink(t *testing.T) {
	desk(t, tray)
	if err := errors.Join(os.Mkdir("victim", 0o755), os.Symlink("victim", "tray")); err != nil {
		t.Skip(err)
	}
	cli("make", "tray.star").wants(t, engine.Crashed, "", "tray is a symbolic link; give -o tray if")
	if got := folder(t, "victim"); len(got) > 0 {
		t.Errorf("%d files where the link leads", len(got))
	}
	cli("make", "tray.star", "-o", "tray").wants(t, engine.Clean, "", "wrote tray.cut.svg")
}

// Two scripts may share an output folder.
func TestMakeTwoScriptsIntoOneFolder(t *testing.T) {
	desk(t, tray)
	put(t, "box.star", strings.Replace(tray, `piece("tray"`, `piece("box"`, 1))
	cli("make", "tray.star", "-o", "print").wants(t, engine.Clean, "")
	cli("make", "box.star", "-o", "print").wants(t, engine.Clean, "")
	if got := folder(t, "print"); len(got) != 6 || got["tray.cut.svg"] == "" || got["box.cut.dxf"] == "" {
		t.Errorf("%d files", len(got))
	}
}

// A run that was killed half way leaves files of different runs; the next one
// tells, and until one is without errors each of them does.
func TestMakeAfterAnInterruptedRun(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star").wants(t, engine.Clean, "")
	digest := sha256.Sum256([]byte(folder(t, "tray")["tray.cut.svg"]))
	put(t, filepath.Join("tray", ".creasewright-journal.json"), fmt.Sprintf(
		`{"format": "creasewright-journal", "version": 1, "scripts": {"tray.star": {"tray.cut.svg": ["%x"], "tray.cut.dxf": ["not written yet"]}}}`, digest))
	put(t, "tray.star", faulty)
	const are = "the files in tray are from an interrupted run; a run without errors writes them anew\n"
	cli("make", "tray.star").wants(t, engine.Faulty, "", are)
	cli("make", "tray.star").wants(t, engine.Faulty, "", are)
	put(t, "tray.star", tray)
	cli("make", "tray.star").wants(t, engine.Clean, "", "the files in tray were from an interrupted run; they have been written anew\n")
	if got := cli("make", "tray.star"); strings.Contains(got.err, "interrupted") {
		t.Errorf("told once more:\n%s", got.err)
	}
}

// One watch tells it once, and again when that changes.
func TestInterruptedRunsAreToldOnce(t *testing.T) {
	var talk bytes.Buffer
	c := newConsole(&bytes.Buffer{}, &talk, os.Getenv)
	for _, step := range []struct {
		out  live.Outcome
		want string
	}{
		{live.Outcome{}, ""},
		{live.Outcome{Change: live.Change{Interrupted: true}, Result: engine.Result{Exit: engine.Faulty}}, "a run without errors writes them anew"},
		{live.Outcome{Change: live.Change{Interrupted: true}, Result: engine.Result{Exit: engine.Broken}}, ""},
		{live.Outcome{Change: live.Change{Interrupted: true}, Err: errors.New("no room")}, ""},
		{live.Outcome{Change: live.Change{Interrupted: true}}, "they have been written anew"},
		{live.Outcome{}, ""},
		{live.Outcome{Change: live.Change{Interrupted: true}}, "they have been written anew"},
	} {
		talk.Reset()
		c.interrupted("tray", step.out)
		if got := talk.String(); !strings.Contains(got, step.want) || step.want == "" && got != "" {
			t.Errorf("says %q, want %q", got, step.want)
		}
	}
}

// Files for a machine, said in one line; what cannot be asked for is the command line's fault.
func TestMakeForAMachine(t *testing.T) {
	desk(t, tray+`machine("desktop cutter", bed = (300, 600), format = "svg")`+"\n")
	cli("make", "tray.star", "--for", "desktop cutter").wants(t, engine.Clean, "",
		"wrote tray.cut.svg, tray.cut.dxf, tray.desktop cutter.svg, preview.svg and report.json in tray\n")
	if text := folder(t, "tray")["tray.desktop cutter.svg"]; !strings.Contains(text, `width="300.0000mm" height="600.0000mm"`) {
		t.Errorf("%.100s", text)
	}
	cli("make", "tray.star", "--for", "desk cutter").wants(t, engine.Broken, "", `there is no machine "desk cutter"`, `did you mean "desktop cutter"?`)
	cli("make", "tray.star", "--paper", "a3").wants(t, engine.Broken, "", `--paper takes a4 or letter, not "a3"`)
}

// A path that is misspelt is told at once with the one that may be meant, also by watch, which else waits for a file to come.
func TestMisspeltPaths(t *testing.T) {
	desk(t, tray)
	for _, c := range [][]string{{"make", "trey.star"}, {"watch", "trey.star", "--page=off"}, {"layout", "trey.star", "--sheet", "700x1000"}, {"fmt", "trey.star"}} {
		cli(c...).wants(t, engine.Broken, "", `there is no file "trey.star"; did you mean "tray.star"?`)
	}
	put(t, "sizes.csv", "width\n70\n")
	cli("make", "tray.star", "--table", "sizs.csv").wants(t, engine.Broken, "", `there is no file "sizs.csv"; did you mean "sizes.csv"?`)
	if len(folder(t, ".")) != 2 {
		t.Errorf("files were written: %v", folder(t, "."))
	}
}

// A sheet that was laid out of the pieces as they were is told when they change, and not when they do not.
func TestStaleLayout(t *testing.T) {
	desk(t, tray)
	const told = "the sheet in layout.* is that of an earlier run"
	cli("layout", "tray.star", "--sheet", "700x1000").wants(t, engine.Clean, "")
	cli("make", "tray.star").wants(t, engine.Clean, "", told)
	for _, also := range []string{"glb", "stl"} {
		res := cli("make", "tray.star", "--also", also)
		res.wants(t, engine.Clean, "", "tray."+also)
		if strings.Contains(res.err, told) {
			t.Errorf("told again, with --also %q: %s", also, res.err)
		}
	}
}
