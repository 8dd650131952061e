package model

import (
	"fmt"
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
)

// randomOutline is an outline with by as one edge, named "by", and a few more
// edges e0, e1 … of all three kinds on its left.
func randomOutline(rng *rand.Rand, by geom.Curve) geom.Path {
	p := geom.Path{Closed: true, Edges: []geom.Edge{{Name: "by", Curve: by}}}
	out := by.Q.Sub(by.P).Left()
	from := by.Q
	n := 2 + rng.Intn(3)
	for i := range n {
		// Round the far side of by, like the rim of a fan.
		f := float64(i+1) / float64(n)
		to := by.Q.Lerp(by.P, f).Add(out.Mul((0.8 + rng.Float64()) * math.Sin(math.Pi*f) * 0.7))
		if i == n-1 {
			to = by.P
		}
		p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprint("e", i), Curve: randomCurve(rng, from, to)})
		from = to
	}
	return p
}

func randomCurve(rng *rand.Rand, p, q geom.Point) geom.Curve {
	side := q.Sub(p).Left().Mul(0.1 * (rng.Float64() - 0.5))
	switch rng.Intn(3) {
	case 0:
		return geom.LineFrom(p, q)
	case 1:
		return must(geom.ArcSweep(p, q, geom.Radians(0.1+rng.Float64())))
	}
	return geom.CubicFrom(p, p.Lerp(q, 0.3).Add(side), p.Lerp(q, 0.7).Sub(side), q)
}

// tree is a recipe for a random hinge tree, so that it can be built twice.
type tree struct {
	root  geom.Path
	hangs []struct {
		parent, edge int
		outline      geom.Path // its edge "by" fits the parent's
		slide        float64
	}
}

// randomTree plans n panels; each hangs on an edge of an earlier one that is
// free, drawn anywhere in its own frame.
func randomTree(rng *rand.Rand, n int) tree {
	t := tree{root: randomOutline(rng, geom.LineFrom(geom.Pt(0, 0), geom.Pt(50+rng.Float64()*50, 0)))}
	outlines := []geom.Path{t.root}
	free := [][2]int{}
	offer := func(i int) {
		for e := 1; e < len(outlines[i].Edges); e++ {
			free = append(free, [2]int{i, e})
		}
	}
	offer(0)
	for range n - 1 {
		k := rng.Intn(len(free))
		on := free[k]
		free = append(free[:k], free[k+1:]...)
		by := outlines[on[0]].Edges[on[1]].Curve.Transform(randomMotion(rng)).Reverse()
		slide := 0.0
		if by.Kind != geom.Cubic {
			slide = (rng.Float64() - 0.5) * by.Length()
		}
		outlines = append(outlines, randomOutline(rng, by))
		t.hangs = append(t.hangs, struct {
			parent, edge int
			outline      geom.Path
			slide        float64
		}{on[0], on[1], outlines[len(outlines)-1], slide})
		offer(len(outlines) - 1)
	}
	return t
}

// build makes the tree with its root drawn moved by m.
func (t tree) build(m geom.Isometry) []*Panel {
	b := NewBuilder(nil)
	must(b.Panel(nil, PanelSpec{Name: "0", Outline: t.root.Transform(m)}))
	for i, h := range t.hangs {
		parent := b.design.Panels[h.parent]
		on := edge(b, parent, parent.Outline.Edges[h.edge].Name)
		must(b.Panel(nil, PanelSpec{Name: fmt.Sprint(i + 1), Outline: h.outline, On: &on, By: "by", Slide: h.slide}))
	}
	return b.design.Panels
}
