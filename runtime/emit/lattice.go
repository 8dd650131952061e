package emit

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// OffBed is the error of HPGL and GCode for a program that would lead the tool off
// the machine's bed, as what is added to the lines of a piece may do where the machine
// has no margin.
type OffBed struct {
	Piece, Machine string
	By             float64 // mm
}

func (e *OffBed) Error() string {
	return fmt.Sprintf("piece %q leads the tool %s mm off the bed of machine %q", e.Piece, geom.Num(e.By), e.Machine)
}

// lattice is the places that a machine file can name: whole multiples of a step, on
// the bed.
type lattice struct {
	step int64    // in units of 1/(perMM·fineSteps) mm
	most [2]int64 // of the bed's far corner, in steps
}

// spot is a place of a lattice, in steps.
type spot struct{ x, y int64 }

// The lattices of the formats.
const (
	gcodeStep = fineSteps                    // 0.0001 mm, as in cut files
	hpglStep  = perMM * fineSteps / hpglUnit // 0.025 mm
)

// latticeOf is the lattice on the bed of a machine. The last step is on the bed,
// also where the bed is no whole number of steps.
func latticeOf(m *board.Machine, step int64) lattice {
	l := lattice{step: step}
	for i, mm := range m.Bed {
		l.most[i] = int64(math.Round(mm*perMM*fineSteps)) / step
	}
	return l
}

// round is the spot nearest to a place on the bed.
func (l lattice) round(p geom.Point) spot {
	return spot{min(max(toSteps(p.X, l.step), 0), l.most[0]), min(max(toSteps(p.Y, l.step), 0), l.most[1])}
}

// point is the place of a spot, in mm.
func (l lattice) point(s spot) geom.Point {
	mm := func(v int64) float64 { return float64(v*l.step) / (perMM * fineSteps) }
	return geom.Pt(mm(s.x), mm(s.y))
}

// onBed is the error of a program that leaves the bed by more than geom.SnapTolerance,
// which is what lengths may be off when they are added up.
func onBed(p *toolpath.Program) error {
	if by := p.Off(); by > geom.SnapTolerance {
		return &OffBed{Piece: p.Piece.Name, Machine: p.Machine.Name, By: by}
	}
	return nil
}
