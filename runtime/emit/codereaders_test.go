package emit_test

import (
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// outsidePrograms are what programs that are not ours are given: random blanks, and
// laid ones.
func outsidePrograms(t *testing.T, format board.MachineFormat) (out []*toolpath.Program) {
	t.Helper()
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		if seed%4 == 0 {
			out = append(out, programOf(t, rnd, format, laid(t, seed)))
		} else {
			out = append(out, programOf(t, rnd, format, emittest.RandomBlank(rnd)))
		}
	}
	knives, beams, plotter := platePrograms(t)
	if format == board.MachineHPGL {
		return append(out, plotter)
	}
	return append(out, knives, beams)
}

// rs274 reads every G-code without a fault, and does what the program says: the same
// strokes in the same order, with its tools, feeds, powers and heights. It writes four decimals.
func TestRS274DoesTheProgram(t *testing.T) {
	for i, p := range outsidePrograms(t, board.MachineGCode) {
		if err := emittest.RunRS274(t, whole(emit.GCode(t.Context(), p))).Follows(p, gcodeReadBack+1e-4); err != nil {
			t.Errorf("program %d: %v", i, err)
		}
	}
}

// hp2xx knows every instruction of every HP-GL and plots the strokes of the program in
// their order, each with its pen. It tells neither speeds nor where it took the pen up
// between strokes that touch.
func TestHP2XXPlotsTheProgram(t *testing.T) {
	for i, p := range outsidePrograms(t, board.MachineHPGL) {
		var want, got []geom.Curve
		for _, pass := range p.Passes {
			for _, s := range pass.Strokes {
				for run := range pass.Runs(s) {
					for _, m := range run.Moves {
						want = append(want, m.Curve)
					}
				}
			}
		}
		var pens []int
		for _, c := range emittest.RunHP2XX(t, whole(emit.HPGL(t.Context(), p)), p.Machine.Bed).Cuts {
			got = append(got, c.Curves...)
			if len(pens) == 0 || pens[len(pens)-1] != c.Tool {
				pens = append(pens, c.Tool)
			}
		}
		if err := emittest.SamePath(want, got, hpglReadBack+0.001); err != nil {
			t.Errorf("program %d: %v", i, err)
		}
		for k := 0; k < len(p.Passes); k++ {
			if n := p.Passes[k].Tool.Number; len(pens) > 0 && pens[0] != n {
				t.Errorf("program %d: pen %d for %s, made with tool %d", i, pens[0], p.Passes[k].Kind, n)
			} else if k+1 == len(p.Passes) || p.Passes[k+1].Tool.Number != n {
				pens = pens[min(1, len(pens)):]
			}
		}
	}
}

// The reader notices what it is there to notice: an arc whose ends are not on one circle.
func TestRS274RefusesABrokenArc(t *testing.T) {
	_, beams, _ := platePrograms(t)
	text := string(whole(emit.GCode(t.Context(), beams)))
	broken := strings.Replace(text, "I-5.0000 J0.0000", "I-5.0000 J0.3000", 1)
	if broken == text {
		t.Fatal("no such arc")
	}
	if _, err := emittest.ParseGCode([]byte(broken), emittest.LimitsOf(beams)); err == nil {
		t.Error("ours takes it")
	}
	if emittest.RS274Refuses(t, []byte(broken)) == "" {
		t.Error("rs274 takes it")
	}
}
