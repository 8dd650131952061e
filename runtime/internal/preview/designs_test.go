package preview

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/model"
)

// The designs that the tests draw. All are the Saltmarsh Co-op's.

func sleeve() Input {
	d := newDesk("Sleeve for a bar of soap, open at both ends.")
	d.param("length", 90.0)
	d.param("width", 60.0)
	d.param("depth", 28.0)
	card := d.card(ptr(250.0), ptr(geom.Degrees(0.0)))
	top := d.root("top", rect(60, 90))
	left := d.hang("left", 28, 90, top, "left")
	right := d.hang("right", 28, 90, top, "right")
	base := d.hang("base", 60, 90, right, "right")
	d.tab("seam", base, "right", 12, left, "left")
	must(d.b.Cut(d.site(), top, must(geom.Circle(24)).Transform(geom.Translation(30, 45))))
	d.piece("sleeve", top, card, 1)
	in := d.done("sleeve.star")
	in.Cautions = []string{"Suitability for contact with skin products not assessed."}
	return in
}

// carton is a tuck-top carton with a window, a drawn line and every sort of
// flap.
func carton() Input {
	d := newDesk("Tuck-top carton for loose tea")
	for _, p := range []struct {
		name string
		v    any
	}{{"length", 70.0}, {"breadth", 45.0}, {"height", 120.0}, {"tuck", 15.0}, {"window", true}, {"style", "tea"}} {
		d.param(p.name, p.v)
	}
	card := d.card(ptr(300.0), ptr(geom.Degrees(90.0)))
	front := d.root("front", rect(70, 120))
	left := d.hang("left side", 45, 120, front, "left")
	right := d.hang("right side", 45, 120, front, "right")
	back := d.hang("back", 70, 120, right, "right")
	d.tab("glue seam", back, "right", 14, left, "left")
	lid := d.hang("lid", 70, 45, back, "top")
	d.flap("tuck", lid, "top", 15, 0, 7)
	foot := d.hang("base", 70, 45, back, "bottom")
	d.flap("base tuck", foot, "bottom", 15, 0, 7)
	for _, side := range []*model.Panel{left, right} {
		d.flap(side.Name+" dust top", side, "top", 30, 8, 3)
		d.flap(side.Name+" dust bottom", side, "bottom", 30, 8, 3)
	}
	must(d.b.Cut(d.site(), front, must(geom.Oval(34, 50)).Transform(geom.Translation(35, 70))))
	d.piece("tea carton", front, card, 24)
	in := d.done("tea_carton.star")
	in.Cautions = []string{"Suitability for food contact not assessed."}
	return in
}

// kinds has every line kind, and a hinge folded by hand.
func kinds() Input {
	d := newDesk("Every kind of line")
	card := d.card(nil, nil)
	main := d.root("main", rect(80, 100))
	scored := d.hang("scored", 50, 100, main, "left")
	d.hang("perforated", 50, 100, main, "right", made(model.Perforated), folding(-90))
	d.hang("half cut", 80, 40, main, "top", made(model.PartCut), folding(180))
	bottom := d.hang("half cut from behind", 80, 40, main, "bottom", made(model.PartCut), folding(-45))
	d.hang("turned out", 80, 30, bottom, "bottom", folding(-90))
	d.hang("stays flat", 50, 20, scored, "top", folding(0))
	d.hang("by hand", 30, 60, scored, "left", made(model.PlainFold))
	pen := must(must(geom.StartPath(15, 20)).ArcRadius(65, 20, -60, ""))
	must(d.b.Work(d.site(), model.WorkSpec{Kind: model.Drawn, Panel: main, Path: pen}))
	d.piece("kinds", main, card, 2)
	return d.done("kinds.star")
}

// envelope has an arc and a curve in its flap and hinges that are oblique.
func envelope() Input {
	d := newDesk("Envelope for seed paper")
	d.param("card", 105.0)
	paper := d.card(ptr(160.0), ptr(geom.Degrees(45.0)))
	face := d.root("face", must(geom.Polygon([]geom.Point{{X: 0, Y: 0}, {X: 80, Y: -80}, {X: 160, Y: 0}, {X: 80, Y: 80}}, nil)))
	for i := range 4 {
		tip := must(geom.Polygon([]geom.Point{{X: 0, Y: 0}, {X: 113.137085, Y: 0}, {X: 62, Y: 50}, {X: 51, Y: 50}}, []string{"base", "a", "tip", "b"}))
		must(d.b.Panel(d.site(), model.PanelSpec{
			Name: fmt.Sprintf("flap %d", i+1), Outline: tip, On: d.edge(face, fmt.Sprintf("e%d", i)), Fold: model.Degrees(180),
		}))
	}
	d.piece("envelope", face, paper, 100)
	return d.done("envelope.star")
}

// block is one panel of the given size.
func block(name string, w, h float64) Input {
	d := newDesk("A single panel, " + name)
	p := d.root(name, rect(w, h))
	d.piece(name, p, d.card(ptr(250.0), ptr(geom.Degrees(0.0))), 1)
	return d.done(name + ".star")
}

// pleats is a strip of n panels folded in and out by turns.
func pleats(n int, w, h float64) Input {
	d := newDesk(fmt.Sprintf("Pleated leaflet of %d panels", n))
	p := d.root("leaf 1", rect(w, h))
	first := p
	for i := 2; i <= n; i++ {
		p = d.hang(fmt.Sprintf("leaf %d", i), w, h, p, "right", folding(geom.Degrees(180-360*(i%2))))
	}
	d.piece("leaflet", first, d.card(ptr(120.0), ptr(geom.Degrees(90.0))), 1)
	return d.done("leaflet.star")
}

// rows is a grid of n by m panels, all folded square.
func rows(n, m int, w, h float64) Input {
	d := newDesk(fmt.Sprintf("Divider of %d panels", n*m))
	first := d.root("a1", rect(w, h))
	p := first
	for j := range m {
		if j > 0 {
			p = d.hang(fmt.Sprintf("%c1", 'a'+j), w, h, p, "top")
		}
		q := p
		for i := 1; i < n; i++ {
			q = d.hang(fmt.Sprintf("%c%d", 'a'+j, i+1), w, h, q, "right")
		}
	}
	d.piece("divider", first, d.card(ptr(300.0), ptr(geom.Degrees(0.0))), 1)
	return d.done("divider.star")
}

// set is several pieces of different sizes.
func set() Input {
	d := newDesk("Gift set: tray, lid, band and label")
	card := d.card(ptr(300.0), ptr(geom.Degrees(0.0)))
	for _, c := range []struct {
		name    string
		w, h, z float64
	}{{"tray", 120, 80, 30}, {"lid", 121, 81, 20}} {
		m := d.root(c.name+" floor", rect(c.w, c.h))
		for _, e := range []string{"left", "right"} {
			d.hang(c.name+" "+e, c.z, c.h, m, e)
		}
		for _, e := range []string{"bottom", "top"} {
			d.hang(c.name+" "+e, c.w, c.z, m, e)
		}
		d.piece(c.name, m, card, 1)
	}
	d.piece("band", d.root("band", rect(260, 25)), card, 1)
	d.piece("label", d.root("label", must(geom.Rect(30, 20, 4))), d.card(nil, nil), 2)
	return d.done("gift_set.star")
}

// odd names: markup, marks that reorder text, letters of other scripts, length.
func odd() Input {
	d := newDesk(`<b>"Odd" & names</b>` + " \u202eesrever \u0007 שלום")
	d.param("a_very_long_parameter_name_that_goes_on_and_on", "and a value that is longer than any column could hold")
	card := d.card(ptr(250.0), ptr(geom.Degrees(30.0)))
	m := d.root(`<script>alert("x")</script>`, rect(100, 60))
	d.hang("תווית", 40, 60, m, "left")
	d.hang("\u202eevil\u202c", 40, 60, m, "right")
	d.hang("ラベル", 100, 30, m, "top")
	d.hang("a name that is so long that no panel of any ordinary carton could ever hold it on one line", 100, 25, m, "bottom")
	d.piece("odd", m, card, 1)
	return d.done("odd & <co>.star")
}

// boxView is a closed box as a view from two sides: three faces in axonometry,
// their rims, creases and a crossing. A finding is marked at its front corner.
func boxView(piece string, w, h, d float64, spot *diag.Finding) View {
	at := func(x, y, z float64) geom.Point { return geom.Pt((x-z)*0.866, y-(x+z)*0.5) }
	o, x, y, z := at(0, h, 0), at(w, h, 0), at(0, 0, 0), at(0, h, d)
	xy, xz, yz, xyz := at(w, 0, 0), at(w, h, d), at(0, 0, d), at(w, 0, d)
	p := &scene.Picture{
		Bounds: geom.BoxOf(o, x, y, z, xy, xz, yz, xyz),
		Faces: []scene.Face{
			{Side: scene.Outside, Shade: 0.9, Rings: [][]geom.Point{{o, z, xz, x}}},
			{Side: scene.Outside, Shade: 0.5, Rings: [][]geom.Point{{x, xz, xyz, xy}}},
			{Side: scene.Inside, Shade: 0.7, Rings: [][]geom.Point{{z, yz, xyz, xz}}},
		},
		Lines: []scene.Line{
			{Kind: scene.Rim, Points: []geom.Point{o, x, xy, xyz, yz, z, o}},
			{Kind: scene.Hinge, Points: []geom.Point{x, xz}}, {Kind: scene.Hinge, Points: []geom.Point{xyz, xz, z}},
			{Kind: scene.Perforated, Points: []geom.Point{o.Lerp(z, 0.5), x.Lerp(xz, 0.5)}},
			{Kind: scene.Drawn, Points: []geom.Point{o.Lerp(z, 0.3), x.Lerp(xz, 0.3)}},
			{Kind: scene.Crossing, Points: []geom.Point{o, xz}},
		},
	}
	v := View{Piece: piece, Title: "closed", Aspects: []Aspect{{"from the front", p, nil}, {"from behind", p, nil}}}
	if spot != nil {
		v.Aspects[0].Spots = []Spot{{spot, xz}}
	}
	return v
}

// troubled has findings of every severity, with and without spots.
func troubled(n int) Input {
	in := carton()
	for i := range n {
		f := &diag.Finding{
			Rule: "join-gap", Severity: diag.Severity(2 - i%3), Piece: "tea carton",
			Message: fmt.Sprintf(`tab "glue seam": its hinge misses left side.left by %d.25 mm in pose "closed"`, i+1),
			Hint:    "make back 0.25 mm narrower",
			Site:    in.Design.Panels[i%len(in.Design.Panels)].Site,
		}
		switch i % 4 {
		case 0:
			f.At = &geom.Point{X: float64(37*i%185) - 30, Y: float64(53*i) - 120*float64(53*i/120)}
		case 1:
			f.Panel = in.Design.Panels[i%len(in.Design.Panels)].Name
		case 2:
			f.At = &geom.Point{X: 70, Y: 60}
		}
		in.Findings = append(in.Findings, f)
	}
	return in
}
