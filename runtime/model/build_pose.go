package model

import (
	"maps"
	"slices"

	"github.com/creasewright/creasewright/runtime/source"
)

// PoseSpec asks for another state to fold to. FoldDegrees are by hinge name.
type PoseSpec struct {
	Name        string
	FoldDegrees map[string]float64
	At          *float64 // nil for 1
	Unglued     bool     // glue need not hold
}

// Pose records a state to fold to and check. Its hinges must exist already.
func (b *Builder) Pose(site source.Site, s PoseSpec) (*Pose, error) {
	c := b.named(site, "pose", s.Name)
	c.name(s.Name)
	switch first := b.poses[s.Name]; {
	case s.Name == PoseFlat || s.Name == PoseClosed:
		c.failf("the poses %q and %q always exist", PoseFlat, PoseClosed).WithHint("give this one another name")
	case first != nil:
		relate(c.failf("there is a pose of that name already"), first.Site, "the first one")
	}
	p := &Pose{Name: s.Name, FoldDegrees: map[*Hinge]float64{}, At: 1, Glued: !s.Unglued, Site: site}
	if s.At != nil {
		p.At = *s.At
		c.between("at", p.At, 0, 1)
	}
	for _, name := range slices.Sorted(maps.Keys(s.FoldDegrees)) {
		h := b.hinges[name]
		if h == nil {
			c.noHinge(b, name)
			break
		}
		c.between("the fold of "+name, s.FoldDegrees[name], -180, 180)
		p.FoldDegrees[h] = s.FoldDegrees[name]
	}
	if !c.ok() {
		return nil, c.err()
	}
	b.poses[p.Name] = p
	b.design.Poses = append(b.design.Poses, p)
	return p, nil
}

// noHinge says that a name in folds is no hinge's.
func (c *call) noHinge(b *Builder, name string) {
	if p := b.panels[name]; p != nil {
		relate(c.failf("panel %q hangs on nothing, so it has no hinge to fold", name), p.Site, "the panel")
		return
	}
	c.failf("no hinge is named %q", name).WithHint("%s", suggest(name, slices.Sorted(maps.Keys(b.hinges))))
}
