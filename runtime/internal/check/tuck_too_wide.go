package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

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
				if t.into.Window == nil && s.parallel(t.panel, t.into.Panel) {
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
		if across := cuts[len(cuts)-1].To - cuts[0].From; l.Length()-across > worst {
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
