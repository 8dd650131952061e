package preview

import (
	"context"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Where a finding shows: on the blank of its piece, else of its panel, else on
// the first.
func TestHomeOfAFinding(t *testing.T) {
	in := set()
	for _, c := range []struct {
		f    diag.Finding
		want int
	}{
		{diag.Finding{Piece: "lid"}, 1},
		{diag.Finding{Panel: "band"}, 2},
		{diag.Finding{Piece: "tray", Panel: "band"}, 0},
		{diag.Finding{Piece: "no such piece"}, 0},
		{diag.Finding{}, 0},
	} {
		if got := blankOf(in, &c.f); got != c.want {
			t.Errorf("%q, %q: blank %d, want %d", c.f.Piece, c.f.Panel, got, c.want)
		}
	}
}

// Law: a dot stands on its spot exactly, or, for a spot far off the blank, at
// the blank's rim; places that are no numbers go to the caption.
func TestSpots(t *testing.T) {
	in := sleeve()
	at := func(x, y float64) *diag.Finding {
		return &diag.Finding{Piece: "sleeve", Message: "m", At: &geom.Point{X: x, Y: y}}
	}
	in.Findings = []*diag.Finding{at(30, 40), at(1e9, 40), at(math.NaN(), 1)}
	found := findingsOnBlank(in, 0)
	fl := layFlat(context.Background(), in.Blanks[0], nil, 1, found, nil)
	if len(fl.marks) != 2 {
		t.Fatalf("%d marks", len(fl.marks))
	}
	if want := fl.m.point(geom.Pt(30, 40)); fl.marks[0].spot != want {
		t.Errorf("the dot stands at %v, not %v", fl.marks[0].spot, want)
	}
	if box := fl.m.box(fl.blank.Bounds).Grow(10); !box.Contains(fl.marks[1].spot) {
		t.Errorf("the far spot stands at %v", fl.marks[1].spot)
	}
	if c := flatCell(context.Background(), in, 0, 1, nil); len(c.beside) != 1 || c.beside[0].number != 3 {
		t.Errorf("beside the caption: %+v", c.beside)
	}
}

// Law: discs on random spots never cover text or one another, as long as the
// paper has room.
func TestDiscsFindRoom(t *testing.T) {
	r := rand.New(rand.NewSource(15))
	for range 20 {
		in := carton()
		for range 15 {
			in.Findings = append(in.Findings, &diag.Finding{
				Piece: "tea carton", Message: "m", Severity: diag.Error,
				At: &geom.Point{X: r.Float64()*244 - 45, Y: r.Float64() * 120},
			})
		}
		fl := layFlat(context.Background(), in.Blanks[0], nil, 0.5, findingsOnBlank(in, 0), nil)
		for i, m := range fl.marks {
			for _, l := range fl.labels {
				if l.tile().meets(discTile(m.disc)) {
					t.Fatalf("disc %d covers %q", m.number, l.text)
				}
			}
			for _, o := range fl.marks[:i] {
				if o.disc.Dist(m.disc) < 2*discRadius {
					t.Fatalf("discs %d and %d overlap", o.number, m.number)
				}
			}
		}
	}
}

// A finding of a panel stands on it; a panel without room for a disc gets a dot.
func TestMarkOfAPanel(t *testing.T) {
	in := carton()
	in.Findings = []*diag.Finding{{Panel: "back", Message: "m"}, {Panel: "tuck", Message: "m"}}
	fl := layFlat(context.Background(), in.Blanks[0], nil, 0.3, findingsOnBlank(in, 0), nil)
	for i, panel := range []string{"back", "tuck"} {
		m := fl.marks[i]
		if !fl.regions[regionOf(fl.blank, panel)].contains(m.spot) {
			t.Errorf("the mark of %s is not on it", panel)
		}
		if free := panel == "back"; m.free != free {
			t.Errorf("%s: by itself %t, want %t", panel, m.free, free)
		}
	}
}

// Severities differ by form as well as colour: an error is a full disc.
func TestSeverityForms(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range []diag.Severity{diag.Note, diag.Warning, diag.Error} {
		w := &writer{}
		writeDisc(w, geom.Pt(5, 5), 1, s)
		seen[string(w.bytes())] = true
	}
	if len(seen) != 3 {
		t.Errorf("%d forms for three severities", len(seen))
	}
}

// A view shows the findings it has spots for, at their spots.
func TestMarksOfAView(t *testing.T) {
	in := troubled(2)
	v := boxView("tea carton", 70, 120, 45, in.Findings[1])
	in.Views = []View{v}
	found := findingsInView(in, v.Aspects[0].Spots)
	if len(found) != 1 || found[0].number != 2 {
		t.Fatalf("%+v", found)
	}
	fd := layView(v, -2, false, [][]numbered{found, nil})
	if len(fd.marks) != 1 || fd.marks[0].spot != fd.parts[0].m.point(v.Aspects[0].Spots[0].At) {
		t.Errorf("%+v", fd.marks)
	}
}
