package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

const (
	// nullityCap bounds the count of missing folds; beyond it the number says no
	// more.
	nullityCap = 12
	// nullShare is the singular value, as a share of the Jacobian's longest
	// column, below which a direction is a motion: far under those of long folded
	// sheets (about one over the number of cells squared), far above rounding.
	nullShare = 1e-6
	// mostDense is the number of unknowns up to which the whole Jacobian is
	// factored; beyond it only its softest part is.
	mostDense = 48
	// softIterations of the inverse iteration leave nothing of stiff directions
	// in the soft part: each shrinks them by their stiffness over the ridge.
	softIterations = 3
)

// certainlyLoose reports whether a large system has so many more unknowns than
// equations that it need not be solved to say so: six for each loop, one for each
// direction that a join fixes.
// A count of equations: it is sufficient, not necessary, as equations may depend on
// one another.
func (g *system) certainlyLoose() bool {
	spare := len(g.unknowns) - 6*len(g.loops)
	for _, c := range g.joins {
		for _, t := range c.points {
			spare -= len(t.along)
		}
	}
	return len(g.unknowns) > mostDense && spare >= nullityCap
}

// nullity counts the independent ways in which a system could still move with
// some constraints held: the dimension of the Jacobian's null space, up to most.
// It is read off the singular values of J·X, where X is a basis of all
// directions, or of the softest ones when there are many.
//
// By tolerance, nullShare, and to the first order only: a motion of
// the first order that terms of higher order forbid is counted too.
func (s *configuration) nullity(g *system, cons []*constraint, most int) int {
	q := s.normals(g, cons, byAngle)
	x := s.softest(q, len(g.unknowns), most)
	switch {
	case q.rows == 0:
		return min(most, len(g.unknowns))
	case x == nil:
		return 0
	}
	// J·X row by row, padded with zeros where there are fewer equations than
	// columns, so that every column has a singular value.
	product := mat.NewDense(max(q.rows, x.RawMatrix().Cols), x.RawMatrix().Cols, nil)
	row := 0
	var a linearization
	for _, c := range cons {
		s.linearize(c, &a)
		n := len(a.unknowns)
		for r := range a.residual {
			out := product.RawRowView(row)
			for k, slope := range a.jacobian[r*n : (r+1)*n] {
				for j, v := range x.RawRowView(s.position[a.unknowns[k]]) {
					out[j] += slope * v
				}
			}
			row++
		}
	}
	var svd mat.SVD
	if !svd.Factorize(product, mat.SVDNone) {
		return 0 // the iteration of gonum does not fail to converge on finite numbers
	}
	// A motion leaves every residual as it is to the first order: its column of
	// J·X is as good as zero beside the longest column of J.
	count := 0
	for _, v := range svd.Values(nil) {
		if v <= nullShare*math.Sqrt(q.top) {
			count++
		}
	}
	return min(count, most)
}

// softest gives orthonormal columns that span the directions of least
// stiffness, at least `most` of them: all directions of a small system, else what
// inverse iteration on the normal equations leaves of a scatter. It gives nil
// when the context ends or the equations cannot be factored.
// The result has a row for each of the n unknowns, by place in the system, and n or
// min(n, most + 1) columns.
func (s *configuration) softest(q *normalEquations, n, most int) *mat.Dense {
	if n <= mostDense {
		x := mat.NewDense(n, n, nil)
		for i := range n {
			x.Set(i, i, 1)
		}
		return x
	}
	// A scatter without zeros has a part along every direction. One column more
	// than is counted keeps the last one counted apart from the stiff ones.
	columns := min(n, most+1)
	x := mat.NewDense(n, columns, nil)
	for i := range n {
		for j := range columns {
			sin, _ := geom.Radians(float64(i+1) * (1.7 + float64(j))).SinCos()
			x.Set(i, j, sin)
		}
	}
	// One factorization serves all iterations and columns.
	factor, ok := q.factor(s.ctx, ridge*q.top)
	for range softIterations {
		if !ok || s.stopped() {
			return nil
		}
		raw := x.RawMatrix()
		lapack64.Pbtrs(factor, raw)
		orthonormalize(raw)
	}
	return x
}

// orthonormalize replaces the columns of x by an orthonormal basis of their span,
// the first factor of x = Q·R. The first calls ask for the size of the workspace.
func orthonormalize(x blas64.General) {
	tau := make([]float64, x.Cols)
	work := make([]float64, 1)
	lapack64.Geqrf(x, tau, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Geqrf(x, tau, work, len(work))
	work = make([]float64, 1)
	lapack64.Orgqr(x, tau, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Orgqr(x, tau, work, len(work))
}
