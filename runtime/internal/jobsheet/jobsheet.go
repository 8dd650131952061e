// Package jobsheet counts and measures what a quote and a die are reckoned from: rules by
// line kind, radii, smallest details, folds, glue, pieces to a sheet. It is facts alone, in
// mm, mm², grams and degrees, and words nothing. What the report tells too is the same
// number here.
package jobsheet

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Piece is what is told of one piece. Figures are of one copy.
type Piece struct {
	Blank  *blank.Blank
	Mass   *float64    // g; nil where the grammage is not known
	Closed *emit.Sizes // nil where the closed piece was not found
	Lines  []Line      // the kinds that occur, cuts first
	// Perforated is the length of perforations with their ties; Lines has the cuts.
	Perforated float64
	Radii      []Radius // the smallest first
	Cubics     []Cubic  // curves that are no arcs
	Details    []Detail // one of each measure
	Folds      []Fold
	Glue       []Glue
	Yields     []Yield             // on the script's machines, in its order
	Programs   []*toolpath.Program // on the machines that files were asked for
}

// Line is all lines of one kind, as the report counts and measures them.
type Line struct {
	Kind    blank.Kind
	Strokes int
	Length  float64
}

// Radius is the arcs of one kind and one radius. Arcs that run on with one centre count
// as one.
type Radius struct {
	Kind    blank.Kind
	R       float64 // to the snap tolerance
	Arcs    int
	Circles int // of these, full ones
}

// Cubic is the curves of one kind that are no arcs.
type Cubic struct {
	Kind  blank.Kind
	Count int
	Least float64 // their least radius of curvature
}

// Fold is the hinges of one kind that turn by one angle in the closed piece.
type Fold struct {
	Kind    blank.Kind // look.HandFold for folds that have no line
	Degrees geom.Degrees
	Known   bool // the angle was found
	Count   int
	Length  float64
}

// Glue is the board of one panel that carries glue on one side.
type Glue struct {
	Panel  *model.Panel
	Inside bool
	Area   float64
	Length float64 // of a tab its crease; else the longer side of the area's box
}

// Of gathers the facts of every piece. The error is the context's cause.
func Of(ctx context.Context, run emit.Run) ([]Piece, error) {
	var out []Piece
	for _, b := range run.Blanks {
		p := Piece{Blank: b, Lines: linesOf(b), Perforated: perforated(b), Glue: glueOf(b), Yields: yieldsOf(b, run.Design.Machines)}
		if g, ok := b.Piece.Board.Mass(b.Area); ok {
			p.Mass = &g
		}
		p.Radii, p.Cubics = curvesOf(b)
		var folds map[*model.Hinge]geom.Degrees
		for _, s := range run.States {
			if s.Piece == b.Piece && s.Pose.Name == model.PoseClosed {
				p.Closed, folds = s.Sizes, s.Folds
			}
		}
		p.Folds = foldsOf(b, folds)
		for _, g := range run.Programs {
			if g.Piece == b.Piece {
				p.Programs = append(p.Programs, g)
			}
		}
		var err error
		if p.Details, err = detailsOf(ctx, b); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// Rules is the length of all rules of a die, in mm: of all lines but drawn ones.
func (p Piece) Rules() float64 {
	sum := 0.0
	for _, l := range p.Lines {
		if l.Kind != blank.DrawnLine {
			sum += l.Length
		}
	}
	return sum
}

// linesOf lists the kinds of a blank, cuts first.
func linesOf(b *blank.Blank) []Line {
	var out []Line
	for _, l := range slices.Backward(b.Layers) {
		out = append(out, Line{l.Kind, len(l.Strokes), l.Length()})
	}
	return out
}

// perforated is the length of a blank's perforations, hinges and drawn ones, ties included.
func perforated(b *blank.Blank) float64 {
	sum := 0.0
	for _, h := range b.Hinges {
		if h.Kind == blank.PerforatedLine {
			sum += h.Length
		}
	}
	for _, r := range b.Regions {
		for _, w := range r.Worked {
			if w.Kind == blank.PerforatedLine {
				sum += w.Curve.Length()
			}
		}
	}
	return sum
}

// places are the decimals to which radii are told apart: those of the snap tolerance.
const places = 3

// curvesOf counts arcs by radius and kind, and the curves that are no arcs by kind.
func curvesOf(b *blank.Blank) (radii []Radius, cubics []Cubic) {
	for _, l := range slices.Backward(b.Layers) {
		cubic := Cubic{Kind: l.Kind, Least: math.Inf(1)}
		first := len(radii)
		for _, s := range l.Strokes {
			for _, a := range arcsOf(s) {
				r := decimal.Round(a.R, places)
				i := slices.IndexFunc(radii[first:], func(x Radius) bool { return x.R == r }) + first
				if i < first {
					i = len(radii)
					radii = append(radii, Radius{Kind: l.Kind, R: r})
				}
				radii[i].Arcs++
				if a.full() {
					radii[i].Circles++
				}
			}
			for _, c := range s.Curves {
				if c.Kind == geom.Cubic {
					least, _ := c.LeastRadius()
					cubic.Count, cubic.Least = cubic.Count+1, min(cubic.Least, least)
				}
			}
		}
		if cubic.Count > 0 {
			cubics = append(cubics, cubic)
		}
	}
	slices.SortStableFunc(radii, func(x, y Radius) int { return cmp.Compare(x.R, y.R) })
	return radii, cubics
}

// arc is arcs of a stroke that run on with one centre.
type arc struct {
	geom.Curve
	turned float64 // radians, all together
}

// full reports whether the arc is a circle, within the snap tolerance along it.
func (a arc) full() bool { return (2*math.Pi-math.Abs(a.turned))*a.R < geom.SnapTolerance }

// goesOn reports whether b has the centre, radius and sense of a.
func (a arc) goesOn(b geom.Curve) bool {
	return a.C.Dist(b.C) < geom.SnapTolerance && math.Abs(a.R-b.R) < geom.SnapTolerance && (a.turned > 0) == (b.Sweep.Radians() > 0)
}

// arcsOf lists the arcs of a stroke, those that run on as one.
func arcsOf(s blank.Stroke) []arc {
	var out []arc
	follows := false // the curve before is the last of out
	for _, c := range s.Curves {
		if c.Kind != geom.Arc {
			follows = false
			continue
		}
		if last := len(out) - 1; follows && out[last].goesOn(c) {
			out[last].turned += c.Sweep.Radians()
		} else {
			out = append(out, arc{c, c.Sweep.Radians()})
		}
		follows = true
	}
	// A closed stroke may begin within an arc.
	if n := len(out); s.Closed && n > 1 && follows && s.Curves[0].Kind == geom.Arc && out[n-1].goesOn(out[0].Curve) {
		out[0].turned += out[n-1].turned
		out = out[:n-1]
	}
	return out
}

// foldsOf counts the hinges that fold, by kind and angle: those by hand first, of each kind
// the largest angle first and what was not found last.
func foldsOf(b *blank.Blank, closed map[*model.Hinge]geom.Degrees) []Fold {
	var out []Fold
	for _, h := range b.Hinges {
		kind := h.Kind
		if look.FoldedByHand(h) {
			kind = look.HandFold
		}
		if kind == "" || len(h.Curves) == 0 {
			continue // it never folds, or cuts left nothing of it
		}
		a, ok := closed[h.Hinge]
		f := Fold{Kind: kind, Degrees: geom.Degrees(decimal.Round(float64(a), 1)), Known: ok}
		i := slices.IndexFunc(out, func(x Fold) bool { return x.Kind == f.Kind && x.Known == f.Known && x.Degrees == f.Degrees })
		if i < 0 {
			i = len(out)
			out = append(out, f)
		}
		out[i].Count++
		out[i].Length += h.Length
	}
	kinds := blank.Kinds()
	slices.SortStableFunc(out, func(x, y Fold) int {
		return cmp.Or(cmp.Compare(slices.Index(kinds, x.Kind), slices.Index(kinds, y.Kind)), cmp.Compare(unknown(x), unknown(y)), cmp.Compare(y.Degrees, x.Degrees))
	})
	return out
}

// unknown is 1 for a fold that was not found.
func unknown(f Fold) int {
	if f.Known {
		return 0
	}
	return 1
}

// glueOf measures the board that carries glue, as the drawing sheet hatches it: panel by
// panel, the outside first.
func glueOf(b *blank.Blank) []Glue {
	var out []Glue
	creases := map[*model.Hinge]float64{}
	for _, h := range b.Hinges {
		creases[h.Hinge] = h.Length
	}
	for _, inside := range [...]bool{false, true} {
		for i, rings := range preview.Glued(b, inside) {
			if len(rings) == 0 {
				continue
			}
			panel := b.Regions[i].Panel
			g := Glue{Panel: panel, Inside: inside}
			box, own := geom.EmptyBox(), panel.Flat.Inverse()
			for _, r := range rings {
				for _, c := range r {
					g.Area += c.Area()
					box = box.Union(c.Transform(own).Bounds())
				}
			}
			g.Length = max(box.Width(), box.Height())
			if panel.Role == model.TabRole && panel.Hang != nil {
				g.Length = creases[panel.Hang]
			}
			out = append(out, g)
		}
	}
	return out
}
