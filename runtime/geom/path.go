package geom

import (
	"fmt"
	"math"
	"strconv"
)

// Edge is one named curve of a path.
type Edge struct {
	Name string
	Curve
}

// Path is a chain of named edges, each starting where the last one ends.
// Closed, it is an outline: it comes home to its start, does not cross itself
// and runs counter-clockwise, so board lies on its left. Open, it is a line to
// slit, score, perforate or draw. Operations give new paths and never change
// their receiver.
type Path struct {
	Edges  []Edge
	Closed bool

	start Point // where a path without edges yet begins
}

// Curves lists the path's curves without their names.
func (p Path) Curves() []Curve {
	cs := make([]Curve, len(p.Edges))
	for i, e := range p.Edges {
		cs[i] = e.Curve
	}
	return cs
}

// Area is the enclosed area in mm², positive for a counter-clockwise outline, by
// Green's theorem: the polygon of chords and what each curve adds to its chord.
func (p Path) Area() float64 {
	// Chords are taken from the start, so that far-off outlines lose no digits.
	o, sum := p.Start(), 0.0
	for _, e := range p.Edges {
		sum += float64(e.P.Sub(o).Cross(e.Q.Sub(o))/2) + e.segment()
	}
	return sum
}

// Length is the sum of the edges' lengths in mm.
func (p Path) Length() float64 {
	sum := 0.0
	for _, e := range p.Edges {
		sum += e.Length()
	}
	return sum
}

// Bounds is the smallest upright box round the path.
func (p Path) Bounds() Box {
	b := EmptyBox()
	for _, e := range p.Edges {
		b = b.Union(e.Bounds())
	}
	return b
}

// Index is the place of the named edge, or −1.
func (p Path) Index(name string) int {
	for i, e := range p.Edges {
		if e.Name == name {
			return i
		}
	}
	return -1
}

// Names lists the edges' names in order.
func (p Path) Names() []string {
	names := make([]string, len(p.Edges))
	for i, e := range p.Edges {
		names[i] = e.Name
	}
	return names
}

// Transform places the path by a rigid motion. After a mirror image an outline is
// turned round again to run counter-clockwise, its first edge still first.
func (p Path) Transform(m Isometry) Path {
	out := Path{Closed: p.Closed, Edges: make([]Edge, len(p.Edges)), start: m.Apply(p.start)}
	for i, e := range p.Edges {
		out.Edges[i] = Edge{e.Name, e.Curve.Transform(m)}
	}
	if p.Closed && m.Mirrors() {
		return out.Reverse()
	}
	return out
}

// Reverse travels the path the other way; a closed path keeps its first edge
// first.
func (p Path) Reverse() Path {
	n := len(p.Edges)
	out := Path{Closed: p.Closed, Edges: make([]Edge, n), start: p.start}
	for i, e := range p.Edges {
		j := n - 1 - i
		if p.Closed {
			j = (n - i) % n
		}
		out.Edges[j] = Edge{e.Name, e.Curve.Reverse()}
	}
	return out
}

// Flatten gives the path as points whose polygon stays within tol mm of it; a
// closed path's last point is not repeated.
func (p Path) Flatten(tol float64) []Point {
	if len(p.Edges) == 0 {
		return nil
	}
	pts := []Point{p.Edges[0].P}
	for _, e := range p.Edges {
		pts = e.Curve.Flatten(pts, tol)
	}
	if p.Closed {
		pts = pts[:len(pts)-1]
	}
	return pts
}

// Contains reports whether q lies inside a closed path, by its winding number; on
// the rim either answer may come.
func (p Path) Contains(q Point) bool { return Winding(p.Curves(), q) != 0 }

// Distance is the shortest distance between the lines of two paths, neither
// without edges, mm: 0 where they meet. Where both are curved it is too large by at most about 0.001.
func (p Path) Distance(q Path) float64 {
	const fine = 0.001 // mm by which chords may stray from a curve
	least := math.Inf(1)
	for _, of := range [...][2]Path{{p, q}, {q, p}} {
		boxes := make([]Box, len(of[1].Edges))
		for i, e := range of[1].Edges {
			boxes[i] = e.Bounds()
		}
		tree := NewBoxTree(boxes)
		for _, e := range of[0].Edges {
			for _, i := range tree.Intersecting(e.Bounds().Grow(SnapTolerance), nil) {
				if len(Intersect(e.Curve, of[1].Edges[i].Curve)) > 0 {
					return 0
				}
			}
		}
		for _, at := range of[0].Flatten(fine) {
			if math.IsInf(least, 1) {
				_, least = of[1].Edges[0].Nearest(at)
			}
			for _, i := range tree.Intersecting(BoxOf(at).Grow(least), nil) {
				_, d := of[1].Edges[i].Nearest(at)
				least = min(least, d)
			}
		}
	}
	return least
}

// Num writes a length or an angle the way messages show it: at most four
// decimals, no trailing zeros, never −0.
func Num(v float64) string {
	s := strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

// String lists the path's edges, for messages and tests.
func (p Path) String() string {
	s := "path"
	for _, e := range p.Edges {
		s += fmt.Sprintf(" %s:%s(%s,%s)-(%s,%s)", e.Name, e.Kind, Num(e.P.X), Num(e.P.Y), Num(e.Q.X), Num(e.Q.Y))
	}
	return s
}
