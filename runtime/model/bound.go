package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
)

// Limit sets the bounds on panels and edges; without it they are the defaults.
func (b *Builder) Limit(s limit.Set) error {
	c := b.call(nil, "limit")
	if c.ok() {
		b.limits = s.OrDefaults()
	}
	return c.err()
}

// roomForPanel asks that one more panel is within bounds.
func (c *call) roomForPanel(b *Builder) {
	if s := b.limits.OrDefaults(); int64(len(b.design.Panels)) >= s[limit.Panels] {
		c.failf("the design has more than %s panels", s.Amount(limit.Panels)).WithHint("%s", s.Raise(limit.Panels))
	}
}

// takeEdges asks that the edges of one more outline or path are within bounds
// and, when all else is well, counts them.
func (c *call) takeEdges(b *Builder, p geom.Path) {
	s := b.limits.OrDefaults()
	total := b.edges + len(p.Edges)
	if int64(total) > s[limit.Edges] {
		c.failf("the design's outlines and paths have more than %s edges", s.Amount(limit.Edges)).
			WithHint("%s", s.Raise(limit.Edges))
	}
	if c.ok() {
		b.edges = total
	}
}
