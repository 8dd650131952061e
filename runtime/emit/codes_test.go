package emit_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// How far the files of machines may lie from the lines of a program, in mm.
const (
	// Half a step of rounding along both axes, 0.71e-4, for lines and arcs; curves may stray by
	// 0.005 more, and a tenth of that between their samples.
	gcodeReadBack = 0.0056
	// A unit of 0.025 mm, and the chords that stand for arcs and curves may stray by 0.02.
	hpglReadBack = 0.025 + 0.02
)

// code is a format of machine files, with the reader of ours.
type code struct {
	format board.MachineFormat
	write  func(context.Context, *toolpath.Program) ([]byte, error)
	read   func([]byte, emittest.Limits) (emittest.Work, error)
	tol    float64
}

func codes() []code {
	return []code{
		{board.MachineGCode, emit.GCode, emittest.ParseGCode, gcodeReadBack},
		{board.MachineHPGL, emit.HPGL, emittest.ParseHPGL, hpglReadBack},
	}
}

// randomMachine has a tool for every line kind: beams, or wheels, knives and pens of
// several depths, or both.
func randomMachine(t *testing.T, rnd *rand.Rand, format board.MachineFormat, size geom.Point) *board.Machine {
	t.Helper()
	m := board.Machine{Name: "table (one)", Bed: [2]float64{size.X + 21, size.Y + 21}, Margin: 10, Format: format}
	beams := rnd.Float64() * 1.5
	for _, line := range board.Lines() {
		feed := float64(1+rnd.Intn(600)) / 2
		tool := board.Tool{Kind: board.Beam, Feed: &feed, Power: float64(1+rnd.Intn(100)) / 100, Passes: 1 + rnd.Intn(3), Kerf: 0.2}
		if rnd.Float64() > beams {
			depth := float64(1+rnd.Intn(30)) / 16
			tool = board.Tool{Kind: []board.ToolKind{board.Knife, board.Wheel, board.Pen}[rnd.Intn(3)], Feed: &feed, Depth: &depth}
			if tool.Kind == board.Pen || rnd.Intn(3) == 0 {
				tool.Depth = nil
			}
		}
		m.Tools = append(m.Tools, board.ToolUse{Line: line, Tool: tool})
	}
	out, err := board.NewMachine(m)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// programOf is the program of a blank on a random machine.
func programOf(t *testing.T, rnd *rand.Rand, format board.MachineFormat, b *blank.Blank) *toolpath.Program {
	t.Helper()
	if b.Piece == nil {
		b.Piece = &model.Piece{Name: "piece"}
	}
	p, err := toolpath.Make(t.Context(), b, randomMachine(t, rnd, format, b.Bounds.Max.Sub(b.Bounds.Min)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Law: both files read back as the program, stroke by stroke in its order, with its tools
// and their figures, within the resolution of the format.
func TestCodesHoldTheProgram(t *testing.T) {
	for seed := range int64(outsidetest.Times(t, 50, 200)) {
		rnd := rand.New(rand.NewSource(seed))
		b := emittest.RandomBlank(rnd)
		for _, c := range codes() {
			p := programOf(t, rnd, c.format, b)
			work := workOf(t, c, p)
			if err := work.Follows(p, c.tol); err != nil {
				t.Fatalf("seed %d: %s: %v", seed, c.format, err)
			}
			checkTravel(t, p, work, c.tol)
		}
	}
}

// Law: programs that lead a blade, keep a beam off the line, leave nicks and begin in waste
// read back as they are, turns of the blade among them.
func TestCodesHoldCompensatedPrograms(t *testing.T) {
	feed, deep, swings := 20.0, 0.6, 0
	knife := board.Tool{Kind: board.Knife, Offset: 0.25, Overcut: 1, Swivel: geom.Degrees(20).Angle(), Depth: &deep, Feed: &feed, Lead: 2, Compensate: true}
	beam := board.Tool{Kind: board.Beam, Kerf: 0.2, Power: 0.5, Passes: 2, Feed: &feed, Lead: 2, Compensate: true}
	for seed := range int64(outsidetest.Times(t, 20, 100)) {
		b := laid(t, seed)
		b.Piece.Inside = seed%5 == 0
		for _, c := range codes() {
			for _, tool := range []board.Tool{knife, beam} {
				m := board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() + 30, b.Bounds.Height() + 30}, Margin: 12, Format: c.format,
					Nicks: &board.Nicks{Width: 0.4, Count: 2}}
				for _, line := range board.Lines() {
					m.Tools = append(m.Tools, board.ToolUse{Line: line, Tool: tool})
				}
				on, err := board.NewMachine(m)
				if err != nil {
					t.Fatal(err)
				}
				p, err := toolpath.Make(t.Context(), b, on)
				if err != nil {
					t.Fatal(err)
				}
				work := workOf(t, c, p)
				if err := work.Follows(p, c.tol); err != nil {
					t.Fatalf("seed %d: %s: %v", seed, c.format, err)
				}
				checkTravel(t, p, work, c.tol)
				for _, cut := range work.Cuts {
					for _, z := range cut.Z {
						if z == -deep/2 {
							swings++
						}
					}
				}
			}
		}
	}
	if swings == 0 {
		t.Error("no blade was turned in place")
	}
}

// checkTravel compares the way that a reader takes with the tool up with the one that the program tells
// of. Every place may be off by tol.
func checkTravel(t *testing.T, p *toolpath.Program, work emittest.Work, tol float64) {
	t.Helper()
	way, at := 0.0, geom.Pt(0, 0)
	for _, c := range work.Cuts {
		way += at.Dist(c.Curves[0].P)
		at = c.Curves[len(c.Curves)-1].Q
	}
	if off := math.Abs(way - p.Travel); off > 2*tol*float64(len(work.Cuts)) {
		t.Errorf("%s: travel of %v mm, told as %v", p.Machine.Format, way, p.Travel)
	}
}

// workOf writes a program and reads the file.
func workOf(t *testing.T, c code, p *toolpath.Program) emittest.Work {
	t.Helper()
	text, err := c.write(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	work, err := c.read(text, emittest.LimitsOf(p))
	if err != nil {
		t.Fatal(err)
	}
	return work
}

// Law, on blanks of random hinge trees: the cut files and the machine files hold the same
// lines, within the resolution of each.
func TestFilesOfABlankAgree(t *testing.T) {
	for seed := range int64(outsidetest.Times(t, 30, 500)) {
		b := laid(t, seed)
		b.Piece.Inside = seed%5 == 0
		rnd := rand.New(rand.NewSource(seed))
		svg, dxf := readBoth(t, b, b.Piece.Inside)
		for _, c := range codes() {
			p := programOf(t, rnd, c.format, b)
			work := workOf(t, c, p)
			if err := work.Follows(p, c.tol); err != nil {
				t.Fatalf("seed %d: %s: %v", seed, c.format, err)
			}
			// Both cut files hold the same drawing, which is a law of theirs.
			d := svg
			if (seed%2 == 0) == (c.format == board.MachineGCode) {
				d = dxf
			}
			if err := emittest.SameLines(d, work, p.Machine.Margin, p.Turned, c.tol); err != nil {
				t.Fatalf("seed %d: %s: %v", seed, c.format, err)
			}
		}
	}
}

// The same of every example script, through a whole run: on a knife plotter that
// reads HP-GL and on a laser that reads G-code, neither compensated.
func TestFilesOfTheExamplesAgree(t *testing.T) {
	const bed, margin = 1500, 12.5
	machines := fmt.Sprintf(`
machine("plotter", bed = (%[1]d, %[1]d), margin = %[2]v, format = "hpgl", tools = {k: knife(number = 3) for k in [%[3]s]})
machine("laser", bed = (%[1]d, %[1]d), margin = %[2]v, format = "gcode", tools = {k: beam(feed = 20, power = 80) for k in [%[3]s]})
`, bed, margin, `"`+strings.Join(board.Lines(), `", "`)+`"`)
	scripts, err := filepath.Glob("../../scripts/*.star")
	if err != nil || len(scripts) == 0 {
		t.Fatal(scripts, err)
	}
	for _, script := range scripts {
		files := filesOf(t, script, machines, "plotter", "laser")
		for name, text := range files {
			piece, ok := strings.CutSuffix(name, ".cut.svg")
			if !ok {
				continue
			}
			svg, errSVG := emittest.ParseSVG(text)
			dxf, errDXF := emittest.ParseDXF(files[piece+".cut.dxf"])
			limits := emittest.Limits{Bed: [2]float64{bed, bed}}
			plotter, errP := emittest.ParseHPGL(files[piece+".plotter.hpgl"], limits)
			laser, errL := emittest.ParseGCode(files[piece+".laser.gcode"], limits)
			if err := errors.Join(errSVG, errDXF, errP, errL); err != nil {
				t.Errorf("%s: %s: %v", script, piece, err)
				continue
			}
			for _, d := range []emittest.Drawing{svg, dxf} {
				if err := errors.Join(emittest.SameLines(d, plotter, margin, false, hpglReadBack), emittest.SameLines(d, laser, margin, false, gcodeReadBack)); err != nil {
					t.Errorf("%s: %s: %v", script, piece, err)
				}
			}
		}
	}
}

// filesOf are the files of a script and some lines after it, with those for some machines.
func filesOf(t *testing.T, script, more string, machines ...string) map[string][]byte {
	t.Helper()
	res, err := engine.Run(t.Context(), engine.Request{Script: filepath.Base(script), For: machines, Read: func(label string) ([]byte, error) {
		text, err := os.ReadFile(filepath.Join(filepath.Dir(script), filepath.FromSlash(label)))
		if label == filepath.Base(script) {
			text = append(text, more...)
		}
		return text, err
	}})
	if err != nil || res.Exit != engine.Clean {
		t.Fatalf("%s: %v, %v", script, err, res.Findings)
	}
	files := map[string][]byte{}
	for _, f := range res.Files {
		files[f.Name] = f.Bytes
	}
	return files
}

// platePrograms are plate on machines of the two kinds that a G-code file tells apart,
// and on a plotter: a knife and a wheel with depths, the knife turning in place at a corner, and
// a beam.
func platePrograms(t *testing.T) (knives, beams, plotter *toolpath.Program) {
	t.Helper()
	feed, slow, deep, shallow := 40.0, 12.5, 0.5, 0.2
	on := func(format board.MachineFormat, score, cut board.Tool) *toolpath.Program {
		m, err := board.NewMachine(board.Machine{Name: "table", Bed: [2]float64{60, 50}, Margin: 5, Format: format, Tools: []board.ToolUse{
			{Line: "score", Tool: score}, {Line: "perforated", Tool: cut}, {Line: "cut", Tool: cut},
		}})
		if err != nil {
			t.Fatal(err)
		}
		b := plate()
		b.Piece = &model.Piece{Name: "plate", Board: &board.Board{Name: "card (grey)", Caliper: 0.4}}
		p, err := toolpath.Make(t.Context(), b, m)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	wheel := board.Tool{Kind: board.Wheel, Depth: &shallow, Feed: &feed}
	knife := board.Tool{Kind: board.Knife, Depth: &deep, Feed: &slow, Offset: 0.25}
	knives = on(board.MachineGCode, wheel, knife)
	swing := geom.ArcFrom(geom.Pt(40, 40), geom.Pt(40, 39.75), geom.Degrees(90).Angle())
	knives.Passes = append(knives.Passes, toolpath.Pass{Kind: blank.PartCutLine, Tool: knives.Passes[2].Tool, Strokes: []toolpath.Stroke{{Moves: []toolpath.Move{
		{Curve: geom.LineFrom(geom.Pt(45, 40), swing.P)}, {Curve: swing, Swing: true}, {Curve: geom.LineFrom(swing.Q, geom.Pt(swing.Q.X, 36))},
	}}}})
	beam := board.Tool{Kind: board.Beam, Power: 0.15, Feed: &feed, Passes: 1}
	strong := board.Tool{Kind: board.Beam, Power: 0.65, Feed: &slow, Passes: 2, Kerf: 0.2}
	return knives, on(board.MachineGCode, beam, strong), on(board.MachineHPGL, wheel, knife)
}

func TestGoldenCodes(t *testing.T) {
	knives, beams, plotter := platePrograms(t)
	goldens := golden.In(t, filepath.Join("testdata", "codes"), ".gcode", ".hpgl", ".svg")
	gcode := whole(emit.GCode(t.Context(), knives))
	goldens.Check("knives.gcode", gcode)
	goldens.Check("beams.gcode", whole(emit.GCode(t.Context(), beams)))
	goldens.Check("plotter.hpgl", whole(emit.HPGL(t.Context(), plotter)))
	work, err := emittest.ParseGCode(gcode, emittest.LimitsOf(knives))
	if err != nil {
		t.Fatal(err)
	}
	goldens.Check("knives.gcode.svg", work.SVG(knives.Machine.Bed))
}

// A blade turns about its tip half out of the board, and nowhere else: at a depth of
// 0.5 mm in 0.25 mm.
func TestBladesSwingHalfLifted(t *testing.T) {
	knives, _, _ := platePrograms(t)
	work := workOf(t, codes()[0], knives)
	if got := work.Cuts[len(work.Cuts)-1].Z; fmt.Sprint(got) != "[-0.5 -0.25 -0.5]" {
		t.Errorf("the tip is at %v", got)
	}
	for i, c := range work.Cuts[:len(work.Cuts)-1] {
		for _, z := range c.Z {
			if want := map[int]float64{1: -0.2, 2: -0.5}[c.Tool]; z != want {
				t.Errorf("cut %d with tool %d is made at %v", i, c.Tool, z)
			}
		}
	}
}

// A depth with more decimals than the file has is not exceeded: 1/64 inch is 0.396875 mm.
func TestNothingIsBelowTheDeclaredDepth(t *testing.T) {
	_, _, p := platePrograms(t)
	depth := 25.4 / 64
	for i := range p.Passes {
		p.Passes[i].Tool.Depth = &depth
	}
	if work := workOf(t, codes()[0], p); work.Low != -0.3968 {
		t.Errorf("the lowest Z is %v", work.Low)
	}
}

// The caution for each kind of tool stands once in a G-code file, in plain characters,
// whatever the piece is called.
func TestGCodeHasItsCautions(t *testing.T) {
	knives, beams, _ := platePrograms(t)
	knives.Piece.Name = "tea) M3 S1000\nM3 ☂%" + strings.Repeat("long", 100)
	for _, c := range []struct {
		p     *toolpath.Program
		kinds []board.ToolKind
	}{{knives, []board.ToolKind{board.Knife, board.Wheel}}, {beams, []board.ToolKind{board.Beam}}} {
		said := strings.ReplaceAll(strings.Join(workOf(t, codes()[0], c.p).Comments, " "), " ... ", " ")
		if strings.Count(said, "caution: ") != len(c.kinds) {
			t.Errorf("cautions for %v: %s", c.kinds, said)
		}
		for _, k := range c.kinds {
			if caution := k.Caution(); caution == "" || !strings.Contains(said, "caution: "+caution) {
				t.Errorf("no caution for a %s: %s", k, said)
			}
		}
		if !strings.Contains(said, "not compensated") {
			t.Errorf("nothing of compensation: %s", said)
		}
	}
}

// A program that leads a tool off the bed, or with a tool without a feed, gives no file;
// what is off by less than lengths that are added up may be is led along the rim.
func TestCodesRefuse(t *testing.T) {
	knives, _, _ := platePrograms(t)
	way := &knives.Passes[0].Strokes[0].Moves[0]
	for _, c := range codes() {
		way.Curve = geom.LineFrom(geom.Pt(-0.0008, 10), geom.Pt(60.0008, 50.0004))
		if box := workOf(t, c, knives).Box; box.Min.X != 0 || box.Max != geom.Pt(60, 50) {
			t.Errorf("%s: a tool within the tolerance is led over %v", c.format, box)
		}
		way.Curve = geom.ArcFrom(geom.Pt(59, 10), geom.Pt(58, 10), geom.Degrees(350).Angle())
		way.C.X, way.P.X, way.Q.X = way.C.X+1.2, way.P.X+1.2, way.Q.X+1.2
		var off *emit.OffBed
		if text, err := c.write(t.Context(), knives); !errors.As(err, &off) || math.Abs(off.By-0.2) > 1e-9 || text != nil {
			t.Errorf("%s: %d bytes, %v", c.format, len(text), err)
		}
	}
	way.Curve = geom.LineFrom(geom.Pt(0, 0), geom.Pt(9, 9))
	knives.Passes[1].Tool.Feed = nil
	var feed *emit.NoFeed
	if text, err := emit.GCode(t.Context(), knives); !errors.As(err, &feed) || feed.Line != "perforated" || text != nil {
		t.Errorf("%d bytes, %v", len(text), err)
	}
}

// A beam is one head, whatever numbers its tools have: it is never called for alone, and
// once beside another tool.
func TestToolsAreCalledFor(t *testing.T) {
	knives, beams, _ := platePrograms(t)
	calls := func(p *toolpath.Program) (out []string) {
		for _, line := range strings.Split(string(whole(emit.GCode(t.Context(), p))), "\n") {
			if strings.HasPrefix(line, "T") {
				out = append(out, line)
			}
		}
		return out
	}
	both := *beams
	both.Passes = append([]toolpath.Pass{knives.Passes[0]}, beams.Passes...)
	both.Passes[0].Tool.Number = 7
	alone := *knives
	alone.Passes = knives.Passes[1:3]
	for _, c := range []struct {
		p    *toolpath.Program
		want string
	}{{knives, "[T1 M6 T2 M6]"}, {beams, "[]"}, {&both, "[T7 M6 T1 M6]"}, {&alone, "[]"}} {
		if got := fmt.Sprint(calls(c.p)); got != c.want {
			t.Errorf("called for %s instead of %s", got, c.want)
		}
	}
}
