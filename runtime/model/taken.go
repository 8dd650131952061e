package model

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// edgeKey tells one edge of the design from all others.
type edgeKey struct {
	panel  *Panel
	window *Window
	index  int
}

func (e EdgeRef) key() edgeKey { return edgeKey{e.Panel, e.Window, e.Index} }

// taken is a stretch of an edge that a hinge holds, in mm from the left.
type taken struct {
	from, to float64
	hinge    *Hinge
}

// place is where a stretch from from goes among those on the edge, which are
// kept from left to right.
func (b *Builder) place(key edgeKey, from float64) int {
	i, _ := slices.BinarySearchFunc(b.taken[key], from, func(t taken, from float64) int {
		if t.from < from {
			return -1
		}
		return 1
	})
	return i
}

// take gives the stretch to the hinge.
func (b *Builder) take(h *Hinge, e EdgeRef, from, to float64) {
	key := e.key()
	b.taken[key] = slices.Insert(b.taken[key], b.place(key, from), taken{from, to, h})
}

// freeStretch asks that no hinge hold any of the stretch yet. Stretches are
// apart from one another, so only the two neighbours can be in the way.
func (b *Builder) freeStretch(c *call, e EdgeRef, from, to float64) {
	on := b.taken[e.key()]
	i := b.place(e.key(), from)
	for _, t := range on[max(0, i-1):min(len(on), i+1)] {
		lo, hi := max(from, t.from), min(to, t.to)
		if hi-lo > geom.SnapTolerance {
			relate(c.failf("its hinge on %s overlaps that of %q by %s mm, from %s to %s mm",
				e, t.hinge.Name, geom.Num(hi-lo), geom.Num(lo), geom.Num(hi)), t.hinge.Site, "the other hinge")
			return
		}
	}
}
