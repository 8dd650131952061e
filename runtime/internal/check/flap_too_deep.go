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
					if t.into.Window == nil && t.panel.Role != model.Plain {
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

func (s *closing) judgeDepth(t *insert) []Found {
	reach, room, ok := s.behind(t)
	if !ok || reach-room <= contact.Rim {
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
	if depth := t.panel.Depth - (reach - room) - spare; depth > 0 {
		f = f.hint("depth = %s for %q would put it right", short(math.Floor(depth*100+1e-6)/100), t.panel.Name)
	}
	return []Found{f}
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
