package emit

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Run is all that a report tells of one run of a script.
type Run struct {
	Script   string // the script's base name
	Design   *model.Design
	Blanks   []*blank.Blank // one a piece, in the order of Design.Pieces
	States   []State        // pieces folded to poses, in any order
	Room     map[*model.Contents]Room
	Findings []*diag.Finding
	Waived   []diag.Waived
	Cautions []string
}

// State is one piece folded to one pose, as far as it was found. The flat pose
// needs no state of its own: it follows from how the blank is laid out.
type State struct {
	Piece  *model.Piece
	Pose   *model.Pose
	Flat   bool                                 // all panels lie on one another in one plane
	Sizes  *Sizes                               // of the pose "closed"; nil when not known
	Stack  int                                  // boards at the thickest, when flat; 0 when not known
	Panels map[*model.Panel]geom.RigidTransform // panel frame to world; none for a panel beyond a fold that was not found
	Folds  map[*model.Hinge]geom.Degrees        // degrees; none for a fold that was not found
	Gaps   map[*model.Join]float64              // mm; none where the pose does not ask for the join
}

// Sizes are those of a closed piece along the axes of its root panel, mm: over
// all, and from surface to surface through its middle, nil where it is open.
type Sizes struct {
	Outside [3]float64
	Inside  [3]*float64
}

// Room is how far contents can move before they touch, in mm along the axes of
// the panel they stand on; nil where the way is open.
type Room struct{ XMinus, XPlus, YMinus, YPlus, Z *float64 }

// Report is report.json: what the run's pieces are made of, how they fold and
// what was found. Keys stand in a fixed order, lengths and degrees are rounded
// to 1e-9, areas and masses to 1e-6, rotations to 13 decimals: same run, same
// bytes. The error is the context's.
func Report(ctx context.Context, run Run) ([]byte, error) {
	w := &reportWriter{ctx: ctx, run: run}
	w.open('{')
	w.key("format").text("creasewright-report")
	w.key("version").int(1)
	w.key("script").text(run.Script)
	w.params()
	w.sheet()
	w.list("pieces")
	for i, p := range run.Design.Pieces {
		w.piece(p, run.Blanks[i])
	}
	w.end(']')
	w.list("findings")
	for _, f := range run.Findings {
		if w.ended() {
			break
		}
		w.any(f)
	}
	w.end(']')
	w.list("waived")
	for _, f := range run.Waived {
		if w.ended() {
			break
		}
		w.any(f)
	}
	w.end(']')
	w.list("cautions")
	for _, c := range run.Cautions {
		w.text(c)
	}
	w.end(']')
	w.end('}')
	if w.ended() {
		return nil, context.Cause(ctx)
	}
	return indent(w.out), nil
}

// reportWriter writes a report; nothing of it counts once its context has ended.
type reportWriter struct {
	jsonWriter
	ctx context.Context
	run Run
}

// ended is asked before each part that repeats.
func (w *reportWriter) ended() bool { return w.ctx.Err() != nil }

// params writes the values the run had, in the order of Design.Params: numbers
// rounded like lengths, all else as encoding/json has it.
func (w *reportWriter) params() {
	w.object("params")
	for _, p := range w.run.Design.Params {
		w.key(p.Name)
		if f, ok := p.Value.(float64); ok {
			w.number(f, lengthPlaces)
		} else {
			w.any(p.Value)
		}
	}
	w.end('}')
}

// sheet writes what the title block says, where the script gives it.
func (w *reportWriter) sheet() {
	facts := w.run.Design.Sheet.Facts()
	if len(facts) == 0 {
		return
	}
	w.object("sheet")
	for _, f := range facts {
		w.key(f.Name).text(f.Value)
	}
	w.end('}')
}

// piece writes one piece: its board, blank and parts, then its poses. Lists keep
// the order of the design or of the blank: equal designs give equal bytes.
func (w *reportWriter) piece(p *model.Piece, b *blank.Blank) {
	states := w.run.states(p)
	w.open('{')
	w.key("name").text(p.Name)
	w.key("copies").int(p.Copies)
	w.board(p.Board)
	w.blank(b)
	w.list("panels")
	for _, s := range b.Regions {
		if w.ended() {
			break
		}
		w.panel(s, states)
	}
	w.end(']')
	w.list("hinges")
	for _, h := range b.Hinges {
		if w.ended() {
			break
		}
		w.hinge(h, states)
	}
	w.end(']')
	w.list("joins")
	for _, j := range p.Joins {
		if w.ended() {
			break
		}
		w.join(j, states)
	}
	w.end(']')
	w.list("poses")
	for _, s := range states {
		w.pose(s)
	}
	w.end(']')
	w.list("contents")
	for _, c := range w.run.Design.Contents {
		if c.Panel.Piece == p {
			w.contents(c)
		}
	}
	w.end(']')
	w.end('}')
}

// states lists the piece's states in the order of the design's poses.
func (run Run) states(p *model.Piece) []State {
	var out []State
	for _, pose := range run.Design.Poses {
		if s, ok := run.state(p, pose); ok {
			out = append(out, s)
		}
	}
	return out
}

// state finds the state of a piece in a pose; ok is false when the run folded no
// such pose. It looks through all states: pieces and poses are few.
func (run Run) state(p *model.Piece, pose *model.Pose) (State, bool) {
	for _, s := range run.States {
		if s.Piece == p && s.Pose == pose {
			return s, true
		}
	}
	if pose.Name == "flat" {
		return flatState(p, pose), true
	}
	return State{}, false
}

// flatState is the piece as it lies in the blank.
// Panels lie in the plane z = 0 of the blank frame, every fold is 0, and nothing
// lies on anything else, so that the stack is one board.
func flatState(p *model.Piece, pose *model.Pose) State {
	s := State{
		Piece: p, Pose: pose, Flat: true, Stack: 1,
		Panels: map[*model.Panel]geom.RigidTransform{}, Folds: map[*model.Hinge]geom.Degrees{},
	}
	for _, panel := range p.Panels {
		s.Panels[panel] = panel.Flat.Space()
	}
	for _, h := range p.Hinges {
		s.Folds[h] = 0
	}
	return s
}

// board writes caliper in mm, grammage in g/m² or null, and the grain's direction in
// degrees or null.
func (w *reportWriter) board(b *board.Board) {
	w.object("board")
	w.key("name").text(b.Name)
	w.key("kind").text(string(b.Kind))
	w.key("caliper").number(b.Caliper, lengthPlaces)
	w.key("gsm").optional(b.GSM)
	w.key("grain").optional((*float64)(b.GrainDegrees))
	w.end('}')
}

// blank writes sizes in mm, origin as the lower left corner of the bounding box in
// the blank frame, area in mm² and mass in grams of the board that is left, and
// length in mm and number of strokes by line kind.
func (w *reportWriter) blank(b *blank.Blank) {
	w.object("blank")
	w.key("width").number(b.Bounds.Width(), lengthPlaces)
	w.key("height").number(b.Bounds.Height(), lengthPlaces)
	w.list("origin")
	w.number(b.Bounds.Min.X, lengthPlaces)
	w.number(b.Bounds.Min.Y, lengthPlaces)
	w.end(']')
	w.key("area").number(b.Area, areaPlaces)
	if g, ok := b.Piece.Board.Mass(b.Area); ok {
		w.key("mass_g").number(g, areaPlaces)
	} else {
		w.key("mass_g").null() // the grammage is not known
	}
	w.object("lengths")
	for _, l := range slices.Backward(b.Layers) { // cuts first
		w.key(string(l.Kind)).number(l.Length(), lengthPlaces)
	}
	w.end('}')
	w.object("strokes")
	for _, l := range slices.Backward(b.Layers) {
		w.key(string(l.Kind)).int(len(l.Strokes))
	}
	w.end('}')
	w.end('}')
}

// panel writes where its call stands in the script, area, and its places: "flat" is
// a b c d e f with blank = (a·x + c·y + e, b·x + d·y + f), as in an SVG matrix;
// "poses" has a 3×4 matrix for every pose that gives it one.
func (w *reportWriter) panel(s blank.Region, states []State) {
	m, at := s.Panel.Flat, s.Panel.Site.First()
	w.open('{')
	w.key("name").text(s.Panel.Name)
	w.key("line").int(at.Line)
	w.key("column").int(at.Column)
	w.key("area").number(s.Area, areaPlaces)
	w.list("flat")
	for _, v := range [...]float64{m.A, m.B, m.C, m.D} {
		w.number(v, rotationPlaces)
	}
	w.number(m.E, lengthPlaces)
	w.number(m.F, lengthPlaces)
	w.end(']')
	w.object("poses")
	for _, st := range states {
		if m, ok := st.Panels[s.Panel]; ok {
			w.key(st.Pose.Name).matrix(m)
		}
	}
	w.end('}')
	w.end('}')
}

// matrix writes a motion as a 3×4 matrix by rows.
// World = R·(x, y, 0) + t, with row k of the matrix R[k][0], R[k][1], R[k][2], t[k].
func (w *jsonWriter) matrix(m geom.RigidTransform) {
	w.open('[')
	for row, t := range [...]float64{m.T.X, m.T.Y, m.T.Z} {
		for col := range 3 {
			w.number(m.R[3*row+col], rotationPlaces)
		}
		w.number(t, lengthPlaces)
	}
	w.end(']')
}

// hinge writes a hinge by its panels and edges, the length in mm that windows left
// of it, and its fold in degrees by pose, positive toward the inside.
func (w *reportWriter) hinge(line blank.HingeLine, states []State) {
	h := line.Hinge
	w.open('{')
	w.key("name").text(h.Name)
	w.key("parent").text(h.Parent.Name)
	w.key("child").text(h.Child.Name)
	w.key("on").text(edgeName(h.On))
	w.key("by").text(edgeName(h.By))
	w.key("closing").bool(h.Closing)
	if line.Kind != "" {
		w.key("kind").text(string(line.Kind))
	} else {
		w.key("kind").null() // the files hold no line for it
	}
	w.key("length").number(line.Length, lengthPlaces)
	w.object("folds")
	for _, st := range states {
		w.key(st.Pose.Name)
		if degrees, ok := st.Folds[h]; ok {
			w.number(float64(degrees), lengthPlaces)
		} else {
			w.null() // not found
		}
	}
	w.end('}')
	w.end('}')
}

// edgeName is an edge as scripts name it within its panel.
func edgeName(e model.EdgeRef) string {
	if e.Window != nil {
		return "opening." + e.Name
	}
	return e.Name
}

// join writes the gap of a join in mm by pose, for the poses that ask for it.
func (w *reportWriter) join(j *model.Join, states []State) {
	w.open('{')
	w.key("kind").text(string(j.Kind))
	w.key("a").text(endName(j.A))
	w.key("b").text(endName(j.B))
	w.object("gaps")
	for _, st := range states {
		if gap, ok := st.Gaps[j]; ok {
			w.key(st.Pose.Name).number(gap, lengthPlaces)
		}
	}
	w.end('}')
	w.end('}')
}

// endName is an end of a join in words: an edge, an opening or slit of a panel, or
// the panel.
func endName(e model.JoinEnd) string {
	switch {
	case e.Edge != nil:
		return e.Edge.String()
	case e.Window != nil:
		return e.Panel.Name + " opening"
	case e.Slit != nil:
		return e.Panel.Name + " slit"
	}
	return e.Panel.Name
}

// pose writes the stack (boards at the thickest) and the sizes, in mm, only where
// they are known; an inside size is null along an axis that is open.
func (w *reportWriter) pose(s State) {
	w.open('{')
	w.key("name").text(s.Pose.Name)
	w.key("flat").bool(s.Flat)
	if s.Stack != 0 {
		w.key("stack").int(s.Stack)
	}
	if s.Sizes != nil {
		w.list("outside")
		for _, v := range s.Sizes.Outside {
			w.number(v, lengthPlaces)
		}
		w.end(']')
		w.list("inside")
		for _, v := range s.Sizes.Inside {
			w.optional(v)
		}
		w.end(']')
	}
	w.end('}')
}

// contents writes how far contents can move, in mm, null for a way that is open; there
// is no "free" where the run did not find it.
func (w *reportWriter) contents(c *model.Contents) {
	w.open('{')
	w.key("name").text(c.Name)
	w.key("panel").text(c.Panel.Name)
	if r, ok := w.run.Room[c]; ok {
		w.object("free")
		w.key("x-").optional(r.XMinus)
		w.key("x+").optional(r.XPlus)
		w.key("y-").optional(r.YMinus)
		w.key("y+").optional(r.YPlus)
		w.key("z").optional(r.Z)
		w.end('}')
	}
	w.end('}')
}
