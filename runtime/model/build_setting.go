package model

import (
	"maps"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Limits sets limits for a board, or with nil for every board. Values lie
// between 0, which holds to nothing, and geom.MaxSize; each limit is set once
// for each board.
func (b *Builder) Limits(site source.Site, on *board.Board, values map[board.Limit]float64) error {
	c := b.call(site, "limits")
	if len(values) == 0 {
		c.failf("no limit is set").WithHint("name one, as in limits(%s = 2)", board.Web.Name())
	}
	for _, l := range board.Limits() {
		v, given := values[l]
		if !given {
			continue
		}
		c.between(l.Name(), v, 0, geom.MaxSize)
		for _, s := range b.design.Settings {
			if _, ok := s.Values[l]; ok && s.Board == on {
				relate(c.failf("%s is set already", l.Name()), s.Site, "the first time")
			}
		}
	}
	if c.ok() {
		b.design.Settings = append(b.design.Settings, &Setting{Board: on, Values: maps.Clone(values), Site: site})
	}
	return c.err()
}

// Machine records a machine that every piece must fit.
func (b *Builder) Machine(site source.Site, m board.Machine) error {
	c := b.named(site, "machine", m.Name)
	c.name(m.Name)
	for _, first := range b.design.Machines {
		if first.Name == m.Name {
			relate(c.failf("there is a machine of that name already"), first.Site, "the first one")
		}
	}
	made, err := board.NewMachine(m)
	if err != nil {
		c.failf("%v", err)
	}
	if c.ok() {
		b.design.Machines = append(b.design.Machines, &Machine{made, site})
	}
	return c.err()
}
