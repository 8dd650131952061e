package fold

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// surface is a polyhedral surface by its corners, in mm, and its faces, each
// counter-clockwise seen from outside. It need not be closed or convex.
type surface struct {
	corners []geom.Point3
	faces   [][]int
}

// normal is the outward direction of a face.
func (s *surface) normal(f int) geom.Point3 {
	a := s.faces[f]
	o := s.corners[a[0]]
	return s.corners[a[1]].Sub(o).Cross(s.corners[a[2]].Sub(o)).Unit()
}

// seam is an edge where two faces meet: edge i of face a and edge k of face b, run
// through in opposite directions, with the fold between them in degrees, positive
// where the surface is convex.
type seam struct {
	a, i, b, k int
	fold       float64
}

func (s *surface) seams() []seam {
	var out []seam
	for a, f := range s.faces {
		for b := a + 1; b < len(s.faces); b++ {
			g := s.faces[b]
			for i := range f {
				for k := range g {
					p, q := f[i], f[(i+1)%len(f)]
					if q == g[k] && p == g[(k+1)%len(g)] {
						n, m := s.normal(a), s.normal(b)
						along := s.corners[q].Sub(s.corners[p]).Unit()
						out = append(out, seam{a, i, b, k, math.Atan2(n.Cross(m).Dot(along), n.Dot(m)) * 180 / math.Pi})
					}
				}
			}
		}
	}
	return out
}

// flatten gives a face's corners in a frame of its own, its first edge along x.
func (s *surface) flatten(f int) string {
	a := s.faces[f]
	o := s.corners[a[0]]
	x := s.corners[a[1]].Sub(o).Unit()
	y := s.normal(f).Cross(x)
	var pts []string
	for _, c := range a {
		d := s.corners[c].Sub(o)
		pts = append(pts, fmt.Sprintf("(%.9f, %.9f)", d.Dot(x), d.Dot(y)))
	}
	return "polygon([" + strings.Join(pts, ", ") + "])"
}

// randomTree parts the seams into a random spanning tree, in order from face 0 and
// turned so that a is the parent, and the rest, which are cut.
func (s *surface) randomTree(rng *rand.Rand) (tree, cut []seam) {
	all := s.seams()
	in := map[int]bool{0: true}
	used := map[int]bool{}
	for {
		var can []int
		for n, e := range all {
			if in[e.a] != in[e.b] {
				can = append(can, n)
			}
		}
		if len(can) == 0 {
			break
		}
		n := can[rng.Intn(len(can))]
		e := all[n]
		if !in[e.a] {
			e.a, e.i, e.b, e.k = e.b, e.k, e.a, e.i
		}
		in[e.b], used[n] = true, true
		tree = append(tree, e)
	}
	for n, e := range all {
		if !used[n] {
			cut = append(cut, e)
		}
	}
	return tree, cut
}

// script writes the surface cut open along some seams: those of the tree are free
// folds on their known sides, the cut ones meet.
func (s *surface) script(tree, cut []seam) (text string, folds map[string]float64) {
	var b strings.Builder
	folds = map[string]float64{}
	name := func(f int) string {
		if f == 0 {
			return "root"
		}
		return fmt.Sprint("f", f)
	}
	fmt.Fprintf(&b, "root = panel(\"root\", %s)\n", s.flatten(0))
	for _, e := range tree {
		side := "in"
		if e.fold < 0 {
			side = "out"
		}
		fmt.Fprintf(&b, "f%d = panel(\"f%d\", %s, on = %s.e%d, by = \"e%d\", fold = free(%q))\n", e.b, e.b, s.flatten(e.b), name(e.a), e.i, e.k, side)
		folds[name(e.b)] = e.fold
	}
	for _, e := range cut {
		fmt.Fprintf(&b, "meet(%s.e%d, %s.e%d)\n", name(e.a), e.i, name(e.b), e.k)
	}
	return b.String(), folds
}

// scaled is a solid with edges of some length.
func (s *solid) scaled(edge float64) *surface {
	out := &surface{faces: s.faces}
	for _, c := range s.corners {
		out.corners = append(out.corners, c.Mul(edge))
	}
	return out
}

// tetrahedron has corners as given.
func tetrahedron(corners [4]geom.Point3) *surface {
	s := &surface{corners: corners[:], faces: [][]int{{0, 1, 2}, {1, 0, 3}, {2, 1, 3}, {0, 2, 3}}}
	if s.normal(0).Dot(corners[3].Sub(corners[0])) > 0 {
		for _, f := range s.faces {
			f[0], f[1] = f[1], f[0]
		}
	}
	return s
}

// storey is a storey of a twisted tower: a regular polygon at the bottom and, turned
// by twist radians, the rim of another above it, joined by a ring of triangles.
func storey(n int, radius, height, twist float64) *surface {
	return tower(n, radius, []float64{height}, []float64{twist})
}

// tower is twisted storeys on one another, each turned by its twist against the
// one below, with the bottom of the lowest.
func tower(n int, radius float64, heights, twists []float64) *surface {
	s := &surface{faces: [][]int{nil}}
	ring := func(high, turn float64) {
		for i := range n {
			a := 2*math.Pi*float64(i)/float64(n) + turn
			s.corners = append(s.corners, geom.Point3{X: radius * math.Cos(a), Y: radius * math.Sin(a), Z: high})
		}
	}
	high, turn := 0.0, 0.0
	ring(high, turn)
	for i := range n {
		s.faces[0] = append([]int{i}, s.faces[0]...)
	}
	for k := range heights {
		high, turn = high+heights[k], turn+twists[k]
		ring(high, turn)
		for i := range n {
			a, b := k*n+i, k*n+(i+1)%n
			s.faces = append(s.faces, []int{a, b, n + a}, []int{b, n + b, n + a})
		}
	}
	return s
}

// closedBy folds the surface cut open along some seams and wants every cut to have
// closed again, measured in space, and no fault.
func (s *surface) closedBy(t *testing.T, name string, tree, cut []seam) (f *folded, folds map[string]float64) {
	t.Helper()
	text, folds := s.script(tree, cut)
	f = foldScript(t, text)
	f.sound("closed")
	for _, e := range cut {
		a, b := f.edge("closed", e.a, e.i), f.edge("closed", e.b, e.k)
		if gap := max(a[0].Dist(b[1]), a[1].Dist(b[0])); gap > 1e-6 {
			t.Errorf("%s: a seam gapes by %g mm\n%s", name, gap, text)
		}
	}
	return f, folds
}

// edge is where the ends of edge i of face n stand.
func (f *folded) edge(pose string, n, i int) [2]geom.Point3 {
	for k, p := range f.piece.Panels {
		if p.Name == "root" && n == 0 || p.Name == fmt.Sprint("f", n) {
			e, at := p.Outline.Edges[i], f.poses[pose].Place[k]
			return [2]geom.Point3{at.Apply(e.P.Space()), at.Apply(e.Q.Space())}
		}
	}
	f.t.Fatalf("no face %d", n)
	return [2]geom.Point3{}
}

// A convex polyhedron is rigid (A. L. Cauchy 1813, from memory), so a net of it whose folds
// are all free and whose cuts all meet folds to the dihedral angles: nets of
// the regular and of random tetrahedra, of cubes and octahedra, by random trees.
func TestConvexNetsFoldByMeets(t *testing.T) {
	rng := rand.New(rand.NewSource(20))
	regular := solids()
	for n := range 60 {
		s := regular[0].scaled(40)
		switch {
		case n%6 == 4:
			s = regular[1].scaled(40)
		case n%6 == 5:
			s = regular[2].scaled(40)
		case n%2 == 1:
			var c [4]geom.Point3
			for volume := 0.0; volume < 4000; {
				for i := range c {
					c[i] = geom.Point3{X: 60 * rng.Float64(), Y: 60 * rng.Float64(), Z: 60 * rng.Float64()}
				}
				volume = math.Abs(c[1].Sub(c[0]).Cross(c[2].Sub(c[0])).Dot(c[3].Sub(c[0]))) / 6
			}
			s = tetrahedron(c)
		}
		tree, cut := s.randomTree(rng)
		f, folds := s.closedBy(t, fmt.Sprint("net ", n), tree, cut)
		f.wants("closed", folds)
	}
}

// Twisted storeys close by their meets, whichever tree of creases is left: a
// solution is known by construction. There may be a second one with the same
// sides, so that the folds themselves are not compared.
func TestTwistedStoreysClose(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	for n := range 24 {
		corners := 3 + n%6
		s := storey(corners, 30, 15+45*rng.Float64(), (2*rng.Float64()-1)*math.Pi/float64(corners))
		tree, cut := s.randomTree(rng)
		s.closedBy(t, fmt.Sprint("storey ", n), tree, cut)
	}
}

// Towers of two to five twisted storeys close by their meets round all corners
// between the storeys, whichever tree of creases is left.
func TestTowersClose(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	for n := range 24 {
		corners := 3 + n%6
		heights, twists := make([]float64, 2+n/6%4), make([]float64, 2+n/6%4)
		for k := range heights {
			heights[k], twists[k] = 15+45*rng.Float64(), (1.6*rng.Float64()-0.8)*math.Pi/float64(corners)
		}
		s := tower(corners, 30, heights, twists)
		tree, cut := s.randomTree(rng)
		s.closedBy(t, fmt.Sprint("tower ", n), tree, cut)
	}
}

// Tubes of widths p, q, p, q near flat, glued or met, q > p too: folds (θ, 180−θ,
// θ, 180−θ) from first principles. At both ends of the motion the tube can change
// to the crossed four-bar, whose folds lie on other sides.
func TestTubesNearFlat(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for n := range 120 {
		p, off := 20+30*rng.Float64(), math.Pow(10, 1.7-3.7*rng.Float64())
		q, theta := p*(0.6+1.4*rng.Float64()), off
		if n%2 == 0 {
			theta = 180 - off
		}
		seam := `tab("seam", on = left.right, depth = 12, to = root.left)`
		if n%3 == 0 {
			seam = "meet(left.right, root.left)"
		}
		f := foldScript(t, fmt.Sprintf(`
root = panel("root", rect(%.3f, 90))
right = panel("right", rect(%.3f, 90), on = root.right, fold = %.6f)
back = panel("back", rect(%[1]f, 90), on = right.right, fold = free("in"))
left = panel("left", rect(%[2]f, 90), on = back.right, fold = free("in"))
%[4]s
`, math.Round(p*1000)/1000, math.Round(q*1000)/1000, theta, seam))
		f.sound("closed")
		for hinge, want := range map[string]float64{"back": 180 - theta, "left": theta} {
			if got := f.angle("closed", hinge); !(math.Abs(got-want) < 1e-5) {
				t.Errorf("p = %.3f, q = %.3f, θ = %.6f: %q folds %.6f, want %.6f", p, q, theta, hinge, got, want)
			}
		}
	}
}

// A tab without a fold lies on its target whichever way that takes: a display and
// its mirror image through the board fold alike, with all signs exchanged.
func TestTabTakesTheTurnThatReaches(t *testing.T) {
	rng := rand.New(rand.NewSource(13))
	for range 20 {
		deep, high, far := 30+20*rng.Float64(), 20+20*rng.Float64(), 14.0
		var turn [2]float64
		for k, s := range []float64{90, -90} {
			f := foldScript(t, fmt.Sprintf(`
root = panel("root", rect(100, 150))
shelf = panel("shelf", rect(100, %g), on = root.bottom, fold = %g)
lip = panel("lip", rect(100, %g), on = shelf.bottom, fold = %[2]g)
wing = flap("wing", on = lip.left, depth = %[1]g, fold = %[2]g)
tab("foot", on = wing.tip, depth = %[4]g, to = root)
`, deep, s, high, far))
			f.sound("closed")
			turn[k] = f.angle("closed", "foot")
			for i, p := range f.piece.Panels {
				if p.Name != "foot" {
					continue
				}
				for _, e := range p.Outline.Edges {
					q := f.poses["closed"].Place[i].Apply(e.P.Space())
					if math.Abs(q.Z) > 1e-9 || q.X < -1e-9 || q.X > 100+1e-9 {
						t.Errorf("a corner of the foot lies at %v", q)
					}
				}
			}
		}
		if math.Abs(turn[0]+turn[1]) > 1e-9 {
			t.Errorf("turns of %v", turn)
		}
	}
}
