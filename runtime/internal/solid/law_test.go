package solid

import (
	"bytes"
	"context"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/internal/solid/solidtest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// folded lays the pieces of a design and folds them.
func folded(t testing.TB, d *model.Design) []*simulate.Piece {
	t.Helper()
	ctx := context.Background()
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, _, err := blank.Lay(ctx, p, d.Poses)
		if err != nil {
			t.Fatal(err)
		}
		blanks = append(blanks, b)
	}
	pieces, err := simulate.Run(ctx, d, blanks)
	if err != nil {
		t.Fatal(err)
	}
	return pieces
}

// design runs a script.
func design(t testing.TB, text string) *model.Design {
	t.Helper()
	store := source.NewStore(func(label string) ([]byte, error) {
		if lib, ok := stdlib.Text(label); ok {
			return lib, nil
		}
		return []byte(text), nil
	})
	d, faults := script.Run(context.Background(), store, "test.star", script.Options{Closed: simulate.Closed})
	if d == nil {
		t.Fatal(faults[0])
	}
	return d
}

// designs are the example scripts, those of the library that need no files beside them, and random hinge trees.
func designs(t testing.TB, try func(name string, d *model.Design, p *simulate.Piece)) {
	t.Helper()
	each := func(name string, d *model.Design) {
		for _, p := range folded(t, d) {
			try(name, d, p)
		}
	}
	for _, pattern := range []string{"*.star", "library/*.star"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "..", "scripts", filepath.FromSlash(pattern)))
		if err != nil || len(files) == 0 {
			t.Fatal(err, files)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(text), `load("@`) && !strings.Contains(string(text), `load(":`) {
				each(filepath.Base(file), design(t, string(text)))
			}
		}
	}
	for seed := range int64(outsidetest.Times(t, 40, 500)) {
		rng := rand.New(rand.NewSource(seed))
		each("a random tree", modeltest.Tree(rng, 1+rng.Intn(24), geom.Identity()).Design)
	}
}

// triangles are those of a body.
func (b body) triangles() (out []solidtest.Triangle) {
	for _, part := range b {
		for _, t := range part.triangles {
			out = append(out, solidtest.Triangle{part.corners[t[0]], part.corners[t[1]], part.corners[t[2]]})
		}
	}
	return out
}

// Law: on every panel the triangles tile its area, and its plate is a closed surface that bounds its area times the
// caliper, with normals that lie on the outer side.
func TestPlates(t *testing.T) {
	plates := 0
	designs(t, func(name string, _ *model.Design, p *simulate.Piece) {
		caliper := p.Piece.Board.Caliper
		for _, r := range p.Blank.Regions {
			f, err := triangulate(context.Background(), r.Rings)
			if err != nil {
				t.Fatal(err)
			}
			if err := checkFacets(f, r.Rings); err != nil {
				t.Errorf("%s: panel %q: %v", name, r.Panel.Name, err)
			}
			b, err := plate(context.Background(), r, caliper, 0.02)
			if err != nil {
				t.Fatal(err)
			}
			plates++
			if _, err := solidtest.Closed(b.triangles()); err != nil {
				t.Errorf("%s: panel %q: %v", name, r.Panel.Name, err)
			}
			area := 0.0
			for _, loop := range f.loops {
				area += polygon.Area(f.places(loop))
			}
			if got, want := solidtest.Volume(b.triangles()), area*caliper; math.Abs(got-want) > 1e-7*(want+1) {
				t.Errorf("%s: panel %q: %v mm³, want %v", name, r.Panel.Name, got, want)
			}
			checkNormals(t, b)
		}
	})
	if plates < 300 {
		t.Errorf("only %d plates", plates)
	}
}

// checkNormals asks that every triangle faces the way of its corners' normals.
func checkNormals(t *testing.T, b body) {
	t.Helper()
	for _, part := range b {
		for _, tr := range part.triangles {
			p := part.corners[tr[0]]
			n := part.corners[tr[1]].Sub(p).Cross(part.corners[tr[2]].Sub(p))
			if n.Len() < 1e-6 {
				continue // a splinter, which moving it to the panel's frame may turn over
			}
			n = n.Unit()
			for _, k := range tr {
				if n.Dot(part.normals[k]) < 1-1e-6 {
					t.Fatalf("a triangle faces %v, its corner %v", n, part.normals[k])
				}
			}
		}
	}
}

// Law: products are closed and as large as the contents, a cylinder but for what chords cut off.
func TestPrisms(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for range 50 {
		size := [3]float64{1 + 90*rng.Float64(), 1 + 90*rng.Float64(), 1 + 90*rng.Float64()}
		round := rng.Intn(2) == 0
		want, slack := size[0]*size[1]*size[2], 1e-9
		if round {
			size[1] = size[0]
			want = math.Pi / 4 * size[0] * size[0] * size[2]
			slack = 4 * flatness / size[0]
		}
		b := prism(size, round)
		if apart, err := solidtest.Closed(b.triangles()); err != nil || apart > 0 {
			t.Errorf("%v: %v, %d", size, err, apart)
		}
		if got := solidtest.Volume(b.triangles()); math.Abs(got-want) > slack*want {
			t.Errorf("%v: %v mm³, want %v", size, got, want)
		}
		checkNormals(t, b)
	}
}

// millimetres of what nodes stand at, against a place of the model in the standing root's frame.
func offBy(node, root solidtest.Affine, p geom.Point3, want geom.Point3) float64 {
	return node.Apply(p.Mul(metre)).Dist(root.Apply(want.Mul(metre))) / metre
}

// Law: every panel with a place in the closed pose has its node, and no other. At rest and at the end of
// "closed" its corners stand where the closed pose has them, at the end of any other animation where that
// pose has them, to a thousandth of a millimetre, and every node's mesh is closed; at the start all lie in the plane of the flat blank. In the
// middle between two keys no corner is further than strayLimit from where it was solved to be, unless the keys
// are as near as keys come.
func TestGLBFollowsTheFold(t *testing.T) {
	const near = 1e-3 // mm
	animations, jumps, keys := 0, 0, 0
	designs(t, func(name string, d *model.Design, p *simulate.Piece) {
		data, err := GLB(context.Background(), d, p)
		if err != nil {
			t.Fatal(err)
		}
		g, err := solidtest.ReadGLB(data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, n := range g.Nodes {
			if _, err := solidtest.Closed(n.Triangles()); err != nil {
				t.Errorf("%s: node %q: %v", name, n.Name, err)
			}
		}
		closed := p.State(model.PoseClosed)
		nodes := map[int]int{}
		for i, panel := range p.Piece.Panels {
			switch n := g.Node(panel.Name, true); {
			case n >= 0:
				nodes[i] = n
			case closed.Placements[i].OK && len(p.Blank.Regions[i].Rings) > 0:
				t.Errorf("%s: panel %q has no node", name, panel.Name)
			}
		}
		worst := func(at []solidtest.Affine, place func(i int, q geom.Point) geom.Point3) (most float64) {
			for i, n := range nodes {
				for _, e := range p.Piece.Panels[i].Outline.Edges {
					q := e.Curve.P
					most = max(most, offBy(at[n], at[0], q.Space(), place(i, q)))
				}
			}
			return most
		}
		in := func(places []simulate.Placement) func(int, geom.Point) geom.Point3 {
			return func(i int, q geom.Point) geom.Point3 { return places[i].Apply(q.Space()) }
		}
		flat := func(i int, q geom.Point) geom.Point3 { return p.Piece.Panels[i].Flat.Apply(q).Space() }
		if !closed.Placements[0].OK {
			if off := worst(g.At(nil, 0), flat); off > near || len(g.Animations) > 0 {
				t.Errorf("%s: lies %v mm off flat", name, off)
			}
			return
		}
		if off := worst(g.At(nil, 0), in(closed.Placements)); off > near {
			t.Errorf("%s: at rest corners are off by %v mm", name, off)
		}
		for k := range g.Animations {
			a := &g.Animations[k]
			s := p.State(a.Name)
			animations++
			if k == 0 && !s.Closed() {
				t.Errorf("%s: the first animation is %q", name, a.Name)
			}
			times := a.Channels[0].Times
			keys += len(times)
			if off := worst(g.At(a, times[len(times)-1]), in(s.Placements)); off > near {
				t.Errorf("%s: %q ends off by %v mm", name, a.Name, off)
			}
			if off := worst(g.At(a, 0), flat); off > near {
				t.Errorf("%s: %q begins off by %v mm", name, a.Name, off)
			}
			for j := 1; j < len(times)-1; j++ {
				share := (times[j-1] + times[j]) / 2 / foldTime
				places, _, err := s.Along(context.Background(), share)
				if err != nil {
					t.Fatal(err)
				}
				if off := worst(g.At(a, share*foldTime), in(places)); off > strayLimit+near {
					jumps++
					if times[j]-times[j-1] > 1.001*foldTime/finestKeys {
						t.Errorf("%s: %q is off by %v mm at %v", name, a.Name, off, share)
					}
				}
			}
		}
	})
	t.Logf("%d animations, %d keys, %d jumps", animations, keys, jumps)
	if animations < 30 {
		t.Errorf("only %d animations", animations)
	}
}

// Law: the closed piece is a closed surface of the boards' volumes that rests on z = 0 in the positive octant.
func TestSTL(t *testing.T) {
	designs(t, func(name string, d *model.Design, p *simulate.Piece) {
		data, err := STL(context.Background(), d, p)
		if err != nil {
			t.Fatal(err)
		}
		all, err := solidtest.ReadSTL(data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !bytes.HasPrefix(data, []byte(STLHead)) {
			t.Errorf("%s: it begins with %q", name, data[:80])
		}
		if _, err := solidtest.Closed(all); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		want, length := 0.0, 0.0
		closed := p.State(model.PoseClosed)
		for i, r := range p.Blank.Regions {
			if closed.Placements[0].OK && !closed.Placements[i].OK {
				continue
			}
			want += r.Area * p.Piece.Board.Caliper
			for _, ring := range r.Rings {
				for _, c := range ring {
					length += c.Length()
				}
			}
		}
		if got := solidtest.Volume(all); math.Abs(got-want) > flatness*length*p.Piece.Board.Caliper+1e-4*want {
			t.Errorf("%s: %v mm³, want %v", name, got, want)
		}
		low := geom.Point3{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		for _, tr := range all {
			for _, c := range tr {
				low = geom.Point3{X: min(low.X, c.X), Y: min(low.Y, c.Y), Z: min(low.Z, c.Z)}
			}
		}
		if low.Len() > 1e-6 {
			t.Errorf("%s: its lowest corner is %v", name, low)
		}
	})
}

// Both files stop wherever their context ends.
func TestSolidsStop(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		t.Fatal(err)
	}
	d := design(t, string(text))
	p := folded(t, d)[0]
	for name, write := range map[string]func(context.Context, *model.Design, *simulate.Piece) ([]byte, error){"glb": GLB, "stl": STL} {
		t.Run(name, func(t *testing.T) {
			canceltest.Stops(t, func(ctx context.Context) error {
				_, err := write(ctx, d, p)
				return err
			})
		})
	}
}
