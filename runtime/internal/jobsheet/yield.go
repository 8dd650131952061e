package jobsheet

import (
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// SheetGap is how far pieces keep apart on a sheet, in mm.
const SheetGap = 3

// Yield is how many copies of a piece lie on a machine's bed inside its margin, in rows and
// columns of the piece's bounding box, SheetGap apart.
type Yield struct {
	Machine  *board.Machine
	Straight Rows // as the blank lies
	Turned   Rows // by 90 degrees
}

// Rows is copies in rows and columns.
type Rows struct {
	Columns, Rows int
	// Share is how much of the bed is board of the pieces, 0 to 1.
	Share float64
	// Grain is the direction in degrees, from 0 below 180, that the grain of the sheet must
	// have on the bed, 0 along its x; nil where the board's is not given.
	Grain *geom.Degrees
}

// Count is how many copies there are.
func (r Rows) Count() int { return r.Columns * r.Rows }

// yieldsOf counts a piece on every machine.
func yieldsOf(b *blank.Blank, machines []*model.Machine) []Yield {
	var out []Yield
	for _, m := range machines {
		out = append(out, Yield{m.Machine, rowsOf(b, m.Machine, false), rowsOf(b, m.Machine, true)})
	}
	return out
}

// rowsOf counts the copies that lie one way. The grain is turned by 90 degrees with them.
func rowsOf(b *blank.Blank, m *board.Machine, turned bool) Rows {
	w, h := b.Bounds.Width(), b.Bounds.Height()
	turn := 0.0
	if turned {
		w, h, turn = h, w, 90
	}
	x, y := m.Room()
	r := Rows{Columns: along(x, w), Rows: along(y, h)}
	r.Share = float64(r.Count()) * b.Area / (m.Bed[0] * m.Bed[1])
	if g := b.Piece.Board.GrainDegrees; g != nil {
		d := geom.Degrees(math.Mod(math.Mod(float64(*g)+turn, 180)+180, 180))
		r.Grain = &d
	}
	return r
}

// along is how many things of a size lie in a room, SheetGap apart; what reaches over by
// no more than the snap tolerance fits, as Machine.Excess has it.
func along(room, size float64) int {
	if size <= 0 {
		return 0 // a blank of which nothing is left
	}
	return max(0, int(math.Floor((room+SheetGap+geom.SnapTolerance)/(size+SheetGap))))
}
