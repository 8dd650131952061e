package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// edgesUnjoined notes edges that come together and that nothing joins.
var edgesUnjoined = Rule{
	ID: "edges-unjoined", Severity: diag.Note, Title: "two edges come together and have no join",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap", "panels-collide"},
	find: func(f *Facts) []Found {
		return f.closed(func(s *shut) []Found {
			var out []Found
			rims := s.looseRims()
			linked := s.linked()
			sweepRims(rims, s.caliper(), func(a, b *rim) {
				if linked[pairOf(a.edge.Panel, b.edge.Panel)] {
					return
				}
				if shared := a.beside(b, s.caliper()); shared >= math.Max(leastMeeting, math.Min(a.length, b.length)/2) {
					out = append(out, s.rimsFound(a, b, shared))
				}
			})
			return out
		})
	},
}

// leastMeeting is the length in mm over which edges must run together to count
// as meant to meet.
const leastMeeting = 5

func (s *shut) rimsFound(a, b *rim, shared float64) Found {
	if a.edge.Panel.Index < b.edge.Panel.Index {
		a, b = b, a
	}
	f := s.found([]*model.Panel{a.edge.Panel, b.edge.Panel}, "edges %s and %s come together over %s, and nothing joins them", a.edge, b.edge, mm(shared)).
		relate(b.edge.Panel.Site, "panel %q", b.edge.Panel.Name).
		hint("a tab(…) would glue them; meet(…) says that they are to touch, and has that checked")
	at := a.edge.Panel.Flat.Apply(a.edge.Curve().At(0.5))
	f.At, f.Ties, f.Weight = &at, f.Panels, shared
	f.Key = fmt.Sprint(a.edge, " ", b.edge)
	return f
}

// rim is a straight edge that no hinge and no join holds, in the world.
type rim struct {
	edge     model.EdgeRef
	p, q     geom.Point3
	length   float64
	min, max float64 // along the sweep's axis
}

// looseRims lists the edges of the closed piece that nothing holds. Panels that
// are glued or tucked themselves, that carry a tuck, or that lie on others
// unglued, as webs and dust flaps do, are held by that.
func (s *shut) looseRims() []*rim {
	held, taken := s.held(), s.takenEdges()
	var out []*rim
	for i, p := range s.Piece.Panels {
		if !s.solids[i].ok || held[p] {
			continue
		}
		for k, e := range p.Outline.Edges {
			if e.Kind == geom.Line && e.Length() >= leastMeeting && !taken[edgeAt{p, k}] {
				frame := s.solids[i].frame
				out = append(out, &rim{
					edge: model.EdgeRef{Panel: p, Name: e.Name, Index: k, To: e.Length()},
					p:    frame.Apply(e.P.Space()), q: frame.Apply(e.Q.Space()), length: e.Length(),
				})
			}
		}
	}
	return out
}

// edgeAt is an edge by its place in its panel's outline.
type edgeAt struct {
	panel *model.Panel
	index int
}

// takenEdges lists the edges that carry a hinge or a join.
func (s *shut) takenEdges() map[edgeAt]bool {
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
func (s *shut) joined() map[*model.Panel]bool {
	joined := map[*model.Panel]bool{}
	for _, j := range s.Piece.Joins {
		if j.Kind != model.MeetJoin {
			joined[j.A.Panel] = true
		}
	}
	return joined
}

// held lists the panels that something other than their edges holds.
func (s *shut) held() map[*model.Panel]bool {
	held := s.joined()
	for _, j := range s.Piece.Joins {
		if h := j.A.Panel.Hang; h != nil && j.Kind == model.TuckJoin {
			held[h.Parent] = true
		}
	}
	for _, l := range s.Layers {
		if !l.Glued && !l.Hinged {
			a, b := s.pair(l.A, l.B)
			held[a], held[b] = true, true
		}
	}
	return held
}

// panels is a pair without order.
type panels [2]*model.Panel

func pairOf(a, b *model.Panel) panels {
	if a.Index > b.Index {
		a, b = b, a
	}
	return panels{a, b}
}

// linked lists the pairs of panels that are joined already: by a hinge, by a
// join, or by a tab of one on the other.
func (s *shut) linked() map[panels]bool {
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

// sweepRims calls visit with every two rims of different panels that come
// within d of each other along the axis over which rims spread most.
func sweepRims(rims []*rim, d float64, visit func(a, b *rim)) {
	if len(rims) == 0 {
		return
	}
	lo, hi := rims[0].p, rims[0].p
	for _, r := range rims {
		lo, hi = lower(lo, lower(r.p, r.q)), upper(hi, upper(r.p, r.q))
	}
	axis := longestAxis(hi.Sub(lo))
	for _, r := range rims {
		r.min, r.max = math.Min(axis(r.p), axis(r.q)), math.Max(axis(r.p), axis(r.q))
	}
	order := slices.Clone(rims)
	slices.SortStableFunc(order, func(a, b *rim) int { return cmp.Compare(a.min, b.min) })
	for i, a := range order {
		for _, b := range order[i+1:] {
			if b.min > a.max+d {
				break
			}
			if a.edge.Panel != b.edge.Panel {
				visit(a, b)
			}
		}
	}
}

// beside is the length of the stretch over which two edges run within d of each
// other.
func (r *rim) beside(o *rim, d float64) float64 {
	way := r.q.Sub(r.p).Mul(1 / r.length)
	from, to := way.Dot(o.p.Sub(r.p)), way.Dot(o.q.Sub(r.p))
	from, to = math.Max(0, math.Min(from, to)), math.Min(r.length, math.Max(from, to))
	if to <= from || o.distance(r.p.Add(way.Mul(from))) > d || o.distance(r.p.Add(way.Mul(to))) > d {
		return 0
	}
	return to - from
}

// distance is how far a place lies from the edge.
func (r *rim) distance(at geom.Point3) float64 {
	way := r.q.Sub(r.p).Mul(1 / r.length)
	along := math.Max(0, math.Min(r.length, way.Dot(at.Sub(r.p))))
	return at.Dist(r.p.Add(way.Mul(along)))
}
