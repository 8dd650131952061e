package scene

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// Law: right, up and toward are unit vectors square to one another,
// right-handed, and up never leans down.
func TestLookIsAFrame(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 200 {
		v := Look(720*rng.Float64()-360, 180*rng.Float64()-90)
		if d := v.Right.Cross(v.Up).Sub(v.Toward).Len(); d > 1e-12 {
			t.Fatalf("right × up is %g off toward", d)
		}
		if !near(v.Up.Len(), 1, 1e-12) || !near(v.Right.Len(), 1, 1e-12) || v.Up.Y < 0 {
			t.Fatalf("%+v", v)
		}
	}
}

// The usual view shows the outside of the root panel, the right side and the
// top; the other view looks from exactly the other side.
func TestUsualViews(t *testing.T) {
	f, b := Front(), Behind()
	if f.Toward.X <= 0 || f.Toward.Y <= 0 || f.Toward.Z <= 0 {
		t.Errorf("the front view looks from %v", f.Toward)
	}
	if d := f.Toward.Add(b.Toward).Len(); d > 1e-12 {
		t.Errorf("the views are %g off opposite", d)
	}
}

// No panel folded by a common angle off an upright or level edge of the root is
// seen near its edge, nor is a face of a prism on three, four, six or twelve
// sides.
func TestUsualViewSeesNothingEdgeOn(t *testing.T) {
	v, root := Front(), geom.Point3{Z: 1}
	see := func(axis geom.Point3, fold float64) {
		n := geom.RotationAbout(geom.Point3{}, axis, geom.Degrees(fold).Angle()).ApplyDir(root)
		if c := math.Abs(n.Dot(v.Toward)); c < 1.0/12 {
			t.Errorf("folded by %g° about %v: a panel shows %.3f of its size", fold, axis, c)
		}
	}
	for _, fold := range []float64{0, 30, 45, 60, 90, 120} {
		for _, sign := range []float64{1, -1} {
			see(geom.Point3{X: 1}, sign*fold)
			see(geom.Point3{Y: 1}, sign*fold)
		}
	}
	for turn := 0.0; turn < 360; turn += 30 {
		axis := geom.Rotation(geom.Degrees(turn).Angle(), geom.Point{}).ApplyDir(geom.Pt(1, 0)).Space()
		see(axis, 90)
	}
}

// Law: depth and picture together say where a place is.
func TestLiftUndoesProject(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for range 100 {
		v := Look(360*rng.Float64(), 90*rng.Float64())
		p := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
		if d := v.unproject(v.Project(p), v.depth(p)).Dist(p); d > 1e-12 {
			t.Fatalf("%g off", d)
		}
	}
}

// isometric looks along a cube's diagonal: ISO 5456-3, isometric axonometry.
// The elevation is atan(1/√2).
func isometric() View {
	return Look(45, float64(geom.Radians(math.Atan(math.Sqrt(0.5))).Degrees()))
}

// A cube in isometric axonometry (ISO 5456-3): all edges appear at √(2/3) =
// 0.816 of their length, so each of three faces is a rhombus of 1/√3 of its
// area, and the outline is a regular hexagon.
func TestIsometricCube(t *testing.T) {
	const side = 20
	p := pictured(folded(t, cube(side, "b a right", "c b right", "d c right", "e a top", "f a bottom"), "closed"), isometric())
	if len(p.Faces) != 3 {
		t.Fatalf("%d faces show", len(p.Faces))
	}
	for _, f := range p.Faces {
		if a := faceArea(f); !near(a, side*side/math.Sqrt(3), 1e-6) || f.Side != Outside {
			t.Errorf("panel %q shows %g mm²", f.Panel.Name, a)
		}
		for _, r := range f.Rings {
			for i, q := range r {
				if d := q.Dist(r[(i+1)%len(r)]); !near(d, side*math.Sqrt(2.0/3), 1e-6) {
					t.Errorf("an edge appears as %g mm", d)
				}
			}
		}
	}
	if w := p.Bounds.Width(); !near(w, side*math.Sqrt2, 1e-9) {
		t.Errorf("the hexagon is %g mm wide", w)
	}
}

// Seen square to one of its faces a cube is a square, and the four faces seen
// from their edges vanish.
func TestCubeFromTheFront(t *testing.T) {
	p := pictured(folded(t, cube(20, "b a right", "c b top", "d c right", "e d top", "f e right"), "closed"), Look(0, 0))
	if len(p.Faces) != 1 || p.Faces[0].Panel.Name != "a" || !near(faceArea(p.Faces[0]), 400, 1e-9) {
		t.Errorf("%d faces, the first of %q", len(p.Faces), p.Faces[0].Panel.Name)
	}
	for _, l := range p.Lines {
		for _, q := range l.Points {
			if (geom.Box{Max: geom.Pt(20, 20)}).Grow(-1e-6).Contains(q) {
				t.Errorf("a line runs through %v, inside the square", q)
			}
		}
	}
}

// Of either pair of views one looks from exactly the other side; all panels of common shapes show at
// least a twelfth of their size.
func TestPairsOfViews(t *testing.T) {
	for i, pair := range [][2]View{{Front(), Behind()}, {Above(), Below()}} {
		for _, v := range pair {
			if d := v.Right.Cross(v.Up).Dist(v.Toward); d > 1e-12 {
				t.Errorf("pair %d: right × up is %g off", i, d)
			}
			for _, degrees := range []float64{0, 30, 45, 60, 90, 120} {
				s, c := geom.Degrees(degrees).Angle().SinCos()
				for _, n := range []geom.Point3{{X: s, Z: c}, {X: -s, Z: c}, {Y: s, Z: c}, {Y: -s, Z: c}} {
					if math.Abs(n.Dot(v.Toward)) < 1.0/12 {
						t.Errorf("pair %d: a panel facing %v is seen from its edge", i, n)
					}
				}
			}
		}
		if d := pair[0].Toward.Add(pair[1].Toward).Len(); d > 1e-12 {
			t.Errorf("pair %d does not look from opposite sides", i)
		}
	}
}

// A box without its lid shows much of its inside to who looks in, none from
// below, and either way no more than all.
func TestShareOfSides(t *testing.T) {
	in := folded(t, cube(20, "b a right", "c a left", "d a top", "e a bottom"), "closed")
	down, _, _ := set(in).Stand(in.Blank.Piece.Root, nil)
	for name, c := range map[string]struct {
		v         View
		low, high float64
	}{"in": {Above().Turn(down), 0.25, 1}, "below": {Below().Turn(down), 0, 0}, "front": {Front(), 0, 0}} {
		p := pictured(in, c.v)
		inside := p.Share(Inside)
		if inside < c.low || inside > c.high || !near(inside+p.Share(Outside), 1, 1e-12) {
			t.Errorf("%s: %g of it is inside, %g outside", name, inside, p.Share(Outside))
		}
	}
}

func faceArea(f Face) float64 {
	sum := 0.0
	for _, r := range f.Rings {
		p := r[len(r)-1]
		for _, q := range r {
			sum += p.Cross(q) / 2
			p = q
		}
	}
	return sum
}

// The light differs between the three faces of a box that show, most of all
// between top and side, and stays within its range.
func TestShadeTellsFacesApart(t *testing.T) {
	v := Front()
	front, right, top := v.shade(geom.Point3{Z: 1}), v.shade(geom.Point3{X: 1}), v.shade(geom.Point3{Y: 1})
	if !(top > front+0.1 && front > right+0.1 && right > 0.2 && top <= 1) {
		t.Errorf("front %.2f, right %.2f, top %.2f", front, right, top)
	}
}
