// Package linework measures the lines of a flat blank: which of them run close
// together and with what between them, what they are part of, which parts the
// cuts leave and what those hang by. It judges nothing and knows no limits.
package linework

import (
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Role says what a line does.
type Role uint8

// The roles of lines.
const (
	Rim    Role = iota // a cut with board on its left only
	Slit               // a cut with board on both sides
	Crease             // a fold with board on both sides, or a score
)

// Line is one curve of the blank that is cut or creased, in the blank frame.
type Line struct {
	geom.Curve
	Role  Role
	Kind  blank.Kind   // "" for a plain fold
	Hinge *model.Hinge // of a crease between panels
	Score *model.Work  // of a crease drawn by hand, which may reach past the board

	stroke     int     // of a cut, its number; −1 for a crease
	from       float64 // length along the stroke at which it begins
	prev, next int     // lines that run on at its ends; −1 for none
}

// Lines is the line work of one blank. It is for one goroutine.
type Lines struct {
	Blank *blank.Blank
	All   []Line

	strokes []blank.Stroke // of cuts
	lengths []float64      // of these strokes
	panels  *geom.BoxTree  // boxes round what each panel draws; nil until asked for
}

// New lists the lines of a blank: cuts, then hinges that fold, then scores
// drawn by hand. Perforations and drawn lines are left out.
func New(b *blank.Blank) *Lines {
	l := &Lines{Blank: b}
	for _, layer := range b.Layers {
		if layer.Kind == blank.CutLine {
			l.addCuts(layer.Strokes)
		}
	}
	for _, h := range b.Hinges {
		if h.Kind == "" && h.Hinge.Line != model.PlainFold {
			continue // it never folds
		}
		for _, c := range h.Curves {
			l.add(Line{Curve: c, Role: Crease, Kind: h.Kind, Hinge: h.Hinge, stroke: -1})
		}
	}
	for _, p := range b.Piece.Panels {
		for _, w := range p.Works {
			if w.Kind == model.ScoreLine {
				l.addScore(w)
			}
		}
	}
	return l
}

func (l *Lines) add(line Line) {
	line.prev, line.next = -1, -1
	l.All = append(l.All, line)
}

// addCuts lists the curves of the cut strokes.
func (l *Lines) addCuts(strokes []blank.Stroke) {
	l.strokes = strokes
	slits := l.slits()
	for i, s := range strokes {
		role, first, length := Rim, len(l.All), 0.0
		if slits[i] {
			role = Slit
		}
		for _, c := range s.Curves {
			l.add(Line{Curve: c, Role: role, Kind: blank.CutLine, stroke: i, from: length})
			length += c.Length()
		}
		l.lengths = append(l.lengths, length)
		l.chain(first, s.Closed)
	}
}

// sameArea is by what share two sums over one blank's areas may differ from
// rounding: far less than the smallest closed slit encloses.
const sameArea = 1e-9

// slits tells by stroke whether it has board on both sides. Rims are closed,
// and the areas they enclose add up to the board's; only where closed strokes
// do not is each asked what lies on its right.
func (l *Lines) slits() []bool {
	out := make([]bool, len(l.strokes))
	sum := 0.0
	for i, s := range l.strokes {
		out[i] = !s.Closed
		if s.Closed {
			sum += enclosed(s.Curves)
		}
	}
	if math.Abs(sum-l.Blank.Area) <= sameArea*(1+l.Blank.Area) {
		return out
	}
	for i, s := range l.strokes {
		out[i] = out[i] || l.PanelAt(beside(s.Curves[0], -1)) != nil
	}
	return out
}

// enclosed is the area inside a closed chain of curves, positive when it runs
// counter-clockwise.
func enclosed(curves []geom.Curve) float64 {
	sum := 0.0
	for _, c := range curves {
		sum += c.Area()
	}
	return sum
}

// beside is a point a few welds off the middle of a curve, on its left for
// side 1, on its right for −1.
func beside(c geom.Curve, side float64) geom.Point {
	const off = 4 * geom.SnapTolerance
	return c.At(0.5).Add(c.Tangent(0.5).Left().Mul(side * off))
}

// chain makes neighbours of the lines from first on.
func (l *Lines) chain(first int, closed bool) {
	n := len(l.All) - first
	for i := range n {
		if i > 0 || closed {
			l.All[first+i].prev = first + (i+n-1)%n
		}
		if i < n-1 || closed {
			l.All[first+i].next = first + (i+1)%n
		}
	}
}

// addScore lists the curves of a score drawn by hand.
func (l *Lines) addScore(w *model.Work) {
	first := len(l.All)
	for _, e := range w.Path.Edges {
		l.add(Line{Curve: e.Transform(w.Panel.Flat), Role: Crease, Kind: blank.Kind(w.Line), Score: w, stroke: -1})
	}
	l.chain(first, w.Path.Closed)
}

// IsCut reports whether the line goes through the board.
func (l *Line) IsCut() bool { return l.Role != Crease }

// Lean is the side a crease folds to: 1 in, −1 out; 0 where that is not known,
// as for a plain fold, which has no line.
func (l *Line) Lean() int {
	switch l.Kind {
	case blank.ScoreLine, blank.PartCutLine:
		return 1
	case blank.BackScoreLine, blank.BackPartCutLine:
		return -1
	}
	return 0
}
