package check

import (
	"math"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// flapTooDeep tells of tabs and tucks that reach out past the panel they lie
// on.
var flapTooDeep = Rule{
	ID: "flap-too-deep", Severity: diag.Error, Title: "a tab or tuck is longer than the depth behind it",
	after: []string{"loop-open", "loop-loose", "loop-unsolved"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, kind := range []model.JoinKind{model.TabJoin, model.GlueJoin, model.TuckJoin} {
				for _, t := range s.inserts(kind) {
					if !t.into.IsThrough() && t.panel.Role != model.Plain {
						out = append(out, s.judgeDepth(&t)...)
					}
				}
			}
			return out
		})
	},
}

// spareTip is how much shorter than the depth behind it, in mm, a hint asks a
// tuck to be. Common practice, no source.
const spareTip = 1

// judgeDepth compares how far a tab or tuck reaches from its fold with how far the panel behind
// which it lies does, both in mm.
func (s *closing) judgeDepth(t *insert) []Found {
	reach, room, ok := s.behind(t)
	if !ok || !exceeds(reach-room, contact.Rim) {
		return nil
	}
	what, spare := "tab", 0.0
	if t.join.Kind == model.TuckJoin {
		what, spare = "tuck", spareTip
	}
	f := s.found([]*model.Panel{t.panel, t.into.Panel}, "%s %q is %s deep, and %q ends %s from its fold",
		what, t.panel.Name, mm(t.panel.Depth), t.into.Panel.Name, mm(room)).
		relate(t.into.Panel.Site, "panel %q", t.into.Panel.Name)
	f.Blames = []*model.Panel{t.panel}
	if depth := t.panel.Depth - (reach - room) - spare; depth > 0 && !exceeds(s.gapOf(t.join), reach-room+contact.Rim) {
		f = f.hint("depth = %s for %q would put it right", short(math.Floor(depth*100+1e-6)/100), t.panel.Name)
	}
	return []Found{f}
}

// gapOf is how far a join stands open.
func (s *closing) gapOf(j *model.Join) float64 {
	for _, g := range s.Gaps {
		if g.Join == j {
			return g.Size
		}
	}
	return 0
}

// mostLean is the sine of the angle, 30 degrees, over which an insert stands
// off its target too much to be compared with it.
const mostLean = 0.5

// behind is how far an insert reaches from its fold, and how far the panel
// behind which it lies does under its tip: under what of it is board and
// furthest from the fold.
func (s *closing) behind(t *insert) (reach, room float64, ok bool) {
	to := s.Of(t.into.Panel)
	way := to.Back.ApplyDir(t.in3)
	levels := s.levels(t)
	if math.Abs(way.Z) > mostLean || len(levels) == 0 {
		return 0, 0, false
	}
	// The panel behind which it lies is cut along three lanes under the tip, a tenth from either
	// side and in the middle; the one that reaches farthest decides, as a corner that is cut off
	// does not let the tip out.
	tip := levels[len(levels)-1]
	at, dir := to.Back.Apply(t.at3).Plane(), way.Plane().Unit()
	room = math.Inf(-1)
	across := to.Back.ApplyDir(t.along3).Plane()
	for _, share := range [...]float64{0.1, 0.5, 0.9} {
		start := at.Add(across.Mul(tip.From + share*tip.Length()))
		for _, v := range contact.Along([][]geom.Point{to.Loop}, start, dir) {
			room = math.Max(room, v.To)
		}
	}
	return s.reach(t), room, room > 0
}

// tuckTooWide tells of tucks that are wider than the wall they go behind. What
// is only too wide for the room between the walls beside it has no play, which
// is a rule of its own.
var tuckTooWide = Rule{
	ID: "tuck-too-wide", Severity: diag.Error, Title: "a tuck is wider than the wall it goes behind",
	after: []string{"loop-open", "loop-loose", "loop-unsolved"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TuckJoin) {
				if !t.into.IsThrough() && s.parallel(t.panel, t.into.Panel) {
					out = append(out, s.judgeWidth(&t)...)
				}
			}
			return out
		})
	},
}

// judgeWidth compares a tuck with its wall where it is most too wide.
func (s *closing) judgeWidth(t *insert) []Found {
	wall := s.Of(t.into.Panel)
	along := wall.Back.ApplyDir(t.along3).Plane().Unit()
	width, room, worst := 0.0, 0.0, 2*contact.Rim // forgiven on either side, as where joins are measured
	for _, l := range s.levels(t) {
		at := wall.Back.Apply(t.place(l.depth, l.Mid())).Plane()
		cuts := contact.Along([][]geom.Point{wall.Loop}, at, along)
		if len(cuts) == 0 {
			continue // it reaches out past the wall, which is told of its depth
		}
		if across := cuts[len(cuts)-1].To - cuts[0].From; exceeds(l.Length()-across, worst) {
			width, room, worst = l.Length(), across, l.Length()-across
		}
	}
	if width == 0 {
		return nil
	}
	f := s.found([]*model.Panel{t.panel, t.into.Panel}, "tuck %q is %s wide, and %q, which it goes behind, is %s", t.panel.Name, mm(width), t.into.Panel.Name, mm(room)).
		relate(t.into.Panel.Site, "panel %q", t.into.Panel.Name)
	f.Blames = []*model.Panel{t.panel}
	// Each side of the opening loses half a caliper to the wall beside it.
	return []Found{f.hint("%s would put it right", narrower(t.panel, width-room+2*s.caliper()+goodPlay))}
}

// narrower says how a panel is made narrower, half on either side.
func narrower(p *model.Panel, by float64) string {
	if p.Role == model.Plain {
		return Cure{p, "right", "left", -by}.String()
	}
	left, right := insets(p)
	return insetCure(p, left+by/2, right+by/2)
}
