package model

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// outline asks for a sound closed path and turns it counter-clockwise.
func (c *call) outline(p geom.Path) geom.Path {
	if !p.Closed {
		c.failf("the outline is not closed").WithHint("end the path with .close()")
		return p
	}
	return c.path(p)
}

// path asks for a sound path, closed or not, and turns a closed one
// counter-clockwise. An open one may cross itself. The path has edges of its
// own, which the caller's no longer change.
func (c *call) path(p geom.Path) geom.Path {
	p.Edges = slices.Clone(p.Edges)
	if !p.Closed {
		c.chain(p)
		return p
	}
	sound, err := p.Check()
	if err != nil {
		c.failf("%v", err)
	}
	return sound
}

// chain asks for edges that lie within reach, end to end.
func (c *call) chain(p geom.Path) {
	if len(p.Edges) == 0 {
		c.failf("the path has no steps")
	}
	for i, e := range p.Edges {
		for _, q := range []geom.Point{e.P, e.Q, e.C, e.D} {
			if err := geom.CheckPlace("the path", q); err != nil {
				c.failf("%v", err)
				return
			}
		}
		c.size("the length of step "+e.Name, e.Length())
		if i > 0 && p.Edges[i-1].Q.Dist(e.P) > geom.SnapTolerance {
			c.failf("step %q starts %s mm from where step %q ends", e.Name,
				geom.Num(p.Edges[i-1].Q.Dist(e.P)), p.Edges[i-1].Name)
		}
	}
}
