// Package display gives a run as plain data from which a screen draws the flat blank
// and the folded piece: curves as curves, a matrix for each panel and pose, and for
// everything the calls in the script that made it. It draws and judges nothing, and
// knows of no page.
//
// Lengths are millimetres and rounded to 1e-9, angles degrees, rotations rounded to
// 13 decimals: same run, same bytes. Lists keep the order of the design or of the
// blank; numbers that name a panel, hinge or window count from 0 in the lists of the
// same piece. What any name or text holds, the bytes are sound JSON.
package display

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
)

// Input is all that is told of one run.
type Input struct {
	Script   string // the script's base name
	Exit     int    // how the run ends
	Design   *model.Design
	Pieces   []*simulate.Piece // in the order of the design's, with their blanks
	Findings []*diag.Finding   // in the order in which they are told
	Waived   []diag.Waived
	Cautions []string
	Prints   []string
	// Text gives a text of the run by its label, "" for one that was not read.
	Text func(label string) string
	// Most is how many bytes a run is shown in; 0 is any number.
	Most int64
}

// tooLarge is said of a design that is shown by its findings alone.
const tooLarge = "The design is too large to be shown on the screen; only what was found is."

// JSON is the run as one JSON object on one line. One that is larger than Most is given
// without its pieces. The error is the context's cause.
func JSON(ctx context.Context, in Input) ([]byte, error) {
	text, err := whole(ctx, in)
	if in.Most > 0 && int64(len(text)) > in.Most {
		in.Pieces, in.Cautions = nil, append(slices.Clip(in.Cautions), tooLarge)
		return whole(ctx, in)
	}
	return text, err
}

// whole is the run in whatever size it takes.
func whole(ctx context.Context, in Input) ([]byte, error) {
	w := &writer{ctx: ctx, in: in, files: map[string]int{}}
	w.Open('{')
	w.Key("format").Text("creasewright-display")
	w.Key("version").Int(1)
	w.Key("script").Text(in.Script)
	w.Key("title").Text(in.Design.Title)
	w.Key("exit").Int(in.Exit)
	w.file(in.Script) // so that it is the first of the sources
	w.params()
	w.kinds()
	w.List("pieces")
	for i := range in.Pieces {
		w.piece(i)
	}
	w.End(']')
	w.findings()
	w.List("waived")
	for _, f := range in.Waived {
		w.Open('{')
		w.Key("rule").Text(f.Finding.Rule)
		w.Key("on").Text(f.Finding.Panel)
		w.Key("reason").Text(f.Reason)
		w.End('}')
	}
	w.End(']')
	w.texts("cautions", in.Cautions)
	w.texts("prints", in.Prints)
	w.sources() // by now all are known
	w.End('}')
	if w.ended() {
		return nil, context.Cause(ctx)
	}
	return append(w.Out, '\n'), nil
}

// writer writes one run; nothing of it counts once its context has ended.
type writer struct {
	jsontext.Writer
	ctx    context.Context
	in     Input
	labels []string       // of the texts that sites name, in the order of their numbers
	files  map[string]int // numbers of these by label
}

// ended is asked before each part that repeats.
func (w *writer) ended() bool { return w.ctx.Err() != nil }

// file is the number of a text among the sources.
func (w *writer) file(label string) int {
	if label == "" {
		return -1
	}
	n, known := w.files[label]
	if !known {
		n = len(w.labels)
		w.files[label], w.labels = n, append(w.labels, label)
	}
	return n
}

// sources writes the texts that sites name.
func (w *writer) sources() {
	w.List("sources")
	for _, label := range w.labels {
		if w.ended() {
			break
		}
		w.Open('{')
		w.Key("file").Text(label)
		w.Key("text").Text(w.in.Text(label))
		w.End('}')
	}
	w.End(']')
}

// site writes spans as [file, line, column, end line, end column], the designer's own
// line first.
func (w *writer) site(at source.Site) {
	w.List("site")
	for _, s := range at {
		w.Open('[')
		for _, n := range [...]int{w.file(s.File), s.Line, s.Column, s.EndLine, s.EndColumn} {
			w.Int(n)
		}
		w.End(']')
	}
	w.End(']')
}

// texts writes a list of texts.
func (w *writer) texts(name string, all []string) {
	w.List(name)
	for _, s := range all {
		w.Text(s)
	}
	w.End(']')
}

// params writes what can be set, with limits and choices or null.
func (w *writer) params() {
	w.List("params")
	for _, p := range w.in.Design.Params {
		w.Open('{')
		w.Key("name").Text(p.Name)
		w.Key("kind").Text(paramKind(p))
		w.Key("value").value(p.Value)
		w.Key("default").value(p.Default)
		w.Key("min").value(p.Min)
		w.Key("max").value(p.Max)
		if p.Choices == nil {
			w.Key("choices").Null()
		} else {
			w.List("choices")
			for _, v := range p.Choices {
				w.value(v)
			}
			w.End(']')
		}
		w.Key("doc").Text(p.Doc)
		w.site(p.Site)
		w.End('}')
	}
	w.End(']')
}

// paramKind is the sort of a parameter. A number is whole where the script writes it
// and its limits so and it has no other value; a part of one may be set all the same.
func paramKind(p model.Param) string {
	if p.Choices != nil {
		return "choice"
	}
	switch p.Default.(type) {
	case string:
		return "text"
	case bool:
		return "yes-no"
	}
	for _, v := range [...]any{p.Value, p.Default, p.Min, p.Max} {
		if _, broken := v.(float64); broken {
			return "number"
		}
	}
	return "whole"
}

// value writes a parameter's value or limit: nil, int64, float64, string or bool.
func (w *writer) value(v any) {
	if f, ok := v.(float64); ok {
		w.length(f)
	} else {
		w.Any(v)
	}
}

// kinds writes the look of the line kinds that occur, in the order in which they are
// painted.
func (w *writer) kinds() {
	inside := slices.ContainsFunc(w.in.Pieces, func(p *simulate.Piece) bool { return p.Piece.Inside })
	w.List("kinds")
	for _, l := range look.Lines(inside) {
		if !w.occurs(l.Kind) {
			continue
		}
		w.Open('{')
		w.Key("kind").Text(string(l.Kind))
		w.Key("colour").Text(l.Colour)
		w.Key("width").Number(l.Width, jsontext.LengthPlaces)
		w.List("dash")
		for _, d := range l.Dash {
			w.length(d)
		}
		w.End(']')
		w.Key("does").Text(l.Does)
		w.End('}')
	}
	w.End(']')
}

// occurs reports whether some blank has lines of the kind.
func (w *writer) occurs(k blank.Kind) bool {
	return slices.ContainsFunc(w.in.Pieces, func(p *simulate.Piece) bool {
		return k == look.HandFold && slices.ContainsFunc(p.Blank.Hinges, look.FoldedByHand) ||
			slices.ContainsFunc(p.Blank.Layers, func(l blank.Layer) bool { return l.Kind == k && len(l.Strokes) > 0 })
	})
}

// findings writes what was found. Errors and warnings are numbered from 1 as on the
// sheet; notes, which it does not show, have the number 0.
func (w *writer) findings() {
	w.List("findings")
	number := 0
	for _, f := range w.in.Findings {
		if w.ended() {
			break
		}
		w.Open('{')
		if f.Severity > diag.Note {
			number++
			w.Key("number").Int(number)
		} else {
			w.Key("number").Int(0)
		}
		w.Key("rule").Text(f.Rule)
		w.Key("severity").Text(f.Severity.String())
		w.Key("message").Text(f.Message)
		w.Key("hint").Text(f.Hint)
		w.site(f.Site)
		w.List("related")
		for _, rel := range f.Related {
			w.Open('{')
			w.Key("message").Text(rel.Message)
			w.site(source.Site{rel.Span})
			w.End('}')
		}
		w.End(']')
		w.place(f)
		w.End('}')
	}
	w.End(']')
}

// place writes where a finding shows: its piece and panel by number, its pose, and a
// point of the blank. A spot whose finding names neither piece nor panel is on the
// first blank, as on the sheet.
func (w *writer) place(f *diag.Finding) {
	piece, panel := w.find(f)
	spot := f.At != nil && f.At.Finite()
	if piece < 0 && spot && len(w.in.Pieces) > 0 {
		piece = 0
	}
	w.Key("piece").index(piece)
	w.Key("panel").index(panel)
	w.Key("pose").Text(f.Pose)
	if spot {
		w.Key("at").point(*f.At)
	} else {
		w.Key("at").Null()
	}
}

// find gives the numbers of a finding's piece and panel, −1 for none.
func (w *writer) find(f *diag.Finding) (piece, panel int) {
	for i, p := range w.in.Pieces {
		if f.Piece != "" && f.Piece != p.Piece.Name || f.Piece == "" && f.Panel == "" {
			continue
		}
		panel := slices.IndexFunc(p.Piece.Panels, func(q *model.Panel) bool { return q.Name == f.Panel })
		if f.Piece != "" || panel >= 0 {
			return i, panel
		}
	}
	return -1, -1
}

// Key begins a member of an object.
func (w *writer) Key(name string) *writer {
	w.Writer.Key(name)
	return w
}

// index writes a number in a list, null for −1.
func (w *writer) index(i int) {
	if i < 0 {
		w.Null()
	} else {
		w.Int(i)
	}
}

// length writes a length in mm, or an angle in degrees.
func (w *writer) length(v float64) { w.Number(v, jsontext.LengthPlaces) }

// point writes x and y.
func (w *writer) point(p geom.Point) {
	w.Open('[')
	w.length(p.X)
	w.length(p.Y)
	w.End(']')
}

// curves writes curves as lists of numbers: 0 and the ends of a line; 1, the ends,
// centre, radius and signed sweep in radians of an arc; 2, the first end, the control
// points and the last end of a cubic.
func (w *writer) curves(all []geom.Curve) {
	w.Open('[')
	for _, c := range all {
		w.Open('[')
		switch c.Kind {
		case geom.Line:
			w.Int(0)
			w.coordinates(c.P, c.Q)
		case geom.Arc:
			w.Int(1)
			w.coordinates(c.P, c.Q, c.C)
			w.length(c.R)
			w.Number(c.Sweep.Radians(), jsontext.RotationPlaces)
		case geom.Cubic:
			w.Int(2)
			w.coordinates(c.P, c.C, c.D, c.Q)
		}
		w.End(']')
	}
	w.End(']')
}

func (w *writer) coordinates(points ...geom.Point) {
	for _, p := range points {
		w.length(p.X)
		w.length(p.Y)
	}
}

// moved are curves in another frame.
func moved(curves []geom.Curve, m geom.Isometry) []geom.Curve {
	out := make([]geom.Curve, len(curves))
	for i, c := range curves {
		out[i] = c.Transform(m)
	}
	return out
}
