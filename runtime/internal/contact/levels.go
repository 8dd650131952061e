package contact

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Level is a panel's place among the panels that lie on one another.
type Level struct {
	Stack int         // panels of one number lie on one another; −1 for a panel without a place
	Layer int         // 0 outermost; of two panels with common ground the inner one's is larger
	Out   geom.Point3 // the way out of the stack, the same for all of it; unit
}

// Weights of what settles where a panel goes in its stack: a fact of the pose
// outweighs any number of wishes, and keeping glued panels together outweighs
// many.
const (
	factWeight = 1 << 20
	glueWeight = 1 << 10
	ruleWeight = 1
)

// order puts every stack of the pose in order from the outside in: where panels
// are apart or folded on one another the pose says how they lie; a glued panel
// lies next to its target; and else the panel made later lies inside. The way
// out is the outward normal of the panel of the stack that was made first.
func (p *Posed) order(ctx context.Context) error {
	p.Levels = make([]Level, len(p.plates))
	for i := range p.Levels {
		p.Levels[i].Stack = -1
	}
	stacks := 0
	for i := range p.plates {
		if !p.plates[i].ok || p.Levels[i].Stack >= 0 {
			continue
		}
		in := p.layers.stackOf(i)
		p.Levels[i] = Level{Stack: stacks, Out: p.plates[i].normal}
		if len(in) > 1 {
			s := &stack{Posed: p, out: p.plates[i].normal, shares: newMarks(&p.layers)}
			if err := s.put(ctx, in, stacks); err != nil {
				return err
			}
		}
		stacks++
	}
	return nil
}

// stackOf lists the panels of the stack that panel i is in, in order of making.
func (l *layers) stackOf(i int) []int {
	start := l.groups.of[i]
	if len(l.links[start]) == 0 {
		return []int{i}
	}
	in := map[int32]bool{start: true}
	var list []int
	for queue := []int32{start}; len(queue) > 0; queue = queue[1:] {
		list = append(list, l.groups.members[queue[0]]...)
		for _, n := range l.links[queue[0]] {
			if !in[n.group] {
				in[n.group] = true
				queue = append(queue, n.group)
			}
		}
	}
	slices.Sort(list)
	return list
}

// marks tells quickly with which panels one shares ground.
type marks struct {
	*layers
	ground []int32 // by group: one more than the number of the ground, 0 for none
	of     int
}

func newMarks(l *layers) *marks {
	return &marks{layers: l, ground: make([]int32, len(l.links)), of: -1}
}

// set looks from panel i on.
func (m *marks) set(i int) {
	if m.of >= 0 {
		for _, n := range m.links[m.groups.of[m.of]] {
			m.ground[n.group] = 0
		}
	}
	m.of = i
	for _, n := range m.links[m.groups.of[i]] {
		m.ground[n.group] = n.ground + 1
	}
}

// with is the number of the ground shared with panel o.
func (m *marks) with(o int) (k int, ok bool) {
	k = int(m.ground[m.groups.of[o]]) - 1
	return k, k >= 0
}

// stack is one stack of panels being put in order.
type stack struct {
	*Posed
	out    geom.Point3
	order  []int    // from the outside in
	bonds  [][2]int // glued panels in the stack
	shares *marks   // of the panel that is being put in
}

// put orders some panels, which are those of a stack in order of making.
func (s *stack) put(ctx context.Context, in []int, number int) error {
	for _, m := range in {
		if err := ended(ctx); err != nil {
			return err
		}
		s.shares.set(m)
		s.insert(m)
	}
	for k, m := range s.order {
		if err := ended(ctx); err != nil {
			return err
		}
		s.shares.set(m)
		layer := 0
		for _, o := range s.order[:k] {
			if _, on := s.shares.with(o); on {
				layer = max(layer, s.Levels[o].Layer+1)
			}
		}
		s.Levels[m] = Level{Stack: number, Layer: layer, Out: s.out}
	}
	return nil
}

// insert puts panel m into the first place that goes against the least weight
// of facts and wishes.
func (s *stack) insert(m int) {
	cost := 0 // of m lying outermost, then one place further in at a time
	wishes := make([]int, len(s.order))
	for i, o := range s.order {
		wishes[i] = s.wish(m, o)
		cost += max(0, wishes[i])
	}
	strain := s.strain(m)
	best, least := 0, 0
	for at := 0; at <= len(s.order); at++ {
		if total := cost + strain[at]; at == 0 || total < least {
			best, least = at, total
		}
		if at < len(s.order) {
			cost -= wishes[at]
		}
	}
	for _, o := range s.order {
		if s.bound(m, o) {
			s.bonds = append(s.bonds, [2]int{m, o})
		}
	}
	s.order = slices.Insert(s.order, best, m)
}

// wish is the weight with which panel m wants to lie inside panel o; negative
// for outside, 0 for panels without common ground.
func (s *stack) wish(m, o int) int {
	k, on := s.shares.with(o)
	if !on {
		return 0
	}
	q := pairOf(m, o)
	inside, sure := s.lies(q, s.heightOver(q.a, k))
	// Seen from a's outside, b is below when inside; the stack may look at a
	// from its back, and m may be a.
	below := inside == (s.plates[q.a].normal.Dot(s.out) > 0)
	if m == q.a {
		below = !below
	}
	w := ruleWeight
	if sure {
		w = factWeight
	}
	if below {
		return w
	}
	return -w
}

// bound reports whether two panels that share ground are glued to one another.
func (s *stack) bound(m, o int) bool {
	_, on := s.shares.with(o)
	return on && s.Pose.Pose.Glued && s.glued[pairOf(m, o)]
}

// strain is the weight, by place in the order, of the glue that panel m would
// part there: bonds of its own with a panel in between, and bonds it would come
// between itself.
func (s *stack) strain(m int) []int {
	n := len(s.order)
	sum := make([]int, n+1)
	if !s.Pose.Pose.Glued {
		return sum
	}
	for i, o := range s.order {
		if !s.bound(m, o) {
			continue
		}
		between := 0
		for at := i + 2; at <= n; at++ {
			between += s.parts(s.order[at-1], m, o)
			sum[at] += between
		}
		between = 0
		for at := i - 1; at >= 0; at-- {
			between += s.parts(s.order[at], m, o)
			sum[at] += between
		}
	}
	for _, b := range s.bonds {
		if weight := s.parts(m, b[0], b[1]); weight > 0 {
			i, j := slices.Index(s.order, b[0]), slices.Index(s.order, b[1])
			for at := min(i, j) + 1; at <= max(i, j); at++ {
				sum[at] += weight
			}
		}
	}
	return sum
}

// parts is the weight of panel q lying between a and b, which are glued: it
// strains the glue where it shares ground with both.
func (s *stack) parts(q, a, b int) int {
	_, onA := s.layers.ground(q, a)
	_, onB := s.layers.ground(q, b)
	if onA && onB {
		return glueWeight
	}
	return 0
}
