package scene

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// folded runs a script and folds its first piece to a pose.
func folded(t testing.TB, text, pose string) Input {
	t.Helper()
	store := source.NewStore(func(label string) ([]byte, error) {
		if lib, ok := stdlib.Text(label); ok {
			return lib, nil
		}
		return []byte(text), nil
	})
	d, found := script.Run(context.Background(), store, "pose.star", script.Options{})
	if d == nil {
		t.Fatalf("the script does not run: %v", found[0])
	}
	b, _, err := blank.Lay(context.Background(), d.Pieces[0], d.Poses)
	if err != nil {
		t.Fatal(err)
	}
	folded, err := fold.Fold(context.Background(), d.Pieces[0], d.Poses)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range folded.Poses {
		if p.Pose.Name == pose {
			return Input{Blank: b, Pose: p}
		}
	}
	t.Fatalf("no pose %q", pose)
	return Input{}
}

// example is one of the example scripts.
func example(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "scripts", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// loose stands panels up by hand, without hinges between them: each is drawn
// where its frame is and placed by its motion.
func loose(shapes []blank.Ring, places []geom.RigidTransform) Input {
	piece := &model.Piece{Name: "loose", Board: &board.Board{Name: "card", Kind: board.Card, Caliper: 0.4}}
	b := &blank.Blank{Piece: piece, Bounds: geom.EmptyBox()}
	pose := &fold.Pose{Pose: &model.Pose{Name: model.PoseClosed}}
	for i, r := range shapes {
		p := &model.Panel{Name: fmt.Sprint("p", i), Index: i, Piece: piece, Flat: geom.Identity()}
		piece.Panels = append(piece.Panels, p)
		b.Regions = append(b.Regions, blank.Region{Panel: p, Rings: []blank.Ring{r}})
		for _, c := range r {
			b.Bounds = b.Bounds.Union(c.Bounds())
		}
		pose.Place = append(pose.Place, fold.Placement{RigidTransform: places[i], OK: true})
	}
	return Input{Blank: b, Pose: pose}
}

// rectangle is a ring centred on the origin.
func rectangle(w, h float64) blank.Ring {
	return chain(geom.Pt(-w/2, -h/2), geom.Pt(w/2, -h/2), geom.Pt(w/2, h/2), geom.Pt(-w/2, h/2))
}

func chain(pts ...geom.Point) blank.Ring {
	var r blank.Ring
	for i, p := range pts {
		r = append(r, geom.LineFrom(p, pts[(i+1)%len(pts)]))
	}
	return r
}

// namedPose is a pose that many tests look at.
type namedPose struct {
	name string
	in   Input
}

// standing are boxes open and closed, panels that pierce and panels that overlap
// in a ring, and a folded sheet.
func standing(t testing.TB) []namedPose {
	pierced := piercing()
	pierced.Piercing = [][2]int{{0, 1}, {0, 2}, {1, 2}}
	return []namedPose{
		{"cube-cross", folded(t, cube(20, "b a right", "c b right", "d c right", "e a top", "f a bottom"), "closed")},
		{"cube-stairs", folded(t, cube(20, "b a right", "c b top", "d c right", "e d top", "f e right"), "closed")},
		{"strips", ringOfStrips()},
		{"piercing", pierced},
		{"window", folded(t, window, "closed")},
		{"window-ajar", folded(t, window, "ajar")},
		{"tray", folded(t, tray, "closed")},
		{"tray-half-open", folded(t, tray, "half open")},
		{"wallet", folded(t, wallet, "closed")},
		{"prism", folded(t, prism, "closed")},
		{"sheet", folded(t, miura(2), "closed")},
	}
}

// poses are those and every example, closed, and one pressed flat.
func poses(t testing.TB) []namedPose {
	out := standing(t)
	for _, name := range []string{"tea-carton", "mug-carton", "candle-box", "seed-envelope", "soap-sleeve"} {
		out = append(out, namedPose{name, folded(t, example(t, name+".star"), "closed")})
	}
	return append(out, namedPose{"shipped", folded(t, example(t, "tea-carton.star"), "shipped")})
}

// ringOfStrips is three long strips, each over the next and under the one
// before.
func ringOfStrips() Input {
	var places []geom.RigidTransform
	shapes := []blank.Ring{rectangle(100, 14), rectangle(100, 14), rectangle(100, 14)}
	for i := range shapes {
		turn := geom.Degrees(120 * float64(i)).Angle().Radians()
		tilt := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(12).Angle())
		off := geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{Y: 22}}
		places = append(places, tilt.Then(off).Then(geom.RotationAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Radians(turn))))
	}
	return loose(shapes, places)
}

// piercing is two panels crossing at an angle, one with a corner only.
func piercing() Input {
	return loose([]blank.Ring{rectangle(80, 60), rectangle(70, 50), rectangle(30, 30)}, []geom.RigidTransform{
		geom.Identity3(),
		geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1, Y: 0.3}, geom.Degrees(65).Angle()),
		geom.RotationAbout(geom.Point3{X: 40, Y: 40, Z: 10}, geom.Point3{X: 1, Y: -1}, geom.Degrees(50).Angle()),
	})
}

// tangle is n random triangles and rectangles anywhere in a ball.
func tangle(rng *rand.Rand, n int) Input {
	var shapes []blank.Ring
	var places []geom.RigidTransform
	for range n {
		w, h := 10+40*rng.Float64(), 10+40*rng.Float64()
		shape := rectangle(w, h)
		if rng.Intn(2) == 0 {
			shape = chain(geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w/3, h))
		}
		m := anyTurn(rng)
		m.T = geom.Point3{X: 30 * rng.NormFloat64(), Y: 30 * rng.NormFloat64(), Z: 30 * rng.NormFloat64()}
		shapes, places = append(shapes, shape), append(places, m)
	}
	return loose(shapes, places)
}

func anyTurn(rng *rand.Rand) geom.RigidTransform {
	axis := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	return geom.RotationAbout(geom.Point3{}, axis, geom.Radians(2*math.Pi*rng.Float64()))
}

// cube is a script for a net of squares: each is "name parent edge".
func cube(side float64, net ...string) string {
	var s strings.Builder
	fmt.Fprintf(&s, "a = panel(\"a\", rect(%[1]g, %[1]g))\n", side)
	for _, n := range net {
		f := strings.Fields(n)
		fmt.Fprintf(&s, "%s = panel(%q, rect(%g, %g), on = %s.%s)\n", f[0], f[0], side, side, f[1], f[2])
	}
	return s.String() + "piece(\"cube\", a, board = board(\"card\", caliper = 0.4))\n"
}

// window is a box whose front has a round window and one across an edge.
const window = `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
c = panel("c", rect(60, 80), on = b.right)
d = panel("d", rect(40, 80), on = c.right)
bottom = panel("bottom", rect(60, 40), on = a.bottom)
a.cut(circle(36).shift(24, 52))
a.cut(rect(40, 18, round = 5).shift(40, 8))
piece("box", a, board = board("card", caliper = 0.4))
pose("ajar", {"b": 60, "c": 70, "bottom": -30})
`

// tray is a box open on top whose walls are lined with a second
// layer.
const tray = `
a = panel("a", rect(70, 50))
for side in ["right", "top", "left", "bottom"]:
    wall = panel(side, rect(50 if side in ["left", "right"] else 70, 25), on = a.edge(side), by = "bottom")
    flap(side + " lining", on = wall.top, depth = 22, inset = 1, fold = 180)
piece("tray", a, board = board("card", caliper = 0.4))
pose("half open", at = 0.6)
`

// wallet is a sheet folded in three with a flap whose tip is round.
const wallet = `
a = panel("a", rect(90, 50))
b = panel("b", rect(90, 46), on = a.bottom, fold = 180)
c = flap("c", on = a.top, depth = 20, round = 12, fold = 172)
d = flap("d", on = b.right, depth = 12, taper = 20, fold = 180)
piece("wallet", a, board = board("paper", caliper = 0.1, kind = "paper"))
`

// prism is a box on six sides without a lid.
const prism = `
floor = panel("floor", regular(6, 24))
for i in range(6):
    side = panel("side %d" % i, rect(24, 30 + 6 * i), on = floor.edge("e%d" % i), by = "bottom")
piece("prism", floor, board = board("card", caliper = 0.4))
`

// miura is the script of a folding sheet of n × n cells.
func miura(n int) string {
	return fmt.Sprintf(`
n, a, b, lean = %d, 10, 10, 5
high = a * sin(60)
grid = {}
rows = []
board_ = board("paper", caliper = 0.1, kind = "paper")
def point(i, j):
    return (i * b + (lean if j %% 2 else 0), j * high)
def facet(i, j):
    return polygon([point(i, j), point(i + 1, j), point(i + 1, j + 1), point(i, j + 1)], edges = ["s", "e", "n", "w"])
def side(i, j):
    return "out" if (i + j) %% 2 == 0 else "in"
for j in range(2 * n):
    for i in range(2 * n):
        name = "%%d.%%d" %% (i, j)
        if i == 0 and j == 0:
            grid[(i, j)] = panel(name, facet(i, j))
        elif i == 0:
            grid[(i, j)] = panel(name, facet(i, j), on = grid[(i, j - 1)].n, by = "s", fold = free(side(i, j - 1)))
        else:
            turn = 90 if (i, j) == (1, 0) else free("in" if i %% 2 else "out")
            grid[(i, j)] = panel(name, facet(i, j), on = grid[(i - 1, j)].e, by = "w", fold = turn)
            if j > 0:
                hinge(grid[(i, j - 1)].n, grid[(i, j)].s, fold = free(side(i, j - 1)))
piece("sheet", grid[(0, 0)], board = board_)
`, n)
}
