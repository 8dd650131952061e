package blank

import (
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Lay works out the flat blank of a piece. The design's poses say which hinges
// ever fold. Findings name what cannot be made: panels that overlap in the
// flat, and panels, hinges, windows and works that are left without board. The
// blank is as good as it can be all the same, for a picture of the fault. The
// error is the context's cause if that ends before the blank is laid, and nil
// else; with an error there is no blank.
func Lay(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*Blank, []*diag.Finding, error) {
	l, err := newLayout(ctx, piece, poses)
	if err != nil {
		return nil, nil, err
	}
	b := &Blank{
		Piece:  piece,
		Layers: l.layers(),
		Sheets: l.sheets(),
		Hinges: l.hingeLines(),
		Bounds: l.bounds(),
	}
	for _, s := range b.Sheets {
		b.Area += s.Area
	}
	found := l.findings(b)
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	return b, found, nil
}

// lookEvery is after how many steps of a loop the context is looked at: few
// enough for steps of some microseconds to add up to less than a millisecond.
const lookEvery = 64

// ended looks at the context at every lookEvery-th step of a loop. A loop that
// it ends leaves its work half done, which is never seen: Lay looks again.
func ended(ctx context.Context, step int) bool { return step%lookEvery == 0 && ctx.Err() != nil }

// layout is a piece under way: its line work split at every meeting, with what
// lies along each piece of line and what becomes of it.
type layout struct {
	*sources
	ctx context.Context // of the Lay under way
	region.Arrangement
	piece      *model.Piece
	hingeKinds []Kind
	hingeEnds  [][2]int // numbers of each hinge's parent and child
	sides      []sides
	verdicts   []verdict
	onBoard    []bool  // by window: it found board to take
	unclosed   []error // boundaries that could not be traced
}

// newLayout splits and judges the line work of a piece.
func newLayout(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*layout, error) {
	l := &layout{sources: gather(ctx, piece), ctx: ctx, piece: piece}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	number := make(map[*model.Panel]int, len(l.panels))
	for i, p := range l.panels {
		number[p] = i
	}
	for _, h := range l.hinges {
		l.hingeKinds = append(l.hingeKinds, hingeKind(h, poses))
		l.hingeEnds = append(l.hingeEnds, [2]int{number[h.Parent], number[h.Child]})
	}
	var err error
	if l.Arrangement, err = region.ArrangeUntil(ctx, l.curves); err != nil {
		return nil, err
	}
	c := newCoverer(ctx, l.sources, &l.Arrangement)
	l.sides = make([]sides, len(l.Pieces))
	l.verdicts = make([]verdict, len(l.Pieces))
	for i, p := range l.Pieces {
		if ended(ctx, i) {
			return nil, context.Cause(ctx)
		}
		l.sides[i] = c.along(p)
		l.verdicts[i] = l.judge(p, &l.sides[i])
	}
	c.settle(ctx)
	l.onBoard = c.onBoard
	return l, nil
}

// bounds is the box round the board: its rim reaches all its extremes. Where
// windows leave no board at all it is the box round the panels as drawn.
func (l *layout) bounds() geom.Box {
	b := geom.EmptyBox()
	for i, v := range l.verdicts {
		if v.rim {
			b = b.Union(l.Pieces[i].Bounds())
		}
	}
	if !b.Empty() {
		return b
	}
	for _, p := range l.outlines {
		b = b.Union(p.Bounds())
	}
	return b
}
