package model

import (
	"errors"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/source"
)

// BoardSpec asks for a board. GSM and GrainDegrees are nil when not given; an empty
// Kind is card.
type BoardSpec struct {
	Name              string
	Caliper           float64
	GSM, GrainDegrees *float64
	Kind              string
}

// Board makes a stock.
func (b *Builder) Board(site source.Site, s BoardSpec) (*board.Board, error) {
	c := b.named(site, "board", s.Name)
	c.name(s.Name)
	made, err := board.New(board.Board{
		Name: s.Name, Kind: board.Kind(s.Kind), Caliper: s.Caliper, GSM: s.GSM, GrainDegrees: s.GrainDegrees,
	})
	if err != nil {
		f := c.failf("%v", err)
		if errors.Is(err, board.ErrKind) {
			if kind, ok := Nearest(s.Kind, board.KindNames()); ok {
				f.WithHint("did you mean %q?", kind)
			}
		}
	}
	return made, c.err()
}
