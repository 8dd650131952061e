package contact

import (
	"context"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// caliper is the caliper of the board that most tests are made of.
const caliper = 0.5

// preamble begins every script of these tests.
const preamble = "card = board(\"card\", caliper = 0.5)\n"

// folded is one design of one piece, laid and folded to all its poses.
type folded struct {
	testing.TB
	design *model.Design
	blank  *blank.Blank
	boards *Boards
	poses  map[string]*Posed
}

// fromScript folds the piece that a script describes; card is made already.
func fromScript(t testing.TB, text string) *folded {
	t.Helper()
	return fromDesign(t, run(t, "test.star", scriptText(text)))
}

func scriptText(text string) source.Reader {
	return func(string) ([]byte, error) { return []byte(preamble + text), nil }
}

// fromExample folds one of the example designs.
func fromExample(t testing.TB, name string) *folded {
	t.Helper()
	return fromDesign(t, run(t, name, func(label string) ([]byte, error) {
		return os.ReadFile(filepath.Join("..", "..", "..", "scripts", filepath.FromSlash(label)))
	}))
}

// run gives the design that a script describes.
func run(t testing.TB, label string, read source.Reader) *model.Design {
	t.Helper()
	d, findings := script.Run(context.Background(), source.NewStore(read), label, script.Options{})
	if d == nil {
		t.Fatal(findings[0])
	}
	return d
}

func fromDesign(t testing.TB, d *model.Design) *folded {
	t.Helper()
	out := layOut(t, d)
	folded, err := fold.Fold(context.Background(), d.Pieces[0], d.Poses)
	if err != nil {
		t.Fatal(err)
	}
	for _, pose := range folded.Poses {
		if len(pose.Faults) > 0 {
			t.Fatalf("pose %s: %+v", pose.Pose.Name, pose.Faults[0])
		}
		out.poses[pose.Pose.Name] = posed(out.boards, pose)
	}
	return out
}

// boardsOf reads the board of a blank.
func boardsOf(t testing.TB, b *blank.Blank) *Boards {
	t.Helper()
	boards, err := New(context.Background(), b)
	if err != nil {
		t.Fatal(err)
	}
	return boards
}

// layOut lays a design out and leaves it flat.
func layOut(t testing.TB, d *model.Design) *folded {
	t.Helper()
	b, faults, _ := blank.Lay(context.Background(), d.Pieces[0], d.Poses)
	if len(faults) > 0 {
		t.Fatal(faults[0])
	}
	return &folded{t, d, b, boardsOf(t, b), map[string]*Posed{}}
}

// unfolded lays out what a script describes and leaves it flat.
func unfolded(t testing.TB, text string) *folded {
	t.Helper()
	return layOut(t, run(t, "test.star", scriptText(text)))
}

// bg is a context that nothing ends, as most tests need no other.
var bg = context.Background()

// must gives a value that is had without an error.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// posed places boards in a pose; nothing ends the context.
func posed(b *Boards, pose *fold.Pose) *Posed {
	return must(b.In(bg, pose))
}

// layerList lists the pairs of panels that lie on one another.
func (p *Posed) layerList() []Layer { return slices.Collect(p.Layers()) }

// closed is the piece's pose "closed".
func (f *folded) closed() *Posed { return f.poses[model.PoseClosed] }

// penetrationOf finds the touch of two panels by name.
func (p *Posed) penetrationOf(a, b string) (Penetration, bool) {
	for _, c := range p.Penetrations {
		if p.named(c.A, c.B, a, b) {
			return c, true
		}
	}
	return Penetration{}, false
}

// layerOf finds the layer of two panels by name.
func (p *Posed) layerOf(a, b string) (Layer, bool) {
	for c := range p.Layers() {
		if p.named(c.A, c.B, a, b) {
			return c, true
		}
	}
	return Layer{}, false
}

func (p *Posed) named(i, j int, a, b string) bool {
	m, n := p.Piece.Panels[i].Name, p.Piece.Panels[j].Name
	return m == a && n == b || m == b && n == a
}

// loose places boards of any shape anywhere: no hinge joins them. Loops are in
// the panels' own frames, the board on the left.
func loose(frames []geom.RigidTransform, shapes ...[][]geom.Point) *Posed {
	piece := &model.Piece{Board: &board.Board{Caliper: caliper}}
	b := &blank.Blank{Piece: piece}
	pose := &fold.Pose{Pose: &model.Pose{Name: model.PoseClosed, Glued: true}}
	for i, loops := range shapes {
		panel := &model.Panel{Index: i, Flat: geom.Identity(), Piece: piece, Outline: outlined(loops[0])}
		piece.Panels = append(piece.Panels, panel)
		sheet := blank.Region{Panel: panel}
		for _, loop := range loops {
			sheet.Rings = append(sheet.Rings, outlined(loop).Curves())
		}
		b.Regions = append(b.Regions, sheet)
		pose.Place = append(pose.Place, fold.Placement{RigidTransform: frames[i], OK: true})
	}
	boards, err := New(context.Background(), b)
	if err != nil {
		panic(err) // the context does not end
	}
	return posed(boards, pose)
}

func outlined(loop []geom.Point) geom.Path {
	p := geom.Path{Closed: true}
	for i, q := range loop {
		p.Edges = append(p.Edges, geom.Edge{Curve: geom.LineFrom(q, loop[(i+1)%len(loop)])})
	}
	return p
}

// rect is a board of one rectangle from (x, y).
func rect(x, y, w, h float64) [][]geom.Point {
	return [][]geom.Point{{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}}
}

// randomMotion turns anyhow and shifts by up to size on each axis.
func randomMotion(rng *rand.Rand, size float64) geom.RigidTransform {
	axis := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	m := geom.RotationAbout(geom.Point3{}, axis, geom.Radians(rng.Float64()*2*math.Pi))
	m.T = geom.Point3{X: rng.Float64() - 0.5, Y: rng.Float64() - 0.5, Z: rng.Float64() - 0.5}.Mul(2 * size)
	return m
}

// randomStar is a polygon of n corners round the origin, between the two radii.
func randomStar(rng *rand.Rand, n int, least, most float64) []geom.Point {
	out := make([]geom.Point, n)
	for i := range out {
		turn := (float64(i) + 0.8*rng.Float64()) * 2 * math.Pi / float64(n)
		out[i] = geom.Polar(least+(most-least)*rng.Float64(), geom.Radians(turn))
	}
	return out
}

// randomConvex is the hull of some random points.
func randomConvex(rng *rand.Rand, size float64) []geom.Point {
	pts := make([]geom.Point, 3+rng.Intn(8))
	for i := range pts {
		pts[i] = geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(2 * size)
	}
	return polygon.Hull([][]geom.Point{pts})
}

// randomBoard is a board of any sort: convex, star-shaped, or with a hole.
func randomBoard(rng *rand.Rand, size float64) [][]geom.Point {
	switch rng.Intn(3) {
	case 0:
		return [][]geom.Point{randomConvex(rng, size)}
	case 1:
		return [][]geom.Point{randomStar(rng, 5+rng.Intn(8), 0.2*size, size)}
	}
	hole := randomStar(rng, 4+rng.Intn(4), 0.1*size, 0.35*size)
	for i, j := 0, len(hole)-1; i < j; i, j = i+1, j-1 {
		hole[i], hole[j] = hole[j], hole[i]
	}
	return [][]geom.Point{randomStar(rng, 5+rng.Intn(8), 0.5*size, size), hole}
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.9g, want %.9g within %g", what, got, want, tol)
	}
}

func near3(t testing.TB, what string, got, want geom.Point3, tol float64) {
	t.Helper()
	if !(got.Dist(want) <= tol) {
		t.Errorf("%s is %+v, want %+v within %g", what, got, want, tol)
	}
}
