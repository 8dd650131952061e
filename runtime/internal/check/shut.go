package check

import (
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// shut is a piece in its closed pose, as the rules on closing see it: the
// outlines of its panels filled in, since a window in a wall stops no flap.
type shut struct {
	*Pose
	design *model.Design
	solids []solid // by panel
	index  map[*model.Panel]int
	row    row
	hung   map[*model.Panel]bool // panels that carry others
}

// solid is a panel's outline where the closed pose puts it.
type solid struct {
	ok       bool
	loop     []geom.Point // in the panel's frame
	frame    geom.RigidTransform
	back     geom.RigidTransform
	normal   geom.Point3
	min, max geom.Point3 // its box in the world
}

// closed visits every piece in its closed pose.
func (f *Facts) closed(visit func(*shut) []Found) []Found {
	if f.shuts == nil {
		for _, poses := range f.Poses {
			for _, p := range poses {
				if p.Closed() {
					f.shuts = append(f.shuts, newShut(f.Design, p))
				}
			}
		}
	}
	var out []Found
	for _, s := range f.shuts {
		out = append(out, visit(s)...)
	}
	return out
}

func newShut(d *model.Design, p *Pose) *shut {
	n := len(p.Piece.Panels)
	s := &shut{Pose: p, design: d, solids: make([]solid, n), index: make(map[*model.Panel]int, n), hung: make(map[*model.Panel]bool, n)}
	for i, panel := range p.Piece.Panels {
		s.index[panel] = i
		if at := p.Pose.Place[i]; at.OK {
			s.solids[i] = newSolid(panel, at.RigidTransform)
		}
	}
	for _, h := range p.Piece.Hinges {
		s.hung[h.Parent] = true
		if h.Closing {
			s.hung[h.Child] = true
		}
	}
	s.row = newRow(s.solids)
	return s
}

func newSolid(panel *model.Panel, at geom.RigidTransform) solid {
	inf := math.Inf(1)
	s := solid{
		ok: true, loop: panel.Outline.Flatten(contact.Flatten), frame: at, back: at.Inverse(), normal: at.Normal(),
		min: geom.Point3{X: inf, Y: inf, Z: inf}, max: geom.Point3{X: -inf, Y: -inf, Z: -inf},
	}
	for _, q := range s.loop {
		w := at.Apply(q.Space())
		s.min, s.max = lower(s.min, w), upper(s.max, w)
	}
	return s
}

// of is the solid of a panel.
func (s *shut) of(p *model.Panel) *solid { return &s.solids[s.index[p]] }

// caliper is the thickness of the piece's board.
func (s *shut) caliper() float64 { return s.Piece.Board.Caliper }

// limit is the limit in force for the piece's board.
func (s *shut) limit(l *board.Limit) float64 {
	v, _, _ := s.design.Limit(l, s.Piece.Board)
	return v
}

// found starts a finding about panels in the closed pose.
func (s *shut) found(about []*model.Panel, format string, args ...any) Found {
	return foundf(about[0].Site, about, format, args...).in(s.Pose.Pose.Pose, "").atPanel(about[0])
}

// height is how far a place lies outside the panel's plane.
func (o *solid) height(at geom.Point3) float64 { return at.Sub(o.frame.T).Dot(o.normal) }

// grazing is the cosine between a way and a panel's normal under which the way
// runs along the panel rather than into it: it meets it under 12 degrees.
const grazing = 0.2

// hit is the first panel in a way.
type hit struct {
	panel int
	dist  float64 // to it
	at    geom.Point3
}

// cast follows a way through space to the surface of the first of some panels
// that it runs into, leaving out those that it runs along; ok is false when it
// leads out.
func (s *shut) cast(from, way geom.Point3, among []int) (h hit, ok bool) {
	h, ok = s.look(from, way, among, grazing)
	if ok {
		h.dist -= s.caliper() / 2 / math.Abs(way.Dot(s.solids[h.panel].normal))
	}
	return h, ok
}

// look finds the first of some panels whose outline lies in a way, but those
// seen under a cosine of steep or less.
func (s *shut) look(from, way geom.Point3, among []int, steep float64) (h hit, ok bool) {
	h.dist = math.Inf(1)
	for _, i := range among {
		o := &s.solids[i]
		slope := way.Dot(o.normal)
		if !o.ok || math.Abs(slope) <= steep {
			continue
		}
		d := -o.height(from) / slope
		if d < 0 || d >= h.dist {
			continue
		}
		if at := from.Add(way.Mul(d)); o.holds(at) {
			h, ok = hit{i, d, at}, true
		}
	}
	return h, ok
}

// holds reports whether a place in the panel's plane lies in its outline.
func (o *solid) holds(at geom.Point3) bool {
	q := o.back.Apply(at).Plane()
	in := false
	prev := o.loop[len(o.loop)-1]
	for _, r := range o.loop {
		if (prev.Y > q.Y) != (r.Y > q.Y) && q.X < prev.X+(q.Y-prev.Y)*(r.X-prev.X)/(r.Y-prev.Y) {
			in = !in
		}
		prev = r
	}
	return in
}
