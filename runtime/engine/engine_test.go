package engine

import (
	"bytes"
	"context"
	"encoding/gob"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// from reads texts from memory.
func from(texts map[string]string) source.Reader {
	return func(label string) ([]byte, error) {
		if text, ok := texts[label]; ok {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	}
}

// mustRun is Run under a context that never ends.
func mustRun(req Request) Result {
	res, err := Run(context.Background(), req)
	if err != nil {
		panic(err)
	}
	return res
}

// mustStop is Stopped under such a context.
func mustStop(req Request, fault *diag.Finding) Result {
	res, err := Stopped(context.Background(), req, fault)
	if err != nil {
		panic(err)
	}
	return res
}

// runs runs one script on its own.
func runs(script string) Result {
	return mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": script})})
}

// tray is a plain design to add lines to.
const tray = `"""Tray"""
card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
wall = panel("wall", rect(60, 20), on = base.top)
piece("tray", base, board = card)
`

// clash adds two flaps that overlap in the flat.
const clash = `
a = flap("a", on = wall.left, depth = 30, taper = -45)
b = flap("b", on = base.left, depth = 30, taper = -45)
`

func names(files []File) string {
	var out []string
	for _, f := range files {
		out = append(out, f.Name)
	}
	return strings.Join(out, " ")
}

// What is written when, as the contract of commands and files has it.
func TestFilesByEnding(t *testing.T) {
	for name, c := range map[string]struct {
		script string
		exit   Exit
		files  string
	}{
		"clean":            {tray, Clean, "tray.cut.svg tray.cut.dxf preview.svg report.json"},
		"warning":          {tray + `panel("spare", rect(5, 5))`, Clean, "tray.cut.svg tray.cut.dxf preview.svg report.json"},
		"error in design":  {tray + clash, Faulty, "preview.svg report.json"},
		"require fails":    {tray + `require(False, "no")`, Faulty, "preview.svg report.json"},
		"script error":     {tray + "base.lid", Broken, "preview.svg"},
		"syntax error":     {tray + "(", Broken, "preview.svg"},
		"nothing to make":  {`"""Nothing"""`, Broken, "preview.svg"},
		"empty":            {"", Broken, "preview.svg"},
		"not a text":       {"\xff", Broken, "preview.svg"},
		"two pieces":       {tray + `piece("insert", panel("i", rect(50, 30)), board = card)`, Clean, "tray.cut.svg tray.cut.dxf insert.cut.svg insert.cut.dxf preview.svg report.json"},
		"one of two fails": {tray + clash + `piece("insert", panel("i", rect(50, 30)), board = card)`, Faulty, "preview.svg report.json"},
	} {
		res := runs(c.script)
		if res.Exit != c.exit || names(res.Files) != c.files {
			t.Errorf("%s: exit %d with %q, want %d with %q; %v", name, res.Exit, names(res.Files), c.exit, c.files, res.Findings)
		}
		if (res.Exit == Clean) != (res.Count(diag.Error) == 0) {
			t.Errorf("%s: exit %d with %d errors", name, res.Exit, res.Count(diag.Error))
		}
	}
}

func TestAnAbsentScriptMakesNoFiles(t *testing.T) {
	res := mustRun(Request{Script: "box.star", Read: from(nil)})
	if res.Exit != Broken || len(res.Files) != 0 || len(res.Findings) != 1 {
		t.Errorf("exit %d, files %q, findings %v", res.Exit, names(res.Files), res.Findings)
	}
	if want := []source.Read{{Label: "box.star", Absent: true}}; !slices.Equal(onDisk(res.Reads), want) {
		t.Errorf("reads %v", res.Reads)
	}
}

// onDisk leaves out looks at the standard library.
func onDisk(reads []source.Read) []source.Read {
	return slices.DeleteFunc(slices.Clone(reads), func(r source.Read) bool { return strings.HasPrefix(r.Label, "//") })
}

// Same script, same parameters, same bytes.
func TestSameBytes(t *testing.T) {
	script := tray + `
for i in range(20):
    panel("flap %d" % i, rect(2, 3), on = base.bottom.part(3 * i, 3 * i + 1), overhang = True, fold = 9 * i)
`
	first := runs(tray + `require(False, "no")` + clash)
	again := runs(tray + `require(False, "no")` + clash)
	if !reflect.DeepEqual(first, again) {
		t.Error("two runs with errors differ")
	}
	a, b := runs(script), runs(script)
	if a.Exit != Clean || !reflect.DeepEqual(a, b) {
		t.Errorf("two clean runs differ, or are not clean: %v", a.Findings)
	}
}

// The result crosses a process boundary unchanged.
func TestResultIsPlainData(t *testing.T) {
	want := runs(tray + clash + `print("hello")`)
	if len(want.Findings) == 0 || want.Findings[0].At == nil {
		t.Fatalf("the design was to have a finding with a spot: %v", want.Findings)
	}
	var wire bytes.Buffer
	if err := gob.NewEncoder(&wire).Encode(want); err != nil {
		t.Fatal(err)
	}
	var got Result
	if err := gob.NewDecoder(&wire).Decode(&got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
	if _, err := json.Marshal(want); err != nil {
		t.Error(err)
	}
}

// A fault of the program's own ends the run, not the caller.
func TestPanicsAreCaught(t *testing.T) {
	res := mustRun(Request{Script: "box.star", Read: func(label string) ([]byte, error) {
		panic("reader on fire")
	}})
	if res.Exit != Crashed || len(res.Files) != 0 || len(res.Findings) != 1 {
		t.Fatalf("exit %d, files %q, findings %v", res.Exit, names(res.Files), res.Findings)
	}
	if f := res.Findings[0]; f.Rule != RuleCrash || !strings.Contains(f.Message, "reader on fire") {
		t.Errorf("finding: %v", f)
	}
	if !strings.Contains(res.Stack, "TestPanicsAreCaught") {
		t.Errorf("the stack does not lead to the spot:\n%s", res.Stack)
	}
}

// A failure of the program's own names the line of the script that was being
// run, and quotes it.
func TestPanicsKnowTheirPlace(t *testing.T) {
	const script = "x = 1\nload(\"parts.star\", \"y\")\n"
	req := Request{Script: "box.star", Reached: func(source.Site, int) {}, Read: func(label string) ([]byte, error) {
		if label == "box.star" {
			return []byte(script), nil
		}
		panic("reader on fire")
	}}
	res := mustRun(req)
	if res.Exit != Crashed || res.Findings[0].Site.First().Line != 2 || res.Lines()("box.star", 2) != `load("parts.star", "y")` {
		t.Errorf("exit %d, %v, excerpts %v", res.Exit, res.Findings, res.Excerpts)
	}
	req = Request{Script: "box.star", Read: from(map[string]string{"box.star": tray}), Reached: func(_ source.Site, panels int) {
		if panels > 0 {
			panic("on fire")
		}
	}}
	if res = mustRun(req); res.Exit != Crashed || res.Findings[0].Site.First().Line != 5 {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}

// Without a reader there is no script, which is said.
func TestNoReader(t *testing.T) {
	res := mustRun(Request{Script: "box.star"})
	if res.Exit != Broken || len(res.Findings) != 1 || !strings.Contains(res.Findings[0].Message, source.ErrNoReader.Error()) {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}

// Findings without end are told by the thousand and counted, in the result and
// in the report.
func TestFindingsAreCapped(t *testing.T) {
	res := runs(tray + "for i in range(3000):\n    require(False, \"rule %d\" % i)\n")
	if n := len(res.Findings); res.Exit != Faulty || n != diag.MostFindings+1 || res.Findings[n-1].Message != "and 2000 findings more: 2000 errors" {
		t.Errorf("exit %d, %d findings", res.Exit, len(res.Findings))
	}
	for _, f := range res.Files {
		if f.Name == emit.ReportName && strings.Count(string(f.Bytes), `"require"`) != diag.MostFindings {
			t.Errorf("%d findings in the report", strings.Count(string(f.Bytes), `"require"`))
		}
	}
}

// A script that only defines things is a module, and one with a fault is none.
func TestModule(t *testing.T) {
	for script, want := range map[string]bool{"def f():\n    return 1\n": true, "": true, "x = 1 / 0\n": false, tray: false, `fail("the script makes no piece")`: false} {
		if res := runs(script); res.Module() != want {
			t.Errorf("%q: %v", script, res.Module())
		}
	}
}

func TestReadsArePrintedAndRecorded(t *testing.T) {
	texts := map[string]string{
		"box.star":           "load(\"parts.star\", \"size\")\nload(\"@shelf//twist.star\", \"angle\")\nprint(size, angle)\nload(\"gone.star\", \"x\")\n",
		"parts.star":         "size = 5",
		"@shelf//twist.star": "angle = 30",
	}
	res := mustRun(Request{Script: "box.star", Read: from(texts)})
	want := []source.Read{{Label: "@shelf//twist.star"}, {Label: "box.star"}, {Label: "gone.star", Absent: true}, {Label: "parts.star"}}
	if !slices.Equal(onDisk(res.Reads), want) {
		t.Errorf("reads %v", res.Reads)
	}
	if res.Exit != Broken || !slices.Equal(res.Prints, []string{"5 30"}) {
		t.Errorf("exit %d, prints %q", res.Exit, res.Prints)
	}
}

// The standard library comes from the program and cannot be stood in for.
func TestLibraryIsPartOfTheProgram(t *testing.T) {
	for _, label := range stdlib.Labels() {
		script := "load(\"" + label + "\", \"no_such_name\")\n"
		res := mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": script, label: "no_such_name = 1"})})
		if res.Exit != Broken || !slices.Contains(res.Reads, source.Read{Label: label}) {
			t.Errorf("%s: exit %d, reads %v", label, res.Exit, res.Reads)
		}
	}
	res := runs(`load("//no_such_module.star", "x")`)
	if !slices.Contains(res.Reads, source.Read{Label: "//no_such_module.star", Absent: true}) {
		t.Errorf("reads %v", res.Reads)
	}
}

func TestExcerptsQuoteWhatFindingsPointTo(t *testing.T) {
	res := runs(tray + clash)
	f := res.Findings[0]
	if len(f.Related) == 0 {
		t.Fatalf("the overlap was to point to the other panel: %v", f)
	}
	for _, s := range []source.Span{f.Site.First(), f.Related[0].Span} {
		if got := res.Lines()(s.File, s.Line); !strings.Contains(got, "flap(") {
			t.Errorf("line %d is quoted as %q", s.Line, got)
		}
	}
	if got := res.Lines()("box.star", 1); got != "" {
		t.Errorf("line 1 is quoted without cause: %q", got)
	}
}

// The report and the picture agree with the result on findings and cautions.
func TestReportHoldsFindingsWaiversAndCautions(t *testing.T) {
	res := runs(strings.Replace(tray, "Tray", "Tray for tea", 1) + `
spare = panel("spare", rect(5, 5))
other = panel("other", rect(5, 5))
allow("panel-unclaimed", spare, reason = "a trial")
`)
	var report struct {
		Findings []struct{ Rule, Panel string }
		Waived   []struct{ Rule, Panel, Reason string }
		Cautions []string
	}
	for _, f := range res.Files {
		if f.Kind == emit.KindReport {
			if err := json.Unmarshal(f.Bytes, &report); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(report.Findings) != 1 || report.Findings[0].Panel != "other" {
		t.Errorf("findings %v", report.Findings)
	}
	if len(report.Waived) != 1 || report.Waived[0].Panel != "spare" || report.Waived[0].Reason != "a trial" {
		t.Errorf("waived %v", report.Waived)
	}
	if len(report.Cautions) != 2 || !slices.Equal(report.Cautions, res.Cautions) {
		t.Errorf("cautions %q and %q", report.Cautions, res.Cautions)
	}
}
