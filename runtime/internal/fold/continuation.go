package fold

import (
	"math"
)

// Numbers of the continuation. Angles in radians.
const (
	// startTurn is the size of the largest given fold at the first step away
	// from flat: small enough that the folds stand in their limiting ratios,
	// large enough that second-order terms (its square) exceed rounding by far.
	startTurn = 3 * math.Pi / 180
	// leastDrive is the largest given fold below which the others are found by
	// scaling: its square is a few rounding errors of the residuals.
	leastDrive = 1e-5
	// firstStride, mostStride and leastStride bound the step along the motion, as
	// a share of the whole.
	firstStride = 1.0 / 16
	mostStride  = 1.0 / 6
	leastStride = 1e-4
	// mostChange is the largest change of a fold in one step of the motion, and
	// mostCorrection that of a prediction; more means that the corrector has left
	// its branch.
	mostChange     = math.Pi / 5
	mostCorrection = math.Pi / 18
	// wrongWay is how far a fold may stray to the other side of flat.
	wrongWay = 1e-6
)

// checkpoint is a point of a system's motion: its folds at one progress.
// Radians; progress is from 0, flat, to 1.
type checkpoint struct {
	progress float64
	values   []float64 // by place in the system
}

// follow leads the system's loops from flat to the given folds by
// predictor–corrector continuation, as far as it gets. It returns how many
// motions they leave free half-way, where no fold is at a singular end, whether
// they set out closed (given folds that only go together in the end state do
// not), and the way it went.
func (s *configuration) follow(g *system) (loose int, closed bool, path []checkpoint) {
	drive := s.drive(g)
	if drive == 0 {
		return s.followNothing(g), true, nil
	}
	if drive < leastDrive {
		return s.followSmall(g, drive)
	}
	// A pose that turns nothing by more than startTurn is found in one step.
	s.progress = math.Min(1, startTurn/drive)
	if !s.start(g, drive*s.progress) {
		return 0, false, nil
	}
	closed = s.worst(g.loops) < surely
	loose = -1
	path = []checkpoint{{0, make([]float64, len(g.unknowns))}, {s.progress, s.values(g)}}
	path = s.track(g, path, 1, func() {
		if loose < 0 && s.progress >= 0.5 {
			loose = s.nullity(g, g.loops, nullityCap)
		}
	})
	// A motion that stopped early, or had one step, is measured where it stands.
	if loose < 0 {
		loose = s.nullity(g, g.loops, nullityCap)
	}
	return loose, closed, path
}

// followSmall finds folds beside given ones that are so small that the terms of
// second order, which decide between their ratios, drown in rounding: at a
// hundred times leastDrive, from where they are scaled down. The ratios change by
// the square of that.
func (s *configuration) followSmall(g *system, drive float64) (loose int, closed bool, path []checkpoint) {
	s.progress = 100 * leastDrive / drive
	ok := s.start(g, 100*leastDrive)
	if ok {
		closed, loose = s.worst(g.loops) < surely, s.nullity(g, g.loops, nullityCap)
		for _, u := range g.unknowns {
			s.value[u] /= s.progress
		}
		path = []checkpoint{{0, make([]float64, len(g.unknowns))}, {1, s.values(g)}}
	}
	s.progress = 1
	return loose, closed, path
}

// track goes on from the last two checkpoints of a path to some progress, or as
// far as it gets, and returns the path with what it passed. visit is called at
// every new checkpoint.
// The path has at least one checkpoint; progress ascends strictly along it. A step
// over a branch point is not detected unless a fold changes by more than the bounds.
func (s *configuration) track(g *system, path []checkpoint, to float64, visit func()) []checkpoint {
	here := path[len(path)-1]
	s.progress = here.progress
	s.restore(g, here.values)
	// A motion that is closed stays so; given folds that do not quite go together
	// never close it.
	closed := s.worst(g.loops) < surely
	// The stride grows while steps are accepted and is halved when one is not.
	for stride := firstStride; s.progress < to && !s.stopped(); {
		s.progress = math.Min(to, here.progress+stride)
		predicted := predict(path, s.progress)
		s.restore(g, predicted)
		gap := s.minimize(g, g.loops, byAngle)
		// The corrector goes to the nearest solution: near the prediction that is
		// the same branch, further off it may be another. Then half a stride.
		if closed && gap >= surely || s.changed(g, here.values, mostChange) || s.changed(g, predicted, mostCorrection) || s.strays(g) {
			s.progress = here.progress
			s.restore(g, here.values)
			if stride /= 2; stride < leastStride {
				break
			}
			continue
		}
		here = checkpoint{s.progress, s.values(g)}
		path = append(path, here)
		stride = math.Min(stride*1.5, mostStride)
		visit()
	}
	return path
}

// predict extrapolates a path to a progress t by Lagrange's polynomial
//
//	x(t) = Σⱼ xⱼ · Πₖ≠ⱼ (t − tₖ)/(tⱼ − tₖ),
//
// the parabola through its last three checkpoints, or the line through the last
// two. Its error is of third or second order in the stride, against
// mostCorrection.
// The result is by place in the system, in radians; to may lie anywhere beyond.
func predict(path []checkpoint, to float64) []float64 {
	// The point of flat itself counts: near it the motion is as smooth as later.
	n := len(path)
	q := path[max(0, n-3):]
	out := make([]float64, len(q[0].values))
	for j, a := range q {
		weight := 1.0
		for k, b := range q {
			if k != j {
				weight *= (to - b.progress) / (a.progress - b.progress)
			}
		}
		for i, v := range a.values {
			out[i] += weight * v
		}
	}
	return out
}

// followNothing deals with loops in which no given fold moves: their unknown
// folds stay flat, unless none is given at all, or they could move on the asked
// sides all the same. Then folds are missing.
// Without a given fold and without such a motion, loose is the count of unknowns
// less three equations a loop, at least one.
func (s *configuration) followNothing(g *system) (loose int) {
	s.progress = 1
	// Solutions near flat in which the folds do not all shrink to nothing are a
	// motion that needs no given fold.
	if s.start(g, startTurn) && s.worst(g.loops) < closedTo && s.largest(g) > startTurn/10 {
		return max(1, s.nullity(g, g.loops, nullityCap))
	}
	for _, u := range g.unknowns {
		s.value[u] = 0
	}
	if !s.anyGiven(g) {
		return max(1, len(g.unknowns)-3*len(g.loops))
	}
	return 0
}

// anyGiven reports whether some fold of the system's loops is given.
func (s *configuration) anyGiven(g *system) bool {
	for _, c := range g.loops {
		for _, k := range c.chain.links {
			if s.unknownOf[k.joint] < 0 {
				return true
			}
		}
	}
	return false
}

// largest is the size of the system's largest unknown fold, in radians.
func (s *configuration) largest(g *system) float64 {
	top := 0.0
	for _, u := range g.unknowns {
		top = math.Max(top, math.Abs(s.value[u]))
	}
	return top
}

// drive is the size, in radians, of the largest given fold in the system's loops
// at the end of the motion; 0 when none of them moves.
func (s *configuration) drive(g *system) float64 {
	top := 0.0
	for _, c := range g.loops {
		for _, k := range c.chain.links {
			if s.unknownOf[k.joint] < 0 {
				top = math.Max(top, s.given[k.joint].Abs().Radians())
			}
		}
	}
	return top
}

// starts are the sizes tried for the unknown folds near flat, as multiples of
// the largest given one; scattered starts, where each unknown has a size of its
// own, follow the even ones.
var starts = []float64{1, 0.4, 0.15, 2.5}

const scatteredStarts = 12

// mostScattered is the number of unknowns up to which scattered starts are tried:
// in larger systems none of a dozen is likely to hit, and each takes long.
const mostScattered = 200

// start finds the unknown folds next to flat, on the asked sides: near flat the
// loop equations are homogeneous of second order in the folds, so the solutions
// form a cone: any multiple of one is one, to first order. Their sizes are sought
// in logarithms, which keeps every fold on its side. The first start that closes
// wins, else the one with the least gap.
// drive is the largest given fold at this progress, in radians. The result is whether
// the sides are the asked ones: that the loops close is for the caller to check.
func (s *configuration) start(g *system, drive float64) bool {
	best, bestGap := []float64(nil), math.Inf(1)
	tries := len(starts)
	if len(g.unknowns) <= mostScattered {
		tries += scatteredStarts
	}
	for try := range tries {
		if s.stopped() {
			return false
		}
		for i, u := range g.unknowns {
			s.value[u] = s.side(u) * drive * startSize(try, i)
		}
		gap := s.minimize(g, g.loops, byLogarithm)
		if gap < bestGap {
			best, bestGap = s.values(g), gap
		}
		if bestGap < closedTo {
			break
		}
	}
	if best == nil {
		return false
	}
	// Logarithms lose what is next to 0; a last minimization by angle does not.
	s.restore(g, best)
	s.minimize(g, g.loops, byAngle)
	return !s.strays(g)
}

// startSize is the size of unknown i in a try.
// It is a multiple of the largest given fold; scattered ones run from e⁻² to e².
func startSize(try, i int) float64 {
	if try < len(starts) {
		return starts[try]
	}
	// A fixed scatter over e^±2: the golden ratio spaces the tries evenly.
	x := math.Mod(float64(try*31+i)*math.Phi, 1)
	return exp(float64(4*x) - 2)
}

// changed reports whether a fold is more than limit off what it was.
// from is by place in the system and limit in radians. NaN counts as changed.
func (s *configuration) changed(g *system, from []float64, limit float64) bool {
	for i, u := range g.unknowns {
		if !(math.Abs(s.value[u]-from[i]) <= limit) {
			return true
		}
	}
	return false
}

// strays reports whether a fold lies on the side it was not asked for, or
// beyond a half turn.
// By tolerance, wrongWay: a fold that ends flat or folded right over comes out a
// little to either side of it. NaN strays.
func (s *configuration) strays(g *system) bool {
	for _, u := range g.unknowns {
		v := s.value[u]
		onSide := s.anySide || s.unknowns[u].free.Either || v*s.side(u) >= -wrongWay
		if !(onSide && math.Abs(v) <= math.Pi+wrongWay) {
			return true
		}
	}
	return false
}
