package display

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// piece is one piece while it is written, with the numbers of its parts.
type piece struct {
	*writer
	*simulate.Piece
	panels  map[*model.Panel]int
	windows map[*model.Window]int
}

// piece writes one piece.
func (w *writer) piece(i int) {
	p := piece{w, w.in.Pieces[i], map[*model.Panel]int{}, map[*model.Window]int{}}
	for k, panel := range p.Piece.Piece.Panels {
		p.panels[panel] = k
	}
	b, m := p.Blank, p.Piece.Piece
	w.Open('{')
	w.Key("name").Text(m.Name)
	w.Key("copies").Int(m.Copies)
	w.Key("inside").Bool(m.Inside)
	w.board(m)
	w.List("bounds")
	w.coordinates(b.Bounds.Min, b.Bounds.Max)
	w.End(']')
	w.Key("area").Number(b.Area, jsontext.AreaPlaces)
	if g, ok := m.Board.Mass(b.Area); ok {
		w.Key("mass").Number(g, jsontext.AreaPlaces)
	} else {
		w.Key("mass").Null()
	}
	p.sizes()
	p.writePanels()
	p.writeWindows()
	w.List("hinges")
	for _, h := range b.Hinges {
		p.hinge(h)
	}
	w.End(']')
	w.List("joins")
	for _, j := range m.Joins {
		p.join(j)
	}
	w.End(']')
	p.strokes()
	w.List("poses")
	for _, pose := range w.in.Design.Poses {
		p.pose(pose)
	}
	w.End(']')
	w.List("contents")
	for _, c := range w.in.Design.Contents {
		if c.Panel.Piece == m {
			p.contents(c)
		}
	}
	w.End(']')
	w.End('}')
}

// board writes the stock: caliper in mm, grammage in g/m² and the grain's direction in
// degrees, null where they are not known.
func (w *writer) board(p *model.Piece) {
	b := p.Board
	w.Object("board")
	w.Key("name").Text(b.Name)
	w.Key("kind").Text(string(b.Kind))
	w.Key("caliper").length(b.Caliper)
	w.Key("gsm").Optional(b.GSM)
	w.Key("grain").Optional((*float64)(b.GrainDegrees))
	w.End('}')
}

// sizes writes the closed piece's sizes, those inside null along an axis on which it is
// open.
func (p *piece) sizes() {
	var z *simulate.Sizes
	if s := p.State(model.PoseClosed); s != nil {
		z = s.Sizes
	}
	if z == nil {
		p.Key("outside").Null()
		p.Key("innerSize").Null()
		return
	}
	p.List("outside")
	for _, v := range z.Outside {
		p.length(v)
	}
	p.End(']')
	p.List("innerSize")
	for _, v := range z.Inside {
		p.room(v)
	}
	p.End(']')
}

// room writes a distance to the next board, null where there is none.
func (w *writer) room(v float64) {
	if math.IsInf(v, 0) {
		w.Null()
	} else {
		w.length(v)
	}
}

// roles are what the words for panels make.
var roles = [...]string{model.Plain: "panel", model.FlapRole: "flap", model.TabRole: "tab"}

// writePanels writes the panels: "flat" as in an SVG matrix from the panel's frame to
// the blank's, and the rings of the board left of it, in its own frame.
func (p *piece) writePanels() {
	p.List("panels")
	for _, r := range p.Blank.Regions {
		if p.ended() {
			break
		}
		panel := r.Panel
		p.Open('{')
		p.Key("name").Text(panel.Name)
		p.Key("role").Text(roles[panel.Role])
		p.site(panel.Site)
		p.Key("bent").Bool(panel.Bent)
		p.List("flat")
		for _, v := range [...]float64{panel.Flat.A, panel.Flat.B, panel.Flat.C, panel.Flat.D} {
			p.Number(v, jsontext.RotationPlaces)
		}
		p.length(panel.Flat.E)
		p.length(panel.Flat.F)
		p.End(']')
		p.List("rings")
		back := panel.Flat.Inverse()
		for _, ring := range r.Rings {
			p.curves(moved(ring, back))
		}
		p.End(']')
		p.Key("area").Number(r.Area, jsontext.AreaPlaces)
		p.edges(panel.Outline)
		p.End('}')
	}
	p.End(']')
}

// edges writes the edges of an outline that have a name, as designed.
func (w *writer) edges(outline geom.Path) {
	w.List("edges")
	for _, e := range outline.Edges {
		if e.Name == "" {
			continue
		}
		w.Open('{')
		w.Key("name").Text(e.Name)
		w.Key("curves").curves([]geom.Curve{e.Curve})
		w.End('}')
	}
	w.End(']')
}

// writeWindows writes the windows of all panels as they are cut, in their panels'
// frames, and numbers them.
func (p *piece) writeWindows() {
	p.List("windows")
	for i, panel := range p.Piece.Piece.Panels {
		if p.ended() {
			break
		}
		for _, window := range panel.Windows {
			p.windows[window] = len(p.windows)
			p.Open('{')
			p.Key("panel").Int(i)
			p.site(window.Site)
			p.Key("curves").curves(window.Outline.Curves())
			p.End('}')
		}
	}
	p.End(']')
}

// hinge writes what windows left of a hinge, in the blank's frame, and the line that it
// turns about, in its parent's, null for a curved one; "height" is how far outside the
// middle of the board that line lies. Its kind is that of its line in
// the files, or look.HandFold, or null where it never folds.
func (p *piece) hinge(l blank.HingeLine) {
	h := l.Hinge
	if p.ended() {
		return
	}
	p.Open('{')
	p.Key("name").Text(h.Name)
	p.Key("parent").Int(p.panels[h.Parent])
	p.Key("child").Int(p.panels[h.Child])
	switch {
	case l.Kind != "":
		p.Key("kind").Text(string(l.Kind))
	case look.FoldedByHand(l):
		p.Key("kind").Text(string(look.HandFold))
	default:
		p.Key("kind").Null()
	}
	p.Key("closing").Bool(h.Closing)
	p.Key("length").length(l.Length)
	p.site(h.Site)
	p.Key("curves").curves(l.Curves)
	if h.Curve.Kind == geom.Line {
		p.List("axis")
		p.point(h.Curve.P)
		p.point(h.Curve.Q)
		p.End(']')
	} else {
		p.Key("axis").Null()
	}
	p.Key("height").length(h.AxisHeight(p.Piece.Piece.Board.Caliper))
	p.End('}')
}

// join writes what comes together, the gap asked for and, by pose, the gaps left in
// those that ask for it.
func (p *piece) join(j *model.Join) {
	if p.ended() {
		return
	}
	p.Open('{')
	p.Key("kind").Text(string(j.Kind))
	p.end("a", j.A, j.Area)
	p.end("b", j.B, nil)
	p.site(j.Site)
	p.Key("asked").length(j.Gap)
	p.Object("gaps")
	for _, s := range p.States {
		p.Key(s.Pose.Name)
		if i := slices.IndexFunc(s.Gaps, func(g simulate.Gap) bool { return g.Join == j }); i >= 0 {
			p.length(s.Gaps[i].Size)
		} else {
			p.Null()
		}
	}
	p.End('}')
	p.End('}')
}

// end writes one end of a join: a panel, an edge or a window of one, and the curves of
// it that come together, in the panel's frame: none where it is all of the panel. area
// is the part of the panel that is glued, nil for all of it.
func (p *piece) end(name string, e model.JoinEnd, area *geom.Path) {
	window := e.Window
	var at []geom.Curve
	switch {
	case e.Edge != nil:
		window, at = e.Edge.Window, []geom.Curve{e.Edge.Stretch()}
	case e.Window != nil:
		at = e.Window.Outline.Curves()
	case e.Slit != nil:
		at = e.Slit.Path.Curves()
	case area != nil:
		at = area.Curves()
	}
	p.Object(name)
	p.Key("panel").Int(p.panels[e.Panel])
	p.Key("edge")
	if e.Edge != nil {
		p.Text(e.Edge.Name)
	} else {
		p.Null()
	}
	p.Key("window")
	if i, ok := p.windows[window]; ok {
		p.Int(i)
	} else {
		p.Null()
	}
	p.Key("at").curves(at)
	p.End('}')
}

// strokes writes the lines of the cut file, in the blank's frame.
func (p *piece) strokes() {
	p.List("strokes")
	for _, l := range p.Blank.Layers {
		for _, s := range l.Strokes {
			if p.ended() {
				break
			}
			p.Open('{')
			p.Key("kind").Text(string(l.Kind))
			p.Key("closed").Bool(s.Closed)
			p.Key("length").length(s.Length())
			p.Key("curves").curves(s.Curves)
			p.End('}')
		}
	}
	p.End(']')
}

// contents writes the product: its frame in the closed pose has its origin under the
// centre of the base and z into the piece, null where it was not stood there; "free" is
// the room round it, null where the way is open.
func (p *piece) contents(c *model.Contents) {
	p.Open('{')
	p.Key("name").Text(c.Name)
	p.List("size")
	for _, v := range c.Size {
		p.length(v)
	}
	p.End(']')
	p.Key("round").Bool(c.Round)
	p.Key("panel").Int(p.panels[c.Panel])
	p.site(c.Site)
	p.Key("clearance").length(c.Clearance)
	p.Key("mass").Optional(c.Mass)
	fit := p.fit(c)
	if fit == nil {
		p.Key("frame").Null()
		p.Key("free").Null()
		p.End('}')
		return
	}
	p.Key("frame").Matrix(intoPiece.Then(fit.Frame))
	p.Object("free")
	for i, v := range fit.Free {
		p.Key(contact.Directions[i]).room(v)
	}
	p.End('}')
	p.End('}')
}

// intoPiece turns z from out of the piece to into it: a half turn about x, which takes
// a product, symmetric about both its axes, to itself.
var intoPiece = geom.RigidTransform{R: [9]float64{0: 1, 4: -1, 8: -1}}

// fit is how the product sits in the closed piece, nil when that is not known.
func (p *piece) fit(c *model.Contents) *simulate.Fit {
	for _, s := range p.States {
		for i := range s.Fits {
			if s.Fits[i].Contents == c {
				return &s.Fits[i]
			}
		}
	}
	return nil
}
