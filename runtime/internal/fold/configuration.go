package fold

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// configuration is a point of a problem's configuration space: a value for each
// unknown at one moment of the motion. It belongs to one goroutine.
type configuration struct {
	*problem
	ctx      context.Context
	progress float64   // share of the given folds reached, 0…1: the parameter of the continuation
	value    []float64 // by unknown, radians
	found    []bool    // by unknown
	held     []bool    // by unknown: not moved by the solver for the moment
	reversed []bool    // by unknown: asked for the other side for the moment
	trial    bool      // a cure is being tried: no further ones are looked for
	anySide  bool      // folds may lie on either side of flat: see detour
	end      []float64 // by unknown: the values at the end of the motion, on the way there
}

// newConfiguration is the end of the motion with every unknown flat and not found.
func newConfiguration(ctx context.Context, p *problem) *configuration {
	n := len(p.unknowns)
	return &configuration{
		problem: p, ctx: ctx, progress: 1,
		value: make([]float64, n), found: make([]bool, n), held: make([]bool, n), reversed: make([]bool, n),
	}
}

// stopped reports whether the context has ended: every iteration of the solver
// looks, and whatever calls it then comes to its end at once.
func (s *configuration) stopped() bool { return s.ctx.Err() != nil }

// angle is a joint's fold at this moment of the motion.
// Positive turns toward the inside.
func (s *configuration) angle(i int) geom.Angle {
	if u := s.unknownOf[i]; u >= 0 {
		return geom.Radians(s.value[u])
	}
	return s.given[i].Mul(s.progress)
}

// known reports whether a joint's fold is given or was found.
func (s *configuration) known(i int) bool {
	u := s.unknownOf[i]
	return u < 0 || s.found[u]
}

// degrees is a joint's result. Given folds do not take the way through radians,
// which would cost their last digit.
func (s *configuration) degrees(i int) HingeAngle {
	switch {
	case !s.known(i):
		return HingeAngle{}
	case s.unknownOf[i] < 0:
		// Give back what was given to the last digit.
		h := s.joints[i].hinge
		if deg, ok := s.pose.FoldDegrees[h]; ok {
			return HingeAngle{deg * geom.Degrees(s.progress), true}
		}
		if h.Fold.Free == nil {
			return HingeAngle{h.Fold.Degrees * geom.Degrees(s.pose.At) * geom.Degrees(s.progress), true}
		}
	}
	return HingeAngle{s.angle(i).Degrees(), true}
}

// side is the asked sign of an unknown.
func (s *configuration) side(u int) float64 {
	side := float64(s.unknowns[u].free.Side)
	if s.reversed[u] {
		return -side
	}
	return side
}

// near is the angle to look near, in radians, where one was asked for.
func (s *configuration) near(u int) (angle float64, ok bool) {
	if s.unknowns[u].free.NearDegrees == nil || s.reversed[u] {
		return 0, false
	}
	return geom.Degrees(*s.unknowns[u].free.NearDegrees).Angle().Radians(), true
}

// foundFolds are the unknowns that were found, by free fold.
func (s *configuration) foundFolds() map[*model.Free]float64 {
	out := map[*model.Free]float64{}
	for u, found := range s.found {
		if found {
			out[s.unknowns[u].free] = s.value[u]
		}
	}
	return out
}

// values and restore save and put back a system's unknowns, by place in the
// system, in radians.
func (s *configuration) values(g *system) []float64 {
	out := make([]float64, len(g.unknowns))
	for i, u := range g.unknowns {
		out[i] = s.value[u]
	}
	return out
}

// restore needs one value for each unknown of the system, in the order of values.
func (s *configuration) restore(g *system, values []float64) {
	for i, u := range g.unknowns {
		s.value[u] = values[i]
	}
}

// transform takes the frame of the panel a link leads to into that of the one it
// leaves.
func (s *configuration) transform(k link) geom.RigidTransform {
	m := s.joints[k.joint].transform(s.angle(k.joint))
	if k.reverse {
		return m.Inverse()
	}
	return m
}

// product multiplies a chain out: the frame of its last panel in its first one's.
// Of a cycle it is the identity when the loop is closed.
// One multiplication a link; rounding grows as the number of links.
func (s *configuration) product(c chain) geom.RigidTransform {
	m := geom.Identity3()
	for _, k := range c.links {
		m = s.transform(k).Then(m)
	}
	return m
}

// screw is a joint's axis seen from a chain's first panel, with the sign by
// which a growing fold turns the far end.
// axis is a unit vector and at a point on it in mm. Shared folds have a screw a joint.
type screw struct {
	unknown  int
	at, axis geom.Point3
}

// screws appends the axes of a chain's unknown joints to out, and gives the
// chain's product.
func (s *configuration) screws(c chain, out []screw) ([]screw, geom.RigidTransform) {
	// m is the frame of the panel before a joint in the chain's first frame, next
	// that of the one after it.
	m := geom.Identity3()
	for _, k := range c.links {
		j := &s.joints[k.joint]
		next := s.transform(k).Then(m)
		// Walked against its direction, a joint turns the far end the other way.
		frame, sign := m, 1.0 // the joint's axis lies in panel a's frame
		if k.reverse {
			frame, sign = next, -1
		}
		if u := s.unknownOf[k.joint]; u >= 0 {
			out = append(out, screw{u, frame.Apply(j.at), frame.ApplyDir(j.axis).Mul(sign)})
		}
		m = next
	}
	return out, m
}

// hinges lists the hinges of some unknowns in the piece's order.
func (p *problem) hinges(unknowns []int) []*model.Hinge {
	// Joints are numbered as the piece's hinges.
	var at []int
	for _, u := range unknowns {
		at = append(at, p.unknowns[u].joints...)
	}
	slices.Sort(at)
	out := make([]*model.Hinge, len(at))
	for k, i := range at {
		out[k] = p.joints[i].hinge
	}
	return out
}

// round lists the panels that loops lead over.
func (p *problem) round(loops []*constraint) []*model.Panel {
	on := make([]bool, len(p.panels))
	for _, c := range loops {
		for _, k := range c.chain.links {
			on[p.joints[k.joint].a], on[p.joints[k.joint].b] = true, true
		}
	}
	var out []*model.Panel
	for i, panel := range p.panels {
		if on[i] {
			out = append(out, panel)
		}
	}
	return out
}

// quarterTurn is the nearest multiple of a quarter turn, in radians.
func quarterTurn(angle float64) float64 {
	return math.Round(angle/(math.Pi/2)) * (math.Pi / 2)
}
