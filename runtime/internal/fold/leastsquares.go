package fold

import (
	"context"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Numbers of the solver.
const (
	// closedTo is when a loop counts as closed, in mm: the contract's 1e-9.
	closedTo = 1e-9
	// maxIterations bounds one minimization; quadratic convergence needs about
	// six iterations and a singular end about thirty.
	maxIterations = 80
	// maxDampings bounds the dampings tried in one iteration: 8^12 spans the
	// range from a Newton step to one that moves nothing.
	maxDampings = 12
	// ridge keeps the normal equations solvable where a motion is left free, as
	// a share of their largest diagonal entry: far above rounding (1e-16), far
	// below any stiffness that matters.
	ridge = 1e-13
	// home is the cost at which a minimization stops. It goes down to rounding on
	// the way as well as at the end: near a singular end what is left of a cost of
	// 1e-14 would turn folds by thousandths of a degree.
	home = 1e-31
	// rounding is the cost per residual that rounding alone can leave, residuals
	// of 3e-14: below it, an iteration that does not halve the cost is the last. It
	// saves the dampings that would be tried in vain at each solution. Its order
	// counts alone: a thousand times as much is still far below closedTo, and
	// iterations toward a solution take away far more than half.
	rounding = 5e-28
	// leastGain is the share of the cost that an iteration takes away at the
	// least, and mostStalls how many in a row may take away less. At a singular
	// end the cost falls to a sixteenth each time; where it crawls, the search has
	// come to a valley with no solution in it.
	leastGain  = 0.01
	mostStalls = 8
	// longFactorization is the number of operations of some ten milliseconds.
	longFactorization = 10_000_000
	// smallest is a step, in radians, below which nothing moves any more.
	smallest = 1e-15
)

// coordinates are what the solver moves: the folds themselves, or the logarithms
// of their sizes, in which no step can change a fold's sign, or the logarithms of
// size/(π − size), in which none can go beyond a half turn either.
type coordinates uint8

const (
	byAngle coordinates = iota
	byLogarithm
	byRange
)

// normalEquations is JᵀJ·δ = −Jᵀr in band form, and the cost ½|r|².
//
// J has a row for each residual and a column for each unknown. The condition number
// of JᵀJ is the square of J's; what that costs in a step the next iteration makes good,
// since residuals are worked out afresh from the folds.
type normalEquations struct {
	matrix *mat.SymBandDense
	right  []float64
	cost   float64
	top    float64 // largest diagonal entry
	rows   int     // residuals
}

// normals assembles the equations of some constraints on a system: (unknowns) ×
// (unknowns) in the system's own numbering, with the system's bandwidth.
// Beside the linearization of each constraint it takes n·(k+1) numbers for n unknowns
// and bandwidth k. position maps unknowns of the problem to rows.
func (s *configuration) normals(g *system, cons []*constraint, in coordinates) *normalEquations {
	n := len(g.unknowns)
	out := &normalEquations{matrix: mat.NewSymBandDense(n, g.band, nil), right: make([]float64, n)}
	var a linearization
	for _, c := range cons {
		s.linearize(c, &a)
		s.scale(&a, in)
		out.add(s.position, &a)
	}
	for i := range n {
		out.top = math.Max(out.top, out.matrix.At(i, i))
	}
	return out
}

// scale changes a Jacobian to the coordinates asked for, and takes out the
// unknowns that are held.
// By the chain rule: with v = ±eᵠ the derivative dv/dq is v, and with
// q = ln(|v|/(π − |v|)) it is v·(1 − |v|/π). Both are 0 at v = 0, the latter at a
// half turn too: from there the solver does not move a fold.
func (s *configuration) scale(a *linearization, in coordinates) {
	for k := range a.jacobian {
		switch u := a.unknowns[k%len(a.unknowns)]; {
		case s.held[u]:
			a.jacobian[k] = 0
		case in == byLogarithm:
			a.jacobian[k] *= s.value[u]
		case in == byRange:
			a.jacobian[k] *= s.value[u] * (1 - math.Abs(s.value[u])/math.Pi)
		}
	}
}

// add sums the rows of one constraint up, in (unknowns)² operations a row: Jᵀ·J into
// the upper band of the matrix, which holds row i from its diagonal on, −Jᵀ·r into
// the right side.
func (q *normalEquations) add(position []int, a *linearization) {
	raw, n := q.matrix.RawSymBand(), len(a.unknowns)
	q.rows += len(a.residual)
	for r, residual := range a.residual {
		q.cost += residual * residual / 2
		row := a.jacobian[r*n : (r+1)*n]
		for x, slope := range row {
			i := position[a.unknowns[x]]
			q.right[i] -= slope * residual
			for y, other := range row[:x+1] {
				lo, hi := i, position[a.unknowns[y]]
				if lo > hi {
					lo, hi = hi, lo
				}
				raw.Data[lo*raw.Stride+hi-lo] += slope * other
			}
		}
	}
}

// factor adds damping to the diagonal and factors by Cholesky's method on the
// band. It goes under mat.BandCholesky, which would estimate the condition
// number each time at the price of several solutions. Nothing can stop a
// factorization under way: a long one is left to end by itself when the context
// does.
// It takes some n·k² operations for n unknowns and bandwidth k, and a copy of n·(k+1)
// numbers.
func (q *normalEquations) factor(ctx context.Context, damping float64) (blas64.TriangularBand, bool) {
	// The matrix is kept for other dampings; its copy is factored in place.
	raw := q.matrix.RawSymBand()
	raw.Data = append([]float64(nil), raw.Data...)
	for i := range raw.N {
		raw.Data[i*raw.Stride] += damping
	}
	if raw.N*raw.K*raw.K < longFactorization {
		return lapack64.Pbtrf(raw)
	}
	type result struct {
		factor blas64.TriangularBand
		ok     bool
	}
	done := make(chan result, 1)
	go func() {
		factor, ok := lapack64.Pbtrf(raw)
		done <- result{factor, ok}
	}()
	select {
	case r := <-done:
		return r.factor, r.ok
	case <-ctx.Done():
		return blas64.TriangularBand{}, false
	}
}

// solve gives the damped step, by place in the system; ok is false when the
// matrix is not positive definite or the context has ended.
// After the factorization it takes some 4·n·k operations.
func (q *normalEquations) solve(ctx context.Context, damping float64) ([]float64, bool) {
	factor, ok := q.factor(ctx, damping)
	if !ok {
		return nil, false
	}
	x := append([]float64(nil), q.right...)
	lapack64.Pbtrs(factor, blas64.General{Rows: len(x), Cols: 1, Stride: 1, Data: x})
	return x, true
}

// minimize lowers the residuals by the Levenberg–Marquardt method, damped in
// proportion to the residual so that it ends quadratically even where a motion
// stays free, until only rounding is left. It returns the largest gap left, in mm.
//
// A step δ solves (JᵀJ + λI)·δ = −Jᵀr with λ = top·(ridge + 0.01·f·min(1, |r|)), top
// the largest entry of the diagonal and f a factor that falls to an eighth after a
// step that lowers the cost and grows eightfold after one that does not. That
// damping in proportion to |r| converges quadratically next to a solution that is
// not isolated (J. Fan, Y. Yuan, Computing 74 (2005) 23–39, from memory). The cost
// never rises. What it finds is a local minimum; that it is the one near the start,
// or has no gap, is not guaranteed.
func (s *configuration) minimize(g *system, cons []*constraint, in coordinates) float64 {
	factor, stalls := 1.0, 0
	for range maxIterations {
		if s.stopped() {
			return math.Inf(1)
		}
		q := s.normals(g, cons, in)
		if q.cost <= home || q.top == 0 {
			break
		}
		// The damping is proportional to |r|, so it vanishes with the residual and
		// the last steps are Newton's. It is raised until the cost falls.
		atRounding := q.cost <= rounding*float64(q.rows)
		old, cost, moved := s.values(g), q.cost, 0.0
		for try := 0; try < maxDampings && !(cost < q.cost) && !s.stopped(); try++ {
			step, ok := q.solve(s.ctx, ridge*q.top+factor*math.Min(1, math.Sqrt(2*q.cost))*q.top*1e-2)
			if ok {
				moved = s.step(g, old, step, in)
				cost = s.cost(cons)
			}
			if cost < q.cost {
				factor = math.Max(factor/8, 1e-6)
				break
			}
			s.restore(g, old)
			factor *= 8
			if atRounding {
				break
			}
		}
		if !(cost < q.cost) || moved < smallest || atRounding && cost > q.cost/2 {
			break
		}
		// A search that crawls ends before its iterations do.
		if stalls++; cost < (1-leastGain)*q.cost {
			stalls = 0
		}
		if stalls > mostStalls {
			break
		}
	}
	return s.worst(cons)
}

// step moves the unknowns from old, none by more than a third of a right angle
// (or, in logarithms, by more than a factor e), and returns its largest part.
// By range, |v| becomes π·g/(π − |v| + g) with g = |v|·eᵈ. The result is in the units
// of the coordinates: radians, or a natural logarithm.
func (s *configuration) step(g *system, old, step []float64, in coordinates) float64 {
	limit := math.Pi / 6
	if in != byAngle {
		limit = 1
	}
	// Linearization holds for turns well under a right angle.
	largest := 0.0
	for _, d := range step {
		largest = math.Max(largest, math.Abs(d))
	}
	// A longer step is shortened as a whole, which keeps its direction.
	k := 1.0
	if largest > limit {
		k = limit / largest
	}
	for i, u := range g.unknowns {
		// The product is rounded first: fused, it would differ between processors.
		d := float64(k * step[i])
		switch in {
		case byAngle:
			s.value[u] = old[i] + d
		case byLogarithm:
			s.value[u] = old[i] * exp(d)
		case byRange:
			// The ratio of size to what is left of a half turn grows by a factor.
			grown := float64(math.Abs(old[i]) * exp(d))
			s.value[u] = math.Copysign(math.Pi*grown/(math.Pi-math.Abs(old[i])+grown), old[i])
		}
	}
	return k * largest
}

// exp is e^x for |x| ≤ 2, with the same bits on every processor; math.Exp differs
// in the last one. With y = x/8 the series of e^y is cut behind y^14/14!, where
// what is left is below 1e-21; three squarings give (e^y)^8, each doubling the
// relative error, which ends below 5e-15.
func exp(x float64) float64 {
	y, sum := x/8, 1.0
	for n := 14.0; n > 0; n-- {
		sum = 1 + y*sum/n // a quotient is rounded before it is added
	}
	for range 3 {
		sum *= sum
	}
	return sum
}
