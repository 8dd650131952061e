package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// pocket is the room between two layers of a flat piece, in the frame of the
// panel a product lies on: up to the folds that join what lies under the product
// to what lies over it.
type pocket struct {
	over  *model.Panel // the largest panel over the product
	loop  []geom.Point // its outline
	folds []pocketFold
}

type pocketFold struct {
	*model.Hinge
	p, q geom.Point
}

// pocketOf finds the pocket that contents lie in; ok is false where nothing is
// folded over their panel.
func (s *closing) pocketOf(on *model.Panel) (k pocket, ok bool) {
	i := s.Contacts().Index(on)
	// What is glued to the panel belongs to what is under the product, whichever
	// side of it it lies on. Of what lies inside the largest is over it.
	under, over := map[*model.Panel]bool{on: true}, map[*model.Panel]bool{}
	for _, j := range s.Piece.Joins {
		if j.Kind == model.GlueJoin || j.Kind == model.TabJoin {
			under[j.A.Panel] = under[j.A.Panel] || j.B.Panel == on
			under[j.B.Panel] = under[j.B.Panel] || j.A.Panel == on
		}
	}
	most := 0.0
	for l := range s.Layers() {
		other := l.A + l.B - i
		if l.A != i && l.B != i || s.ended() {
			continue
		}
		p := s.Piece.Panels[other]
		switch {
		case !s.LiesInside(i, other):
			under[p] = true
		case !under[p]:
			over[p] = true
			if exceeds(l.Area, most) {
				k.over, most = p, l.Area
			}
		}
	}
	if k.over == nil {
		return k, false
	}
	// The folds that close the pocket join the two, and are seen in the frame of the
	// panel that the product lies on.
	back := s.Of(on).Back
	for _, h := range s.Piece.Hinges {
		if h.Curve.Kind != geom.Line || s.foldOf(h) < laidDown || !(under[h.Parent] && over[h.Child] || over[h.Parent] && under[h.Child]) {
			continue
		}
		frame := s.Of(h.Parent).Frame
		k.folds = append(k.folds, pocketFold{h, back.Apply(frame.Apply(h.Curve.P.Space())).Plane(), back.Apply(frame.Apply(h.Curve.Q.Space())).Plane()})
	}
	top := s.Of(k.over)
	for _, q := range top.Loop {
		k.loop = append(k.loop, back.Apply(top.Frame.Apply(q.Space())).Plane())
	}
	return k, true
}

// extent is the stretch that points take along an axis.
func extent(points []geom.Point, axis geom.Point) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, q := range points {
		from, to = min(from, q.Dot(axis)), max(to, q.Dot(axis))
	}
	return from, to
}

// between finds the folds across an axis on either side of a point, those
// beside the panel over it only.
func (k *pocket) between(at, axis geom.Point) (low, high *pocketFold, from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	side := axis.Left()
	least, most := extent(k.loop, side)
	for i := range k.folds {
		f := &k.folds[i]
		a, b := extent([]geom.Point{f.p, f.q}, side)
		if math.Abs(f.q.Sub(f.p).Unit().Dot(axis)) > beside || !exceeds(min(b, most)-max(a, least), geom.SnapTolerance) {
			continue
		}
		switch x := f.p.Lerp(f.q, 0.5).Dot(axis); {
		case x < at.Dot(axis) && x > from:
			low, from = f, x
		case x >= at.Dot(axis) && x < to:
			high, to = f, x
		}
	}
	return low, high, from, to
}

// pocketFound tells of a product that is larger than the pocket it lies in, or
// lies across one of its folds; nil where it does not.
func (s *closing) pocketFound(fit contact.Fit) []Found {
	c := fit.Contents
	k, ok := s.pocketOf(c.Panel)
	if !ok {
		return nil
	}
	a, b := extent(k.loop, geom.Pt(1, 0))
	d, e := extent(k.loop, geom.Pt(0, 1))
	at := geom.Pt((a+b)/2, (d+e)/2)
	if c.At != nil {
		if at = *c.At; !polygon.Holds([][]geom.Point{k.loop}, at) {
			return nil
		}
	}
	// Along either axis of the turned product.
	sin, cos := geom.Degrees(c.TurnDegrees).SinCos()
	for n, axis := range []geom.Point{{X: cos, Y: sin}, {X: -sin, Y: cos}} {
		low, high, from, to := k.between(at, axis)
		needs := c.Size[n] + 2*c.Clearance
		x := at.Dot(axis)
		switch {
		case low != nil && high != nil && exceeds(needs, to-from):
			return []Found{s.aboutPocket(c, k.over, low, "needs %s in a pocket of %s between the folds of %q and %q", mm(needs), mm(to-from), low.Name, high.Name).
				hint("a pocket as wide as the product, or a smaller product, would put it right")}
		case c.At != nil && low != nil && exceeds(from, x-needs/2):
			return []Found{s.aboutPocket(c, k.over, low, "reaches %s past the fold of %q", mm(from-x+needs/2), low.Name).hint("move it, or leave out at")}
		case c.At != nil && high != nil && exceeds(x+needs/2, to):
			return []Found{s.aboutPocket(c, k.over, high, "reaches %s past the fold of %q", mm(x+needs/2-to), high.Name).hint("move it, or leave out at")}
		}
	}
	return nil
}

// aboutPocket words a finding about a product in a pocket, told at one of its folds.
func (s *closing) aboutPocket(c *model.Contents, over *model.Panel, fold *pocketFold, format string, args ...any) Found {
	f := s.found([]*model.Panel{c.Panel, over}, "%q, between %q and %q in pose %q, %s", c.Name, c.Panel.Name, over.Name, s.name(), fmt.Sprintf(format, args...))
	f.Site = c.Site
	return f.relate(over.Site, "panel %q", over.Name).atHinge(fold.Hinge)
}
