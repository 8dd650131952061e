package engine

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
)

// shop is the tray with machines that files may be asked for.
const shop = tray + `
machine("die", bed = (700, 1000), format = "dxf")
machine("cutter", bed = (300, 600), margin = 5, format = "svg", tools = {"cut": knife()})
machine("sheet", bed = (700, 1000))
machine("stamp", bed = (30, 30), format = "dxf")
machine("v.2", bed = (300, 600), format = "dxf")
machine("cut", bed = (300, 600), format = "dxf")
machine("Die", bed = (300, 600), format = "dxf")
`

func forMachines(script string, names ...string) Result {
	return mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": script}), For: names})
}

// Files of machines stand with those of their piece, each machine's once, and the answer
// names the machines in the order in which they were asked for.
func TestFilesForMachines(t *testing.T) {
	res := forMachines(shop, "cutter", "die", "cutter")
	if want := "tray.cut.svg tray.cut.dxf tray.cutter.svg tray.die.dxf preview.svg report.json"; res.Exit != Clean || names(res.Files) != want {
		t.Errorf("exit %d, %q, want %q; %v", res.Exit, names(res.Files), want, res.Findings)
	}
	if len(res.Targets) != 2 || res.Targets[0] != (emit.Target{Machine: "cutter", Kind: emit.KindMachineSVG}) {
		t.Errorf("targets %v", res.Targets)
	}
	two := forMachines(shop+`piece("insert", panel("i", rect(50, 30)), board = card)`, "die")
	if want := "tray.cut.svg tray.cut.dxf tray.die.dxf insert.cut.svg insert.cut.dxf insert.die.dxf preview.svg report.json"; names(two.Files) != want {
		t.Errorf("%q, want %q", names(two.Files), want)
	}
}

// What cannot be asked for is said with the machine's name, and no file is written.
func TestMachinesThatCannotBeAskedFor(t *testing.T) {
	for name, want := range map[string]string{
		"dye":         `there is no machine "dye"; did you mean "die"?`,
		"die, cutter": `there is no machine "die, cutter"; --for takes the name of one machine; make takes it once for each`,
		"laser":       `there is no machine "laser"; there is "die", "cutter", "sheet", "stamp", "v.2", "cut", "Die"`,
		"sheet":       `machine "sheet" has no format, so that no file can be written for it; say what it reads, as in machine("sheet", …, format = "dxf")`,
		"v.2":         `machine "v.2": a dot in its name cannot stand in the names of its files; its name makes names of files; give it another one`,
		"cut":         `machine "cut": other files are called PIECE.cut already; its name makes names of files; give it another one`,
		"Die":         `machine "Die": the files of machine "die" would have the same names; `,
	} {
		res := forMachines(shop, "die", name)
		if f := res.Findings[0]; res.Exit != Broken || f.Message+"; "+f.Hint != want || names(res.Files) != "preview.svg" {
			t.Errorf("%s: exit %d, %q with %q", name, res.Exit, names(res.Files), f.Message+"; "+f.Hint)
		}
	}
	if f := forMachines(tray, "laser").Findings[0]; f.Hint != `describe it in the script with machine("laser", …), or load one from //machines.star` {
		t.Errorf("without machines: %q", f.Hint)
	}
}

// A piece that has no room on a machine is a warning, and an error that nobody can waive
// where a file for that machine is asked for.
func TestNoRoomOnAMachine(t *testing.T) {
	waived := shop + `allow("piece-too-large", base, "made elsewhere")`
	for _, c := range []struct {
		script string
		asked  []string
		exit   Exit
		worst  diag.Severity
		found  int
	}{
		{shop, nil, Clean, diag.Warning, 1},
		{shop, []string{"die"}, Clean, diag.Warning, 1},
		{shop, []string{"stamp"}, Faulty, diag.Error, 1},
		{waived, []string{"die"}, Clean, diag.Note, 0},
		{waived, []string{"stamp"}, Faulty, diag.Error, 1},
	} {
		res := forMachines(c.script, c.asked...)
		found := 0
		for _, f := range res.Findings {
			if f.Rule == "piece-too-large" {
				found++
				if f.Severity != c.worst {
					t.Errorf("for %v: severity %v, want %v", c.asked, f.Severity, c.worst)
				}
			}
		}
		if res.Exit != c.exit || found != c.found {
			t.Errorf("for %v: exit %d with %d findings, want %d with %d", c.asked, res.Exit, found, c.exit, c.found)
		}
	}
}

// The report tells what a machine's file holds: the tray is 60 by 60 with one score of 60
// mm, which this machine does not make.
func TestReportOfMachines(t *testing.T) {
	res := forMachines(shop, "cutter")
	var report struct {
		Pieces []struct {
			Machines []struct {
				Name, Format        string
				Turned, Compensated bool
				Strokes             int
				Length, Travel      float64
				TravelUnordered     float64 `json:"travel_unordered"`
				Unmade              []string
			}
		}
	}
	if err := json.Unmarshal(res.Files[len(res.Files)-1].Bytes, &report); err != nil {
		t.Fatal(err)
	}
	m := report.Pieces[0].Machines
	if len(m) != 1 || m[0].Name != "cutter" || m[0].Format != "svg" || m[0].Strokes != 1 || math.Abs(m[0].Length-240) > 1e-9 ||
		strings.Join(m[0].Unmade, " ") != "score" || m[0].Turned || m[0].Compensated {
		t.Fatalf("%+v", m)
	}
	// The corner at the margin is the nearest there is, √2 · 5 mm from the origin; a knife may
	// begin elsewhere on the outline.
	if m[0].Travel < 5*math.Sqrt2-1e-9 || m[0].TravelUnordered < m[0].Travel-1e-9 {
		t.Errorf("travel %v, unordered %v", m[0].Travel, m[0].TravelUnordered)
	}
	if text := string(forMachines(shop).Files[3].Bytes); strings.Contains(text, `"machines"`) {
		t.Error("machines stand in the report that were not asked for")
	}
}

// A run asked for paper that there is not, or told A4 and Letter.
func TestPapers(t *testing.T) {
	req := Request{Script: "box.star", Read: from(map[string]string{"box.star": tray}), Paper: "a3"}
	if res := mustRun(req); res.Exit != Broken || res.Findings[0].Message != `there is no paper "a3"` {
		t.Errorf("%v", res.Findings)
	}
	for _, p := range append(Papers(), "") {
		req.Paper = p
		// The shorter side of either lies between 210 and 216 mm (ISO 216; ANSI/ASME Y14.1).
		if w, h := p.Size(); mustRun(req).Exit != Clean || w < 210 || w > 216 || h < w {
			t.Errorf("paper %q of %v by %v", p, w, h)
		}
	}
}

// Where compensation leads a tool off the bed its file is not made, and the design has an
// error that says so; without the file nobody minds.
func TestWaysOffTheBed(t *testing.T) {
	script := tray + `machine("tight", bed = (60, 60), format = "svg", tools = {"cut": beam(kerf = 0.2, compensate = True)})` + "\n"
	res := forMachines(script, "tight")
	if res.Exit != Faulty || res.Count(diag.Error) != 1 || names(res.Files) != "preview.svg report.json" {
		t.Fatalf("exit %d, %q, %v", res.Exit, names(res.Files), res.Findings)
	}
	for _, f := range res.Findings {
		if f.Severity == diag.Error && (f.Rule != "piece-too-large" || !strings.Contains(f.Message, `machine "tight"`)) {
			t.Errorf("%s: %q", f.Rule, f.Message)
		}
	}
	if res := forMachines(script); res.Exit != Clean {
		t.Errorf("unasked: exit %d, %v", res.Exit, res.Findings)
	}
}
