package check

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// closing is a piece in its closed pose, as the rules on closing see it.
type closing struct {
	*contact.Shell
	state
	*facts
	hung map[*model.Panel]bool // panels that carry others
}

// closed visits every piece in its closed pose.
func (f *facts) closed(visit func(*closing) []Found) []Found {
	if f.closings == nil {
		f.closings = []*closing{}
		f.each(func(s state) []Found {
			if s.Closed() {
				f.closings = append(f.closings, f.newClosing(s))
			}
			return nil
		})
	}
	var out []Found
	for _, s := range f.closings {
		if f.ended() {
			return nil
		}
		out = append(out, visit(s)...)
	}
	return out
}

func (f *facts) newClosing(p state) *closing {
	s := &closing{state: p, facts: f, Shell: p.Contacts().Shell(), hung: make(map[*model.Panel]bool, len(p.Piece.Panels))}
	for _, h := range p.Piece.Hinges {
		s.hung[h.Parent] = true
		if h.Closing {
			s.hung[h.Child] = true
		}
	}
	return s
}

// caliper is the thickness of the piece's board.
func (s *closing) caliper() float64 { return s.Piece.Board.Caliper }

// limit is the limit in force for the piece's board.
func (s *closing) limit(l board.Limit) float64 {
	v, _, _ := s.Design.Limit(l, s.Piece.Board)
	return v
}

// found starts a finding about panels in the closed pose.
func (s *closing) found(about []*model.Panel, format string, args ...any) Found {
	return foundf(about[0].Site, about, format, args...).in(s.Pose, "").atPanel(about[0])
}
