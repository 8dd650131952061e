package toolpath

import (
	"context"
	"errors"
	"fmt"
	"slices"

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
	return p.make(ctx, b)
}

// MakeLaid is the program of pieces that have been laid on the bed of a machine, as one blank in the bed's
// frame. Where pieces may share cuts, which lie between two boards, shared holds the boundaries of the pieces, board on
// their left; else it is nil. A beam is not compensated then: what one piece needs the other would lose.
// Errors are as from Make.
func MakeLaid(ctx context.Context, b *blank.Blank, shared []geom.Curve, m *board.Machine) (*Program, error) {
	return (&Program{
		Machine: m, Piece: b.Piece, Place: geom.Identity(), shared: shared,
		Size: [2]float64{b.Bounds.Width(), b.Bounds.Height()}, Corner: [2]float64{b.Bounds.Min.X, b.Bounds.Min.Y},
	}).make(ctx, b)
}

// Judge is what Make has in Lost, Told and Unmade, without its ways: for rules about machines that no file is asked
// for. It spares the order and the leading of tools, most of the work, unless a blade's first stroke finds no waste, of
// which Make alone says where the blade begins. Errors are as from Make.
func Judge(ctx context.Context, b *blank.Blank, m *board.Machine) (*Program, error) {
	p := &Program{Machine: m, Piece: b.Piece}
	if x, y := m.Excess(b.Bounds.Width(), b.Bounds.Height()); max(x, y) > 0 {
		return nil, &TooLarge{Piece: b.Piece.Name, Machine: m.Name, X: x, Y: y}
	}
	p.lie(b)
	if err := p.prepare(ctx, b); err != nil {
		return nil, err
	}
	if !p.aligns() {
		return Make(ctx, b, m)
	}
	p.Passes = nil
	return p, nil
}

// aligns reports whether every led blade finds waste for the stroke that turns it its way.
func (p *Program) aligns() bool {
	var w *waste
	for _, pass := range p.Passes {
		if t := pass.Tool; t.Kind == board.Knife && t.Compensate && len(pass.Strokes) > 0 {
			if w == nil {
				w = p.newWaste()
			}
			if _, ok := w.straight(alignLength*t.Offset, t.Offset, geom.Point{}); !ok {
				return false
			}
		}
	}
	return true
}

// prepare puts the lines of a blank that lies on the bed into passes, kept off by the kerf and with their bridges.
func (p *Program) prepare(ctx context.Context, b *blank.Blank) error {
	m := p.Machine
	for _, l := range b.Layers {
		if !m.Makes(string(l.Kind)) {
			p.Unmade = append(p.Unmade, l.Kind)
			continue
		}
		tool, _ := m.Tool(string(l.Kind))
		if p.shared != nil && tool.Kind == board.Beam {
			tool.Compensate = false
		}
		pass := Pass{Kind: l.Kind, Tool: tool}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		lines, lost, err := kerfed(l, tool)
		if err != nil {
			return err
		}
		p.Lost = append(p.Lost, lost...)
		for _, s := range lines {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			pass.Strokes = append(pass.Strokes, p.stroke(s))
		}
		p.Passes = append(p.Passes, pass)
	}
	return p.bridge(ctx, b)
}

// make is the program of a blank that lies on the bed.
func (p *Program) make(ctx context.Context, b *blank.Blank) (*Program, error) {
	m := p.Machine
	if err := p.prepare(ctx, b); err != nil {
		return nil, err
	}
	found, given, err := p.order(ctx)
	if err != nil {
		return nil, err
	}
	naive := *p
	naive.Passes, p.Passes = given, found
	naive.Told = slices.Clone(p.Told)
	if err := errors.Join(p.finish(ctx), naive.finish(ctx)); err != nil {
		return nil, context.Cause(ctx)
	}
	p.Travel, p.Naive = p.travel(), naive.travel()
	if p.Travel > p.Naive {
		p.Passes, p.Told, p.Travel = naive.Passes, naive.Told, p.Naive
	}
	if off := p.Off(); off > geom.SnapTolerance {
		return nil, &TooLarge{Piece: b.Piece.Name, Machine: m.Name, Off: off}
	}
	return p, nil
}

// lie lays the blank on the bed, its bounding box in the corner that the margin
// leaves, and turned where it fits only so. Tools that need waste beside the piece get some, where
// there is room for it on both sides.
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
	if p.Turned {
		roomX, roomY = roomY, roomX
	}
	beside := max(0, min(p.beside(), (roomX-w)/2, (roomY-h)/2))
	edge := p.Machine.Margin + p.Machine.Reach() + beside
	p.Corner = [2]float64{edge, edge}
	p.Place = p.Place.Then(geom.Translation(edge, edge))
}

// beside is how much waste, in mm, tools would like beside the piece: for lead-ins, and for a stroke
// that turns a blade its way.
func (p *Program) beside() float64 {
	most := 0.0
	for _, u := range p.Machine.Tools {
		t := u.Tool
		if u.Line == string(blank.CutLine) {
			most = max(most, t.Lead)
		}
		if t.Kind == board.Knife && t.Compensate {
			most = max(most, 1.5*(t.Offset+alignBeside))
		}
	}
	return most
}

// stroke is a stroke of the blank as it lies on the bed.
func (p *Program) stroke(s blank.Stroke) Stroke {
	out := Stroke{Moves: make([]Move, len(s.Curves)), Closed: s.Closed}
	for i, c := range s.Curves {
		out.Moves[i] = Move{Curve: c.Transform(p.Place)}
	}
	switch {
	case s.Rim && p.Place.Mirrors():
		out.side = -1
	case s.Rim:
		out.side = 1
	}
	return out
}

// travel is how far the axis goes with the tool up, from the origin on.
func (p *Program) travel() float64 {
	sum, at := 0.0, geom.Pt(0, 0)
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			for run := range p.runs(&pass, s) {
				sum += at.Dist(run.Start())
				at = run.End()
			}
		}
	}
	return sum
}
