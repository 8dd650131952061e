package board

import (
	"errors"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func num[T any](v T) *T { return &v }

func card(t *testing.T) *Board {
	t.Helper()
	b, err := New(Board{Name: "uncoated card", Caliper: 0.3556, GSM: num(250.0), GrainDegrees: num(geom.Degrees(0))})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestNewFillsTheKind(t *testing.T) {
	if b := card(t); b.Kind != Card {
		t.Errorf("kind %q, want card", b.Kind)
	}
	for _, k := range Kinds() {
		if b, err := New(Board{Name: "x", Kind: k, Caliper: 1}); err != nil || b.Kind != k {
			t.Errorf("%s: %v, %v", k, b, err)
		}
	}
}

func TestNewRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		in   Board
		want string
	}{
		{Board{Caliper: 1}, "needs a name"},
		{Board{Name: " \t", Caliper: 1}, "needs a name"},
		{Board{Name: "a", Kind: "kard", Caliper: 1}, `kind "kard" is not one of paper, card, coated, greyboard, corrugated`},
		{Board{Name: "a"}, "caliper = 0 mm is not between 0.001 and 100000 mm"},
		{Board{Name: "a", Caliper: -0.3}, "caliper = -0.3 mm"},
		{Board{Name: "a", Caliper: nan}, "caliper = NaN mm"},
		{Board{Name: "a", Caliper: inf}, "caliper = +Inf mm"},
		{Board{Name: "a", Caliper: 1, GSM: num(0.0)}, "gsm = 0 is not a positive number"},
		{Board{Name: "a", Caliper: 1, GSM: &nan}, "gsm = NaN"},
		{Board{Name: "a", Caliper: 1, GSM: &inf}, "gsm = +Inf"},
		{Board{Name: "a", Caliper: 1, GrainDegrees: num(geom.Degrees(nan))}, "grain = NaN is not an angle"},
		{Board{Name: "a", Caliper: 1, GrainDegrees: num(geom.Degrees(inf))}, "grain = +Inf is not an angle"},
	} {
		if _, err := New(c.in); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.in, err, c.want)
		}
	}
	if _, err := New(Board{Name: "a", Kind: "tin", Caliper: 1}); !errors.Is(err, ErrKind) {
		t.Errorf("unknown kind gives %v, which does not wrap ErrKind", err)
	}
}

// A board is frozen: changing the caller's figures leaves it alone.
func TestNewKeepsItsOwnFigures(t *testing.T) {
	gsm := 250.0
	b, err := New(Board{Name: "a", Caliper: 1, GSM: &gsm})
	if err != nil {
		t.Fatal(err)
	}
	gsm = 1
	if *b.GSM != 250 {
		t.Errorf("gsm became %g", *b.GSM)
	}
}

// Law: the span for an inside size and the span for the outside size it gives,
// two calipers more, are one.
func TestSpansAgree(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 1000 {
		b := Board{Name: "a", Caliper: rng.Float64() * 10}
		inside := 0.01 + rng.Float64()*500
		in, err := b.SpanInside(inside, AboutMiddle)
		if err != nil {
			t.Fatal(err)
		}
		out, err := b.SpanOutside(inside+2*b.Caliper, AboutMiddle)
		if err != nil || math.Abs(in-out) > 1e-12*inside+1e-14 {
			t.Fatalf("caliper %g, inside %g: spans %g and %g (%v)", b.Caliper, inside, in, out, err)
		}
	}
}

func TestSpansRefuse(t *testing.T) {
	b := card(t)
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1), 1e5} {
		if got, err := b.SpanInside(v, AboutMiddle); err == nil {
			t.Errorf("inside %g: %g, want an error", v, got)
		}
	}
	for _, v := range []float64{0, -1, 0.3, 0.3556, math.NaN(), math.Inf(1), 2e5} {
		if got, err := b.SpanOutside(v, AboutMiddle); err == nil {
			t.Errorf("outside %g: %g, want an error", v, got)
		}
	}
}

// ISO 216: an A0 sheet is a square metre, so a sheet's mass in grams is its
// grammage (841 × 1189 mm, 0.99995 m²).
func TestMassOfAnA0Sheet(t *testing.T) {
	grams, ok := card(t).Mass(841 * 1189)
	if !ok || math.Abs(grams-250) > 0.05 {
		t.Errorf("A0 at 250 g/m² weighs %g g (%v)", grams, ok)
	}
	if _, ok := (&Board{Caliper: 1}).Mass(1); ok {
		t.Error("a board without grammage has a mass")
	}
}

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
		{Machine{Name: "cutter", Bed: [2]float64{600, 400}, Detail: num(0.0)}, "detail"},
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

// By hand, in 2 mm board: between grooves, which turn about the outside skin, the
// span is the size over all, and two calipers are lost inside.
func TestSpansBetweenGrooves(t *testing.T) {
	b, err := New(Board{Name: "greyboard", Kind: Greyboard, Caliper: 2})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := b.SpanInside(60, AboutOutside); err != nil || got != 64 {
		t.Errorf("inside 60: %g, %v", got, err)
	}
	if got, err := b.SpanOutside(64, AboutOutside); err != nil || got != 64 {
		t.Errorf("outside 64: %g, %v", got, err)
	}
}
