package check

import (
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// closing is a piece in its closed pose, as the rules on closing see it.
type closing struct {
	*contact.Shell
	state
	*facts
	hung map[*model.Panel]bool // panels that carry others
	tree *panelTree            // once a rule has asked for it
}

// closed visits every piece in its closed pose.
func (f *facts) closed(visit func(*closing) []Found) []Found {
	// Made once for all rules, as filling in outlines takes time.
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

// newClosing fills in the outlines of a closed piece and notes which panels carry others.
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

// insert is a panel that goes behind another or through it in the closed pose,
// by its fold: the words tuck and tab give panels this role, names do not.
type insert struct {
	panel *model.Panel
	into  model.JoinEnd
	join  *model.Join
	fold  *model.Hinge

	// In the panel's frame and in the world: the middle of its fold, the
	// direction along it, to the left as seen looking out over the fold, and the
	// way from it into the panel.
	at, along, in    geom.Point
	at3, along3, in3 geom.Point3
}

// inserts lists the panels that joins of a kind put behind or through another,
// as far as they hang by a straight fold and all have a place. Those that lie along
// an outside, or behind a panel with a part of them only, are no such inserts.
func (s *closing) inserts(kind model.JoinKind) []insert {
	var out []insert
	for _, j := range s.Piece.Joins {
		p, to := j.A.Panel, j.B.Panel
		if j.Outside || j.Reach > 0 {
			continue
		}
		if j.Kind == kind && p.Hang != nil && p.Hang.Curve.Kind == geom.Line && s.Of(p).OK && s.Of(to).OK {
			out = append(out, s.insert(j))
		}
	}
	return out
}

// insert looks at the A of a join by its fold.
func (s *closing) insert(j *model.Join) insert {
	t := insert{panel: j.A.Panel, into: j.B, join: j, fold: j.A.Panel.Hang}
	line := t.fold.Curve.Transform(t.fold.ToParent.Inverse()) // its own board lies on the right
	t.at, t.along = line.At(0.5), line.Tangent(0.5)
	t.in = t.along.Left().Mul(-1)
	frame := s.Of(t.panel).Frame
	t.at3, t.along3, t.in3 = frame.Apply(t.at.Space()), frame.ApplyDir(t.along.Space()), frame.ApplyDir(t.in.Space())
	return t
}

// carrier is the panel that the insert hangs on.
func (t *insert) carrier() *model.Panel { return t.fold.Parent }

// reach is how far the panel's board reaches from its fold.
func (s *closing) reach(t *insert) float64 {
	far := 0.0
	for _, q := range s.Of(t.panel).Loop {
		far = math.Max(far, q.Sub(t.at).Dot(t.in))
	}
	return far
}

// level is a cut through an insert, along its fold: how far from the fold, and
// the stretch that its board takes there, counted along the fold from its
// middle.
type level struct {
	depth float64
	contact.Stretch
}

// levelShares are where an insert is looked at, as shares of its reach.
var levelShares = [...]float64{0.02, 0.25, 0.5, 0.75, 0.98}

// levels cuts an insert at several depths.
func (s *closing) levels(t *insert) []level {
	reach := s.reach(t)
	var out []level
	for _, share := range levelShares {
		depth := reach * share
		if cuts := contact.Along(s.boardOf(t.panel), t.at.Add(t.in.Mul(depth)), t.along); len(cuts) > 0 {
			out = append(out, level{depth, contact.Stretch{From: cuts[0].From, To: cuts[len(cuts)-1].To}})
		}
	}
	return out
}

// boardOf is the board that windows leave of a panel, in its frame.
func (s *closing) boardOf(p *model.Panel) [][]geom.Point {
	b := s.Contacts()
	return b.Bodies[b.Index(p)].Loops
}

// place is the spot of the world at a depth into an insert and a distance along
// its fold.
func (t *insert) place(depth, along float64) geom.Point3 {
	return t.at3.Add(t.in3.Mul(depth)).Add(t.along3.Mul(along))
}
