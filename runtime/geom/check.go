package geom

import (
	"fmt"
	"math"
)

// Check validates an outline and gives it counter-clockwise, each edge with its
// name, the first still first. Errors: a path that is not closed; names used
// twice; coordinates or edges that are no sizes; edges that cross, touch or
// run along each other, told with both names and the place; no area.
func (p Path) Check() (Path, error) {
	if err := p.checkEdges(); err != nil {
		return Path{}, err
	}
	if err := p.checkSimple(); err != nil {
		return Path{}, err
	}
	area := p.Area()
	if math.Abs(area) < MinSize*MinSize {
		return Path{}, fmt.Errorf("the outline encloses no area")
	}
	if area < 0 {
		return p.Reverse(), nil
	}
	return p, nil
}

// checkEdges looks at the edges one by one and at their joints, which may miss
// each other by SnapTolerance.
func (p Path) checkEdges() error {
	if !p.Closed || len(p.Edges) == 0 {
		return fmt.Errorf("the path is not closed: it runs from %s to %s", at(p.Start()), at(p.End()))
	}
	seen := make(map[string]bool, len(p.Edges))
	prev := p.Edges[len(p.Edges)-1]
	for _, e := range p.Edges {
		if seen[e.Name] {
			return fmt.Errorf("two edges are named %q", e.Name)
		}
		seen[e.Name] = true
		if err := e.check(); err != nil {
			return err
		}
		if gap := prev.Q.Dist(e.P); gap > SnapTolerance {
			return fmt.Errorf("edge %q starts %s mm from where edge %q ends", e.Name, Num(gap), prev.Name)
		}
		prev = e
	}
	return nil
}

// check refuses an edge whose numbers are no places or sizes, and a cubic that
// crosses itself.
func (e Edge) check() error {
	pts := [4]Point{e.P, e.Q, e.C, e.D}
	n := 2
	if e.Kind == Cubic {
		n = 4
	}
	for _, q := range pts[:n] {
		if CheckPlace("", q) != nil {
			return CheckPlace(fmt.Sprintf("edge %q", e.Name), q)
		}
	}
	if e.Kind == Arc && CheckSize("", e.R) != nil {
		return CheckSize(fmt.Sprintf("edge %q: the radius", e.Name), e.R)
	}
	if l := e.Length(); !(l >= MinSize) {
		return fmt.Errorf("edge %q is %s mm long, and sizes begin at %s mm", e.Name, exactly(l), exactly(MinSize))
	}
	if s, _, ok := e.SelfCrossing(); ok {
		return fmt.Errorf("edge %q crosses itself at %s", e.Name, at(e.At(s)))
	}
	return nil
}

// checkSimple asks that no two edges meet but neighbours at their joint, by
// tolerance: edges that come within SnapTolerance of each other meet. It stops at the
// first pair that does, in order of the path.
func (p Path) checkSimple() error {
	boxes := make([]Box, len(p.Edges))
	for i, e := range p.Edges {
		boxes[i] = e.reach().Grow(SnapTolerance / 2)
	}
	var err error
	BoxPairs(boxes, func(i, j int) bool {
		for _, t := range Intersect(p.Edges[i].Curve, p.Edges[j].Curve) {
			if !p.isJoint(i, j, t) {
				err = p.clash(i, j, t)
				return false
			}
		}
		return true
	})
	return err
}

// isJoint reports a meeting of edges i and j, i < j, that is only the corner they
// share, or the two ends of an edge between them that is so short, four
// SnapTolerances, that its neighbours come within tolerance of each other.
// Parameters are compared exactly: endCandidates sets them to 0 or 1 for every end
// within SnapTolerance of the other curve's end.
func (p Path) isJoint(i, j int, t Intersection) bool {
	if !t.IsPoint() {
		return false
	}
	n := len(p.Edges)
	if t.A0 == 1 && t.B0 == 0 {
		return j == i+1 || j == i+2 && p.Edges[i+1].hullLength() <= 4*SnapTolerance
	}
	if t.A0 == 0 && t.B0 == 1 {
		return i == 0 && j == n-1 || j == i+n-2 && p.Edges[(j+1)%n].hullLength() <= 4*SnapTolerance
	}
	return false
}

// clash is the error that two edges of an outline meet which should not. That they
// cross is said only of a point on the inside of both where their tangents differ
// by more than SmoothSine; the rest touch.
func (p Path) clash(i, j int, t Intersection) error {
	a, b := p.Edges[i], p.Edges[j]
	from := a.At(t.A0)
	if !t.IsPoint() {
		return fmt.Errorf("edges %q and %q run along each other from %s to %s", a.Name, b.Name, at(from), at(a.At(t.A1)))
	}
	verb := "touch"
	if t.inner() && math.Abs(a.Tangent(t.A0).Cross(b.Tangent(t.B0))) > SmoothSine {
		verb = "cross"
	}
	return fmt.Errorf("edges %q and %q %s at %s", a.Name, b.Name, verb, at(from))
}

// inner reports a point that is no end of either curve.
func (t Intersection) inner() bool { return t.A0 > 0 && t.A0 < 1 && t.B0 > 0 && t.B0 < 1 }

// SelfCrossing gives the two parameters, s < t, at which a cubic passes
// through one point, if it does so other than with both its ends.
//
// With B(t) = a·t³ + b·t² + k·t + P, B(t) = B(s) divided by t − s reads
// a·(u² − v) + b·u + k = 0 in u = s + t and v = s·t: the cross product with a
// gives u, the dot product v.
// By tolerance: where one of a and b reaches across the other by Tiny or less, in mm,
// they are parallel but for rounding and the cubic is a parabola, or straight and at
// most doubled back on itself, which is no crossing; a crossing up to Tiny of the parameter beyond an end counts as at
// that end, and a loop of 4 SnapTolerance or less, in mm of length, is no crossing.
func (c Curve) SelfCrossing() (s, t float64, ok bool) {
	if c.Kind != Cubic {
		return 0, 0, false
	}
	k := c.C.Sub(c.P).Mul(3)
	b := c.D.Sub(c.C.Mul(2)).Add(c.P).Mul(3)
	a := c.Q.Sub(c.P).Sub(c.D.Sub(c.C).Mul(3))
	ba := b.Cross(a)
	if math.Abs(ba) <= Tiny*(a.Len()+b.Len()) {
		return 0, 0, false
	}
	u := -k.Cross(a) / ba
	v := float64(u*u) + b.Mul(u).Add(k).Dot(a)/a.Dot(a)
	disc := float64(u*u) - float64(4*v)
	if !(disc > 0) {
		return 0, 0, false
	}
	s, t = (u-math.Sqrt(disc))/2, (u+math.Sqrt(disc))/2
	if s < -Tiny || t > 1+Tiny || s < Tiny && t > 1-Tiny {
		return 0, 0, false
	}
	s, t = clamp01(s), clamp01(t)
	return s, t, c.Part(s, t).Length() > 4*SnapTolerance
}
