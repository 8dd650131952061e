package model

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// posedAs is a ClosedPose that leaves panels where the blank has them, moved by
// motions by name; a panel with a nil motion has no place.
func posedAs(motions map[string]*geom.RigidTransform) ClosedPose {
	return func(_ context.Context, p *Piece) ([]Placement, error) {
		var out []Placement
		for _, q := range p.Panels {
			at := Placement{q.Flat.Space(), true}
			if m, ok := motions[q.Name]; ok && m == nil {
				at.OK = false
			} else if ok {
				at.RigidTransform = at.Then(*m)
			}
			out = append(out, at)
		}
		return out, nil
	}
}

// leaves is a front with two panels beside it, of board 0.5 mm thick.
func leaves() (b *Builder, front, left, right *Panel) {
	b, front = newFront()
	left = hung(b, "left", rect(60, 40), edge(b, front, "left"))
	right = hung(b, "right", rect(60, 40), edge(b, front, "right"))
	card := must(b.Board(at(2), BoardSpec{Name: "card", Caliper: 0.5}))
	must(b.Piece(at(3), PieceSpec{Name: "box", Root: front, Board: card, Copies: 1}))
	return b, front, left, right
}

// A call that is refused leaves the design as it was.
func TestThroughRefuses(t *testing.T) {
	b, front, left, right := leaves()
	other := must(b.Panel(at(4), PanelSpec{Name: "other", Outline: rect(60, 40)}))
	_, foreign := newFront()
	hole := rectAt(5, 5, 10, 10)
	slit := line(geom.Pt(5, 5), geom.Pt(20, 5))
	before := told(&b.design)
	refuse(t, []fault{
		{"itself", failed(b.Cut(at(99), front, hole, left, front)), `cut on panel "front": through names the panel itself`, "the panel is cut in any case; name the others"},
		{"twice", failed(b.Cut(at(99), front, hole, left, right, left)), `cut on panel "front": through names panel "left" twice`, "name it once"},
		{"nothing", failed(b.Cut(at(99), front, hole, nil)), `cut on panel "front": a panel of through is missing`, ""},
		{"another design's", failed(b.Slit(at(99), front, slit, left, foreign)), `cut on panel "front": a panel of through, panel "front", belongs to another design`, ""},
		{"another tree's", failed(b.Slit(at(99), front, slit, other)),
			`cut on panel "front": panel "front" hangs in the tree of "front" and panel "other" in that of "other", and nothing joins two pieces`, ""},
	})
	if after := told(&b.design); after != before {
		t.Errorf("the design changed:\n%s\n%s", before, after)
	}
}

// The edges of every copy count.
func TestThroughCountsEdges(t *testing.T) {
	b := bounded(10, 15)
	front := must(b.Panel(at(1), PanelSpec{Name: "front", Outline: rect(60, 40)}))
	left := hung(b, "left", rect(60, 40), edge(b, front, "left"))
	if err := failed(b.Cut(at(2), front, rectAt(5, 5, 10, 10), left)); err == nil {
		t.Error("16 edges of 15 are allowed")
	}
	if err := failed(b.Cut(at(2), front, rectAt(5, 5, 10, 10))); err != nil {
		t.Error(err)
	}
}

// Without a pose to look at the cut cannot go through anything, and Finish says
// so at the cut; an error of the pose's is passed on.
func TestThroughNeedsAPose(t *testing.T) {
	b, front, left, _ := leaves()
	must(b.Cut(at(99), front, rectAt(5, 5, 10, 10), left))
	refuse(t, []fault{{"no pose", failed(b.Finish()),
		`cut on panel "front": nothing folds the piece, so there is no saying where panel "left" lies over it`, "hand the builder a ClosedPose with CloseBy before Finish"}})

	b, front, left, _ = leaves()
	must(b.Cut(at(5), front, rectAt(5, 5, 10, 10), left))
	stopped := errors.New("stopped")
	if err := b.CloseBy(t.Context(), func(context.Context, *Piece) ([]Placement, error) { return nil, stopped }); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Finish(); !errors.Is(err, stopped) {
		t.Errorf("the error is %v", err)
	}
}

// Finish gives the cause of its context's end and no design.
func TestThroughStops(t *testing.T) {
	b, front, left, _ := leaves()
	must(b.Cut(at(5), front, rectAt(5, 5, 10, 10), left))
	ctx, end := context.WithCancelCause(t.Context())
	cause := errors.New("enough")
	if err := b.CloseBy(ctx, func(_ context.Context, p *Piece) ([]Placement, error) {
		end(cause)
		return make([]Placement, len(p.Panels)), nil
	}); err != nil {
		t.Fatal(err)
	}
	if d, err := b.Finish(); d != nil || !errors.Is(err, cause) {
		t.Errorf("%v, %v", d, err)
	}
}

// A cut in a tree that no piece claims is made nowhere else, and no pose is asked
// for.
func TestThroughUnclaimed(t *testing.T) {
	b, front := newFront()
	left := hung(b, "left", rect(60, 40), edge(b, front, "left"))
	must(b.Cut(at(5), front, rectAt(5, 5, 10, 10), left))
	root := must(b.Panel(at(6), PanelSpec{Name: "root", Outline: rect(60, 40)}))
	must(b.Piece(at(7), PieceSpec{Name: "box", Root: root, Board: must(board.New(board.Board{Name: "card", Caliper: 1})), Copies: 1}))
	d := must(b.Finish())
	if l := d.Throughs[0].Layers[0]; l.Miss != nil || l.Window != nil || len(left.Windows) > 0 {
		t.Errorf("%+v", l)
	}
}

// What keeps a cut from going through a panel is told with its measure: left is
// moved from where the blank has it, over front or elsewhere.
func TestThroughMisses(t *testing.T) {
	shift := func(x, y, z float64) geom.RigidTransform {
		return geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{X: x, Y: y, Z: z}}
	}
	tilt := func(degrees float64) geom.RigidTransform {
		return geom.RotationAbout(geom.Point3{X: 10}, geom.Point3{Y: 1}, geom.Degrees(degrees).Angle())
	}
	hole := rectAt(5, 5, 10, 10)
	// Left is 60 wide and lies from −60 to 0 in the blank.
	for _, c := range []struct {
		name string
		move *geom.RigidTransform
		path geom.Path
		want *Miss
	}{
		{"no place", nil, hole, &Miss{Kind: Unplaced}},
		{"square", ptr(shift(60, 0, 0).Then(tilt(90))), hole, &Miss{Kind: Tilted, AngleDegrees: 90}},
		{"steep", ptr(shift(60, 0, 0).Then(tilt(150))), hole, &Miss{Kind: Tilted, AngleDegrees: 30}},
		{"a little too steep", ptr(shift(60, 0, 0).Then(tilt(-1.01))), hole, &Miss{Kind: Tilted, AngleDegrees: 1.01}},
		{"nearly flat", ptr(shift(60, 0, 0).Then(tilt(0.99))), hole, nil},
		{"turned over", ptr(shift(60, 0, 0).Then(tilt(180))), hole, nil},
		{"high", ptr(shift(60, 0, -4.01)), hole, &Miss{Kind: Distant, Distance: 4.01}},
		{"in one stack", ptr(shift(60, 0, 3.99)), hole, nil},
		{"beside", ptr(shift(80, 0, 0)), hole, &Miss{Kind: Beside, Distance: 5}},
		{"along the rim", ptr(shift(75, 0, 0)), hole, &Miss{Kind: Beside}},
		{"over the rim", ptr(shift(74, 0, 0)), hole, nil},
		{"a slit beside", ptr(shift(0, 0, 0)), line(geom.Pt(3, 5), geom.Pt(20, 5)), &Miss{Kind: Beside, Distance: 3}},
		{"a slit along the rim", ptr(shift(60, 5, 0)), line(geom.Pt(3, 5), geom.Pt(20, 5)), &Miss{Kind: Beside}},
		{"a slit over the corner", ptr(shift(60, 5, 0)), line(geom.Pt(-2, 8), geom.Pt(8, -2)), nil},
		{"a slit through", ptr(shift(60, 0, 0)), line(geom.Pt(-10, 20), geom.Pt(200, 20)), nil},
	} {
		b, front, left, _ := leaves()
		must(b.Cut(at(5), front, c.path, left))
		if err := b.CloseBy(t.Context(), posedAs(map[string]*geom.RigidTransform{"left": c.move})); err != nil {
			t.Fatal(err)
		}
		l := must(b.Finish()).Throughs[0].Layers[0]
		switch cut := len(left.Windows) + len(left.Works); {
		case (c.want == nil) != (l.Miss == nil) || (l.Miss == nil) != (cut == 1):
			t.Errorf("%s: misses as %+v, want %+v; %d cuts", c.name, l.Miss, c.want, cut)
		case c.want != nil && (l.Miss.Kind != c.want.Kind || float64((l.Miss.AngleDegrees-c.want.AngleDegrees).Abs()) > 1e-9 || math.Abs(l.Miss.Distance-c.want.Distance) > 1e-9):
			t.Errorf("%s: misses as %+v, want %+v", c.name, *l.Miss, *c.want)
		}
	}
}

// Law: a copy is the cut seen from where its panel lies, a window's or a slit's,
// with the same curves under the same names; what the call gives is the first
// panel's own, and Layers of a tuck into it lists the copies.
func TestThroughCopies(t *testing.T) {
	over := ptr(geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{X: 60}}) // left over front
	b, front, left, right := leaves()
	hole, slit := dome(20, 15, false), line(geom.Pt(5, 30), geom.Pt(30, 32), geom.Pt(40, 30))
	w := must(b.Cut(at(5), front, hole, left))
	s := must(b.Slit(at(6), front, slit, left))
	if err := b.CloseBy(t.Context(), posedAs(map[string]*geom.RigidTransform{"left": over})); err != nil {
		t.Fatal(err)
	}
	d := must(b.Finish())
	if len(d.Throughs) != 2 || d.Throughs[0].Window != w || d.Throughs[1].Slit != s || len(front.Windows) != 1 || len(right.Windows) > 0 {
		t.Fatalf("%+v", d.Throughs)
	}
	for _, end := range []JoinEnd{ToWindow(w), ToSlit(s)} {
		layers := end.Layers()
		if len(layers) != 2 || layers[0] != end || layers[1].Panel != left {
			t.Errorf("layers %+v", layers)
		}
	}
	home := front.Flat.Then(geom.Translation(-60, 0)).Then(left.Flat.Inverse())
	for _, c := range [][2]geom.Path{{left.Windows[0].Outline, w.Outline}, {left.Works[0].Path, s.Path}} {
		got, want := c[0], c[1].Transform(home)
		if !slices.Equal(got.Names(), want.Names()) || got.Closed != want.Closed || math.Abs(got.Area()-want.Area()) > 1e-9 {
			t.Errorf("%v, want %v", got, want)
		}
		for i, e := range got.Edges {
			if e.Kind != want.Edges[i].Kind || e.P.Dist(want.Edges[i].P) > 1e-9 || e.At(0.3).Dist(want.Edges[i].At(0.3)) > 1e-9 {
				t.Errorf("edge %v, want %v", e, want.Edges[i])
			}
		}
	}
	if left.Windows[0].Site.First() != w.Site.First() || left.Windows[0].Through != w.Through {
		t.Errorf("the copy is %+v", left.Windows[0])
	}
}
