// Package contact says who touches whom in a folded piece: which panels cross
// and how deep, which lie on which and in what order, how far joins stand open,
// how a flat stack is built, and whether the product fits. It measures and
// words nothing: findings are made elsewhere from the plain data given here.
package contact

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/model"
)

// Boards is the board of every panel of a piece, ready to be placed in poses.
// It does not change once made.
type Boards struct {
	Piece  *model.Piece
	Bodies []Body // in the order of the piece's panels

	caliper float64
	index   map[*model.Panel]int
	hinged  map[pair][]int           // hinges between two panels, by their place in the piece
	glued   map[pair]bool            // joined by a tab or by glue
	through map[pair][]*model.Window // openings that one is tucked into
}

// pair is two panels by their places in the piece, the lesser first.
type pair struct{ a, b int }

func pairOf(a, b int) pair { return pair{min(a, b), max(a, b)} }

// New reads the board that windows leave of each panel from a laid blank.
func New(b *blank.Blank) *Boards {
	p := b.Piece
	out := &Boards{
		Piece: p, Bodies: make([]Body, len(p.Panels)), caliper: p.Board.Caliper,
		index: make(map[*model.Panel]int, len(p.Panels)), hinged: map[pair][]int{},
		glued: map[pair]bool{}, through: map[pair][]*model.Window{},
	}
	for i, s := range b.Sheets {
		out.Bodies[i] = newBody(s)
		out.index[s.Panel] = i
	}
	for k, h := range p.Hinges {
		q := pairOf(out.index[h.Parent], out.index[h.Child])
		out.hinged[q] = append(out.hinged[q], k)
	}
	for _, j := range p.Joins {
		out.join(j)
	}
	return out
}

// join books what a join says of two panels that lie on one another.
func (b *Boards) join(j *model.Join) {
	q := pairOf(b.index[j.A.Panel], b.index[j.B.Panel])
	switch j.Kind {
	case model.TabJoin, model.GlueJoin:
		b.glued[q] = true
	case model.TuckJoin:
		if j.B.Window != nil {
			b.through[q] = append(b.through[q], j.B.Window)
		}
	}
}

// Posed is a piece in one pose, with all that crosses or lies on one another
// there. A panel that the pose leaves without a place, or that has no board,
// takes no part. It does not change once made.
type Posed struct {
	*Boards
	Pose         *fold.Pose
	Penetrations []Penetration // by A, then B
	Levels       []Level       // of each panel

	plates []plate
	layers layers
}

// In places the boards in a pose of their piece and finds all contacts. It
// gives the cause of the context's end once that has ended.
func (b *Boards) In(ctx context.Context, pose *fold.Pose) (*Posed, error) {
	p := &Posed{Boards: b, Pose: pose, plates: make([]plate, len(b.Bodies))}
	for i := range b.Bodies {
		p.plates[i] = newPlate(&b.Bodies[i], pose.Place[i])
	}
	if err := p.collide(ctx); err != nil {
		return nil, err
	}
	return p, p.order(ctx)
}

// ended is the cause of the context's end, nil while it goes on.
func ended(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return context.Cause(ctx)
}

// Index is a panel's place in the piece.
func (b *Boards) Index(p *model.Panel) int { return b.index[p] }

// Closed reports whether it is the pose "closed".
func (p *Posed) Closed() bool { return p.Pose.Pose.Name == model.PoseClosed }

// onBlank is where a place of panel i lies in the flat blank.
func (p *Posed) onBlank(i int, at geom.Point3) geom.Point {
	s := &p.plates[i]
	return s.body.Panel.Flat.Apply(s.local(at).Plane())
}
