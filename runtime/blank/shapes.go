package blank

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// shapes are all outlines of one role, panels or windows, as the arrangement
// has them. Welding moves lines by up to a few welds; asking the moved outlines
// rather than those drawn keeps the answers about neighbouring pieces in step
// where lines run a weld apart.
type shapes struct {
	role   role
	owners []owner
	rims   []*geom.WindingIndex // by outline
	tree   *geom.BoxTree        // over the outlines' boxes
}

// newShapes collects the n outlines of a role from the pieces they run along.
func newShapes(ctx context.Context, s *sources, arr *region.Arrangement, r role, n int) *shapes {
	sh := &shapes{role: r, owners: s.owners, rims: make([]*geom.WindingIndex, n)}
	rims, boxes := make([][]geom.Curve, n), make([]geom.Box, n)
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	for i, p := range arr.Pieces {
		if ended(ctx, i) {
			break
		}
		for _, e := range sh.edges(p) {
			c := p.Curve
			if e.turns < 0 {
				c = c.Reverse()
			}
			rims[e.index] = append(rims[e.index], c)
			boxes[e.index] = boxes[e.index].Union(c.Bounds())
		}
	}
	for i, rim := range rims {
		sh.rims[i] = geom.NewWindingIndex(rim)
	}
	sh.tree = geom.NewBoxTree(boxes)
	return sh
}

// edge says that an outline has an edge along a piece: its inside lies on the
// left where turns is positive, on the right where it is negative. Where an
// outline narrower than a weld runs there and back, turns is 0.
type edge struct{ index, turns int }

// edges lists the outlines that have an edge along the piece.
func (sh *shapes) edges(p region.Piece) []edge {
	var out []edge
	for _, u := range p.Uses {
		o := sh.owners[u.Curve]
		if o.role != sh.role {
			continue
		}
		k := slices.IndexFunc(out, func(e edge) bool { return e.index == o.index })
		if k < 0 {
			k = len(out)
			out = append(out, edge{index: o.index})
		}
		if u.Reversed {
			out[k].turns--
		} else {
			out[k].turns++
		}
	}
	return slices.DeleteFunc(out, func(e edge) bool { return e.turns == 0 })
}

// along lists, by side, the outlines with their inside along the piece. On
// which side of its own edges an outline lies is known from their direction;
// only an outline with no edge there is asked whether it holds the mid-point,
// which then lies well inside or well outside.
func (sh *shapes) along(p region.Piece) sides {
	out := sh.beside(p)
	var across []cover
	sh.across(p.At(0.5), &out, func(i int) bool {
		across = append(across, cover{index: i})
		return true
	})
	slices.SortFunc(across, func(a, b cover) int { return a.index - b.index })
	for side := range out {
		out[side] = append(out[side], across...)
	}
	return out
}

// beside lists, by side, the outlines with an edge along the piece.
func (sh *shapes) beside(p region.Piece) sides {
	var out sides
	for _, e := range sh.edges(p) {
		side := leftSide
		if e.turns < 0 {
			side = rightSide
		}
		out[side] = append(out[side], cover{e.index, true})
	}
	return out
}

// across visits the outlines that hold a piece's mid-point and have no edge
// along the piece, until visit returns false.
func (sh *shapes) across(mid geom.Point, edges *sides, visit func(i int) bool) {
	for _, i := range sh.tree.Intersecting(geom.BoxOf(mid), nil) {
		if !edges.has(leftSide, i) && !edges.has(rightSide, i) && sh.rims[i].About(mid) != 0 && !visit(i) {
			return
		}
	}
}
