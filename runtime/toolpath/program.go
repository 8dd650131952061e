package toolpath

import (
	"iter"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Program is one piece as one machine makes it. Everything is in the frame of the
// bed: mm, x right and y up, the origin in the bed's lower left corner. The piece's bounding
// box begins at its Corner.
type Program struct {
	Machine *board.Machine
	Piece   *model.Piece
	Size    [2]float64    // of the piece as it lies on the bed
	Corner  [2]float64    // its lower left one: the margin, or further in where compensated tools need room
	Place   geom.Isometry // from the blank frame to the bed's
	Turned  bool          // by 90 degrees, because it fits only so
	Passes  []Pass        // in the order of making
	Travel  float64       // mm with the tool up: from the origin to the first stroke, between strokes and between their runs
	Naive   float64       // the same with the strokes of each class (see order) as the blank has them
	Lost    []Lost        // what compensation made vanish
	Told    []Note        // what could not be made as it was asked for
	Unmade  []blank.Kind  // line kinds of the piece that the machine has no tool for

	shared []geom.Curve // boundaries of board, where strokes do not say on which side it lies
}

// Pass is consecutive strokes of one line kind, made with one tool. Its kind is ""
// where the machine names no tools.
type Pass struct {
	Kind    blank.Kind
	Tool    board.Tool
	Strokes []Stroke
}

// Stroke is one way of the machine's axis with the tool down. Each move begins
// where the one before ends; there is one at least.
type Stroke struct {
	Moves []Move
	// Closed says that the line which the tool makes is closed. The axis need not end
	// where it began: it may lead in and overcut.
	Closed bool
	// Waste says that the stroke cuts board that falls away, to turn a trailing blade its
	// way, and is no line of the piece.
	Waste bool

	parts [][]geom.Curve // of a line with bridges, end to end but for these: what is cut
	side  int            // on which side of the line board lies: 1 left, −1 right, 0 on both, or not known
}

// Move is one curve of the axis.
type Move struct {
	geom.Curve
	// Swing says that a trailing blade turns about its tip, which stands still: no new
	// board is cut.
	Swing bool
}

// Lost is a part of the piece that is not made, because compensation leaves nothing of it.
type Lost struct {
	At   geom.Point // in the blank frame
	Kind blank.Kind
	Text string // what was lost and why, with its figures, as in "a hole of 0.10 mm, narrower than the kerf of 0.20 mm"
	// Kerf is positive where the outline has an opening narrower than that, mm, and Length what is lost there, 0 where it
	// is too little to be told. Such places are often many and one trouble.
	Kerf, Length float64
}

// Note is something that could not be made as it was asked for, though all lines are.
type Note struct {
	At   geom.Point // in the blank frame
	Kind blank.Kind
	Text string // as in "a cut of 12.0 mm has no room for a nick"
	// Minor says that what was asked for is there, but less of it.
	Minor bool
}

// Start and End are where the axis is when the tool goes down and comes up.
func (s Stroke) Start() geom.Point { return s.Moves[0].P }

// End is where the axis is when the tool comes up.
func (s Stroke) End() geom.Point { return s.Moves[len(s.Moves)-1].Q }

// Reversed is the stroke made from its end.
func (s Stroke) Reversed() Stroke {
	s.Moves = slices.Clone(s.Moves)
	slices.Reverse(s.Moves)
	for i := range s.Moves {
		s.Moves[i].Curve = s.Moves[i].Curve.Reverse()
	}
	return s
}

// Runs gives a stroke of the pass as often as its tool makes it: a line that is open
// to and fro, so that the tool need not travel back. Files in HP-GL and G-code say each run; in drawings a
// stroke stands once, and the machine repeats it.
func (p *Pass) Runs(s Stroke) iter.Seq[Stroke] {
	return func(yield func(Stroke) bool) {
		for k := range max(1, p.Tool.Passes) {
			next := s
			if k%2 == 1 && !s.Closed {
				next = s.Reversed()
			}
			if !yield(next) {
				return
			}
		}
	}
}

// returns reports whether a tool ends open lines where it began them: with an even number of runs.
func (p *Program) returns(t board.Tool) bool { return p.repeats() && t.Passes > 0 && t.Passes%2 == 0 }

// repeats reports whether the machine's file says each run of a stroke.
func (p *Program) repeats() bool {
	return p.Machine.Format == board.MachineHPGL || p.Machine.Format == board.MachineGCode
}

// runs is the ways of a stroke as the machine's file has them.
func (p *Program) runs(t *Pass, s Stroke) iter.Seq[Stroke] {
	if p.repeats() {
		return t.Runs(s)
	}
	return func(yield func(Stroke) bool) { yield(s) }
}

// Length is the length of the way with the tool down, in mm.
func (s Stroke) Length() float64 {
	sum := 0.0
	for _, m := range s.Moves {
		sum += m.Length()
	}
	return sum
}

// Strokes counts the strokes of all passes.
func (p *Program) Strokes() int {
	n := 0
	for _, pass := range p.Passes {
		n += len(pass.Strokes)
	}
	return n
}

// Length is how far the axis goes with a tool down, in mm, in all runs that the machine's file has.
func (p *Program) Length() float64 {
	sum := 0.0
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			for run := range p.runs(&pass, s) {
				sum += run.Length()
			}
		}
	}
	return sum
}

// Compensated reports whether some way is written for the axis of a tool instead of the
// line that the tool makes.
func (p *Program) Compensated() bool {
	for _, pass := range p.Passes {
		if pass.Tool.Compensate {
			return true
		}
	}
	return false
}

// Off is how far in mm the axis leaves the bed with a tool down; 0 or less when it
// stays on it.
func (p *Program) Off() float64 {
	box := geom.EmptyBox()
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			for _, m := range s.Moves {
				box = box.Union(m.Bounds())
			}
		}
	}
	return max(-box.Min.X, -box.Min.Y, box.Max.X-p.Machine.Bed[0], box.Max.Y-p.Machine.Bed[1])
}
