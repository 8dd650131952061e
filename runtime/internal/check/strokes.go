package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// strokeDoublesBack warns of strokes that turn at a point and run back beside
// themselves, too close for the tool to tell the two ways apart.
var strokeDoublesBack = Rule{
	ID: "stroke-doubles-back", Severity: diag.Warning, Title: "a stroke runs back along itself",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			finest := f.limit(board.Detail, piece)
			var out []Found
			for _, layer := range f.Blanks[i].Layers {
				// A pen may double back as it likes, and perforations have ends everywhere.
				if layer.Kind == blank.DrawnLine || layer.Kind == blank.PerforatedLine {
					continue
				}
				for _, s := range layer.Strokes {
					out = append(out, f.doublings(i, s, finest)...)
				}
			}
			return out
		})
	},
}

// backRun is how far a stroke runs back before it counts, mm: a sharp point is
// no doubling. Common practice, no source.
const backRun = 5

// doublings are the points at which a stroke turns back.
func (f *facts) doublings(i int, s blank.Stroke, finest held) []Found {
	var out []Found
	// A closed stroke turns from its last curve to its first as well.
	for k, next := range s.Curves {
		if k == 0 && !s.Closed {
			continue
		}
		last := s.Curves[(k+len(s.Curves)-1)%len(s.Curves)]
		apart, ok := turnsBack(last, next)
		if !ok || !finest.short(apart) {
			continue
		}
		spot := f.Lines[i].FeatureAt(next.At(0.5))
		if spot.Panel == nil {
			continue
		}
		at := next.P
		g := foundf(spot.Site(), []*model.Panel{spot.Panel}, "%s turns back on itself and runs %s beside its own line for %s mm and more; the finest is %s",
			spot, mm(apart), geom.Num(backRun), finest).
			hint("%s more between the two ways would clear it", mm(finest.value-apart))
		g.At = &at
		out = append(out, g)
	}
	return out
}

// turnsBack reports whether a curve runs back beside the one before it, and
// how far the two lie apart backRun on.
func turnsBack(last, next geom.Curve) (apart float64, ok bool) {
	// Straight back within 15 degrees. Common practice, no source.
	_, cos := geom.Degrees(15).Angle().SinCos()
	if last.Tangent(1).Dot(next.Tangent(0)) > -cos || exceeds(backRun, last.Length()) || exceeds(backRun, next.Length()) {
		return 0, false
	}
	// Apart is measured where the tool has gone back by backRun: nearer to the turn any sharp
	// corner is narrow.
	_, apart = last.Nearest(next.At(next.ParamAt(backRun)))
	return apart, true
}

// perforationWeak warns of perforations that tear by themselves.
var perforationWeak = Rule{
	ID: "perforation-weak", Severity: diag.Warning, Title: "the ties of a perforation are too weak",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			var out []Found
			for _, p := range piece.Panels {
				for _, w := range p.Works {
					if w.Kind == model.Perforation {
						out = append(out, weakTies(w, f.limit(board.Tie, piece), f.limit(board.CutToTie, piece))...)
					}
				}
			}
			return out
		})
	},
}

// weakTies judges one perforation; it tells the first fault of its numbers.
func weakTies(w *model.Work, tie, ratio held) []Found {
	tell := func(format string, args ...any) Found {
		g := foundf(w.Site, []*model.Panel{w.Panel}, format, args...)
		at := w.Panel.Flat.Apply(w.Path.Edges[0].At(0.5))
		g.At = &at
		return g
	}
	name, length := w.Panel.Name, w.Path.Length()
	switch {
	case tie.short(w.Tie):
		return []Found{tell("the perforation on %q leaves ties of %s; the least is %s", name, mm(w.Tie), tie).
			hint("tie = %s would hold", short(tie.value))}
	// A perforation holds by its ties: the board left of a length is tie/(cut + tie), and the ratio
	// bounds cut/tie.
	case exceeds(w.Cut, ratio.value*w.Tie) && ratio.value > 0:
		return []Found{tell("the perforation on %q cuts %s for each tie of %s; the most is %s times the tie %s", name, mm(w.Cut), mm(w.Tie), short(ratio.value), ratio.by).
			hint("cut = %s or tie = %s would hold", short(ratio.value*w.Tie), short(w.Cut/ratio.value))}
	case blank.Perforation{Cut: w.Cut, Tie: w.Tie}.Ties(length, w.Path.Closed) == 0:
		g := tell("the perforation on %q is %s long, and no tie finds room between cuts of %s: it is cut right through", name, mm(length), mm(w.Cut))
		cut := length - w.Tie // a closed line has one cut for one tie, an open one two
		if !w.Path.Closed {
			cut /= 2
		}
		if cut = math.Floor(cut*100+1e-6) / 100; cut > 0 {
			g = g.hint("cut = %s would leave a tie", short(cut))
		}
		return []Found{g}
	}
	return nil
}

// foldThick warns of thick board folded past a right angle on one crease. A
// pose other than the closed one may fold it flat: so it is shipped.
var foldThick = Rule{
	ID: "fold-thick", Severity: diag.Warning, Title: "thick board is folded past 90 degrees on a single crease",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.ThickAbove, piece)
			if !exceeds(piece.Board.Caliper, above.value) {
				return nil
			}
			double := f.doubleCreases(i)
			var out []Found
			for _, pose := range f.Pieces[i].States {
				// A fold right over in a pose other than "closed" is how the piece is shipped, and is
				// spared.
				for k, a := range pose.Folds {
					h, size := piece.Hinges[k], a.Degrees.Abs()
					if !a.OK || size <= 90+foldSlack || !pose.Closed() && size > 180-foldSlack ||
						h.Line == model.PartCut || slices.Contains(double, h) {
						continue
					}
					out = append(out, foundf(siteOf(h), []*model.Panel{h.Child, h.Parent},
						"hinge %q folds board of %s by %s degrees in pose %q on a single crease; the most for that is %s",
						h.Name, mm(piece.Board.Caliper), degrees(size), pose.Pose.Name, above).
						in(pose.Pose, h.Name).atHinge(h).
						hint("two creases at most %s apart, each with a part of the fold, or line = \"part-cut\" would do it",
							mm(f.limit(board.CreaseGap, piece).value)))
				}
			}
			return out
		})
	},
}

// doubleCreases are the hinges that another crease near by helps to fold.
func (f *facts) doubleCreases(i int) []*model.Hinge {
	var out []*model.Hinge
	for k := range f.Close[i] {
		if c := &f.Close[i][k]; !c.A.IsCut() && !c.B.IsCut() && doubled(c) {
			out = append(out, c.A.Hinge, c.B.Hinge)
		}
	}
	return out
}
