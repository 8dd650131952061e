package engine

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// contacts looks for panels that cross deeper than board gives way: no move of
// that length, in any of many directions, parts them.
func (m *measured) contacts(*model.Design) string {
	limit := math.Min(m.caliper, 0.5) + soundSlack
	through := map[[2]*model.Panel]bool{}
	for _, h := range m.piece.Hinges {
		through[[2]*model.Panel{h.Parent, h.Child}], through[[2]*model.Panel{h.Child, h.Parent}] = true, true
	}
	for _, j := range m.piece.Joins {
		if j.B.Window != nil {
			through[[2]*model.Panel{j.A.Panel, j.B.Panel}], through[[2]*model.Panel{j.B.Panel, j.A.Panel}] = true, true
		}
	}
	for i, p := range m.piece.Panels {
		for _, q := range m.piece.Panels[:i] {
			a, b := m.sheets[p], m.sheets[q]
			if a == nil || b == nil || through[[2]*model.Panel{p, q}] || a.normal().Cross(b.normal()).Len() < 1e-3 {
				continue
			}
			if meets(a, b, geom.Point3{}) && !parts(a, b, limit) {
				return fmt.Sprintf("%q and %q cross by more than %.2f mm", p.Name, q.Name, limit)
			}
		}
	}
	return ""
}

// parts reports whether some move of b by the length parts it from a. The
// shortest move that parts two plane figures is square to one of them, or to an
// edge of each.
func parts(a, b *sheetAt, length float64) bool {
	ways := []geom.Point3{a.normal(), b.normal()}
	ea, eb := longEdges(a), longEdges(b)
	for _, e := range ea {
		ways = append(ways, e.Cross(a.normal()))
		for _, f := range eb {
			ways = append(ways, e.Cross(f))
		}
	}
	for _, f := range eb {
		ways = append(ways, f.Cross(b.normal()))
	}
	for k := range 200 { // a spiral of directions, for what is bent
		z := 1 - (2*float64(k)+1)/200
		r, turn := math.Sqrt(1-z*z), float64(k)*math.Pi*(3-math.Sqrt(5))
		ways = append(ways, geom.Point3{X: r * math.Cos(turn), Y: r * math.Sin(turn), Z: z})
	}
	for _, w := range ways {
		if w.Len() < 1e-6 {
			continue
		}
		if w = w.Unit().Mul(length); !meets(a, b, w) || !meets(a, b, w.Mul(-1)) {
			return true
		}
	}
	return false
}

// longEdges lists the directions of a sheet's straight edges.
func longEdges(s *sheetAt) []geom.Point3 {
	var out []geom.Point3
	for i, p := range s.outline {
		if d := s.world(s.outline[(i+1)%len(s.outline)]).Sub(s.world(p)); d.Len() > 2 {
			out = append(out, d.Unit())
		}
	}
	return out
}

// meets reports whether a rim of one sheet, b moved, runs through the board of
// the other.
func meets(a, b *sheetAt, move geom.Point3) bool {
	return pierces(a, b, move.Mul(-1)) || pierces(b, a, move)
}

// pierces reports whether a rim of a's board, moved, runs through the board of
// b.
func pierces(a, b *sheetAt, move geom.Point3) bool {
	for k, loop := range append([][]geom.Point{a.outline}, a.holes...) {
		for i, p := range loop {
			q := loop[(i+1)%len(loop)]
			u, v := b.local(a.world(p).Add(move)), b.local(a.world(q).Add(move))
			if u.Z*v.Z >= 0 {
				continue
			}
			t := u.Z / (u.Z - v.Z)
			if b.board(u.Lerp(v, t).Plane()) && (k > 0 && encloses(a.outline, p.Lerp(q, t)) || k == 0 && !a.open(p.Lerp(q, t))) {
				return true
			}
		}
	}
	return false
}

// contents looks for a place where the product clears all board.
func (m *measured) contents(d *model.Design) string {
	for _, c := range d.Contents {
		if m.pose.Name != model.PoseClosed || c.Panel.Piece != m.piece || m.sheets[c.Panel] == nil {
			continue
		}
		g := m.place(c)
		if lack := g.best(); lack > soundSlack {
			return fmt.Sprintf("%q lacks %.2f mm of room", c.Name, lack)
		}
	}
	return ""
}

// placedProduct is a product to be placed: the boards round it as points in the frame
// of the panel that it stands on, each with the distance it must keep.
type placedProduct struct {
	*model.Contents
	rest   float64
	points []keep
}

// keep is a point of board, z inward, and how far the product must stay off.
type keep struct {
	at   geom.Point3
	dist float64
}

// stand reads the boards round a product. What lies along the panel it stands
// on, within three calipers inside, lifts it.
func (m *measured) place(c *model.Contents) *placedProduct {
	on := m.sheets[c.Panel]
	g := &placedProduct{Contents: c, rest: m.caliper / 2}
	for _, p := range m.piece.Panels {
		s := m.sheets[p]
		if s == nil || s == on {
			continue
		}
		var pts []geom.Point3
		for _, q := range meshed(s) {
			l := on.local(s.world(q))
			pts = append(pts, geom.Point3{X: l.X, Y: l.Y, Z: -l.Z})
		}
		if len(pts) == 0 {
			continue
		}
		if z := pts[0].Z; math.Abs(s.normal().Dot(on.normal())) > 0.9999 && math.Abs(z) < 3*m.caliper+0.1 {
			if m.under(g, pts) {
				g.rest = math.Max(g.rest, z+m.caliper/2)
			}
			continue
		}
		dist := m.caliper/2 + m.lift(p) + c.Clearance
		for _, at := range pts {
			g.points = append(g.points, keep{at, dist})
		}
	}
	return g
}

// under reports whether board lies under the product, wherever it may stand.
func (m *measured) under(g *placedProduct, pts []geom.Point3) bool {
	mid := g.Panel.Outline.Bounds().Mid()
	if g.At != nil {
		mid = *g.At
	}
	return slices.ContainsFunc(pts, func(p geom.Point3) bool { return g.outside(p.Plane().Sub(mid)) <= 0 })
}

// lift is how much a panel's surface stands in for the panel it is glued to or
// tucked behind, where the two share one plane; on the outside it gives way.
func (m *measured) lift(p *model.Panel) float64 {
	up := 0.0
	for _, j := range m.piece.Joins {
		if b := m.sheets[j.B.Panel]; j.A.Panel == p && b != nil && j.Kind != model.MeetJoin && j.B.Window == nil && !j.Outside {
			s := m.sheets[p]
			if math.Abs(s.normal().Dot(b.normal())) > 0.9999 {
				up = math.Max(up, m.caliper-math.Abs(b.local(s.world(p.Outline.Edges[0].P)).Z))
			}
		}
	}
	return math.Max(0, up)
}

// meshed covers a sheet's board with points 2 mm apart, its rims with points
// 1 mm apart.
func meshed(s *sheetAt) []geom.Point {
	out := sampled(s.outline)
	box := s.panel.Outline.Bounds()
	for x := box.Min.X; x < box.Max.X; x += 2 {
		for y := box.Min.Y; y < box.Max.Y; y += 2 {
			if p := geom.Pt(x, y); s.board(p) {
				out = append(out, p)
			}
		}
	}
	return out
}

// outside is how far a point lies outside the product's footprint, below 0
// inside.
func (g *placedProduct) outside(p geom.Point) float64 {
	p = geom.Rotation(geom.Degrees(-g.TurnDegrees).Angle(), geom.Point{}).Apply(p)
	if g.Round {
		return p.Len() - g.Size[0]/2
	}
	dx, dy := math.Abs(p.X)-g.Size[0]/2, math.Abs(p.Y)-g.Size[1]/2
	if dx > 0 && dy > 0 {
		return math.Hypot(dx, dy)
	}
	return math.Max(dx, dy)
}

// lacks is how much room the product lacks with its centre over a point.
func (g *placedProduct) lacks(at geom.Point) float64 {
	worst := math.Inf(-1)
	for _, k := range g.points {
		flat := g.outside(k.at.Plane().Sub(at))
		high := math.Max(k.at.Z-g.rest-g.Size[2], g.rest-k.at.Z)
		dist := math.Max(flat, high)
		if flat > 0 && high > 0 {
			dist = math.Hypot(flat, high)
		}
		worst = math.Max(worst, k.dist-dist)
	}
	return worst
}

// best is the least room lacking, over the places where the product may stand.
func (g *placedProduct) best() float64 {
	if g.At != nil {
		return g.lacks(*g.At)
	}
	at := g.Panel.Outline.Bounds().Mid()
	least := g.lacks(at)
	for step := 4.0; step > 0.01 && least > 0; {
		better := false
		for k := range 8 {
			to := at.Add(geom.Polar(step, geom.Radians(float64(k)*math.Pi/4)))
			if l := g.lacks(to); l < least {
				at, least, better = to, l, true
			}
		}
		if !better {
			step /= 2
		}
	}
	return least
}
