package board

import (
	"math"
	"math/rand"
	"strings"
	"testing"
)

func TestNewMachineRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		in   Machine
		want string
	}{
		{Machine{Bed: [2]float64{600, 400}}, "needs a name"},
		{Machine{Name: "cutter", Bed: [2]float64{0, 400}}, "bed x"},
		{Machine{Name: "cutter", Bed: [2]float64{600, nan}}, "bed y"},
		{Machine{Name: "cutter", Bed: [2]float64{600, 400}, Margin: -1}, "margin = -1 mm is not between 0 and 100000 mm"},
		{Machine{Name: "cutter", Bed: [2]float64{600, 400}, Margin: 200}, "the margin of 200 mm leaves no room on a bed of 400 mm"},
		{Machine{Name: "cutter", Bed: [2]float64{600, 400}, Detail: num(0)}, "detail"},
	} {
		if _, err := NewMachine(c.in); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.in, err, c.want)
		}
	}
}

// A machine is frozen: changing the caller's figures leaves it alone.
func TestNewMachineKeepsItsOwnFigures(t *testing.T) {
	detail := 0.5
	m, err := NewMachine(Machine{Name: "cutter", Bed: [2]float64{600, 400}, Margin: 5, Detail: &detail})
	if err != nil {
		t.Fatal(err)
	}
	detail = 9
	if *m.Detail != 0.5 {
		t.Errorf("detail became %g", *m.Detail)
	}
	if x, y := m.Room(); x != 590 || y != 390 {
		t.Errorf("room %g × %g", x, y)
	}
}

// Law: a piece fits if and only if it fits one way or the other, and turning
// it by 90 degrees swaps its excess.
func TestExcess(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for range 1000 {
		m := &Machine{Name: "m", Bed: [2]float64{rng.Float64() * 500, rng.Float64() * 500}, Margin: rng.Float64() * 5}
		w, h := rng.Float64()*500, rng.Float64()*500
		rx, ry := m.Room()
		x, y := m.Excess(w, h)
		if fits := w <= rx && h <= ry || w <= ry && h <= rx; fits != (x <= 0 && y <= 0) {
			t.Fatalf("%g × %g on %g × %g: excess %g, %g", w, h, rx, ry, x, y)
		}
		if u, v := m.Excess(h, w); u != y || v != x {
			t.Fatalf("%g × %g: excess %g, %g, and turned %g, %g", w, h, x, y, u, v)
		}
	}
}
