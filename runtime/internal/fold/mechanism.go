package fold

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// mechanism is a piece as rigid bodies, its panels, that revolute joints, its
// hinges, connect. Nothing in it depends on a pose, and nothing in it changes
// once it is made, so poses and goroutines share it.
type mechanism struct {
	piece     *model.Piece
	panels    []*model.Panel
	index     map[*model.Panel]int
	root      int
	joints    []joint // one a hinge, in the piece's order
	incident  [][]int // by panel: the joints at it, in order
	hangs     []int   // by panel: the joint it hangs by, or −1
	tree      []int   // the joints of the spanning tree, parents first
	placeable []bool  // by panel: no curved hinge or bent panel on the way from the root
	cycles    []chain // a basis of the cycles
}

// joint is a hinge prepared for turning: its axis in the frame of panel a and
// the flat placement of panel b there. at is one end of the hinge, axis its
// direction of length 1.
type joint struct {
	hinge    *model.Hinge
	a, b     int
	at, axis geom.Point3
	lay      geom.RigidTransform
	length   float64
	curved   bool
}

// transform takes panel b's frame into panel a's at a fold angle. The axis runs
// with a's board on its left, so a positive turn takes b, on its right, away from
// the viewer: toward the inside.
func (j *joint) transform(angle geom.Angle) geom.RigidTransform {
	return j.lay.Then(geom.RotationAbout(j.at, j.axis, angle))
}

// newMechanism reads a piece. Its error is the cause of the context's end.
func newMechanism(ctx context.Context, piece *model.Piece) (*mechanism, error) {
	n := len(piece.Panels)
	m := &mechanism{
		piece: piece, panels: piece.Panels,
		index:    make(map[*model.Panel]int, n),
		joints:   make([]joint, len(piece.Hinges)),
		incident: make([][]int, n), hangs: make([]int, n), placeable: make([]bool, n),
	}
	for i, p := range piece.Panels {
		m.index[p], m.hangs[i] = i, -1
	}
	m.root = m.index[piece.Root]
	// Joints keep the hinges' numbers, so results need no translation.
	for i, h := range piece.Hinges {
		j := m.newJoint(h)
		m.joints[i] = j
		m.incident[j.a] = append(m.incident[j.a], i)
		m.incident[j.b] = append(m.incident[j.b], i)
		if h.Child.Hang == h {
			m.hangs[j.b] = i
		}
	}
	m.span()
	m.cycles = m.cycleBasis(ctx)
	return m, context.Cause(ctx)
}

// newJoint reads a hinge: lengths in mm, the axis in the parent's frame, which is
// panel a's; a groove's axis lies off the plane z = 0 by Hinge.AxisHeight.
func (m *mechanism) newJoint(h *model.Hinge) joint {
	c := h.Curve
	// A closing hinge joins two panels that already have their places.
	lay := h.ToParent
	if h.Closing {
		lay = h.Child.Flat.Then(h.Parent.Flat.Inverse())
	}
	// The hinge's curve is drawn in the parent's frame; its chord is the axis. A
	// curved hinge gets one too, but no chain leads over it.
	at := c.P.Space()
	if h.Line == model.Groove {
		at.Z = h.AxisHeight(m.piece.Board.Caliper)
	}
	return joint{
		hinge: h, a: m.index[h.Parent], b: m.index[h.Child],
		at: at, axis: c.Q.Sub(c.P).Unit().Space(),
		lay: lay.Space(), length: c.Length(), curved: c.Kind != geom.Line,
	}
}

// span orders the joints of the spanning tree, breadth first from the root, and
// marks the panels that folding can place: those that only straight hinges and
// flat panels lead to.
func (m *mechanism) span() {
	m.placeable[m.root] = !m.panels[m.root].Bent
	for queue := []int{m.root}; len(queue) > 0; queue = queue[1:] {
		p := queue[0]
		for _, i := range m.incident[p] {
			j := &m.joints[i]
			if j.hinge.Closing || j.a != p {
				continue
			}
			// What a panel hangs by decides for all that hangs on it in turn.
			m.tree = append(m.tree, i)
			m.placeable[j.b] = m.placeable[p] && !j.curved && !m.panels[j.b].Bent
			queue = append(queue, j.b)
		}
	}
}

// leftOut lists the panels that no pose but the flat one shows, parents first.
// Each inherits the cause of its parent; the first curved hinge on the way or,
// failing that, a bent panel is the cause.
func (m *mechanism) leftOut() []LeftOut {
	var out []LeftOut
	if !m.placeable[m.root] {
		out = append(out, LeftOut{Panel: m.panels[m.root]})
	}
	because := make([]*model.Hinge, len(m.panels))
	for _, i := range m.tree {
		j := &m.joints[i]
		if m.placeable[j.b] {
			continue
		}
		because[j.b] = because[j.a]
		if j.curved && m.placeable[j.a] {
			because[j.b] = j.hinge
		}
		out = append(out, LeftOut{m.panels[j.b], because[j.b]})
	}
	return out
}
