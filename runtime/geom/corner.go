package geom

import (
	"fmt"
	"math"
)

// corner is a joint of a path, by the places of its edges: in ends there and out
// begins.
type corner struct{ in, out int }

// cut is what replaces a corner: edge in ends at its parameter s, edge out begins
// at its parameter t, and a new curve joins the two points.
type cut struct {
	s, t float64
	with Curve
}

// cutter works out a corner's cut of some size in mm between two whole edges, as
// if both had no other cut; ok is false where it does not fit them. Sizes that
// fit form an interval from 0, on which misfit's bisection relies.
type cutter func(a, b Curve, size float64) (c cut, ok bool)

// cutCorners replaces corners of p, each by a cut of one size in mm. what names
// the size in errors. Cuts are worked out one by one and then compared along each
// edge, where the two at its ends must not overlap; of a closed path the result is
// checked as a whole, since a long cut may cross an edge far from its corner.
func (p Path) cutCorners(what string, size float64, pairs [][2]string, f cutter) (Path, error) {
	if err := checkNumber("the "+what, size); err != nil {
		return Path{}, err
	}
	if size == 0 {
		return p, nil
	}
	if err := CheckSize("the "+what, size); err != nil {
		return Path{}, err
	}
	corners, err := p.corners(pairs)
	if err != nil {
		return Path{}, err
	}
	cuts := make(map[int]cut, len(corners)) // by the edge that ends there
	for _, k := range corners {
		c, ok := f(p.Edges[k.in].Curve, p.Edges[k.out].Curve, size)
		if !ok {
			return Path{}, p.misfit(what, size, corners, k, f)
		}
		cuts[k.in] = c
	}
	for _, k := range corners {
		if p.left(cuts, k.in) < 0 || p.left(cuts, k.out) < 0 {
			return Path{}, p.misfit(what, size, corners, k, f)
		}
	}
	out := p.trimmed(cuts)
	if !p.Closed {
		return out, nil
	}
	if out, err = out.Check(); err != nil {
		return Path{}, fmt.Errorf("a %s of %s mm does not fit: %w", what, Num(size), err)
	}
	return out, nil
}

// corners finds the joints meant by pairs of edge names, in either order; nil
// means all that are not smooth.
func (p Path) corners(pairs [][2]string) ([]corner, error) {
	all := p.joints()
	if pairs == nil {
		sharp := all[:0:0]
		for _, k := range all {
			if !p.smooth(k) {
				sharp = append(sharp, k)
			}
		}
		return sharp, nil
	}
	wanted := make(map[int]bool, len(pairs))
	for _, pair := range pairs {
		i, j := p.Index(pair[0]), p.Index(pair[1])
		for n, at := range [...]int{i, j} {
			if at < 0 {
				return nil, fmt.Errorf("there is no edge %q", pair[n])
			}
		}
		found := false
		for _, k := range all {
			if k == (corner{i, j}) || k == (corner{j, i}) {
				found, wanted[k.in] = true, true
				if p.smooth(k) {
					return nil, fmt.Errorf("edges %q and %q run on smoothly and have no corner", pair[0], pair[1])
				}
			}
		}
		if !found {
			return nil, fmt.Errorf("edges %q and %q have no corner in common", pair[0], pair[1])
		}
	}
	chosen := all[:0:0]
	for _, k := range all {
		if wanted[k.in] {
			chosen = append(chosen, k)
		}
	}
	return chosen, nil
}

// joints lists all corners in order of travel.
// A joint has the number of the edge that ends there: n − 1 of an open path of n
// edges, n of a closed one.
func (p Path) joints() []corner {
	n := len(p.Edges)
	last := n - 1
	if p.Closed {
		last = n
	}
	var all []corner
	for i := range last {
		all = append(all, corner{i, (i + 1) % n})
	}
	return all
}

// smooth reports a joint where the path runs straight on, by tolerance: the
// tangents differ by no more than SmoothSine radians.
func (p Path) smooth(k corner) bool {
	u, v := p.Edges[k.in].Tangent(1), p.Edges[k.out].Tangent(0)
	return AngleBetween(u, v).Abs().Radians() <= SmoothSine
}

// fitSlack is by how much, in millimetres, cuts may reach beyond an edge or
// into one another: what adding up sizes leaves in the last bits.
const fitSlack = 1e-7

// left is the length in mm of edge i between the cuts at its ends; up to
// SnapTolerance counts as used up, and a negative length, of the part that both
// use, means that the cuts overlap by more than fitSlack.
func (p Path) left(cuts map[int]cut, i int) float64 {
	lo, hi := p.trims(cuts, i)
	e := p.Edges[i]
	if lo <= hi {
		return e.stretch(lo, hi).Length()
	}
	if l := e.stretch(lo, hi).Length(); l > fitSlack {
		return -l
	}
	return 0
}

// trims are the parameters between which edge i survives; lo > hi where the cuts
// at its ends overlap.
func (p Path) trims(cuts map[int]cut, i int) (lo, hi float64) {
	n := len(p.Edges)
	lo, hi = 0, 1
	if c, ok := cuts[(i+n-1)%n]; ok {
		lo = c.t
	}
	if c, ok := cuts[i]; ok {
		hi = c.s
	}
	return lo, hi
}

// trimmed rebuilds the path with its cuts made. New edges are named by their
// neighbours in order of travel, with a number where that name is taken.
func (p Path) trimmed(cuts map[int]cut) Path {
	n := len(p.Edges)
	taken := make(map[string]bool, n+len(cuts))
	for _, e := range p.Edges {
		taken[e.Name] = true
	}
	out := Path{Closed: p.Closed, start: p.start}
	for i, e := range p.Edges {
		if p.left(cuts, i) > SnapTolerance {
			lo, hi := p.trims(cuts, i)
			out.Edges = append(out.Edges, Edge{e.Name, e.Part(lo, hi)})
		}
		if c, ok := cuts[i]; ok {
			name := freeName(taken, e.Name+"-"+p.Edges[(i+1)%n].Name)
			out.Edges = append(out.Edges, Edge{name, c.with})
		}
	}
	return out.rejoin()
}

// rejoin closes the gaps, up to SnapTolerance wide, that used-up edges leave.
// It moves only the end of the edge before a gap and writes into p's own edges.
func (p Path) rejoin() Path {
	n := len(p.Edges)
	for i := range p.Edges {
		if p.Closed || i < n-1 {
			p.Edges[i].Curve = p.Edges[i].endingAt(p.Edges[(i+1)%n].P)
		}
	}
	return p
}

// freeName is the name, or the first of name.2, name.3, … that is not taken,
// and takes it.
func freeName(taken map[string]bool, name string) string {
	free := name
	for i := 2; taken[free]; i++ {
		free = fmt.Sprintf("%s.%d", name, i)
	}
	taken[free] = true
	return free
}

// misfit is the error that a cut does not fit at corner k, with the largest that
// would fit there and at its neighbours, found by bisection between 0 and the
// size asked for. It is rounded down to the four decimals that are printed, less a
// thousandth of the last one, which bisection leaves uncertain.
func (p Path) misfit(what string, size float64, corners []corner, k corner, f cutter) error {
	var near []corner
	for _, c := range corners {
		if c == k || c.in == k.out || c.out == k.in {
			near = append(near, c)
		}
	}
	lo, _ := Bisect(0, size, func(size float64) bool { return p.fits(near, size, f) })
	lo = math.Floor(float64(lo*1e4)+1e-3) / 1e4 // as printed, it must still fit
	name := p.Edges[k.in].Name + "-" + p.Edges[k.out].Name
	if lo < MinSize {
		return fmt.Errorf("a %s of %s mm does not fit at corner %q, nor does any other", what, Num(size), name)
	}
	return fmt.Errorf("a %s of %s mm does not fit at corner %q: %s mm is the most", what, Num(size), name, Num(lo))
}

// fits reports whether cuts of a size fit at all of some corners, on their edges
// and beside each other.
// By tolerance, fitSlack in mm. Other edges that a cut may cross are not looked at.
func (p Path) fits(corners []corner, size float64, f cutter) bool {
	cuts := make(map[int]cut, len(corners))
	for _, k := range corners {
		c, ok := f(p.Edges[k.in].Curve, p.Edges[k.out].Curve, size)
		if !ok {
			return false
		}
		cuts[k.in] = c
	}
	for _, k := range corners {
		if p.left(cuts, k.in) < 0 || p.left(cuts, k.out) < 0 {
			return false
		}
	}
	return true
}
