package fold

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// quadMesh is a grid of quads whose inner vertices have degree four and fold
// flat. Sectors, and so the folds, repeat every two columns and rows.
type quadMesh struct {
	columns, rows int
	at            func(i, j int) geom.Point
	// tangents of the half fold angles, by parity of column and row: along[i][j]
	// of the crease from vertex (i, j) to (i+1, j), up[i][j] of that to (i, j+1).
	along, up [2][2]float64
}

func (m *quadMesh) faces() [][]geom.Point {
	var out [][]geom.Point
	for j := range m.rows {
		for i := range m.columns {
			out = append(out, []geom.Point{m.at(i, j), m.at(i+1, j), m.at(i+1, j+1), m.at(i, j+1)})
		}
	}
	return out
}

// tangent is that of the crease between two faces.
func (m *quadMesh) tangent(a, b int) float64 {
	hi := max(a, b)
	i, j := hi%m.columns, hi/m.columns
	if a/m.columns == b/m.columns {
		return m.up[i%2][j%2]
	}
	return m.along[i%2][j%2]
}

// settle looks for folds of the mesh: a mode for each of the four kinds of
// vertices, so that what they ask of the creases between them agrees. Vertex
// (i, j) sees the creases along(i, j), up(i, j), along(i−1, j), up(i, j−1) in
// this order; the modes are those of D. A. Huffman, IEEE Trans. Comput. C-25
// (1976) 1010–1019, value from memory.
func (m *quadMesh) settle(rng *rand.Rand, first float64) bool {
	type choice struct{ along, up [2][2]float64 }
	var found []choice
	for modes := range 16 {
		var c choice
		c.along[0][0] = first
		ok := true
		for range 3 { // spread, then verify
			for v := range 4 {
				i, j := v%2, v/2
				crease := [4]*float64{&c.along[i][j], &c.up[i][j], &c.along[1-i][j], &c.up[i][1-j]}
				ok = m.vertex(i+2, j+2, modes>>v&1 == 1, crease) && ok
			}
		}
		if ok {
			found = append(found, c)
		}
	}
	if len(found) == 0 {
		return false
	}
	c := found[rng.Intn(len(found))]
	m.along, m.up = c.along, c.up
	return true
}

// vertex fills in the creases of a vertex that are 0 from one that is not, and
// reports whether the others agree.
func (m *quadMesh) vertex(i, j int, second bool, crease [4]*float64) bool {
	ends := [4]geom.Point{m.at(i+1, j), m.at(i, j+1), m.at(i-1, j), m.at(i, j-1)}
	var sector [4]float64
	for k := range ends {
		sector[k] = geom.AngleBetween(ends[k].Sub(m.at(i, j)), ends[(k+1)%4].Sub(m.at(i, j))).Radians()
	}
	for k := range crease {
		if *crease[k] == 0 {
			continue
		}
		a1, a2, t := sector[k], sector[(k+1)%4], *crease[k]
		want := [3]float64{-math.Cos((a1+a2)/2) / math.Cos((a1-a2)/2) * t, t, math.Cos((a1+a2)/2) / math.Cos((a1-a2)/2) * t}
		if second != (k%2 == 1) {
			r := math.Sin((a1+a2)/2) / math.Sin((a1-a2)/2) * t
			want = [3]float64{r, -t, r}
		}
		for n, w := range want {
			switch c := crease[(k+1+n)%4]; {
			case *c == 0:
				*c = w
			case math.Abs(*c-w) > 1e-9*(1+math.Abs(w)):
				return false
			}
		}
		return true
	}
	return true
}

// parallelograms is a random mesh of parallelograms: both families of lines
// zigzag between two directions, with steps of any length. Straight lines in one
// family make it a Miura sheet of uneven steps.
func parallelograms(rng *rand.Rand, columns, rows int) *quadMesh {
	a, lean := 0.5*rng.Float64(), 0.4*(rng.Float64()-0.5)
	b := math.Pi/2 + 0.25 + 0.5*rng.Float64()
	var x, y []geom.Point
	line := func(n int, even, odd float64) (out []geom.Point) {
		p := geom.Point{}
		for k := range n {
			out = append(out, p)
			turn := even
			if k%2 == 1 {
				turn = odd
			}
			p = p.Add(geom.Polar(8+8*rng.Float64(), geom.Radians(turn)))
		}
		return out
	}
	// Opposite sectors at a vertex add up to a half turn when the directions of
	// two steps in a row do so, up to a turn of the whole.
	x, y = line(columns+4, a, lean-a), line(rows+4, b, math.Pi+lean-b)
	return &quadMesh{columns: columns, rows: rows, at: func(i, j int) geom.Point { return x[i].Add(y[j]) }}
}

// cyclicQuads is a random mesh of one quad whose corners lie on a circle, and its
// half turns about the middles of its edges: all its vertices are alike.
func cyclicQuads(rng *rand.Rand, columns, rows int) *quadMesh {
	var q [4]geom.Point
	for k := range q {
		q[k] = geom.Polar(10, geom.Degrees(90*float64(k)+60*(rng.Float64()-0.5)).Angle())
	}
	right, up := q[1].Add(q[2]).Sub(q[3]).Sub(q[0]), q[3].Add(q[2]).Sub(q[1]).Sub(q[0])
	base := [2][2]geom.Point{{q[0], q[3]}, {q[1], q[2]}}
	return &quadMesh{columns: columns, rows: rows, at: func(i, j int) geom.Point {
		return base[i%2][j%2].Add(right.Mul(float64(i / 2))).Add(up.Mul(float64(j / 2)))
	}}
}

// randomMesh is a mesh that folds, with the fold of its crease (0, 1) along the
// first row.
func randomMesh(rng *rand.Rand, columns, rows int) *quadMesh {
	for {
		m := parallelograms(rng, columns, rows)
		if rng.Intn(2) == 0 {
			m = cyclicQuads(rng, columns, rows)
		}
		if m.settle(rng, math.Tan((20+150*rng.Float64())*math.Pi/360)) {
			return m
		}
	}
}

// folds gives the crease between faces 0 and 1 and asks for the others' sides.
func (m *quadMesh) folds(a, b int) model.Fold {
	tan := m.tangent(a, b)
	switch {
	case pair(a, b) == [2]int{0, 1}:
		return given(degreesOf(tan))
	case tan < 0:
		return free(model.Out)
	}
	return free(model.In)
}

func degreesOf(tangent float64) float64 { return 2 * math.Atan(tangent) * 180 / math.Pi }

// Law: random meshes of flat-foldable vertices fold to the angles of the closed
// form, found here by a search of their modes, on the asked sides, and close.
func TestQuadMeshes(t *testing.T) {
	rng := rand.New(rand.NewSource(31))
	for n := range 40 {
		m := randomMesh(rng, 2+rng.Intn(5), 2+rng.Intn(5))
		p := sheet(m.faces(), m.folds)
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("mesh %d, %d × %d: %+v", n, m.columns, m.rows, pose.Faults[0])
		}
		for i, h := range p.Hinges {
			want := degreesOf(m.tangent(h.Parent.Index, h.Child.Index))
			if got := pose.Angles[i]; !got.OK || math.Abs(float64(got.Degrees)-want) > 1e-9 {
				t.Fatalf("mesh %d: hinge %s folds %v, want %.12f", n, h.Name, got, want)
			}
		}
		if gap := widestHinge(p, pose); gap > 1e-9 {
			t.Errorf("mesh %d: a hinge gapes by %g", n, gap)
		}
	}
}

// Law: the closed form is what the continuation finds, to 1e-9 rad, and leaves no
// freedom. Where a fold is a tenth of its neighbour or less, the search near flat
// may miss it; those meshes are the closed form's alone.
func TestClosedFormIsTheContinuation(t *testing.T) {
	rng := rand.New(rand.NewSource(32))
	compared := 0
	for n := range 12 {
		m := randomMesh(rng, 2+rng.Intn(3), 2+rng.Intn(3))
		s, g := only(t, sheet(m.faces(), m.folds))
		if s.solveClosedForm(g) == nil {
			t.Fatalf("mesh %d has no closed form", n)
		}
		form := s.values(g)
		loose, closed, _ := s.follow(g)
		if !closed {
			continue
		}
		compared++
		if loose != 0 {
			t.Errorf("mesh %d: %d free", n, loose)
		}
		if s.changed(g, form, 1e-9) {
			t.Errorf("mesh %d: the closed form gives %v, the continuation %v", n, form, s.values(g))
		}
	}
	if compared < 8 {
		t.Errorf("only %d meshes compared", compared)
	}
}

// only is the one system of a piece in its closed pose.
func only(t testing.TB, p *model.Piece) (*configuration, *system) {
	t.Helper()
	ctx := context.Background()
	mech, err := newMechanism(ctx, p)
	if err != nil {
		t.Fatal(err)
	}
	s := newConfiguration(ctx, newProblem(ctx, mech, closedPose(), nil))
	if len(s.systems) != 1 {
		t.Fatalf("%d systems", len(s.systems))
	}
	return s, s.systems[0]
}

// Law: corners rounded to 0.001 mm leave a mesh that folds to nearly the same
// angles, closed as far as it can be.
func TestRoundedQuadMeshes(t *testing.T) {
	rng := rand.New(rand.NewSource(33))
	for n := range 12 {
		m := randomMesh(rng, 3, 3)
		exact := m.at
		m.at = func(i, j int) geom.Point {
			p := exact(i, j)
			return geom.Pt(math.Round(p.X*1e3)/1e3, math.Round(p.Y*1e3)/1e3)
		}
		p := sheet(m.faces(), m.folds)
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("mesh %d: %+v", n, pose.Faults[0])
		}
		if pose.motion.solutions[0].form == nil {
			t.Errorf("mesh %d: the closed form was not taken", n)
		}
		for i, h := range p.Hinges {
			want := degreesOf(m.tangent(h.Parent.Index, h.Child.Index))
			if got := pose.Angles[i]; math.Abs(float64(got.Degrees)-want) > 0.5 {
				t.Errorf("mesh %d: hinge %s folds %v, want %.3f", n, h.Name, got, want)
			}
		}
		if gap := widestHinge(p, pose); gap > OpenLimit {
			t.Errorf("mesh %d: a hinge gapes by %g", n, gap)
		}
	}
}

// Folded right over, every crease of a mesh is a half turn to the last digit, and
// with the given crease flat all are flat.
func TestQuadMeshEnds(t *testing.T) {
	rng := rand.New(rand.NewSource(34))
	for range 10 {
		m := randomMesh(rng, 4, 3)
		for _, deg := range []float64{180, 0} {
			end := math.Copysign(deg, m.tangent(0, 1))
			p := sheet(m.faces(), func(a, b int) model.Fold {
				if f := m.folds(a, b); f.Free != nil {
					return f
				}
				return given(end)
			})
			pose := foldClosed(t, p)
			for i, a := range pose.Angles {
				if !a.OK || float64(a.Degrees.Abs()) != deg {
					t.Errorf("hinge %s folds %v, want %v", p.Hinges[i].Name, a, deg)
				}
			}
		}
	}
}

// A mesh with a hole: the loop round it is verified by the folds that the
// vertices beside it give.
func TestMiuraWithAHole(t *testing.T) {
	faces := miura(3, 10, 10, 60)
	hole := 6*2 + 2
	kept := append(append([][]geom.Point(nil), faces[:hole]...), faces[hole+1:]...)
	number := func(a int) int {
		if a >= hole {
			return a + 1
		}
		return a
	}
	fold := miuraFolds(3, 90)
	p := sheet(kept, func(a, b int) model.Fold { return fold(number(a), number(b)) })
	s, g := only(t, p)
	if s.solveClosedForm(g) == nil {
		t.Fatal("no closed form")
	}
	pose := foldClosed(t, p)
	for _, f := range pose.Faults {
		t.Errorf("%+v", f)
	}
	for i, a := range pose.Angles {
		if w := float64(a.Degrees.Abs()); math.Abs(w-90) > 1e-6 && math.Abs(w-53.130102) > 1e-6 {
			t.Errorf("hinge %s folds %v", p.Hinges[i].Name, a)
		}
	}
}

func BenchmarkContinuation(b *testing.B) {
	for _, n := range []int{2, 5, 10} {
		s, g := only(b, sheet(miura(n, 10, 10, 60), miuraFolds(n, 90)))
		b.Run(fmt.Sprintf("%dx%d", n, n), func(b *testing.B) {
			for b.Loop() {
				s.follow(g)
			}
		})
	}
}
