package preview

import (
	"context"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/model"
)

// Law: the drawing shows each kind's line work at its length, to scale, but for
// perforation cuts passed over.
func TestRunsKeepTheirLength(t *testing.T) {
	for name, in := range designs() {
		for _, b := range in.Blanks {
			for _, scale := range []float64{2, 0.5} {
				for _, r := range runsOf(t.Context(), b, placing{scale: scale}) {
					length := blank.Layer{Strokes: r.strokes}.Length()
					want := 0.0
					for _, l := range b.Layers {
						if l.Kind == r.style.kind {
							want = l.Length() * scale
						}
					}
					if r.style.kind == look.HandFold || r.style.kind == blank.PerforatedLine && length <= want {
						continue
					}
					if math.Abs(length-want) > 1e-6*want {
						t.Errorf("%s: %s is %g mm long, drawn %g", name, r.style.kind, want, length)
					}
				}
			}
		}
	}
}

// perforation is a straight perforation of n cuts of 3 mm with ties of 1 mm.
func perforation(n int) *blank.Blank {
	l := blank.Layer{Kind: blank.PerforatedLine}
	for i := range n {
		x := 4 * float64(i)
		l.Strokes = append(l.Strokes, blank.Stroke{Curves: []geom.Curve{geom.LineFrom(geom.Pt(x, 0), geom.Pt(x+3, 0))}})
	}
	return &blank.Blank{Layers: []blank.Layer{l}}
}

// At full size every perforation cut is drawn; at small scales, as many as can
// be told apart.
func TestPerforationsAreThinned(t *testing.T) {
	b := perforation(100)
	for scale, most := range map[float64]int{1: 100, 0.5: 100, 0.1: 40, 0.01: 5} {
		r := runsOf(t.Context(), b, placing{scale: scale})[0]
		if n := len(r.strokes); n > most || n < most/2 {
			t.Errorf("at %g: %d cuts drawn, expected %d at most", scale, n, most)
		}
		for i := 1; i < len(r.strokes); i++ {
			gap := r.strokes[i].Curves[0].P.Dist(r.strokes[i-1].Curves[0].P)
			if gap < sparse*r.style.pen.period()-1e-9 {
				t.Fatalf("at %g: cuts %g mm apart", scale, gap)
			}
		}
	}
}

// Glue: joined tabs, and the first of two panels glued together, or the area that
// is named; not what they are glued to.
func TestGluedPanels(t *testing.T) {
	d := newDesk("glue")
	a := d.root("a", rect(50, 50))
	b := d.hang("b", 50, 50, a, "right")
	c := d.hang("c", 50, 50, b, "right")
	tab := d.tab("tab", c, "right", 10, a, "left")
	must(d.b.Glue(d.site(), model.GlueSpec{A: b, B: c}))
	strip := rect(10, 50)
	must(d.b.Glue(d.site(), model.GlueSpec{A: c, B: a, Area: &strip}))
	d.piece("p", a, d.card(nil, nil), 1)
	in := d.done("glue.star")
	got := gluedBoard(in.Blanks[0].Piece)
	on := func(p *model.Panel) *gluedPart { return got[boardSide{p, outsideFace}] }
	if len(got) != 3 || !on(tab).whole || !on(b).whole || on(c).whole || len(on(c).areas) != 1 {
		t.Errorf("%v", got)
	}
	for _, s := range in.Blanks[0].Regions {
		if s.Panel != c {
			continue
		}
		if rings := got.on(s, outsideFace); len(rings) != 1 || math.Abs(blank.Layer{Strokes: []blank.Stroke{{Curves: rings[0]}}}.Length()-120) > 1e-9 {
			t.Errorf("the strip is %v", rings)
		}
	}
	fl := laid(in, 1)
	for i, s := range fl.regions {
		p := in.Blanks[0].Regions[i].Panel
		if on := fl.onGlue(s.centre); on != (p == tab || p == b) {
			t.Errorf("%s is hatched: %t", p.Name, on)
		}
	}
}

// Law: a drawing's extent holds all that it writes.
func TestExtentHoldsTheDrawing(t *testing.T) {
	for name, in := range designs() {
		for i, b := range in.Blanks {
			fl := layFlat(context.Background(), b, nil, 0.2, findingsOnBlank(in, i), nil)
			w := &writer{}
			w.open("svg", "viewBox", "0 0 1 1")
			fl.write(w)
			w.close("svg")
			s, room := readBack(t, w.bytes()), fl.extent.Grow(0.5)
			for _, x := range s.texts {
				if b := x.tile.bounds(); !room.Contains(b.Min) || !room.Contains(b.Max) {
					t.Errorf("%s: %q leaves the extent", name, x.text)
				}
			}
			for _, p := range s.strokes {
				for _, seg := range p.segs {
					if !room.Contains(seg.a) || !room.Contains(seg.b) {
						t.Fatalf("%s: %v leaves the extent", name, p.class)
					}
				}
			}
		}
	}
}

// Law: the centroid of a panel, and whether a point is on it, are those of its
// outline in the design, carried onto the paper.
func TestPaperSheet(t *testing.T) {
	r := rand.New(rand.NewSource(18))
	for range 40 {
		in := tree(r, 6)
		b := in.Blanks[0]
		m := placing{0.3 + r.Float64(), randomPoint(r)}
		for _, sh := range b.Regions {
			s := newPaperRegion(m, sh, [2][]blank.Ring{})
			area := 0.0
			for _, ring := range s.rings {
				for _, c := range ring {
					area += c.Area()
				}
			}
			if want := -sh.Area * m.scale * m.scale; math.Abs(area-want) > 1e-6*math.Abs(want) {
				t.Fatalf("area %g on the paper, want %g: y runs down there", area, want)
			}
			for range 20 {
				p := geom.Pt(s.box.Min.X+r.Float64()*s.box.Width(), s.box.Min.Y+r.Float64()*s.box.Height())
				back := geom.Pt((p.X-m.origin.X)/m.scale, (m.origin.Y-p.Y)/m.scale)
				in := false
				for _, ring := range sh.Rings {
					in = in || geom.Winding(ring, back) != 0
				}
				if s.contains(p) != in {
					t.Fatalf("%v is on the panel: %t, on the paper: %t", back, in, !in)
				}
			}
		}
	}
}

// By hand: the middle of a plate with a window in its right half lies left of
// the plate's middle; 40 × 20 less 10 × 10 centred at (30, 10) has its centroid
// at (800·20 − 100·30)/700.
func TestCentroidOfAPlateWithAWindow(t *testing.T) {
	ring := func(x0, y0, x1, y1 float64) blank.Ring {
		return polyline([]geom.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}, true)
	}
	window := ring(25, 5, 35, 15)
	for i, j := 0, len(window)-1; i < j; i, j = i+1, j-1 {
		window[i], window[j] = window[j], window[i]
	}
	for i := range window {
		window[i] = window[i].Reverse()
	}
	got := centroid([]blank.Ring{ring(0, 0, 40, 20), window}, geom.BoxOf(geom.Pt(0, 0), geom.Pt(40, 20)))
	if want := geom.Pt(13000.0/700, 10); got.Dist(want) > 1e-9 {
		t.Errorf("%v, want %v", got, want)
	}
	if got := centroid(nil, geom.BoxOf(geom.Pt(2, 2), geom.Pt(4, 6))); got != geom.Pt(3, 4) {
		t.Errorf("nothing has its centre at %v", got)
	}
}

// Law: places to try come from the middle outward, and every one is in the box.
func TestSpotsGoOutward(t *testing.T) {
	s := laid(block("panel", 80, 50), 1).regions[0]
	n, last := 0, 0.0
	for p := range s.spots() {
		if !s.box.Contains(p) {
			t.Fatalf("%v is outside", p)
		}
		d := p.Sub(s.centre)
		if off := math.Hypot(sideways*d.X, d.Y); off < last-1e-9 {
			t.Fatalf("place %d, %v, is nearer than the one before", n, p)
		} else {
			last = off
		}
		n++
	}
	if n < spotGrid*spotGrid/2 {
		t.Errorf("only %d places", n)
	}
}

// The sample in the key is drawn in the very pen of the drawing.
func TestKeyUsesTheSamePens(t *testing.T) {
	s := string(svg(kinds()))
	for _, l := range looks {
		w := &writer{}
		p := l.pen.paint("")
		p.Fill = ""
		w.paint(p)
		if n := strings.Count(s, string(w.bytes())); n != 2 {
			t.Errorf("%s: its pen is used %d times, in the drawing and in the key", l.kind, n)
		}
	}
}

// A panel that lies on the outside of another carries glue on its inside, hatched the
// other way, and the key tells both.
func TestGlueFaces(t *testing.T) {
	d := newDesk("glue on both sides")
	a := d.root("a", rect(50, 50))
	b := d.hang("b", 50, 50, a, "right")
	c := d.hang("c", 50, 50, b, "right")
	d.tab("tab", c, "right", 10, a, "left")
	must(d.b.Glue(d.site(), model.GlueSpec{A: b, B: c, Outside: true}))
	d.piece("p", a, d.card(nil, nil), 1)
	in := d.done("glue.star")
	if got := gluedBoard(in.Blanks[0].Piece); len(got) != 2 || got[boardSide{b, insideFace}] == nil {
		t.Errorf("%v", got)
	}
	text := string(svg(in))
	for _, want := range []string{`fill="url(#hatch)"`, `fill="url(#hatch-inside)"`, ">on the outside<", ">on the inside<"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s", want)
		}
	}
}

// Law: a piece that is worked from the inside is drawn as the mirror image, left to
// right, of the one seen from the outside: every curve, the grain and the spots of
// findings. Rings keep their sense. The sheet says so.
func TestInsideViewMirrors(t *testing.T) {
	in := carton()
	b := in.Blanks[0]
	outside := *b
	inside := outside
	inside.Piece = ptr(*b.Piece)
	inside.Piece.Inside = true
	lay := func(b *blank.Blank) *flatPicture {
		return layFlat(t.Context(), b, nil, 0.5, nil, map[string][]string{})
	}
	one, two := lay(&outside), lay(&inside)
	width := float64(b.Bounds.Width() * 0.5)
	flip := func(p geom.Point) geom.Point { return geom.Pt(width-p.X, p.Y) }
	for i, r := range one.runs {
		for j, s := range r.strokes {
			for k, c := range s.Curves {
				m := two.runs[i].strokes[j].Curves[k]
				if flip(c.P).Dist(m.P) > 1e-9 || flip(c.Q).Dist(m.Q) > 1e-9 || flip(c.At(0.3)).Dist(m.At(0.3)) > 1e-9 {
					t.Fatalf("%v became %v", c, m)
				}
			}
		}
	}
	for i, r := range one.regions {
		m := two.regions[i]
		if flip(r.centre).Dist(m.centre) > 1e-6 || ringArea(r.rings)*ringArea(m.rings) <= 0 {
			t.Errorf("the region at %v became %v", r.centre, m.centre)
		}
	}
	if p := geom.Pt(10, 20); flip(one.spotOn(p)).Dist(two.spotOn(p)) > 1e-9 {
		t.Errorf("a spot went from %v to %v", one.spotOn(p), two.spotOn(p))
	}
	in.Blanks = []*blank.Blank{&inside}
	if g := grainSeen(&inside); *g != 180-*grainSeen(&outside) {
		t.Errorf("grain at %g", *g)
	}
	if s := readBack(t, svg(in)); !slices.ContainsFunc(s.texts, func(x textRead) bool {
		return strings.HasPrefix(x.text, "flat, seen from the inside, ")
	}) || !s.says("folds to the inside") {
		t.Error("nothing says that it is seen from the inside")
	}
}

// ringArea is the area that rings enclose, of their flattened outlines; its sign tells
// which way they run.
func ringArea(rings []blank.Ring) float64 {
	sum := 0.0
	for _, r := range rings {
		for _, c := range r {
			prev := c.P
			for _, p := range c.Flatten(nil, flatness) {
				sum += prev.Cross(p) / 2
				prev = p
			}
		}
	}
	return sum
}
