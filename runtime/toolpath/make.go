// Package toolpath gives a blank as a machine makes it: its strokes on the bed, in
// the order of work, led by what the tools are like. It writes no file.
//
// The package is not stable yet.
package toolpath

import (
	"context"
	"fmt"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// TooLarge is the error of Make for a piece that has no room on the bed, or whose tools
// would be led off it by what they overcut and compensate.
type TooLarge struct {
	Piece, Machine string
	X, Y           float64 // mm by which the piece reaches over the room along its own axes
	Off            float64 // mm by which the axis leaves the bed; 0 where the piece has no room
}

func (e *TooLarge) Error() string {
	return fmt.Sprintf("piece %q has no room on machine %q", e.Piece, e.Machine)
}

// Make is the program of a blank on a machine. A piece that is worked from the inside
// lies mirrored, as in its cut files. The error is a *TooLarge or the context's cause.
func Make(ctx context.Context, b *blank.Blank, m *board.Machine) (*Program, error) {
	p := &Program{Machine: m, Piece: b.Piece}
	if x, y := m.Excess(b.Bounds.Width(), b.Bounds.Height()); max(x, y) > 0 {
		return nil, &TooLarge{Piece: b.Piece.Name, Machine: m.Name, X: x, Y: y}
	}
	p.lie(b)
	for _, l := range b.Layers {
		if !m.Makes(string(l.Kind)) {
			p.Unmade = append(p.Unmade, l.Kind)
			continue
		}
		tool, _ := m.Tool(string(l.Kind))
		pass := Pass{Kind: l.Kind, Tool: tool}
		for _, s := range l.Strokes {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			pass.Strokes = append(pass.Strokes, p.stroke(s))
		}
		p.Passes = append(p.Passes, pass)
	}
	p.Travel = p.travel()
	p.Naive = p.Travel
	if off := p.Off(); off > geom.SnapTolerance {
		return nil, &TooLarge{Piece: b.Piece.Name, Machine: m.Name, Off: off}
	}
	return p, nil
}

// lie lays the blank on the bed, its bounding box in the corner that the margin
// leaves, and turned where it fits only so.
func (p *Program) lie(b *blank.Blank) {
	w, h := b.Bounds.Width(), b.Bounds.Height()
	roomX, roomY := p.Machine.Room()
	p.Size, p.Turned = [2]float64{w, h}, w > roomX || h > roomY
	p.Place = geom.Translation(-b.Bounds.Min.X, -b.Bounds.Min.Y)
	if b.Piece.Inside {
		p.Place = geom.FlipX().Then(geom.Translation(b.Bounds.Max.X, -b.Bounds.Min.Y))
	}
	if p.Turned {
		p.Size = [2]float64{h, w}
		p.Place = p.Place.Then(geom.Rotation(geom.Degrees(90).Angle(), geom.Pt(0, 0))).Then(geom.Translation(h, 0))
	}
	p.Place = p.Place.Then(geom.Translation(p.Machine.Margin, p.Machine.Margin))
}

// stroke is a stroke of the blank as it lies on the bed.
func (p *Program) stroke(s blank.Stroke) Stroke {
	out := Stroke{Moves: make([]Move, len(s.Curves)), Closed: s.Closed}
	for i, c := range s.Curves {
		out.Moves[i] = Move{Curve: c.Transform(p.Place)}
	}
	return out
}

// travel is how far the axis goes with the tool up, from the origin on.
func (p *Program) travel() float64 {
	sum, at := 0.0, geom.Pt(0, 0)
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			sum += at.Dist(s.Start())
			at = s.End()
		}
	}
	return sum
}
