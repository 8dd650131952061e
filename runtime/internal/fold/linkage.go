package fold

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// linkage is a piece as a mechanism: panels are bodies, hinges are joints.
type linkage struct {
	piece  *model.Piece
	panels []*model.Panel
	index  map[*model.Panel]int
	root   int
	joints []joint // one a hinge, in the piece's order
	order  []int   // tree joints, parents first
	at     map[int][]int
	reach  []bool // panels that folding can place: no curved hinge or bent panel before them
	cycles []chain
	closed map[*model.Free]float64 // free folds found in the closed pose, radians
}

// joint is a hinge prepared for turning: its axis in the frame of panel a and
// the flat placement of panel b there.
type joint struct {
	hinge    *model.Hinge
	a, b     int
	at, axis geom.Point3
	lay      geom.RigidTransform
	length   float64
	curved   bool
}

// carry takes panel b's frame into panel a's at a fold of angle radians. The
// axis runs with a's board on its left, so a positive turn takes b, on its
// right, away from the viewer: toward the inside.
func (j *joint) carry(angle float64) geom.RigidTransform {
	return j.lay.Then(geom.RotationAbout(j.at, j.axis, geom.Radians(angle)))
}

// newLinkage reads a piece; nothing in it depends on a pose.
func newLinkage(ctx context.Context, piece *model.Piece) (*linkage, error) {
	l := &linkage{
		piece: piece, panels: piece.Panels,
		index:  make(map[*model.Panel]int, len(piece.Panels)),
		at:     map[int][]int{},
		closed: map[*model.Free]float64{},
		reach:  make([]bool, len(piece.Panels)),
	}
	for i, p := range piece.Panels {
		l.index[p] = i
	}
	l.root = l.index[piece.Root]
	for i, h := range piece.Hinges {
		l.joints = append(l.joints, l.joint(h))
		j := &l.joints[i]
		l.at[j.a] = append(l.at[j.a], i)
		l.at[j.b] = append(l.at[j.b], i)
	}
	l.walk()
	l.cycles = l.findCycles(ctx)
	return l, context.Cause(ctx)
}

func (l *linkage) joint(h *model.Hinge) joint {
	c := h.Curve
	return joint{
		hinge: h, a: l.index[h.Parent], b: l.index[h.Child],
		at: c.P.Space(), axis: c.Q.Sub(c.P).Unit().Space(),
		lay: l.layOf(h), length: c.Length(), curved: c.Kind != geom.Line,
	}
}

// layOf is the child's frame in the parent's when flat. A closing hinge joins
// two panels that already have their places.
func (l *linkage) layOf(h *model.Hinge) geom.RigidTransform {
	if h.Closing {
		return h.Child.Flat.Then(h.Parent.Flat.Inverse()).Space()
	}
	return h.Lay.Space()
}

// walk orders the tree joints parents first and marks what folding can reach.
func (l *linkage) walk() {
	l.reach[l.root] = !l.panels[l.root].Bent
	queue := []int{l.root}
	for len(queue) > 0 {
		p := queue[0]
		queue = queue[1:]
		for _, i := range l.at[p] {
			j := &l.joints[i]
			if j.hinge.Closing || j.a != p {
				continue
			}
			l.order = append(l.order, i)
			l.reach[j.b] = l.reach[p] && !j.curved && !l.panels[j.b].Bent
			queue = append(queue, j.b)
		}
	}
}

// left lists the panels that no pose but the flat one shows.
func (l *linkage) left() []Left {
	var out []Left
	if !l.reach[l.root] {
		out = append(out, Left{Panel: l.panels[l.root]})
	}
	because := map[int]*model.Hinge{}
	for _, i := range l.order {
		j := &l.joints[i]
		if l.reach[j.b] {
			continue
		}
		h := because[j.a]
		if j.curved && l.reach[j.a] {
			h = j.hinge
		}
		because[j.b] = h
		out = append(out, Left{l.panels[j.b], h})
	}
	return out
}

// chain is a walk over joints from one panel to another; multiplied out it
// carries the last panel's frame into the first one's.
type chain struct {
	from, to int
	links    []link
}

// link is one joint of a chain; back is true when it is walked from b to a.
type link struct {
	joint int
	back  bool
}

// usable reports whether a joint can take part in a chain.
func (l *linkage) usable(i int) bool {
	j := &l.joints[i]
	return !j.curved && l.reach[j.a] && l.reach[j.b]
}

// findCycles gives one independent cycle for each closing hinge, short ones
// first: a hinge joins the graph once a cycle of the length now allowed closes
// through it, so each cycle holds a hinge that no earlier one has. Round an
// interior vertex this finds just the hinges that meet there.
func (l *linkage) findCycles(ctx context.Context) []chain {
	in := make([]bool, len(l.joints))
	var waiting []int
	for i := range l.joints {
		if l.usable(i) {
			if l.joints[i].hinge.Closing {
				waiting = append(waiting, i)
			} else {
				in[i] = true
			}
		}
	}
	var out []chain
	for limit := 2; len(waiting) > 0; {
		var rest []int
		for _, i := range waiting {
			if ctx.Err() != nil {
				return nil
			}
			j := &l.joints[i]
			links, ok := l.shortest(j.b, j.a, in, limit)
			if !ok {
				rest = append(rest, i)
				continue
			}
			in[i] = true
			out = append(out, chain{j.a, j.a, append([]link{{i, false}}, links...)})
		}
		if len(rest) == len(waiting) {
			if limit > len(l.panels) {
				break
			}
			limit += max(1, limit/2)
		}
		waiting = rest
	}
	return out
}

// shortest walks breadth first from one panel to another over the joints that
// are in, at most limit of them.
func (l *linkage) shortest(from, to int, in []bool, limit int) ([]link, bool) {
	if from == to {
		return nil, true
	}
	came := map[int]link{from: {-1, false}}
	ring := []int{from}
	for step := 0; step < limit && len(ring) > 0; step++ {
		var next []int
		for _, p := range ring {
			for _, i := range l.at[p] {
				j := &l.joints[i]
				k := link{i, j.b == p}
				q := j.b
				if k.back {
					q = j.a
				}
				if _, seen := came[q]; seen || !in[i] {
					continue
				}
				came[q] = k
				if q == to {
					return l.trace(came, from, to), true
				}
				next = append(next, q)
			}
		}
		ring = next
	}
	return nil, false
}

func (l *linkage) trace(came map[int]link, from, to int) []link {
	var out []link
	for p := to; p != from; {
		k := came[p]
		out = append(out, k)
		if k.back {
			p = l.joints[k.joint].b
		} else {
			p = l.joints[k.joint].a
		}
	}
	for a, b := 0, len(out)-1; a < b; a, b = a+1, b-1 {
		out[a], out[b] = out[b], out[a]
	}
	return out
}

// path is the shortest chain between two panels over all usable joints.
func (l *linkage) path(from, to int) (chain, bool) {
	if !l.reach[from] || !l.reach[to] {
		return chain{}, false
	}
	in := make([]bool, len(l.joints))
	for i := range in {
		in[i] = l.usable(i)
	}
	links, ok := l.shortest(from, to, in, math.MaxInt)
	return chain{from, to, links}, ok
}
