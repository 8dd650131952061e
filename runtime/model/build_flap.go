package model

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Sides is one value for the left and one for the right, as seen looking out
// over the hinge.
type Sides[T any] struct{ Left, Right T }

// Pairs of lengths in mm, and of angles.
type (
	Pair      = Sides[float64]
	AnglePair = Sides[geom.Degrees]
)

// Both is the same length on either side.
func Both(mm float64) Pair { return Pair{mm, mm} }

// BothAngles is the same angle on either side.
func BothAngles(d geom.Degrees) AnglePair { return AnglePair{d, d} }

// FlapSpec asks for a flap on a straight edge.
type FlapSpec struct {
	Name         string
	On           EdgeRef
	Depth        float64
	TaperDegrees AnglePair // by which the sides lean in
	Round        Pair      // radii of the tip's corners
	Inset        Pair      // how far the base stops short of the edge's ends
	Fold         *Fold     // nil for DefaultFold
	Line         LineKind  // "" for Score
	Overhang     bool      // it may stick out of the closed piece
}

// Flap makes a panel sized to the edge it hangs on. Its frame has the base on
// the x axis from the origin and the tip at y = Depth; its edges are base,
// right, tip and left, and the corners of a rounded tip right-tip and tip-left.
func (b *Builder) Flap(site source.Site, s FlapSpec) (*Panel, error) {
	return b.addFlap(b.named(site, "flap", s.Name), s, FlapRole, Fold{Degrees: DefaultFold})
}

// addFlap makes a flap or a tab.
func (b *Builder) addFlap(c *call, s FlapSpec, role Role, dflt Fold) (*Panel, error) {
	b.freshPanelName(c, s.Name)
	c.ownEdge(b, "on", s.On)
	c.flapSizes(s)
	p := &Panel{
		Name: s.Name, Flat: geom.Identity(), Role: role, Depth: s.Depth, Site: c.site,
		// Less than nothing stopped short overhangs on purpose.
		Over: s.Overhang || s.Inset.Left < 0 || s.Inset.Right < 0,
	}
	h := &Hinge{Child: p, On: s.On, Site: c.site}
	h.Fold = b.fold(c, s.Fold, dflt)
	h.Line = c.line(s.Line, hingeLines)
	if c.ok() {
		p.Outline = c.flapOutline(s)
	}
	if c.ok() {
		h.By = c.edge(p, nil, p.Outline, "base")
		h.Slide = (s.Inset.Left - s.Inset.Right) / 2
	}
	return b.addPanel(c, p, h)
}

// flapSizes checks a flap's numbers one by one.
func (c *call) flapSizes(s FlapSpec) {
	c.size("depth", s.Depth)
	for _, side := range []struct {
		name         string
		taper        geom.Degrees
		round, inset float64
	}{
		{"left", s.TaperDegrees.Left, s.Round.Left, s.Inset.Left},
		{"right", s.TaperDegrees.Right, s.Round.Right, s.Inset.Right},
	} {
		if !(math.Abs(float64(side.taper)) < 90) {
			c.failf("taper = %.10g° on the %s is not between -90° and 90°", side.taper, side.name)
		}
		c.notNegative("round on the "+side.name, side.round)
		c.offset("inset on the "+side.name, side.inset)
	}
}

// flapOutline draws the flap, or says what is in the way: a bent edge, no
// base left or no tip left.
func (c *call) flapOutline(s FlapSpec) geom.Path {
	if on := s.On.Curve(); on.Kind != geom.Line {
		c.failf("edge %s is %s, and a flap hangs on a straight edge", s.On, shape(on))
		return geom.Path{}
	}
	base := s.On.Length() - s.Inset.Left - s.Inset.Right
	leanLeft := s.Depth * s.TaperDegrees.Left.Angle().Tan()
	leanRight := s.Depth * s.TaperDegrees.Right.Angle().Tan()
	tip := base - leanLeft - leanRight
	switch {
	case base < geom.MinSize:
		c.failf("no base is left: edge %s is %s mm, the insets take %s mm", s.On,
			geom.Num(s.On.Length()), geom.Num(s.Inset.Left+s.Inset.Right))
	case tip < geom.MinSize:
		c.failf("no tip is left: the base is %s mm, and over a depth of %s mm the taper takes %s mm",
			geom.Num(base), geom.Num(s.Depth), geom.Num(leanLeft+leanRight)).
			WithHint("make it less deep or taper it less")
	case base > geom.MaxSize || tip > geom.MaxSize:
		c.failf("it would be %s mm wide, more than %.10g mm", geom.Num(max(base, tip)), geom.MaxSize)
	}
	if !c.ok() {
		return geom.Path{}
	}
	corners := [4]geom.Point{{X: 0, Y: 0}, {X: base, Y: 0}, {X: base - leanRight, Y: s.Depth}, {X: leanLeft, Y: s.Depth}}
	p := geom.Path{Closed: true}
	for i, name := range []string{"base", "right", "tip", "left"} {
		p.Edges = append(p.Edges, geom.Edge{Name: name, Curve: geom.LineFrom(corners[i], corners[(i+1)%4])})
	}
	return c.roundTip(p, s.Round)
}

// roundTip rounds the two corners of the tip.
func (c *call) roundTip(p geom.Path, r Pair) geom.Path {
	for _, corner := range []struct {
		radius float64
		at     [2]string
	}{{r.Right, [2]string{"right", "tip"}}, {r.Left, [2]string{"tip", "left"}}} {
		if corner.radius == 0 {
			continue
		}
		rounded, err := p.Round(corner.radius, [][2]string{corner.at})
		if err != nil {
			c.failf("%v", err)
			return p
		}
		p = rounded
	}
	return p
}

// TabTaper is the taper in degrees of a tab that asks for none.
const TabTaper = 15

// TabSpec asks for a tab: a flap, and what it is glued to. A nil Fold is a
// free one toward the inside; TaperDegrees is as given, so pass BothAngles(TabTaper) for
// the usual one.
type TabSpec struct {
	FlapSpec
	To      JoinEnd // a panel or an edge
	Gap     float64
	Outside bool // it lies on the outside of its target; else on the inside
}

// Tab makes a flap that is glued to its target when folded.
func (b *Builder) Tab(site source.Site, s TabSpec) (*Panel, error) {
	c := b.named(site, "tab", s.Name)
	c.notNegative("gap", s.Gap)
	s.To = s.To.settled()
	c.tabTarget(b, s)
	turn := Fold{Free: &Free{Side: In, Either: true, Site: site}}
	p, err := b.addFlap(c, s.FlapSpec, TabRole, turn)
	if err != nil {
		return nil, err
	}
	b.addJoin(&Join{Kind: TabJoin, A: ToPanel(p), B: s.To, Gap: s.Gap, Outside: s.Outside, Site: site})
	return p, nil
}

// tabTarget asks for a panel or an edge in the tree the tab will hang in.
func (c *call) tabTarget(b *Builder, s TabSpec) {
	switch {
	case s.To.Window != nil:
		c.failf("it is glued to a panel or along an edge, not to an opening")
	case s.To.Edge != nil:
		if c.ownEdge(b, "to", *s.To.Edge); s.To.Edge.key() == s.On.key() {
			c.failf("its target %s is the edge it hangs on", s.To.Edge)
		}
	default:
		c.owns(b, "to", s.To.Panel)
	}
	c.ownEdge(b, "on", s.On)
	if c.ok() {
		c.sameTree(b, s.On.Panel, s.To.Panel)
	}
}
