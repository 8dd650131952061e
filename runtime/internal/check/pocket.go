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
// to what lies over it, and up to the glue that holds the two together.
type pocket struct {
	over  *model.Panel // the largest panel over the product
	loop  []geom.Point // its outline
	folds []pocketFold
	glue  []pocketGlue
}

// pocketFold is a fold that closes the pocket, with its ends.
type pocketFold struct {
	*model.Hinge
	p, q geom.Point
}

// pocketGlue is a glued part of what lies over the product.
type pocketGlue struct {
	join *model.Join
	loop []geom.Point
}

// pocketSide is what a pocket ends at: a fold or glue.
type pocketSide struct {
	fold *model.Hinge
	glue *model.Join
}

// String names it in a message.
func (b *pocketSide) String() string {
	if b.glue != nil {
		return fmt.Sprintf("the glue of %q", b.glue.A.Panel.Name)
	}
	return fmt.Sprintf("the fold of %q", b.fold.Name)
}

// pocketOf finds the pocket that contents lie in; ok is false where nothing is
// folded over their panel.
func (s *closing) pocketOf(on *model.Panel) (k pocket, ok bool) {
	i := s.Contacts().Index(on)
	// What is glued to the panel all over belongs to what is under the product,
	// whichever side of it it lies on. Of what lies inside the largest is over it.
	under, over := map[*model.Panel]bool{on: true}, map[*model.Panel]bool{}
	for _, j := range s.Piece.Joins {
		if (j.Kind == model.GlueJoin || j.Kind == model.TabJoin) && !gluedInPart(j) {
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
	for _, j := range s.Piece.Joins {
		if a, b := j.A.Panel, j.B.Panel; j.Kind == model.GlueJoin && gluedInPart(j) && s.Of(a).OK && (under[a] && over[b] || over[a] && under[b]) {
			g := pocketGlue{join: j}
			for _, q := range j.Area.Flatten(contact.Flatten) {
				g.loop = append(g.loop, back.Apply(s.Of(a).Frame.Apply(q.Space())).Plane())
			}
			k.glue = append(k.glue, g)
		}
	}
	top := s.Of(k.over)
	for _, q := range top.Loop {
		k.loop = append(k.loop, back.Apply(top.Frame.Apply(q.Space())).Plane())
	}
	return k, true
}

// gluedInPart reports whether glue leaves more than half of a panel loose, so that
// a product may lie beside it.
func gluedInPart(j *model.Join) bool {
	return j.Area != nil && polygon.Area(j.Area.Flatten(contact.Flatten)) < j.A.Panel.Outline.Area()/2
}

// extent is the stretch that points take along an axis.
func extent(points []geom.Point, axis geom.Point) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, q := range points {
		from, to = min(from, q.Dot(axis)), max(to, q.Dot(axis))
	}
	return from, to
}

// between finds what bounds the pocket on either side of a point along an axis:
// the folds across it, those beside the panel over the product only, and the glue in
// the way of a product that is wide mm across; nil where nothing does.
func (k *pocket) between(at, axis geom.Point, wide float64) (low, high *pocketSide, from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	side, x := axis.Left(), at.Dot(axis)
	// The nearest bound on either side of the point is kept.
	bound := func(v float64, by pocketSide) {
		switch {
		case v < x && v > from:
			low, from = &by, v
		case v >= x && v < to:
			high, to = &by, v
		}
	}
	least, most := extent(k.loop, side)
	for i := range k.folds {
		f := &k.folds[i]
		a, b := extent([]geom.Point{f.p, f.q}, side)
		if math.Abs(f.q.Sub(f.p).Unit().Dot(axis)) <= beside && exceeds(min(b, most)-max(a, least), geom.SnapTolerance) {
			bound(f.p.Lerp(f.q, 0.5).Dot(axis), pocketSide{fold: f.Hinge})
		}
	}
	for _, g := range k.glue {
		// Lanes over the product's width, but for a rim at either side that glue may lap over.
		for n := range lanes {
			lane := at.Add(side.Mul((wide - 2*contact.Rim) * (float64(n)/(lanes-1) - 0.5)))
			for _, v := range contact.Along([][]geom.Point{g.loop}, lane, axis) {
				bound(x+v.From, pocketSide{glue: g.join})
				bound(x+v.To, pocketSide{glue: g.join})
			}
		}
	}
	return low, high, from, to
}

// flatSlack is how much thicker than nothing a product may be in a pocket of just its
// width, mm: the largest gap that a join may have, since paper gives that much.
const flatSlack = gapLimit

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
	sin, cos := geom.Degrees(c.TurnDegrees).Angle().SinCos()
	// Two layers joined w apart go round a section of width and thickness that make
	// up w together: their girth, 2 w, does not change as they are opened.
	thick := c.Size[2]
	for n, axis := range []geom.Point{{X: cos, Y: sin}, {X: -sin, Y: cos}} {
		needs := c.Size[n] + 2*c.Clearance
		low, high, from, to := k.between(at, axis, c.Size[1-n]+2*c.Clearance)
		x := at.Dot(axis)
		switch {
		case low != nil && high != nil && exceeds(needs, to-from):
			return []Found{s.aboutPocket(c, k.over, low, "needs %s in a pocket of %s between %s", mm(needs), mm(to-from), bothSidesOf(low, high)).
				hint("a pocket as wide as the product, or a smaller product, would put it right")}
		case low != nil && high != nil && exceeds(needs+thick-flatSlack, to-from):
			return []Found{s.aboutPocket(c, k.over, low, "is %s wide and %s thick, and a pocket of %s between %s goes round %s of both together",
				mm(needs), mm(thick), mm(to-from), bothSidesOf(low, high), mm(to-from)).
				hint("%s more between the two, or a smaller product, would put it right", mm(needs+thick-flatSlack-(to-from)))}
		case c.At != nil && low != nil && exceeds(from, x-needs/2):
			return []Found{s.aboutPocket(c, k.over, low, "reaches %s past %s", mm(from-x+needs/2), low).hint("move it, or leave out at")}
		case c.At != nil && high != nil && exceeds(x+needs/2, to):
			return []Found{s.aboutPocket(c, k.over, high, "reaches %s past %s", mm(x+needs/2-to), high).hint("move it, or leave out at")}
		}
	}
	return nil
}

// bothSidesOf names what a pocket ends at on either side.
func bothSidesOf(low, high *pocketSide) string {
	if low.fold != nil && high.fold != nil {
		return fmt.Sprintf("the folds of %q and %q", low.fold.Name, high.fold.Name)
	}
	return fmt.Sprintf("%s and %s", low, high)
}

// aboutPocket words a finding about a product in a pocket, told at one of its sides.
func (s *closing) aboutPocket(c *model.Contents, over *model.Panel, side *pocketSide, format string, args ...any) Found {
	f := s.found([]*model.Panel{c.Panel, over}, "%q, between %q and %q in pose %q, %s", c.Name, c.Panel.Name, over.Name, s.name(), fmt.Sprintf(format, args...))
	f.Site = c.Site
	f = f.relate(over.Site, "panel %q", over.Name)
	if side.glue != nil {
		return f.relate(side.glue.Site, "the glue").atPanel(over)
	}
	return f.atHinge(side.fold)
}
