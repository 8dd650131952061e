package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// ContentsSpec asks for the product in the closed piece. A cylinder's size is
// its diameter twice and its height.
type ContentsSpec struct {
	Name        string
	Size        [3]float64
	Round       bool // a cylinder
	On          *Panel
	At          *geom.Point // nil for where it has most room
	TurnDegrees float64
	Clearance   float64
	Mass        *float64 // grams
}

// Contents records the product that stands on a panel.
func (b *Builder) Contents(site source.Site, s ContentsSpec) (*Contents, error) {
	c := b.named(site, "contents", s.Name)
	c.name(s.Name)
	if first := b.goods[s.Name]; first != nil {
		relate(c.failf("there are contents of that name already"), first.Site, "the first ones")
	}
	c.contentsSize(s)
	c.owns(b, "on", s.On)
	if s.At != nil {
		c.offset("at x", s.At.X)
		c.offset("at y", s.At.Y)
	}
	c.finite("turn", s.TurnDegrees)
	c.notNegative("clearance", s.Clearance)
	if s.Mass != nil && !(*s.Mass > 0 && finite(*s.Mass)) {
		c.failf("mass = %.10g g is not a positive number", *s.Mass)
	}
	if !c.ok() {
		return nil, c.err()
	}
	made := &Contents{
		Name: s.Name, Panel: s.On, Size: s.Size, Round: s.Round, At: own(s.At),
		TurnDegrees: s.TurnDegrees, Clearance: s.Clearance, Mass: own(s.Mass), Site: site,
	}
	b.goods[s.Name] = made
	b.design.Contents = append(b.design.Contents, made)
	return made, nil
}

// contentsSize asks for three sizes, or a diameter and a height.
func (c *call) contentsSize(s ContentsSpec) {
	names := [3]string{"size x", "size y", "size z"}
	if s.Round {
		names = [3]string{"diameter", "diameter", "height"}
		if s.Size[0] != s.Size[1] {
			c.failf("a cylinder has one diameter, not %.10g and %.10g mm", s.Size[0], s.Size[1])
		}
	}
	for i, name := range names {
		c.size(name, s.Size[i])
	}
}
