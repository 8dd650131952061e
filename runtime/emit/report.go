package emit

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
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
	Programs []*toolpath.Program // of pieces on the machines that files were asked for
}

// Program is the program of a piece on a machine, nil when there is none.
func (run Run) Program(piece, machine string) *toolpath.Program {
	for _, p := range run.Programs {
		if p.Piece.Name == piece && p.Machine.Name == machine {
			return p
		}
	}
	return nil
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
	w.Open('{')
	w.Key("format").Text("creasewright-report")
	w.Key("version").Int(1)
	w.Key("script").Text(run.Script)
	w.params()
	w.sheet()
	w.List("pieces")
	for i, p := range run.Design.Pieces {
		w.piece(p, run.Blanks[i])
	}
	w.End(']')
	w.List("findings")
	for _, f := range run.Findings {
		if w.ended() {
			break
		}
		w.Any(f)
	}
	w.End(']')
	w.List("waived")
	for _, f := range run.Waived {
		if w.ended() {
			break
		}
		w.Any(f)
	}
	w.End(']')
	w.List("cautions")
	for _, c := range run.Cautions {
		w.Text(c)
	}
	w.End(']')
	w.End('}')
	if w.ended() {
		return nil, context.Cause(ctx)
	}
	return jsontext.Indent(w.Out), nil
}

// reportWriter writes a report; nothing of it counts once its context has ended.
type reportWriter struct {
	jsontext.Writer
	ctx context.Context
	run Run
}

// ended is asked before each part that repeats.
func (w *reportWriter) ended() bool { return w.ctx.Err() != nil }

// params writes the values the run had, in the order of Design.Params: numbers
// rounded like lengths, all else as encoding/json has it.
func (w *reportWriter) params() {
	w.Object("params")
	for _, p := range w.run.Design.Params {
		w.Key(p.Name)
		if f, ok := p.Value.(float64); ok {
			w.Number(f, jsontext.LengthPlaces)
		} else {
			w.Any(p.Value)
		}
	}
	w.End('}')
}

// sheet writes what the title block says, where the script gives it.
func (w *reportWriter) sheet() {
	facts := w.run.Design.Sheet.Facts()
	if len(facts) == 0 {
		return
	}
	w.Object("sheet")
	for _, f := range facts {
		w.Key(f.Name).Text(f.Value)
	}
	w.End('}')
}

// piece writes one piece: its board, blank and parts, then its poses. Lists keep
// the order of the design or of the blank: equal designs give equal bytes.
func (w *reportWriter) piece(p *model.Piece, b *blank.Blank) {
	states := w.run.states(p)
	w.Open('{')
	w.Key("name").Text(p.Name)
	w.Key("copies").Int(p.Copies)
	w.board(p.Board)
	w.blank(b)
	w.List("panels")
	for _, s := range b.Regions {
		if w.ended() {
			break
		}
		w.panel(s, states)
	}
	w.End(']')
	w.List("hinges")
	for _, h := range b.Hinges {
		if w.ended() {
			break
		}
		w.hinge(h, states)
	}
	w.End(']')
	w.List("joins")
	for _, j := range p.Joins {
		if w.ended() {
			break
		}
		w.join(j, states)
	}
	w.End(']')
	w.List("poses")
	for _, s := range states {
		w.pose(s)
	}
	w.End(']')
	w.List("contents")
	for _, c := range w.run.Design.Contents {
		if c.Panel.Piece == p {
			w.contents(c)
		}
	}
	w.End(']')
	w.programs(p)
	w.End('}')
}

// programs writes what the machine files of a piece hold, where there are some.
func (w *reportWriter) programs(p *model.Piece) {
	begun := false
	for _, g := range w.run.Programs {
		if g.Piece != p {
			continue
		}
		if !begun {
			w.List("machines")
			begun = true
		}
		writeProgram(&w.Writer, g)
	}
	if begun {
		w.End(']')
	}
}

// writeProgram writes the figures of one: how far the tools go, lowered and lifted, and how far they would be
// carried if the strokes were made in the order of the blank.
func writeProgram(w *jsontext.Writer, g *toolpath.Program) {
	w.Open('{')
	w.Key("name").Text(g.Machine.Name)
	w.Key("format").Text(string(g.Machine.Format))
	w.Key("turned").Bool(g.Turned)
	w.Key("compensated").Bool(g.Compensated())
	w.Key("strokes").Int(g.Strokes())
	w.Key("length").Number(g.Length(), jsontext.LengthPlaces)
	w.Key("travel").Number(g.Travel, jsontext.LengthPlaces)
	w.Key("travel_unordered").Number(g.Naive, jsontext.LengthPlaces)
	w.List("unmade")
	for _, k := range g.Unmade {
		w.Text(string(k))
	}
	w.End(']')
	w.End('}')
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
	w.Object("board")
	w.Key("name").Text(b.Name)
	w.Key("kind").Text(string(b.Kind))
	w.Key("caliper").Number(b.Caliper, jsontext.LengthPlaces)
	w.Key("gsm").Optional(b.GSM)
	w.Key("grain").Optional((*float64)(b.GrainDegrees))
	w.End('}')
}

// blank writes sizes in mm, origin as the lower left corner of the bounding box in
// the blank frame, area in mm² and mass in grams of the board that is left, and
// length in mm and number of strokes by line kind.
func (w *reportWriter) blank(b *blank.Blank) {
	w.Object("blank")
	w.Key("width").Number(b.Bounds.Width(), jsontext.LengthPlaces)
	w.Key("height").Number(b.Bounds.Height(), jsontext.LengthPlaces)
	w.List("origin")
	w.Number(b.Bounds.Min.X, jsontext.LengthPlaces)
	w.Number(b.Bounds.Min.Y, jsontext.LengthPlaces)
	w.End(']')
	w.Key("area").Number(b.Area, jsontext.AreaPlaces)
	if g, ok := b.Piece.Board.Mass(b.Area); ok {
		w.Key("mass_g").Number(g, jsontext.AreaPlaces)
	} else {
		w.Key("mass_g").Null() // the grammage is not known
	}
	w.Object("lengths")
	for _, l := range slices.Backward(b.Layers) { // cuts first
		w.Key(string(l.Kind)).Number(l.Length(), jsontext.LengthPlaces)
	}
	w.End('}')
	w.Object("strokes")
	for _, l := range slices.Backward(b.Layers) {
		w.Key(string(l.Kind)).Int(len(l.Strokes))
	}
	w.End('}')
	w.End('}')
}

// panel writes where its call stands in the script, area, and its places: "flat" is
// a b c d e f with blank = (a·x + c·y + e, b·x + d·y + f), as in an SVG matrix;
// "poses" has a 3×4 matrix for every pose that gives it one.
func (w *reportWriter) panel(s blank.Region, states []State) {
	m, at := s.Panel.Flat, s.Panel.Site.First()
	w.Open('{')
	w.Key("name").Text(s.Panel.Name)
	w.Key("line").Int(at.Line)
	w.Key("column").Int(at.Column)
	w.Key("area").Number(s.Area, jsontext.AreaPlaces)
	w.List("flat")
	for _, v := range [...]float64{m.A, m.B, m.C, m.D} {
		w.Number(v, jsontext.RotationPlaces)
	}
	w.Number(m.E, jsontext.LengthPlaces)
	w.Number(m.F, jsontext.LengthPlaces)
	w.End(']')
	w.Object("poses")
	for _, st := range states {
		if m, ok := st.Panels[s.Panel]; ok {
			w.Key(st.Pose.Name).Matrix(m)
		}
	}
	w.End('}')
	w.End('}')
}

// hinge writes a hinge by its panels and edges, the length in mm that windows left
// of it, and its fold in degrees by pose, positive toward the inside.
func (w *reportWriter) hinge(line blank.HingeLine, states []State) {
	h := line.Hinge
	w.Open('{')
	w.Key("name").Text(h.Name)
	w.Key("parent").Text(h.Parent.Name)
	w.Key("child").Text(h.Child.Name)
	w.Key("on").Text(edgeName(h.On))
	w.Key("by").Text(edgeName(h.By))
	w.Key("closing").Bool(h.Closing)
	if line.Kind != "" {
		w.Key("kind").Text(string(line.Kind))
	} else {
		w.Key("kind").Null() // the files hold no line for it
	}
	w.Key("length").Number(line.Length, jsontext.LengthPlaces)
	w.Object("folds")
	for _, st := range states {
		w.Key(st.Pose.Name)
		if degrees, ok := st.Folds[h]; ok {
			w.Number(float64(degrees), jsontext.LengthPlaces)
		} else {
			w.Null() // not found
		}
	}
	w.End('}')
	w.End('}')
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
	w.Open('{')
	w.Key("kind").Text(string(j.Kind))
	w.Key("a").Text(endName(j.A))
	w.Key("b").Text(endName(j.B))
	w.Object("gaps")
	for _, st := range states {
		if gap, ok := st.Gaps[j]; ok {
			w.Key(st.Pose.Name).Number(gap, jsontext.LengthPlaces)
		}
	}
	w.End('}')
	w.End('}')
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
	w.Open('{')
	w.Key("name").Text(s.Pose.Name)
	w.Key("flat").Bool(s.Flat)
	if s.Stack != 0 {
		w.Key("stack").Int(s.Stack)
	}
	if s.Sizes != nil {
		w.List("outside")
		for _, v := range s.Sizes.Outside {
			w.Number(v, jsontext.LengthPlaces)
		}
		w.End(']')
		w.List("inside")
		for _, v := range s.Sizes.Inside {
			w.Optional(v)
		}
		w.End(']')
	}
	w.End('}')
}

// contents writes how far contents can move, in mm, null for a way that is open; there
// is no "free" where the run did not find it.
func (w *reportWriter) contents(c *model.Contents) {
	w.Open('{')
	w.Key("name").Text(c.Name)
	w.Key("panel").Text(c.Panel.Name)
	if r, ok := w.run.Room[c]; ok {
		w.Object("free")
		w.Key("x-").Optional(r.XMinus)
		w.Key("x+").Optional(r.XPlus)
		w.Key("y-").Optional(r.YMinus)
		w.Key("y+").Optional(r.YPlus)
		w.Key("z").Optional(r.Z)
		w.End('}')
	}
	w.End('}')
}
