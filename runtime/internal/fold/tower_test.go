package fold

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"
)

// rolledStorey is a storey of a twisted tower cut open along one side and unrolled:
// a strip of n parallelograms, each creased along a diagonal, that meets itself.
// All sides share one free fold and all diagonals another; their angles are known
// from the storey in space.
func rolledStorey(n int, radius, height, twist float64) (text string, across, along float64) {
	s := storey(n, radius, height, twist)
	a := s.corners[0].Dist(s.corners[1])
	b := s.corners[0].Dist(s.corners[n]) // along a side
	d := s.corners[1].Dist(s.corners[n]) // along a diagonal
	x := (a*a + b*b - d*d) / (2 * a)
	y := math.Sqrt(b*b - x*x)
	for _, e := range s.seams() {
		switch f := s.faces[e.a]; {
		case e.a == 0:
		case f[e.i]%n == f[(e.i+1)%3]%n:
			across = e.fold
		default:
			along = e.fold
		}
	}
	side := func(v float64) string {
		if v < 0 {
			return out
		}
		return in
	}
	var t strings.Builder
	fmt.Fprintf(&t, "across, along = %s, %s\n", side(across), side(along))
	fmt.Fprintf(&t, "up = polygon([(0, 0), (%.9f, 0), (%.9f, %.9f)], edges = [\"base\", \"slope\", \"side\"])\n", a, x, y)
	fmt.Fprintf(&t, "down = polygon([(%.9f, %.9f), (%.9f, 0), (%.9f, %.9f)], edges = [\"slope\", \"side\", \"rim\"])\n", x, y, a, x+a, y)
	t.WriteString("root = panel(\"root\", up)\nlast = root\n")
	for i := range n {
		if i > 0 {
			fmt.Fprintf(&t, "last = panel(\"u%d\", up, on = last.side, by = \"side\", fold = across)\n", i)
		}
		fmt.Fprintf(&t, "last = panel(\"d%d\", down, on = last.slope, by = \"slope\", fold = along)\n", i)
	}
	return t.String() + "meet(last.side, root.side)\n", across, along
}

// Rolled storeys close by their one seam, those of five corners and more in one
// turn: the folds are those known, or smaller ones of a second shape with the same
// sides, not those of a strip that is wound up several times. Those of three and
// four may turn their corners inward instead.
func TestRolledStoreysCloseInOneTurn(t *testing.T) {
	rng := rand.New(rand.NewSource(9))
	for range 60 {
		n := 3 + rng.Intn(6)
		text, across, along := rolledStorey(n, 30, 25+30*rng.Float64(), (1.6*rng.Float64()-0.8)*math.Pi/float64(n))
		f := foldScript(t, text)
		f.sound("closed")
		last := fmt.Sprint("d", n-1)
		var a, b [2]float64
		for _, p := range f.piece.Panels {
			switch p.Name {
			case "root":
				a = [2]float64{p.Outline.Edges[2].P.X, p.Outline.Edges[2].P.Y}
			case last:
				b = [2]float64{p.Outline.Edges[1].Q.X, p.Outline.Edges[1].Q.Y}
			}
		}
		if gap := f.at("closed", "root", a[0], a[1]).Dist(f.at("closed", last, b[0], b[1])); gap > 1e-6 {
			t.Errorf("the seam gapes by %g mm", gap)
		}
		got := math.Abs(f.angle("closed", "u1")) + math.Abs(f.angle("closed", "d0"))
		if want := math.Abs(across) + math.Abs(along); n > 4 && got > want/clearlyLess {
			t.Errorf("n = %d: folds of %g and %g, want %g and %g", n, f.angle("closed", "u1"), f.angle("closed", "d0"), across, along)
		}
	}
}
