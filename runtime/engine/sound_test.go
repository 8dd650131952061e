package engine

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// This file measures a folded piece afresh, from the matrices of its report and
// the outlines of its model, by sampling: nothing of what the checks compute is
// used, so that it can tell what they miss.

// Tolerances of the measurement, mm.
const (
	soundGap    = 0.5  // a join may stand open by this much
	soundLoop   = 0.05 // a loop may
	soundSlack  = 0.06 // for sampling, chords and rounding
	soundChord  = 0.01
	soundSample = 1.0 // between samples along a rim
	soundRim    = 1.0 // forgiven round a glued panel
)

// reported is what the measurement reads of a report.
type reported struct {
	Pieces []struct {
		Name   string
		Board  struct{ Caliper float64 }
		Panels []struct {
			Name  string
			Flat  [6]float64
			Poses map[string][12]float64
		}
	}
}

// measured is one piece in one pose.
type measured struct {
	piece   *model.Piece
	pose    *model.Pose
	caliper float64
	sheets  map[*model.Panel]*sheetAt
}

// sheetAt is a panel's board in the world: its outline, the windows that lie
// over it, and where the pose puts it.
type sheetAt struct {
	panel   *model.Panel
	outline []geom.Point
	holes   [][]geom.Point
	m       [12]float64
}

func (s *sheetAt) world(p geom.Point) geom.Point3 {
	m := &s.m
	return geom.Point3{X: m[0]*p.X + m[1]*p.Y + m[3], Y: m[4]*p.X + m[5]*p.Y + m[7], Z: m[8]*p.X + m[9]*p.Y + m[11]}
}

// local is a place of the world in the panel's frame; a pose turns without
// stretching, so the transpose turns back.
func (s *sheetAt) local(p geom.Point3) geom.Point3 {
	m := &s.m
	x, y, z := p.X-m[3], p.Y-m[7], p.Z-m[11]
	return geom.Point3{X: m[0]*x + m[4]*y + m[8]*z, Y: m[1]*x + m[5]*y + m[9]*z, Z: m[2]*x + m[6]*y + m[10]*z}
}

func (s *sheetAt) normal() geom.Point3 { return geom.Point3{X: s.m[2], Y: s.m[6], Z: s.m[10]} }

// board reports whether a point of the panel's plane is board.
func (s *sheetAt) board(p geom.Point) bool {
	return encloses(s.outline, p) && !s.open(p)
}

// open reports whether a point lies in a window.
func (s *sheetAt) open(p geom.Point) bool {
	return slices.ContainsFunc(s.holes, func(h []geom.Point) bool { return encloses(h, p) })
}

// encloses reports whether a loop holds a point: whether a ray from it crosses
// the loop an odd number of times.
func encloses(loop []geom.Point, p geom.Point) bool {
	in := false
	for i, a := range loop {
		b := loop[(i+1)%len(loop)]
		if (a.X > p.X) != (b.X > p.X) && (b.Y-a.Y)*(p.X-a.X)/(b.X-a.X)+a.Y > p.Y {
			in = !in
		}
	}
	return in
}

// off is how far a point lies outside a loop; 0 inside.
func off(loop []geom.Point, p geom.Point) float64 {
	if encloses(loop, p) {
		return 0
	}
	least := math.Inf(1)
	for i, a := range loop {
		least = math.Min(least, pointToSegment(p, a, loop[(i+1)%len(loop)]))
	}
	return least
}

func pointToSegment(p, a, b geom.Point) float64 {
	d := b.Sub(a)
	t := math.Max(0, math.Min(1, p.Sub(a).Dot(d)/math.Max(d.Dot(d), 1e-30)))
	return p.Dist(a.Add(d.Mul(t)))
}

// sampled is a loop with points no more than soundSample apart.
func sampled(loop []geom.Point) []geom.Point {
	var out []geom.Point
	for i, a := range loop {
		b := loop[(i+1)%len(loop)]
		n := int(math.Ceil(a.Dist(b) / soundSample))
		for k := range n {
			out = append(out, a.Lerp(b, float64(k)/float64(n)))
		}
	}
	return out
}

// unsound measures every piece of a run in every pose and gives the first thing
// that is wrong, "" when all is well.
func unsound(t *testing.T, d *model.Design, report []byte) string {
	t.Helper()
	var r reported
	if err := json.Unmarshal(report, &r); err != nil {
		t.Fatal(err)
	}
	for i, piece := range d.Pieces {
		for _, pose := range d.Poses {
			if pose.Name == model.PoseFlat {
				continue
			}
			m := &measured{piece: piece, pose: pose, caliper: r.Pieces[i].Board.Caliper, sheets: map[*model.Panel]*sheetAt{}}
			for k, p := range piece.Panels {
				if at, ok := r.Pieces[i].Panels[k].Poses[pose.Name]; ok {
					m.sheets[p] = newSheetAt(piece, p, at)
				}
			}
			for _, look := range []func(*model.Design) string{m.loops, m.joins, m.contacts, m.contents} {
				if why := look(d); why != "" {
					return fmt.Sprintf("%s in pose %q: %s", piece.Name, pose.Name, why)
				}
			}
		}
	}
	return ""
}

func newSheetAt(piece *model.Piece, p *model.Panel, at [12]float64) *sheetAt {
	s := &sheetAt{panel: p, outline: p.Outline.Flatten(soundChord), m: at}
	home := p.Flat.Inverse()
	for _, q := range piece.Panels {
		for _, w := range q.Windows {
			if p.In != w {
				s.holes = append(s.holes, w.Outline.Transform(q.Flat.Then(home)).Flatten(soundChord))
			}
		}
	}
	return s
}

// loops looks at the hinges that close loops.
func (m *measured) loops(*model.Design) string {
	for _, h := range m.piece.Hinges {
		if a, b := m.sheets[h.Parent], m.sheets[h.Child]; h.Closing && a != nil && b != nil {
			if gap := m.edgeGap(h.On, h.By); gap > soundLoop+soundSlack {
				return fmt.Sprintf("hinge %q is open by %.2f mm", h.Name, gap)
			}
		}
	}
	return ""
}

// edgeGap is the larger distance from an end of the shorter edge to the other.
func (m *measured) edgeGap(e, f model.EdgeRef) float64 {
	if f.Length() < e.Length() {
		e, f = f, e
	}
	s := m.sheets[e.Panel]
	return math.Max(m.toEdge(s.world(e.Start()), f), m.toEdge(s.world(e.End()), f))
}

// toEdge is how far a place lies from an edge.
func (m *measured) toEdge(at geom.Point3, e model.EdgeRef) float64 {
	s := m.sheets[e.Panel]
	pts := e.Stretch().Flatten([]geom.Point{e.Stretch().P}, soundChord)
	least := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a, d := s.world(pts[i-1]), s.world(pts[i]).Sub(s.world(pts[i-1]))
		t := math.Max(0, math.Min(1, at.Sub(a).Dot(d)/d.Dot(d)))
		least = math.Min(least, at.Dist(a.Add(d.Mul(t))))
	}
	return least
}

// joins looks at what glue, tabs, meets and tucks bring together.
func (m *measured) joins(*model.Design) string {
	for _, j := range m.piece.Joins {
		if m.sheets[j.A.Panel] == nil || m.sheets[j.B.Panel] == nil {
			continue
		}
		closed := m.pose.Name == model.PoseClosed
		loose := j.Kind == model.MeetJoin || j.Kind == model.TuckJoin
		if loose && !closed || !loose && !m.pose.Glued {
			continue
		}
		if gap := m.joinGap(j); gap > j.Gap+soundGap+soundSlack {
			return fmt.Sprintf("%s of %q and %q is open by %.2f mm", j.Kind, j.A.Panel.Name, j.B.Panel.Name, gap)
		}
	}
	return ""
}

func (m *measured) joinGap(j *model.Join) float64 {
	a, b := m.sheets[j.A.Panel], m.sheets[j.B.Panel]
	switch {
	case j.Kind == model.MeetJoin:
		return m.edgeGap(*j.A.Edge, *j.B.Edge)
	case j.B.Window != nil:
		return throughGap(a, b, j.B.Window.Outline.Flatten(soundChord))
	}
	lo, hi := -m.caliper, m.caliper
	if j.Kind == model.TuckJoin {
		lo, hi = -2*m.caliper, 0
	}
	worst := 0.0
	for _, p := range sampled(a.outline) {
		q := b.local(a.world(p))
		out := math.Max(0, off(b.outline, q.Plane())-soundRim)
		up := math.Max(0, math.Max(lo-q.Z, q.Z-hi))
		worst = math.Max(worst, math.Hypot(out, up))
	}
	if h := j.A.Panel.Hang; j.B.Edge != nil && h != nil {
		s := m.sheets[h.Parent]
		worst = math.Max(worst, math.Max(m.toEdge(s.world(h.Curve.P), *j.B.Edge), m.toEdge(s.world(h.Curve.Q), *j.B.Edge)))
	}
	return worst
}

// throughGap is how far a panel misses an opening where it crosses its plane,
// or falls short of the plane.
func throughGap(a, b *sheetAt, opening []geom.Point) float64 {
	worst, short, crossed := 0.0, math.Inf(1), false
	for i, p := range a.outline {
		q, r := b.local(a.world(p)), b.local(a.world(a.outline[(i+1)%len(a.outline)]))
		short = math.Min(short, math.Abs(q.Z))
		if q.Z*r.Z <= 0 && q.Z != r.Z {
			crossed = true
			worst = math.Max(worst, off(opening, q.Lerp(r, q.Z/(q.Z-r.Z)).Plane()))
		}
	}
	if !crossed {
		return short
	}
	return worst
}
