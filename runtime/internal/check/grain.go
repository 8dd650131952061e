package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// toGrain is the angle in degrees between a direction in the blank and the
// grain, 0 along it and 90 across; ok is false where the board has none that
// counts: corrugated has flutes instead.
func toGrain(b *board.Board, dir geom.Point) (degrees geom.Degrees, ok bool) {
	if b.GrainDegrees == nil || b.Kind == board.Corrugated {
		return 0, false
	}
	g := geom.Polar(1, geom.Degrees(*b.GrainDegrees).Angle())
	return geom.Pt(math.Abs(g.Dot(dir)), math.Abs(g.Cross(dir))).Angle().Degrees(), true
}

// acrossGrain is the angle from which a crease counts as across the grain.
const acrossGrain = 45

// plainFoldAcrossGrain warns of folds made by hand where the board would crack.
var plainFoldAcrossGrain = Rule{
	ID: "plain-fold-across-grain", Severity: diag.Warning, Title: "thick or coated board is folded by hand across the grain",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.PlainAbove, piece)
			var out []Found
			for _, h := range piece.Hinges {
				angle, ok := toGrain(piece.Board, h.Parent.Flat.ApplyDir(h.Curve.Tangent(0.5)))
				// Folded by hand, at 45 degrees or more to the grain, in board thicker than the limit,
				// and folded in some pose at all.
				if !ok || h.Line != model.PlainFold || exceeds(acrossGrain, angle) || !exceeds(piece.Board.Caliper, above.value) || !f.everFolds(i, h) {
					continue
				}
				out = append(out, foundf(siteOf(h), []*model.Panel{h.Child, h.Parent},
					"hinge %q is folded by hand at %s degrees to the grain of %s %s; %s",
					h.Name, degrees(angle), mm(piece.Board.Caliper), stockWord(piece.Board), mostPlain(piece.Board, above)).
					hint(`line = "score" would clear it, and so would grain that runs along the fold`).atHinge(h))
			}
			return out
		})
	},
}

// mostPlain says how thick a board may be for such a fold.
func mostPlain(b *board.Board, above held) string {
	if above.value == 0 {
		return fmt.Sprintf("no %s is folded so %s", stockWord(b), above.by)
	}
	return fmt.Sprintf("the most is %s", above)
}

// stockWord is what a kind of board is called in a sentence.
func stockWord(b *board.Board) string {
	if b.Kind == board.Coated {
		return "coated board"
	}
	return string(b.Kind)
}

// foldSlack is the angle in degrees below which a hinge lies flat.
const foldSlack = 0.01

// everFolds reports whether a hinge stands folded in some pose.
func (f *facts) everFolds(i int, h *model.Hinge) bool {
	return slices.ContainsFunc(f.Pieces[i].States, func(s *simulate.State) bool {
		a := s.Folds[f.hingeAt[h]]
		return a.OK && a.Degrees.Abs() > foldSlack
	})
}

// creasesAcrossGrain notes, once a piece, long creases that lie badly to the
// grain. They fold best along it; but round a tube the grain is meant to run,
// across the main creases, so that the walls do not bulge.
var creasesAcrossGrain = Rule{
	ID: "creases-across-grain", Severity: diag.Note, Title: "long creases lie badly to the grain",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			var along, across run
			long := f.limit(board.LongCrease, piece).value
			// In a tube only the main creases count: its end flaps' creases run across them whatever
			// the grain.
			main, tube := tubeAxis(piece)
			for k := range f.Lines[i].All {
				line := &f.Lines[i].All[k]
				if line.Hinge == nil || !isScore(line) || exceeds(long, line.Length()) {
					continue
				}
				dir := line.Tangent(0.5)
				angle, ok := toGrain(piece.Board, dir)
				switch {
				case !ok || tube && !parallel(dir, main):
				case exceeds(acrossGrain, angle):
					along.add(line)
				default:
					across.add(line)
				}
			}
			if tube {
				return along.told("%s of long creases of the tube run along the grain: %s; the grain is meant to run round a tube", across.length)
			}
			return across.told("%s of long creases run across the grain: %s; creases fold best along it", along.length)
		})
	},
}

// run adds up creases.
type run struct {
	hinges []*model.Hinge
	length float64
}

// add counts a line to the run. A hinge that windows leave in parts is named once.
func (r *run) add(l *linework.Line) {
	if !slices.Contains(r.hinges, l.Hinge) {
		r.hinges = append(r.hinges, l.Hinge)
	}
	r.length += l.Length()
}

// told is the finding about a run, none when what lies well is as long.
func (r *run) told(format string, well float64) []Found {
	if !exceeds(r.length, well) {
		return nil
	}
	h := r.hinges[0]
	f := foundf(siteOf(h), []*model.Panel{h.Child, h.Parent}, format, mm(r.length), quotedHinges(r.hinges)).
		hint("grain turned by 90 degrees would suit them").atHinge(h)
	return []Found{f}
}

// parallel reports whether two directions differ by less than a degree, by which a
// tube may taper.
func parallel(a, b geom.Point) bool { return math.Abs(a.Cross(b)) < geom.DegreeSine }

// tubeAxis is the direction of the main creases of a piece that closes round
// into a tube: a tab or glue joins two panels that hang together by parallel
// creases alone, with a panel or more between them.
func tubeAxis(piece *model.Piece) (axis geom.Point, ok bool) {
	for _, j := range piece.Joins {
		if j.Kind != model.TabJoin && j.Kind != model.GlueJoin {
			continue
		}
		way := wayBetween(j.A.Panel, j.B.Panel)
		if len(way) < 3 {
			continue
		}
		axis = hingeDir(way[0])
		if !slices.ContainsFunc(way, func(h *model.Hinge) bool { return !parallel(hingeDir(h), axis) }) {
			return axis, true
		}
	}
	return geom.Point{}, false
}

// hingeDir is the direction of a hinge in the blank, unit.
func hingeDir(h *model.Hinge) geom.Point { return h.Parent.Flat.ApplyDir(h.Curve.Tangent(0.5)) }

// wayBetween lists the hinges between two panels of one tree.
func wayBetween(a, b *model.Panel) []*model.Hinge {
	up := func(p *model.Panel) (way []*model.Hinge) {
		for ; p.Hang != nil; p = p.Hang.Parent {
			way = append(way, p.Hang)
		}
		return way
	}
	wa, wb := up(a), up(b)
	for len(wa) > 0 && len(wb) > 0 && wa[len(wa)-1] == wb[len(wb)-1] {
		wa, wb = wa[:len(wa)-1], wb[:len(wb)-1]
	}
	return append(wa, wb...)
}
