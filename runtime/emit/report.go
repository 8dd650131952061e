package emit

import (
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
	Stack  int                                  // boards at the thickest, when flat; 0 when not known
	Panels map[*model.Panel]geom.RigidTransform // panel frame to world; none for a panel beyond a fold that was not found
	Folds  map[*model.Hinge]float64             // degrees; none for a fold that was not found
	Gaps   map[*model.Join]float64              // mm; none where the pose does not ask for the join
}

// Room is how far contents can move before they touch, in mm along the axes of
// the panel they stand on; nil where the way is open.
type Room struct{ XMinus, XPlus, YMinus, YPlus, Z *float64 }

// Report is report.json: what the run's pieces are made of, how they fold and
// what was found. Keys stand in a fixed order, lengths and degrees are rounded
// to 1e-9, areas and masses to 1e-6, rotations to 13 decimals: same run, same
// bytes.
func Report(run Run) []byte {
	doc := reportJSON{
		Format: "creasewright-report", Version: 1,
		Script:   run.Script,
		Params:   paramsJSON(run.Design.Params),
		Pieces:   make([]pieceJSON, len(run.Design.Pieces)),
		Findings: append([]*diag.Finding{}, run.Findings...),
		Waived:   append([]diag.Waived{}, run.Waived...),
		Cautions: append([]string{}, run.Cautions...),
	}
	for i, p := range run.Design.Pieces {
		doc.Pieces[i] = run.piece(p, run.Blanks[i])
	}
	return indent(mustMarshal(doc))
}

func paramsJSON(params []model.Param) object {
	out := object{}
	for _, p := range params {
		v := p.Value
		if f, ok := v.(float64); ok {
			v = length(f)
		}
		out = append(out, member{p.Name, v})
	}
	return out
}

func (run Run) piece(p *model.Piece, b *blank.Blank) pieceJSON {
	states := run.states(p)
	out := pieceJSON{
		Name: p.Name, Copies: p.Copies, Board: boardOf(p.Board), Blank: blankOf(b),
		Panels:   make([]panelJSON, len(b.Sheets)),
		Hinges:   make([]hingeJSON, len(b.Hinges)),
		Joins:    make([]joinJSON, len(p.Joins)),
		Poses:    make([]poseJSON, len(states)),
		Contents: []contentsJSON{},
	}
	for i, s := range b.Sheets {
		out.Panels[i] = panelOf(s, states)
	}
	for i, h := range b.Hinges {
		out.Hinges[i] = hingeOf(h, states)
	}
	for i, j := range p.Joins {
		out.Joins[i] = joinOf(j, states)
	}
	for i, s := range states {
		out.Poses[i] = poseJSON{s.Pose.Name, s.Flat, s.Stack}
	}
	for _, c := range run.Design.Contents {
		if c.Panel.Piece == p {
			out.Contents = append(out.Contents, run.contents(c))
		}
	}
	return out
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
func flatState(p *model.Piece, pose *model.Pose) State {
	s := State{
		Piece: p, Pose: pose, Flat: true, Stack: 1,
		Panels: map[*model.Panel]geom.RigidTransform{}, Folds: map[*model.Hinge]float64{},
	}
	for _, panel := range p.Panels {
		s.Panels[panel] = panel.Flat.Space()
	}
	for _, h := range p.Hinges {
		s.Folds[h] = 0
	}
	return s
}

func boardOf(b *board.Board) boardJSON {
	return boardJSON{b.Name, string(b.Kind), length(b.Caliper), optional(b.GSM), optional(b.Grain)}
}

func blankOf(b *blank.Blank) blankJSON {
	out := blankJSON{
		Width: length(b.Bounds.Width()), Height: length(b.Bounds.Height()),
		Origin: [2]length{length(b.Bounds.Min.X), length(b.Bounds.Min.Y)},
		Area:   coarse(b.Area), Lengths: object{}, Strokes: object{},
	}
	if g, ok := b.Piece.Board.Mass(b.Area); ok {
		mass := coarse(g)
		out.Mass = &mass
	}
	for _, l := range slices.Backward(b.Layers) { // cuts first
		out.Lengths = append(out.Lengths, member{string(l.Kind), length(l.Length())})
		out.Strokes = append(out.Strokes, member{string(l.Kind), len(l.Strokes)})
	}
	return out
}

func panelOf(s blank.Sheet, states []State) panelJSON {
	m, at := s.Panel.Flat, s.Panel.Site.First()
	out := panelJSON{
		Name: s.Panel.Name, Line: at.Line, Column: at.Column, Area: coarse(s.Area),
		Flat:  [6]any{turn(m.A), turn(m.B), turn(m.C), turn(m.D), length(m.E), length(m.F)},
		Poses: object{},
	}
	for _, st := range states {
		if m, ok := st.Panels[s.Panel]; ok {
			out.Poses = append(out.Poses, member{st.Pose.Name, matrix(m)})
		}
	}
	return out
}

// matrix is a motion as a 3×4 matrix by rows.
func matrix(m geom.RigidTransform) [12]any {
	t := [3]float64{m.T.X, m.T.Y, m.T.Z}
	var out [12]any
	for row := range 3 {
		for col := range 3 {
			out[4*row+col] = turn(m.R[3*row+col])
		}
		out[4*row+3] = length(t[row])
	}
	return out
}

func hingeOf(line blank.HingeLine, states []State) hingeJSON {
	h := line.Hinge
	out := hingeJSON{
		Name: h.Name, Parent: h.Parent.Name, Child: h.Child.Name,
		On: edgeName(h.On), By: edgeName(h.By), Closing: h.Closing,
		Length: length(line.Length), Folds: object{},
	}
	if line.Kind != "" {
		out.Kind = &line.Kind
	}
	for _, st := range states {
		var fold any // null: not found
		if deg, ok := st.Folds[h]; ok {
			fold = length(deg)
		}
		out.Folds = append(out.Folds, member{st.Pose.Name, fold})
	}
	return out
}

func edgeName(e model.EdgeRef) string {
	if e.Window != nil {
		return "opening." + e.Name
	}
	return e.Name
}

func joinOf(j *model.Join, states []State) joinJSON {
	out := joinJSON{Kind: string(j.Kind), A: endName(j.A), B: endName(j.B), Gaps: object{}}
	for _, st := range states {
		if gap, ok := st.Gaps[j]; ok {
			out.Gaps = append(out.Gaps, member{st.Pose.Name, length(gap)})
		}
	}
	return out
}

func endName(e model.JoinEnd) string {
	switch {
	case e.Edge != nil:
		return e.Edge.String()
	case e.Window != nil:
		return e.Panel.Name + " opening"
	}
	return e.Panel.Name
}

func (run Run) contents(c *model.Contents) contentsJSON {
	out := contentsJSON{Name: c.Name, Panel: c.Panel.Name}
	if r, ok := run.Room[c]; ok {
		out.Free = &roomJSON{optional(r.XMinus), optional(r.XPlus), optional(r.YMinus), optional(r.YPlus), optional(r.Z)}
	}
	return out
}
