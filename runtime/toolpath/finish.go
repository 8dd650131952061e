package toolpath

import (
	"context"
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// finish turns the lines of the passes, which lie and follow each other as they will be made, into the ways
// of the axis: closed cuts get their way in and run on past their
// start, and a trailing blade is led. The error is the context's cause.
func (p *Program) finish(ctx context.Context) error {
	f := finisher{Program: p, waste: p.newWaste(), heading: map[int]geom.Point{}}
	for i := range p.Passes {
		pass := &p.Passes[i]
		lines := pass.Strokes
		pass.Strokes = nil
		for _, s := range lines {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			f.stroke(pass, s)
		}
	}
	return nil
}

// finisher finishes one stroke after the other.
type finisher struct {
	*Program
	waste   *waste
	heading map[int]geom.Point // in which each knife, by its number, points since its last stroke
}

// tell notes what of a pass could not be made as it was asked for; at is on the bed.
func (p *Program) tell(kind blank.Kind, at geom.Point, format string, args ...any) {
	p.Told = append(p.Told, Note{At: p.Place.Inverse().Apply(at), Kind: kind, Text: fmt.Sprintf(format, args...)})
}

// stroke appends to the pass what becomes of a line.
func (f *finisher) stroke(pass *Pass, s Stroke) {
	for _, part := range s.parts {
		f.led(pass, Stroke{side: s.side}, part)
	}
	if len(s.parts) > 0 {
		return
	}
	line := s.curves()
	if s.Closed && pass.Kind == blank.CutLine {
		line = f.closed(pass.Tool, s, line)
	}
	f.led(pass, s, line)
}

// bridge leaves bridges in the closed cuts, if the machine has nicks. A beam takes half of its kerf from
// either end of a bridge, so that its way stops earlier by that. It comes before the cuts are put in
// order: each is then begun at one of its bridges. The error is the context's cause.
func (p *Program) bridge(ctx context.Context, b *blank.Blank) error {
	n := p.Machine.Nicks
	if n == nil {
		return nil
	}
	ends := p.ends(b)
	for _, pass := range p.Passes {
		if pass.Kind != blank.CutLine {
			continue
		}
		for i := range pass.Strokes {
			s := &pass.Strokes[i]
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			if !s.Closed {
				continue
			}
			parts, got, want := nicked(s.curves(), *n, n.Width+pass.Tool.Kerf, ends, endsNear+pass.Tool.Kerf)
			if s.parts = parts; got < want {
				p.tellNicks(pass, *s, got, want)
			}
		}
	}
	return nil
}

// tellNicks notes that a cut has fewer nicks than it was to have.
func (p *Program) tellNicks(pass Pass, s Stroke, got, want int) {
	first := s.Moves[0]
	at := first.At(0.5)
	if pass.Tool.Compensate { // back on the line of the design
		at = at.Add(first.Tangent(0.5).Left().Mul(float64(s.side) * pass.Tool.Kerf / 2))
	}
	if got == 0 {
		p.tell(pass.Kind, at, "a cut of %.1f mm has no room for a nick", s.Length())
		return
	}
	p.tell(pass.Kind, at, "a cut of %.1f mm has room for %d of %d nicks", s.Length(), got, want)
	p.Told[len(p.Told)-1].Minor = true
}

// endsNear is how near, in mm, a line ends to a cut that it ends on.
const endsNear = 0.01

// ends are where hinges and open lines end, on the bed.
func (p *Program) ends(b *blank.Blank) []geom.Point {
	var out []geom.Point
	add := func(curves []geom.Curve) {
		for _, c := range curves {
			out = append(out, p.Place.Apply(c.P), p.Place.Apply(c.Q))
		}
	}
	for _, h := range b.Hinges {
		add(h.Curves)
	}
	for _, l := range b.Layers {
		for _, s := range l.Strokes {
			if n := len(s.Curves); !s.Closed {
				out = append(out, p.Place.Apply(s.Curves[0].P), p.Place.Apply(s.Curves[n-1].Q))
			}
		}
	}
	return out
}

// closed gives a closed cut its lead-in and its overcut.
func (f *finisher) closed(t board.Tool, s Stroke, line []geom.Curve) []geom.Curve {
	out := line
	if t.Kind == board.Knife && t.Overcut > 0 {
		r := newRim(line)
		out = append(out[:len(out):len(out)], r.part(0, min(t.Overcut, r.total))...)
	}
	if lead, ok := f.lead(t, s.side, line); ok {
		out = append([]geom.Curve{lead}, out...)
	}
	return out
}

const (
	// leadTurn is how far a lead-in turns. It is an arc that runs into the cut smoothly: the blade comes
	// in along the line, and a beam does not stand still on it.
	leadTurn = math.Pi / 4

	// leastLead is the shortest lead-in in mm. Where there is no room for the one
	// that was asked for, half of it is tried, and half of that, down to this.
	leastLead = 0.5
)

// lead is the way through waste to the start of a boundary of board. It comes from the
// side without board, 1/leadTurn · (1 − cos leadTurn) = 0.37 of its length off the line, and stays in waste.
func (f *finisher) lead(t board.Tool, side int, line []geom.Curve) (geom.Curve, bool) {
	if side == 0 {
		return geom.Curve{}, false
	}
	at, dir := line[0].P, line[0].Tangent(0)
	for length := t.Lead; length >= min(leastLead, t.Lead) && length > 0; length /= 2 {
		r := length / leadTurn
		// Board on the left: the centre is on the right, and the way there turns right.
		centre := at.Sub(dir.Left().Mul(r * float64(side)))
		lead := geom.ArcFrom(at, centre, geom.Radians(float64(side)*leadTurn)).Reverse()
		if f.waste.holds(lead, length/5) {
			return lead, true
		}
	}
	return geom.Curve{}, false
}

// led appends a line as the way of the axis.
func (f *finisher) led(pass *Pass, s Stroke, line []geom.Curve) {
	t := pass.Tool
	out := Stroke{Closed: s.Closed, side: s.side}
	if t.Kind != board.Knife || !t.Compensate {
		for _, c := range line {
			out.Moves = append(out.Moves, Move{Curve: c})
		}
		pass.Strokes = append(pass.Strokes, out)
		return
	}
	if _, known := f.heading[t.Number]; !known {
		f.align(pass, line)
	}
	out.Moves = knifePath(line, t, f.heading[t.Number])
	if len(out.Moves) == 0 {
		return
	}
	f.heading[t.Number] = line[len(line)-1].Tangent(1)
	pass.Strokes = append(pass.Strokes, out)
}

// alignLength is the length of the stroke that turns a blade its way, in offsets of it. A blade that
// pointed 179° away is within 0.6° of the way after it, tan(e/2) = tan(e₀/2)·exp(−s/d); its tip is
// then off by a hundredth of the offset.
const alignLength = 10

// align makes a short straight stroke in board that falls away, for a knife of which it is not
// known where its blade points. After it the blade points along it, and each stroke
// of the knife begins by turning the blade, its tip on the line's start, from the way
// of the one before.
func (f *finisher) align(pass *Pass, line []geom.Curve) {
	d := pass.Tool.Offset
	way, ok := f.waste.straight(alignLength*d, d, line[0].P)
	if !ok {
		f.tell(pass.Kind, line[0].P, "no waste has room for a stroke of %.1f mm that turns the knife's blade its way before it begins: "+
			"the first cut may begin up to %.2f mm off its line", alignLength*d, 2*d)
		f.heading[pass.Tool.Number] = line[0].Tangent(0)
		return
	}
	f.heading[pass.Tool.Number] = way.Tangent(1)
	pass.Strokes = append(pass.Strokes, Stroke{Moves: []Move{{Curve: way}}, Waste: true})
}

// curves are the moves' curves.
func (s Stroke) curves() []geom.Curve {
	out := make([]geom.Curve, len(s.Moves))
	for i, m := range s.Moves {
		out[i] = m.Curve
	}
	return out
}
