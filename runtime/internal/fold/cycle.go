package fold

import (
	"context"
	"math"
	"slices"
)

// chain is a kinematic chain: a walk over joints from one panel to another.
// Multiplied out it carries the last panel's frame into the first one's. A cycle
// is a chain that ends where it begins.
type chain struct {
	from, to int
	links    []link
}

// link is one joint of a chain; reverse is true when it is walked from b to a.
type link struct {
	joint   int
	reverse bool
}

// usable reports whether a joint can take part in a chain.
// Exact: it looks at kinds, not at measures.
func (m *mechanism) usable(i int) bool {
	j := &m.joints[i]
	return !j.curved && m.placeable[j.a] && m.placeable[j.b]
}

// cycleBasis gives one independent cycle for each closing hinge, short ones
// first: a hinge joins the graph once a cycle of the length now allowed closes
// through it, so each cycle holds a hinge that no earlier one has. Round an
// interior vertex this finds just the hinges that meet there. It ends early when
// the context does.
// The basis is not promised to be of least total length.
func (m *mechanism) cycleBasis(ctx context.Context) []chain {
	s := newSearch(m)
	// The graph begins as the spanning tree, in which every closing hinge has
	// exactly one cycle, though a long one.
	var waiting []int
	for i := range m.joints {
		switch {
		case !m.usable(i):
		case m.joints[i].hinge.Closing:
			waiting = append(waiting, i)
		default:
			s.open[i] = true
		}
	}
	var out []chain
	for limit := 2; len(waiting) > 0; {
		var rest []int
		for _, i := range waiting {
			if ctx.Err() != nil {
				return nil
			}
			j := &m.joints[i]
			links, ok := s.shortest(j.b, j.a, limit)
			if !ok {
				rest = append(rest, i)
				continue
			}
			// From here on shorter cycles through this hinge can be found.
			s.open[i] = true
			out = append(out, chain{j.a, j.a, append([]link{{i, false}}, links...)})
		}
		// Only when nothing more closes within the limit is it raised, by half, so
		// that a long ring costs a logarithmic number of rounds.
		if len(rest) == len(waiting) {
			if limit > len(m.panels) {
				break
			}
			limit += max(1, limit/2)
		}
		waiting = rest
	}
	return out
}

// search finds shortest chains by breadth-first search over the joints that are
// open. Its space is used again: a panel counts as seen when its mark is that of
// the search under way.
type search struct {
	*mechanism
	open  []bool // by joint
	mark  int
	seen  []int  // by panel
	via   []link // by panel seen: the link that led there
	depth []int  // by panel seen: the links from the start
	queue []int
}

// newSearch begins with every joint closed to walks; callers open theirs.
func newSearch(m *mechanism) *search {
	n := len(m.panels)
	return &search{mechanism: m, open: make([]bool, len(m.joints)), seen: make([]int, n), via: make([]link, n), depth: make([]int, n)}
}

// shortest walks from one panel to another over at most limit joints; ok is false
// when that does not lead there. Joints are tried in the piece's order, so of
// several shortest walks it is always the same.
// Time grows as the joints of the panels that it reaches.
func (s *search) shortest(from, to, limit int) ([]link, bool) {
	// A new mark forgets what earlier searches saw.
	s.mark++
	s.seen[from], s.depth[from] = s.mark, 0
	s.queue = append(s.queue[:0], from)
	for at := 0; at < len(s.queue); at++ {
		p := s.queue[at]
		if p == to {
			return s.trace(from, to), true
		}
		if s.depth[p] == limit {
			continue
		}
		for _, i := range s.incident[p] {
			j := &s.joints[i]
			// The joint leads away from p: forward when p is its panel a.
			k, q := link{i, j.b == p}, j.b
			if k.reverse {
				q = j.a
			}
			if s.open[i] && s.seen[q] != s.mark {
				s.seen[q], s.via[q], s.depth[q] = s.mark, k, s.depth[p]+1
				s.queue = append(s.queue, q)
			}
		}
	}
	return nil, false
}

// trace reads the walk found backwards.
func (s *search) trace(from, to int) []link {
	var out []link
	for p := to; p != from; {
		k := s.via[p]
		out = append(out, k)
		if p = s.joints[k.joint].a; k.reverse {
			p = s.joints[k.joint].b
		}
	}
	slices.Reverse(out)
	return out
}

// path is the shortest chain between two panels over the open joints; ok is false
// when folding cannot place one of them.
func (s *search) path(from, to int) (chain, bool) {
	if !s.placeable[from] || !s.placeable[to] {
		return chain{}, false
	}
	links, ok := s.shortest(from, to, math.MaxInt)
	return chain{from, to, links}, ok
}
