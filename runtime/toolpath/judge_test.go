package toolpath_test

import (
	"reflect"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// judgeMachines are a laser with a wide kerf and a led knife, with nicks, on a bed with little room.
func judgeMachines(t *testing.T, b *blank.Blank) []*board.Machine {
	tools := func(tool board.Tool) (out []board.ToolUse) {
		for _, line := range board.Lines() {
			out = append(out, board.ToolUse{Line: line, Tool: tool})
		}
		return out[1:] // lines of one kind are not made
	}
	m := board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() + 10, b.Bounds.Height() + 10}, Margin: 1, Format: board.MachineHPGL, Nicks: &board.Nicks{Width: 2, Count: 9}}
	m.Tools = tools(board.Tool{Kind: board.Beam, Power: 1, Kerf: 1.5, Passes: 1, Lead: 3, Compensate: true})
	laser := machineOf(t, m)
	m.Tools = tools(board.Tool{Kind: board.Knife, Offset: 0.5, Swivel: geom.Degrees(20).Angle(), Compensate: true})
	return []*board.Machine{laser, machineOf(t, m)}
}

// Law: Judge tells what Make tells, of all examples and random trees.
func TestJudgeTellsWhatMakeTells(t *testing.T) {
	told := 0
	toolpath.EachBlank(t, outsidetest.Times(t, 40, 400), func(t *testing.T, b *blank.Blank) {
		for i, m := range judgeMachines(t, b) {
			p, err := toolpath.Make(t.Context(), b, m)
			if err != nil {
				t.Fatal(err)
			}
			q, err := toolpath.Judge(t.Context(), b, m)
			if err != nil {
				t.Fatal(err)
			}
			told += len(p.Lost) + len(p.Told)
			if !reflect.DeepEqual(p.Lost, q.Lost) || !reflect.DeepEqual(p.Told, q.Told) || !reflect.DeepEqual(p.Unmade, q.Unmade) {
				t.Errorf("machine %d: %v %v %v, and Judge tells %v %v %v", i, p.Lost, p.Told, p.Unmade, q.Lost, q.Told, q.Unmade)
			}
		}
	})
	if told < 20 {
		t.Errorf("only %d to be told", told)
	}
}

// BenchmarkJudge is a run's cost for a laser that no file is asked for, and BenchmarkWays that of its file.
func BenchmarkJudge(b *testing.B) {
	blanks, machines := judgeCases(b)
	b.ReportAllocs()
	for b.Loop() {
		for i := range blanks {
			if _, err := toolpath.Judge(b.Context(), blanks[i], machines[i]); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkWays(b *testing.B) {
	blanks, machines := judgeCases(b)
	b.ReportAllocs()
	for b.Loop() {
		for i := range blanks {
			if _, err := toolpath.Make(b.Context(), blanks[i], machines[i]); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func judgeCases(b *testing.B) (blanks []*blank.Blank, machines []*board.Machine) {
	for seed := range int64(20) {
		p := randomBlank(seed)
		m, err := board.NewMachine(board.Machine{
			Name: "laser", Bed: [2]float64{p.Bounds.Width() + 20, p.Bounds.Height() + 20}, Format: board.MachineSVG,
			Tools: []board.ToolUse{{Line: "cut", Tool: board.Tool{Kind: board.Beam, Power: 1, Kerf: 0.15, Passes: 1, Compensate: true}}},
		})
		if err != nil {
			b.Fatal(err)
		}
		blanks, machines = append(blanks, p), append(machines, m)
	}
	return blanks, machines
}
