package modeltest

import (
	"fmt"
	"math"
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
	angle := geom.Degrees(1 + rng.Intn(180))
	if out {
		angle = -angle
	}
	return model.Fold{Degrees: angle}
}

// Bricks come in courses of one height and random lengths, in mm.
const (
	courseHeight = 30.0
	leastBrick   = 20.0
	mostBrick    = 70.0
)

// Bricks is a random hinge tree cut from a wall of bricks: neighbours in a
// course share a whole end, those above and below only part of an edge, with
// corners that stand in the middle of other edges.
func Bricks(rng *rand.Rand, n int, m geom.Isometry) *Known {
	courses := int(math.Ceil(math.Sqrt(float64(n)))) + 2
	width := float64(courses) * mostBrick
	var patches []patch
	below := 0 // first patch of the course below
	for r := range courses {
		first := len(patches)
		patches = course(rng, patches, float64(r)*courseHeight, width)
		for i := first + 1; i < len(patches); i++ {
			meet(patches, i-1, i, "right", courseHeight)
		}
		if r > 0 {
			bond(patches, below, first)
		}
		below = first
	}
	return grow(rng, patches, n, m)
}

// course appends bricks from x = 0 to width, all but exactly.
func course(rng *rand.Rand, patches []patch, y, width float64) []patch {
	x := 0.0
	for x < width {
		// Whole millimetres now and then, so that joints line up too.
		length := math.Round(leastBrick + rng.Float64()*(mostBrick-leastBrick))
		if rng.Intn(2) == 0 {
			length += rng.Float64()
		}
		patches = append(patches, patch{outline: Rect(x, y, length, courseHeight)})
		x += length
	}
	return patches
}

// bond makes neighbours of the bricks of two courses where they lie on one
// another at all.
func bond(patches []patch, below, first int) {
	for i := below; i < first; i++ {
		a := patches[i].outline.Bounds()
		for j := first; j < len(patches); j++ {
			b := patches[j].outline.Bounds()
			shared := math.Min(a.Max.X, b.Max.X) - math.Max(a.Min.X, b.Min.X)
			if shared > geom.SnapTolerance {
				meet(patches, i, j, "top", shared)
			}
		}
	}
}

// meet makes patches i and j neighbours across the given side of i.
func meet(patches []patch, i, j int, side string, shared float64) {
	patches[i].neighbours = append(patches[i].neighbours, neighbour{j, side, shared})
	patches[j].neighbours = append(patches[j].neighbours, neighbour{i, opposite[side], shared})
}

// quiltPitch is the distance in mm between the corners of a quilt.
const quiltPitch = 40.0

// Quilt is a random hinge tree cut from a quilt of four-sided patches whose
// common edges are lines, arcs and cubic curves, so that neighbours touch
// along whole edges whether a hinge joins them or not.
func Quilt(rng *rand.Rand, n int, m geom.Isometry) *Known {
	size := int(math.Ceil(math.Sqrt(float64(n)))) + 2
	q := &quilt{rng: rng, size: size}
	q.corners()
	across := q.edges(0, 1) // along +x, below the patch of the same place
	up := q.edges(1, 0)     // along +y, to the left of it
	patches := make([]patch, 0, size*size)
	for r := range size {
		for c := range size {
			outline := Closed(across[r][c], up[r][c+1], across[r+1][c].Reverse(), up[r][c].Reverse())
			patches = append(patches, patch{outline, q.around(r, c, outline)})
		}
	}
	return grow(rng, patches, n, m)
}

// quilt is a square of patches under way, rows upward and columns rightward.
type quilt struct {
	rng    *rand.Rand
	size   int
	corner [][]geom.Point
}

// corners are a square lattice, each shaken by up to a tenth of the pitch.
func (q *quilt) corners() {
	for r := range q.size + 1 {
		var row []geom.Point
		for c := range q.size + 1 {
			shake := geom.Pt(q.rng.Float64()-0.5, q.rng.Float64()-0.5).Mul(quiltPitch / 5)
			row = append(row, geom.Pt(float64(c), float64(r)).Mul(quiltPitch).Add(shake))
		}
		q.corner = append(q.corner, row)
	}
}

// edges are the curves from each corner to the one dr rows up and dc columns
// to the right.
func (q *quilt) edges(dr, dc int) [][]geom.Curve {
	var out [][]geom.Curve
	for r := range q.size + 1 - dr {
		var row []geom.Curve
		for c := range q.size + 1 - dc {
			row = append(row, q.edge(q.corner[r][c], q.corner[r+dr][c+dc]))
		}
		out = append(out, row)
	}
	return out
}

// edge is a random curve from a to b that strays from its chord by less than
// an eighth of it, so that no two edges of a quilt meet but at corners.
func (q *quilt) edge(a, b geom.Point) geom.Curve {
	side := b.Sub(a).Left()
	stray := func() geom.Point { return side.Mul((q.rng.Float64() - 0.5) / 4) }
	switch q.rng.Intn(3) {
	case 0:
		if c, err := geom.ArcThrough(a, a.Lerp(b, 0.5).Add(stray()), b); err == nil {
			return c
		}
	case 1:
		return geom.CubicFrom(a, a.Lerp(b, 0.3).Add(stray()), a.Lerp(b, 0.7).Add(stray()), b)
	}
	return geom.LineFrom(a, b)
}

// around lists the patches next to the one of the given outline in row r,
// column c.
func (q *quilt) around(r, c int, outline geom.Path) []neighbour {
	var out []neighbour
	for i, d := range [...][2]int{{-1, 0}, {0, 1}, {1, 0}, {0, -1}} {
		if r2, c2 := r+d[0], c+d[1]; r2 >= 0 && r2 < q.size && c2 >= 0 && c2 < q.size {
			out = append(out, neighbour{r2*q.size + c2, sideNames[i], outline.Edges[i].Length()})
		}
	}
	return out
}
