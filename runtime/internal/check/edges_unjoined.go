package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// edgesUnjoined notes edges that come together and that nothing joins.
var edgesUnjoined = Rule{
	ID: "edges-unjoined", Severity: diag.Note, Title: "two edges come together and have no join",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap", "panels-collide"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			edges, stretches := s.looseEdges()
			linked := s.linked()
			// Edges come together where one runs within a caliper of the other over half of the
			// shorter, and leastMeeting at least. The broad phase is a tree of boxes: n log n for n
			// edges.
			_ = contact.NearSegments(f.ctx, stretches, s.caliper(), func(i, k int) {
				a, b := edges[i], edges[k]
				if a.Panel == b.Panel || linked[pairOf(a.Panel, b.Panel)] {
					return
				}
				if shared := stretches[i].Beside(stretches[k], s.caliper()); !exceeds(max(leastMeeting, min(a.Length(), b.Length())/2), shared) {
					out = append(out, s.meetingFound(a, b, shared))
				}
			}) // the end of the context is seen by all rules
			return out
		})
	},
}

// leastMeeting is the length in mm over which edges must run together to count
// as meant to meet.
const leastMeeting = 5

// meetingFound tells of two edges at the panel made later; of those of one panel the longest
// stretch speaks for all.
func (s *closing) meetingFound(a, b model.EdgeRef, shared float64) Found {
	if a.Panel.Index < b.Panel.Index {
		a, b = b, a
	}
	f := s.found([]*model.Panel{a.Panel, b.Panel}, "edges %s and %s come together over %s, and nothing joins them", a, b, mm(shared)).
		relate(b.Panel.Site, "panel %q", b.Panel.Name).
		hint("a tab(…) would glue them; meet(…) says that they are to touch, and has that checked")
	at := a.Panel.Flat.Apply(a.Curve().At(0.5))
	f.At, f.Ties, f.Weight = &at, f.Panels, shared
	f.Key = fmt.Sprint(a, " ", b)
	return f
}

// looseEdges lists the straight edges of the closed piece that nothing holds,
// and where they lie in space. Panels that are glued or tucked themselves, that
// carry a tuck, or that lie on others unglued, as webs and dust flaps do, are
// held by that.
func (s *closing) looseEdges() (edges []model.EdgeRef, at []contact.Segment) {
	held, taken := s.held(), s.takenEdges()
	for i, p := range s.Piece.Panels {
		o := &s.Solids[i]
		if !o.OK || held[p] {
			continue
		}
		for k, e := range p.Outline.Edges {
			// Straight, long enough to meet anything, and not taken.
			if e.Kind == geom.Line && !exceeds(leastMeeting, e.Length()) && !taken[edgeAt{p, k}] {
				edges = append(edges, model.EdgeRef{Panel: p, Name: e.Name, Index: k, To: e.Length()})
				at = append(at, contact.Segment{P: o.Frame.Apply(e.P.Space()), Q: o.Frame.Apply(e.Q.Space())})
			}
		}
	}
	return edges, at
}

// edgeAt is an edge by its place in its panel's outline.
type edgeAt struct {
	panel *model.Panel
	index int
}

// takenEdges lists the edges that carry a hinge or a join.
func (s *closing) takenEdges() map[edgeAt]bool {
	taken := map[edgeAt]bool{}
	take := func(e *model.EdgeRef) {
		if e != nil && e.Window == nil {
			taken[edgeAt{e.Panel, e.Index}] = true
		}
	}
	for _, h := range s.Piece.Hinges {
		take(&h.On)
		take(&h.By)
	}
	for _, j := range s.Piece.Joins {
		take(j.A.Edge)
		take(j.B.Edge)
	}
	return taken
}

// joined lists the panels that are glued or tucked to others.
func (s *closing) joined() map[*model.Panel]bool {
	joined := map[*model.Panel]bool{}
	for _, j := range s.Piece.Joins {
		if j.Kind != model.MeetJoin {
			joined[j.A.Panel] = true
		}
	}
	return joined
}

// held lists the panels that something other than their edges holds.
func (s *closing) held() map[*model.Panel]bool {
	held := s.joined()
	for _, j := range s.Piece.Joins {
		if h := j.A.Panel.Hang; h != nil && j.Kind == model.TuckJoin {
			held[h.Parent] = true
		}
	}
	for l := range s.Layers() {
		if !l.Glued && !l.Hinged {
			a, b := s.pair(l.A, l.B)
			held[a], held[b] = true, true
		}
	}
	return held
}

// panels is a pair without order.
type panels [2]*model.Panel

// pairOf puts the panel made first in front, so that either order gives one key.
func pairOf(a, b *model.Panel) panels {
	if a.Index > b.Index {
		a, b = b, a
	}
	return panels{a, b}
}

// linked lists the pairs of panels that are joined already: by a hinge, by a
// join, or by a tab of one on the other.
func (s *closing) linked() map[panels]bool {
	linked := map[panels]bool{}
	for _, h := range s.Piece.Hinges {
		linked[pairOf(h.Parent, h.Child)] = true
	}
	for _, j := range s.Piece.Joins {
		linked[pairOf(j.A.Panel, j.B.Panel)] = true
		if h := j.A.Panel.Hang; h != nil {
			linked[pairOf(h.Parent, j.B.Panel)] = true
		}
	}
	return linked
}
