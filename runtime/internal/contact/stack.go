package contact

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Weights of what settles where a panel goes in its stack: a fact of the pose
// outweighs any number of wishes, and keeping glued panels together outweighs
// many.
const (
	factWeight = 1 << 20
	glueWeight = 1 << 10
	ruleWeight = 1
)

// stack is one stack of panels being put in order.
type stack struct {
	*Posed
	near  []map[int]int
	out   geom.Point3
	order []int    // from the outside in
	bonds [][2]int // glued panels in the stack
}

// insert puts panel m into the first place that goes against the least weight
// of facts and wishes.
func (s *stack) insert(m int) {
	cost := 0 // of m lying outermost, then one place further in at a time
	for _, o := range s.order {
		cost += max(0, s.wish(m, o))
	}
	best, least := 0, 0
	for at := 0; at <= len(s.order); at++ {
		if total := cost + s.strain(m, at); at == 0 || total < least {
			best, least = at, total
		}
		if at < len(s.order) {
			cost -= s.wish(m, s.order[at])
		}
	}
	for _, o := range s.order {
		if k, on := s.near[m][o]; on && s.Layers[k].Glued {
			s.bonds = append(s.bonds, [2]int{m, o})
		}
	}
	s.order = slices.Insert(s.order, best, m)
}

// wish is the weight with which panel m wants to lie inside panel o; negative
// for outside, 0 for panels without common ground.
func (s *stack) wish(m, o int) int {
	k, on := s.near[m][o]
	if !on {
		return 0
	}
	l := &s.Layers[k]
	// Seen from A's outside, B is below when Inside; the stack may look at A
	// from its back, and m may be A.
	below := l.Inside == (s.stands[l.A].normal.Dot(s.out) > 0)
	if m == l.A {
		below = !below
	}
	w := ruleWeight
	if l.sure {
		w = factWeight
	}
	if below {
		return w
	}
	return -w
}

// strain is the weight of the glue that m would part in a place: bonds of its
// own with a panel in between, and bonds it would come between itself.
func (s *stack) strain(m, at int) int {
	sum := 0
	for i, o := range s.order {
		if k, on := s.near[m][o]; !on || !s.Layers[k].Glued {
			continue
		}
		for _, q := range s.order[min(i+1, at):max(i, at)] {
			if s.touchBoth(q, m, o) {
				sum += glueWeight
			}
		}
	}
	for _, b := range s.bonds {
		i, j := slices.Index(s.order, b[0]), slices.Index(s.order, b[1])
		if min(i, j) < at && at <= max(i, j) && s.touchBoth(m, b[0], b[1]) {
			sum += glueWeight
		}
	}
	return sum
}

// touchBoth reports whether panel q shares ground with a and with b.
func (s *stack) touchBoth(q, a, b int) bool {
	_, onA := s.near[q][a]
	_, onB := s.near[q][b]
	return onA && onB
}
