package linework

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

func TestSpots(t *testing.T) {
	l := lines(t, `
base = panel("base", rect(60, 40))
lid = panel("lid", rect(60, 30), on = base.top)
base.cut(circle(10).shift(30, 20))
base.cut(path(5, 5).line(20, 5))
base.score(path(5, 10).line(20, 10))`)
	for _, c := range []struct {
		at   geom.Point
		want string
		line int // of the script
	}{
		{geom.Pt(35, 20), `the window in "base"`, 4},
		{geom.Pt(10, 5), `the slit in "base"`, 5},
		{geom.Pt(10, 10), `the score in "base"`, 6},
		{geom.Pt(60, 10), `edge "right" of "base"`, 2},
		{geom.Pt(10, 70), `edge "top" of "lid"`, 3},
		{geom.Pt(3, 30), "a cut", 0},
	} {
		s := l.Spot(c.at)
		if got := s.String(); got != c.want || s.Site().First().Line != c.line+1 && c.line > 0 {
			t.Errorf("at %v: %s at %v, want %s in line %d", c.at, got, s.Site(), c.want, c.line+1)
		}
	}
}

// Law: a point inside a panel's outline of a tree without overlaps is on that
// panel's board, one far out on none, and windows take points away.
func TestPanelAt(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	for range 20 {
		k := modeltest.Tree(rng, 1+rng.Intn(40), geom.Rotation(geom.Radians(rng.Float64()), geom.Point{}))
		l := laid(t, k.Design)
		for _, p := range k.Piece.Panels {
			mid := p.Outline.Bounds().Mid()
			if got := l.PanelAt(p.Flat.Apply(mid)); p.Outline.Contains(mid) && got != p {
				t.Fatalf("the middle of %s lies on %v", p.Name, got)
			}
		}
		if got := l.PanelAt(geom.Pt(1e4, 1e4)); got != nil {
			t.Fatalf("nowhere lies on %s", got.Name)
		}
	}
	l := lines(t, "base = panel(\"base\", rect(60, 40))\nbase.cut(circle(10).shift(30, 20))")
	if got := l.PanelAt(geom.Pt(30, 20)); got != nil {
		t.Errorf("the middle of the window lies on %s", got.Name)
	}
}
