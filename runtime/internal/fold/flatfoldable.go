package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// kawasakiTolerance is how far, in radians, the alternating sum of a vertex's
	// sectors may be off a half turn for the closed form to serve as a start:
	// corners rounded to 0.01 mm turn a crease of 20 mm by half of it.
	kawasakiTolerance = 1e-3
	// vertexTolerance is how far, in mm, creases may pass by the vertex they meet
	// in: corners rounded to 0.01 mm and what slants make of that.
	vertexTolerance = 0.05
	// leastRatio bounds the ratios of half-angle tangents: beyond it, or under
	// its inverse, a crease runs along with its neighbour's line and stays flat.
	leastRatio = 1e-5
	// quarterRounding is how near, in radians, a closed form is to a quarter turn
	// that it is but for rounding.
	quarterRounding = 1e-12
)

// proportion says that an unknown follows a given fold: the tangent of its half
// angle is ratio times that of the given one, through the whole motion.
type proportion struct {
	source int // the joint whose fold is given; −1 while there is none
	ratio  float64
}

// angle is the fold in radians when the source folds by a: exact at 0 and at half
// turns, and at quarter turns but for rounding.
func (p proportion) angle(a geom.Angle) float64 {
	sin, cos := a.Mul(0.5).SinCos()
	angle := 2 * geom.Pt(cos, float64(p.ratio*sin)).Angle().Radians()
	if q := quarterTurn(angle); math.Abs(angle-q) < quarterRounding {
		return q
	}
	return angle
}

// vertex is a vertex of degree four that folds flat, by the joints of its
// creases in circular order; sector k lies between creases k and k+1.
type vertex struct {
	creases [4]int
	sectors [4]float64 // radians
}

// flatVertex reads the loop round a vertex in the flat blank; ok is false when
// it is not one of degree four whose opposite sectors add up to a half turn.
func (p *problem) flatVertex(c chain) (v vertex, ok bool) {
	if len(c.links) != 4 {
		return v, false
	}
	// Axes in the blank's frame, where all lie in one plane.
	var at, dir [4]geom.Point
	for k, l := range c.links {
		j := &p.joints[l.joint]
		flat := p.panels[j.a].Flat
		v.creases[k] = l.joint
		at[k], dir[k] = flat.Apply(j.at.Plane()), flat.ApplyDir(j.axis.Plane())
	}
	// The vertex lies where the first crease meets the one that leans on it most.
	other := 1
	for k := 2; k < 4; k++ {
		if math.Abs(dir[0].Cross(dir[k])) > math.Abs(dir[0].Cross(dir[other])) {
			other = k
		}
	}
	lean := dir[0].Cross(dir[other])
	if math.Abs(lean) < leastRatio {
		return v, false
	}
	apex := at[0].Add(dir[0].Mul(at[other].Sub(at[0]).Cross(dir[other]) / lean))
	// Each crease must end at the vertex; its direction is made to lead away.
	for k, l := range c.links {
		length := p.joints[l.joint].length
		along, beside := apex.Sub(at[k]).Dot(dir[k]), apex.Sub(at[k]).Cross(dir[k])
		switch {
		case math.Abs(beside) > vertexTolerance:
			return v, false
		case along < vertexTolerance: // the crease leads away from the vertex
		case along > length-vertexTolerance:
			dir[k] = dir[k].Mul(-1)
		default:
			return v, false
		}
	}
	// The loop runs round the vertex one way or the other; sectors are positive.
	sum := 0.0
	for k := range v.sectors {
		v.sectors[k] = geom.AngleBetween(dir[k], dir[(k+1)%4]).Radians()
		sum += v.sectors[k]
	}
	for k := range v.sectors {
		if v.sectors[k] *= sum / math.Abs(sum); !(v.sectors[k] > 0) {
			return v, false
		}
	}
	return v, math.Abs(math.Abs(sum)-2*math.Pi) < kawasakiTolerance && math.Abs(v.sectors[0]+v.sectors[2]-math.Pi) < kawasakiTolerance
}

// modes are the two ways in which the vertex folds, seen from crease k: for each
// the ratios of the half-angle tangents of the next three creases to that of
// crease k. Crease k is one of the pair that folds alike in the first, one of the
// pair that folds oppositely in the second (D. A. Huffman, IEEE Trans. Comput.
// C-25 (1976) 1010–1019, formulas from memory).
func (v *vertex) modes(k int) [][3]float64 {
	// Opposite sectors add up to a half turn, so two neighbours say all.
	half, diff := (v.sectors[k]+v.sectors[(k+1)%4])/2, (v.sectors[k]-v.sectors[(k+1)%4])/2
	sinHalf, cosHalf := geom.Radians(half).SinCos()
	sinDiff, cosDiff := geom.Radians(diff).SinCos()
	a, b := cosHalf/cosDiff, sinHalf/sinDiff
	return [][3]float64{{-a, 1, a}, {b, -1, b}}
}

// closedForm gives every unknown of a system as a proportion of a given fold, or
// nil. It spreads from the given folds over the vertices that fold flat, breadth
// first; at each the asked sides leave one mode at most, as the creases that fold
// alike in one fold oppositely in the other. Loops that are no such vertices, and
// folds that are reached twice, have to agree by themselves: that is for the
// caller to verify. zero is the side that given folds of 0 stand for.
func (s *configuration) closedForm(g *system, zero float64) []proportion {
	at := make([]proportion, len(g.unknowns))
	for i := range at {
		at[i].source = -1
	}
	vertices := make([]vertex, len(g.loops))
	round := map[int][]int{} // by joint: the vertices it ends in
	var queue []int          // joints whose folds are known
	for k, c := range g.loops {
		v, ok := s.flatVertex(c.chain)
		if !ok {
			continue
		}
		vertices[k] = v
		for _, j := range v.creases {
			if s.unknownOf[j] < 0 && round[j] == nil {
				queue = append(queue, j)
			}
			round[j] = append(round[j], k)
		}
	}
	// The front goes on through every joint whose fold has become known.
	reached, done := 0, make([]bool, len(vertices))
	for ; len(queue) > 0; queue = queue[1:] {
		for _, k := range round[queue[0]] {
			if done[k] {
				continue
			}
			if s.stopped() {
				return nil
			}
			done[k] = true
			next, ok := s.spread(&vertices[k], queue[0], at, zero)
			if !ok {
				return nil
			}
			for _, u := range next {
				reached++
				queue = append(queue, s.unknowns[u].joints...)
			}
		}
	}
	if reached < len(at) {
		return nil
	}
	return at
}

// spread finds the mode of a vertex on the asked sides and carries the
// proportion of one of its creases to the others; next are the unknowns that had
// none before.
func (s *configuration) spread(v *vertex, from int, at []proportion, zero float64) (next []int, ok bool) {
	// A given crease is a proportion of itself.
	base := proportion{from, 1}
	if u := s.unknownOf[from]; u >= 0 {
		base = at[s.position[u]]
	}
	// k is the crease it comes from; the modes count on from there.
	k := 0
	for v.creases[k] != from {
		k++
	}
	for _, mode := range v.modes(k) {
		if !s.onSides(v, k, mode, zero) {
			continue
		}
		for i, ratio := range mode {
			u := s.unknownOf[v.creases[(k+1+i)%4]]
			if u >= 0 && at[s.position[u]].source < 0 {
				at[s.position[u]] = proportion{base.source, base.ratio * ratio}
				next = append(next, u)
			}
		}
		return next, true
	}
	return nil, false
}

// onSides reports whether a mode folds the creases of a vertex to the asked
// sides, and none hardly at all.
func (s *configuration) onSides(v *vertex, k int, mode [3]float64, zero float64) bool {
	base := s.askedSide(v.creases[k], zero)
	// Products of signs; a ratio next to 0 or beyond all bounds means that some
	// creases of the vertex lie in line and the others stay flat.
	for i, ratio := range mode {
		if !(base*ratio*s.askedSide(v.creases[(k+1+i)%4], zero) > 0) || !(math.Abs(ratio) > leastRatio && math.Abs(ratio) < 1/leastRatio) {
			return false
		}
	}
	return true
}

// askedSide is the sign of a joint's fold, given or asked for.
func (s *configuration) askedSide(i int, zero float64) float64 {
	if u := s.unknownOf[i]; u >= 0 {
		return s.side(u)
	}
	switch given := s.given[i].Radians(); {
	case given > 0:
		return 1
	case given < 0:
		return -1
	}
	return zero
}

// applyProportions sets a system's folds to their closed form at this moment of
// the motion.
func (s *configuration) applyProportions(g *system, at []proportion) {
	for i, u := range g.unknowns {
		s.value[u] = at[i].angle(s.given[at[i].source].Mul(s.progress))
	}
}

// solveClosedForm finds a system's folds by their closed form and verifies that
// the loops close; where the vertices fold flat but for rounding, the solver
// refines them, and the gap that is left counts as that of any given folds. It
// gives nil, and leaves the folds anywhere, where that fails.
func (s *configuration) solveClosedForm(g *system) []proportion {
	// A given fold of 0 has no side of its own: either may be meant.
	sides := []float64{1, -1}
	if s.drive(g) != 0 {
		sides = sides[:1]
	}
	for _, zero := range sides {
		at := s.closedForm(g, zero)
		if at == nil {
			continue
		}
		s.applyProportions(g, at)
		if gap := s.worst(g.loops); gap > closedTo && gap < nearlyClosed {
			s.minimize(g, g.loops, byAngle)
			s.roundQuarters(g)
		}
		if s.closes(g) {
			return at
		}
	}
	return nil
}

// nearlyClosed is a gap, in mm, that the rounding of corners leaves in a loop of
// the closed form; beyond it the closed form is no better than another start.
const nearlyClosed = 1
