package modeltest

import (
	"fmt"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Known is a random hinge tree and what must come of laying it flat.
type Known struct {
	Design *model.Design
	Piece  *model.Piece
	Area   float64 // of all panels, mm²
	Hinged float64 // length of all hinges, mm
	Cut    float64 // length of all cuts, each shared edge once, mm
}

// Tree is a random hinge tree of n panels that do not overlap, the same for
// the same random source: a quilt, or courses of bricks. The finished blank is
// placed by m, mirror images included, which changes no figure.
func Tree(rng *rand.Rand, n int, m geom.Isometry) *Known {
	if rng.Intn(2) == 0 {
		return Quilt(rng, n, m)
	}
	return Bricks(rng, n, m)
}

// patch is one panel that a tree may grow over.
type patch struct {
	outline    geom.Path
	neighbours []neighbour
}

// neighbour is another patch, on one side of this one.
type neighbour struct {
	patch  int
	side   string  // of this patch
	shared float64 // length of edge in common
}

// grower takes patches into a tree one by one.
type grower struct {
	rng      *rand.Rand
	patches  []patch
	cells    []Cell
	cellOf   map[int]int // by patch
	frontier []link
	hinged   float64
}

// link is a patch in the tree with a neighbour that may hang on it.
type link struct {
	from int
	neighbour
}

// grow makes a design of a random tree of n patches, the middle one its root.
func grow(rng *rand.Rand, patches []patch, n int, m geom.Isometry) *Known {
	g := &grower{rng: rng, patches: patches, cellOf: map[int]int{}}
	g.add(len(patches)/2, Cell{})
	for len(g.cells) < n && len(g.frontier) > 0 {
		l := g.pick()
		if _, taken := g.cellOf[l.patch]; !taken {
			g.hinged += l.shared
			g.add(l.patch, Cell{Parent: g.cellOf[l.from], On: l.side, By: opposite[l.side], Fold: anyFold(rng)})
		}
	}
	edges := g.edgesOnce()
	for i := range g.cells {
		g.cells[i].Outline = g.cells[i].Outline.Transform(m)
	}
	k := &Known{Design: Assemble(g.cells, rng), Hinged: g.hinged, Cut: edges - g.hinged}
	k.Piece = k.Design.Pieces[0]
	for _, c := range g.cells {
		k.Area += c.Outline.Area()
	}
	return k
}

// add takes patch i into the tree as c says.
func (g *grower) add(i int, c Cell) {
	g.cellOf[i] = len(g.cells)
	c.Name = fmt.Sprintf("p%d", len(g.cells))
	c.Outline = g.patches[i].outline
	g.cells = append(g.cells, c)
	for _, nb := range g.patches[i].neighbours {
		g.frontier = append(g.frontier, link{i, nb})
	}
}

// pick takes a random link off the frontier.
func (g *grower) pick() link {
	k, last := g.rng.Intn(len(g.frontier)), len(g.frontier)-1
	l := g.frontier[k]
	g.frontier[k] = g.frontier[last]
	g.frontier = g.frontier[:last]
	return l
}

// edgesOnce is the length of all edges of the tree's panels, what two of them
// share counted once.
func (g *grower) edgesOnce() float64 {
	sum := 0.0
	for i, p := range g.patches {
		if _, ok := g.cellOf[i]; !ok {
			continue
		}
		sum += p.outline.Length()
		for _, nb := range p.neighbours {
			if _, ok := g.cellOf[nb.patch]; ok && nb.patch > i {
				sum -= nb.shared
			}
		}
	}
	return sum
}

// anyFold is a fold to either side, a given one or a free one, never 0.
func anyFold(rng *rand.Rand) model.Fold {
	out := rng.Intn(3) == 0
	if rng.Intn(4) == 0 {
		side := model.In
		if out {
			side = model.Out
		}
		return model.Fold{Free: &model.Free{Side: side}}
	}
	angle := float64(1 + rng.Intn(180))
	if out {
		angle = -angle
	}
	return model.Fold{Degrees: angle}
}
