package fold

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Numbers of the solver.
const (
	// closedTo is when a loop counts as closed, in mm: the contract's 1e-9.
	closedTo = 1e-9
	// maxSteps bounds one descent; quadratic convergence needs about six steps
	// and a singular end about thirty.
	maxSteps = 80
	// ridge keeps the normal equations solvable where a motion is left free, as
	// a share of their largest diagonal entry: far above rounding (1e-16), far
	// below any stiffness that matters.
	ridge = 1e-13
	// underway and home are the costs at which a descent may stop: on the way a
	// step lands close enough for the next one to start from (1e-7 of a loop's
	// size), at the end only rounding is left.
	underway = 1e-14
	home     = 1e-31
)

// normal is the pair of normal equations JᵀJ·δ = −Jᵀr in band form, and the
// cost ½|r|².
type normal struct {
	matrix *mat.SymBandDense
	right  []float64
	cost   float64
	top    float64 // largest diagonal entry
}

// normals assembles the equations. With logs, the unknowns are the logarithms
// of the folds' sizes, so no step can change a fold's sign.
func (s *state) normals(g *group, cons []*constraint, logs bool) *normal {
	n := len(g.vars)
	out := &normal{matrix: mat.NewSymBandDense(n, g.band, nil), right: make([]float64, n)}
	var a slopes
	for _, c := range cons {
		s.slopes(c, &a)
		s.scale(&a, logs)
		out.add(g, &a)
	}
	for i := range n {
		out.top = math.Max(out.top, out.matrix.At(i, i))
	}
	return out
}

// scale turns slopes into those by logarithms when asked, and takes out the
// unknowns that are held still.
func (s *state) scale(a *slopes, logs bool) {
	for k := range a.slope {
		switch x := &s.vars[a.vars[k%len(a.vars)]]; {
		case x.frozen:
			a.slope[k] = 0
		case logs:
			a.slope[k] *= x.value
		}
	}
}

// add books the rows of one constraint.
func (q *normal) add(g *group, a *slopes) {
	raw, n := q.matrix.RawSymBand(), len(a.vars)
	for r, residual := range a.residual {
		q.cost += residual * residual / 2
		row := a.slope[r*n : (r+1)*n]
		for x, slope := range row {
			i := g.pos[a.vars[x]]
			q.right[i] -= slope * residual
			for y, other := range row[:x+1] {
				lo, hi := i, g.pos[a.vars[y]]
				if lo > hi {
					lo, hi = hi, lo
				}
				raw.Data[lo*raw.Stride+hi-lo] += slope * other
			}
		}
	}
}

// solve adds damping to the diagonal and solves for the step by Cholesky's
// method on the band. It goes under mat.BandCholesky, which would estimate the
// condition number each time at the price of several solutions.
func (q *normal) solve(damping float64) ([]float64, bool) {
	raw := q.matrix.RawSymBand()
	raw.Data = append([]float64(nil), raw.Data...)
	for i := range raw.N {
		raw.Data[i*raw.Stride] += damping
	}
	factor, ok := lapack64.Pbtrf(raw)
	if !ok {
		return nil, false
	}
	x := append([]float64(nil), q.right...)
	lapack64.Pbtrs(factor, blas64.General{Rows: raw.N, Cols: 1, Stride: 1, Data: x})
	return x, true
}

// values and restore save and put back a group's unknowns.
func (s *state) values(g *group) []float64 {
	out := make([]float64, len(g.vars))
	for i, v := range g.vars {
		out[i] = s.vars[v].value
	}
	return out
}

func (s *state) restore(g *group, values []float64) {
	for i, v := range g.vars {
		s.vars[v].value = values[i]
	}
}

func (s *state) cost(cons []*constraint) float64 {
	var r []float64
	sum := 0.0
	for _, c := range cons {
		r = s.residual(c, r[:0])
		for _, x := range r {
			sum += x * x / 2
		}
	}
	return sum
}

// worst is the largest gap among the constraints, in mm.
func (s *state) worst(cons []*constraint) float64 {
	w := 0.0
	for _, c := range cons {
		w = math.Max(w, s.gap(c))
	}
	return w
}

// descend lowers the residuals by damped Newton steps (Levenberg–Marquardt,
// damped in proportion to the residual so that it ends quadratically even where
// a motion stays free) until the cost is down to the one given, and returns the
// largest gap left, in mm.
func (s *state) descend(g *group, cons []*constraint, logs bool, until float64) float64 {
	factor := 1.0
	for range maxSteps {
		if s.stopped() {
			return math.Inf(1)
		}
		q := s.normals(g, cons, logs)
		if q.cost <= until || q.top == 0 {
			break
		}
		old, moved := s.values(g), 0.0
		improved := false
		for try := 0; try < 12 && !improved && !s.stopped(); try++ {
			step, ok := q.solve(ridge*q.top + factor*math.Min(1, math.Sqrt(2*q.cost))*q.top*1e-2)
			if ok {
				moved = s.stride(g, old, step, logs)
				improved = s.cost(cons) < q.cost
			}
			if improved {
				factor = math.Max(factor/8, 1e-6)
			} else {
				s.restore(g, old)
				factor *= 8
			}
		}
		if !improved || moved < 1e-15 {
			break
		}
	}
	return s.worst(cons)
}

// stride takes a step from old, no fold by more than a third of a right angle
// (or, in logarithms, by more than a factor e), and returns its largest part.
func (s *state) stride(g *group, old, step []float64, logs bool) float64 {
	limit := math.Pi / 6
	if logs {
		limit = 1
	}
	largest := 0.0
	for _, d := range step {
		largest = math.Max(largest, math.Abs(d))
	}
	k := 1.0
	if largest > limit {
		k = limit / largest
	}
	for i, v := range g.vars {
		if logs {
			s.vars[v].value = old[i] * math.Exp(k*step[i])
		} else {
			s.vars[v].value = old[i] + k*step[i]
		}
	}
	return k * largest
}

// freedom counts the independent ways in which the group could still move with
// all its constraints held: null directions of the Jacobian, found by inverse
// iteration with deflation, up to most.
func (s *state) freedom(g *group, cons []*constraint, most int) int {
	q := s.normals(g, cons, false)
	n := len(g.vars)
	// A direction is null when its stiffness is below this share of the
	// stiffest: singular values below 1e-6, far under those of long folded
	// sheets (about one over the number of cells squared).
	const null = 1e-12
	var found [][]float64
	for len(found) < min(n, most) {
		x := make([]float64, n)
		for i := range x {
			x[i] = math.Sin(float64(i+1) * (1.7 + float64(len(found))))
		}
		soft := math.Inf(1)
		for range 4 {
			if s.stopped() {
				return len(found)
			}
			deflate(x, found)
			q.right = x
			y, ok := q.solve(ridge * q.top)
			if !ok {
				return len(found)
			}
			deflate(y, found)
			soft = q.stiffness(y)
			x = y
		}
		if soft > null*q.top {
			break
		}
		found = append(found, x)
	}
	return len(found)
}

// deflate takes the found directions out of x and scales it to length 1.
func deflate(x []float64, found [][]float64) {
	for _, f := range found {
		dot := 0.0
		for i := range x {
			dot += x[i] * f[i]
		}
		for i := range x {
			x[i] -= dot * f[i]
		}
	}
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	if sum > 0 {
		k := 1 / math.Sqrt(sum)
		for i := range x {
			x[i] *= k
		}
	}
}

// stiffness is |J·x|² for a unit x.
func (q *normal) stiffness(x []float64) float64 {
	n, k := q.matrix.SymBand()
	sum := 0.0
	for i := range n {
		sum += q.matrix.At(i, i) * x[i] * x[i]
		for j := i + 1; j <= min(n-1, i+k); j++ {
			sum += 2 * q.matrix.At(i, j) * x[i] * x[j]
		}
	}
	return sum
}
