package preview

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

func TestFoldText(t *testing.T) {
	solved := geom.Degrees(54.735610317)
	for _, c := range []struct {
		fold  model.Fold
		found *geom.Degrees
		want  string
	}{
		{model.Fold{Degrees: 90}, nil, "90° in"},
		{model.Fold{Degrees: -90}, nil, "90° out"},
		{model.Fold{Degrees: 180}, nil, "180° in"},
		{model.Fold{Degrees: 54.7356}, nil, "54.74° in"},
		{model.Fold{Degrees: 0}, nil, "0°"},
		{model.Fold{Degrees: -0.001}, nil, "0°"},
		{model.Fold{Free: &model.Free{Side: model.In}}, nil, "free, in"},
		{model.Fold{Free: &model.Free{Side: model.Out}}, nil, "free, out"},
		{model.Fold{Free: &model.Free{Side: model.In}}, &solved, "54.74° in"},
		{model.Fold{Degrees: 90}, &solved, "90° in"},
	} {
		h, found := &model.Hinge{Fold: c.fold}, map[*model.Hinge]geom.Degrees{}
		if c.found != nil {
			found[h] = *c.found
		}
		if got := foldText(h, found); got != c.want {
			t.Errorf("%+v is written %q, want %q", c.fold, got, c.want)
		}
	}
}

// Law: a readable direction is the same line, and never upside down: it reads
// from the bottom of the page or from the right (ISO 129-1, value from memory).
func TestReadable(t *testing.T) {
	r := rand.New(rand.NewSource(14))
	for i := range 1000 {
		deg := r.Float64()*1440 - 720
		if i < 16 {
			deg = float64(i-8) * 90
		}
		got := readable(deg)
		if turns := (deg - got) / 180; got < -90.001 || got > 89.999 || math.Abs(turns-math.Round(turns)) > 1e-5 {
			t.Errorf("%g became %g", deg, got)
		}
	}
}

// Law: the point a part t along curves lies t of the way by length.
func TestPointAlong(t *testing.T) {
	curves := polyline([]geom.Point{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 1}}, false)
	for part, want := range map[float64]geom.Point{0: {X: 0, Y: 0}, 0.5: {X: 2, Y: 0}, 0.75: {X: 3, Y: 0}, 1: {X: 3, Y: 1}} {
		if p, dir := pointAlong(curves, part); p.Dist(want) > 1e-9 || math.Abs(dir.Len()-1) > 1e-9 {
			t.Errorf("%g of the way is %v, heading %v", part, p, dir)
		}
	}
}

// Law: a fold angle stands nearer to its own hinge than to any other hinge line.
func TestFoldAnglesStandAtTheirHinges(t *testing.T) {
	for name, in := range designs() {
		if len(in.Blanks) == 0 {
			continue
		}
		fl := laid(in, 0.5)
		for _, h := range fl.blank.Hinges {
			curves := fl.m.curves(h.Curves)
			l, ok := newOccupancy().placeFold(foldText(h.Hinge, nil), curves)
			if !ok {
				t.Fatalf("%s: no room on an empty sheet", name)
			}
			mid, _ := pointAlong(curves, 0.5)
			if d := l.mid.Dist(mid); d > 3 {
				t.Errorf("%s: %q stands %g mm from the middle of %s", name, l.text, d, h.Hinge.Name)
			}
		}
	}
}

// The angle stands on the panel that turns, whichever way the hinge runs.
func TestFoldAnglesStandOnTheChild(t *testing.T) {
	fl := laid(kinds(), 1)
	for _, h := range fl.blank.Hinges {
		l, _ := newOccupancy().placeFold(foldText(h.Hinge, nil), fl.m.curves(h.Curves))
		if i := regionOf(fl.blank, h.Hinge.Child.Name); !fl.regions[i].contains(l.mid) {
			t.Errorf("%q of %s is not on it", l.text, h.Hinge.Name)
		}
	}
}

// lineOccupancy holds a blank's lines and no text.
func (fl *flatPicture) lineOccupancy(ctx context.Context) *occupancy {
	f := newOccupancy()
	for _, r := range fl.runs {
		r.register(ctx, f)
	}
	return f
}

// Law: a name lies wholly on its own panel's board.
func TestNamesLieOnTheirPanels(t *testing.T) {
	for name, in := range designs() {
		for _, b := range in.Blanks {
			fl := layFlat(context.Background(), b, nil, 0.5, nil, nil)
			for i, s := range fl.regions {
				l, ok := fl.lineOccupancy(t.Context()).placeIn(s, panelName(b.Regions[i].Panel), nameSizes)
				if !ok {
					continue
				}
				corners := l.tile().corners()
				for _, c := range append(corners[:], l.mid) {
					if !s.contains(c) {
						t.Errorf("%s: %q at %v is not on its board at %v", name, l.text, l.mid, c)
					}
				}
			}
		}
	}
}

// A high, narrow panel turns its name; a wide one does not; one too small has
// none.
func TestNamesTurn(t *testing.T) {
	for _, c := range []struct {
		w, h  float64
		angle float64
		ok    bool
	}{{60, 20, 0, true}, {20, 60, -90, true}, {30, 30, 0, true}, {3, 3, 0, false}} {
		fl := laid(block("panel", c.w, c.h), 1)
		l, ok := newOccupancy().placeIn(fl.regions[0], "panel", nameSizes)
		if ok != c.ok || ok && l.angle != c.angle {
			t.Errorf("%g × %g: %t, turned %g", c.w, c.h, ok, l.angle)
		}
	}
}

// Panels without room for their names: a few go on leader lines, more are
// lettered, and the list explains each letter.
func TestSmallPanels(t *testing.T) {
	few := laid(carton(), 0.2)
	if len(few.leaders) == 0 {
		t.Error("no leader lines at 1:5")
	}
	for _, l := range few.leaders {
		for _, s := range few.regions {
			if s.contains(l.label.mid) {
				t.Errorf("%q stands on board", l.label.text)
			}
		}
	}
	many := longNamed(mostLetters)
	if len(many.leaders) != 0 {
		t.Errorf("%d leader lines for %d panels", len(many.leaders), mostLetters)
	}
	lettered := 0
	for _, n := range many.notes {
		if n.letter != "" {
			lettered++
		}
	}
	if lettered != mostLetters {
		t.Errorf("%d of %d panels are lettered", lettered, mostLetters)
	}
}

// Too many panels to look up by letters are only counted.
func TestCountedPanels(t *testing.T) {
	fl := longNamed(mostLetters + 10)
	var panels []string
	for _, n := range fl.notes {
		if n.fold == "" {
			panels = append(panels, n.letter+n.name)
		}
	}
	if want := fmt.Sprintf("%d panels of %q", mostLetters+10, fl.blank.Piece.Name); len(panels) != 1 || panels[0] != want {
		t.Errorf("%q, want %s alone", panels, want)
	}
}

// longNamed is a row of leaves, laid out, whose names find no room in them.
func longNamed(n int) *flatPicture {
	in := pleats(n, 10, 12)
	for _, p := range in.Design.Panels {
		p.Name = "a rather long name for a leaf " + p.Name
	}
	return laid(in, 0.5)
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "a", 25: "z", 26: "aa", 51: "az", 52: "ba", 701: "zz", 702: "aaa"} {
		if got := letters(n); got != want {
			t.Errorf("%d is %s, want %s", n, got, want)
		}
	}
}

func TestSomeOf(t *testing.T) {
	if got := someOf([]string{"a", "b"}); got != "a, b" {
		t.Error(got)
	}
	if got := someOf(strings.Fields(strings.Repeat("x ", mostTurned+3))); !strings.HasSuffix(got, "x and 3 more") {
		t.Error(got)
	}
}
