package contact

import "github.com/creasewright/creasewright/runtime/geom"

// Level is a panel's place among the panels that lie on one another.
type Level struct {
	Stack int         // panels of one number lie on one another; −1 for a panel without a place
	Layer int         // 0 outermost; of two panels with common ground the inner one's is larger
	Out   geom.Point3 // the way out of the stack, the same for all of it; unit
}

// Levels orders every stack of the pose from the outside in: where panels are
// apart or folded on one another the pose says how they lie; a glued panel lies
// next to its target; and else the panel made later lies inside. Out is the
// outward normal of the panel of the stack that was made first. The slice runs
// parallel to the piece's panels.
func (p *Posed) Levels() []Level {
	out := make([]Level, len(p.stands))
	for i := range out {
		out[i].Stack = -1
	}
	near, stacks := p.neighbours(), 0
	for i := range p.stands {
		if !p.stands[i].ok || out[i].Stack >= 0 {
			continue
		}
		s := &stack{Posed: p, near: near, out: p.stands[i].normal}
		for _, m := range members(i, near) {
			s.insert(m)
		}
		for k, m := range s.order {
			out[m] = Level{Stack: stacks, Out: s.out}
			for _, o := range s.order[:k] {
				if _, on := near[m][o]; on {
					out[m].Layer = max(out[m].Layer, out[o].Layer+1)
				}
			}
		}
		stacks++
	}
	return out
}

// neighbours gives, for every panel, the panels it shares ground with and the
// pair's place in Layers.
func (p *Posed) neighbours() []map[int]int {
	near := make([]map[int]int, len(p.stands))
	for i := range near {
		near[i] = map[int]int{}
	}
	for k, l := range p.Layers {
		near[l.A][l.B], near[l.B][l.A] = k, k
	}
	return near
}

// members lists the panels of the stack that panel i is in, in order of making.
func members(i int, near []map[int]int) []int {
	in := make([]bool, len(near))
	in[i] = true
	for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
		for o := range near[queue[0]] {
			if !in[o] {
				in[o] = true
				queue = append(queue, o)
			}
		}
	}
	var list []int
	for k, yes := range in {
		if yes {
			list = append(list, k)
		}
	}
	return list
}
