package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// creasesAcrossGrain notes, once a piece, long creases that lie badly to the
// grain. They fold best along it; but round a tube the grain is meant to run,
// across the main creases, so that the walls do not bulge.
var creasesAcrossGrain = Rule{
	ID: "creases-across-grain", Severity: diag.Note, Title: "long creases lie badly to the grain",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			var along, across run
			long := f.limit(board.LongCrease, piece).value
			main, tube := tubeAxis(piece)
			for k := range f.Lines[i].All {
				line := &f.Lines[i].All[k]
				if line.Hinge == nil || !isScore(line) || line.Length() < long {
					continue
				}
				dir := line.Tangent(0.5)
				angle, ok := toGrain(piece.Board, dir)
				switch {
				case !ok || tube && !parallel(dir, main):
				case angle < acrossGrain:
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

func (r *run) add(l *linework.Line) {
	if !slices.Contains(r.hinges, l.Hinge) {
		r.hinges = append(r.hinges, l.Hinge)
	}
	r.length += l.Length()
}

// told is the finding about a run, none when what lies well is as long.
func (r *run) told(format string, well float64) []Found {
	if r.length <= well {
		return nil
	}
	h := r.hinges[0]
	f := foundf(siteOf(h), []*model.Panel{h.Child, h.Parent}, format, mm(r.length), quotedHinges(r.hinges)).
		hint("grain turned by 90 degrees would suit them").atHinge(h)
	return []Found{f}
}

// oneDegree is its sine; a tube may taper by less.
const oneDegree = 0.0175

// parallel reports whether two directions differ by less than a degree.
func parallel(a, b geom.Point) bool { return math.Abs(a.Cross(b)) < oneDegree }

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
