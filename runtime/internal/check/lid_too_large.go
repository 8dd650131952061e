package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// lidTooLarge warns of lids that stand out over the walls they close. A lid
// with walls of its own goes over its base and is larger by right.
var lidTooLarge = Rule{
	ID: "lid-too-large", Severity: diag.Warning, Title: "a lid is larger than its opening",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap", "panels-collide"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TuckJoin) {
				// Of a tuck through an opening, or one that lies along its lid, the carrier is no lid.
				if t.into.IsThrough() || s.parallel(t.into.Panel, t.carrier()) {
					continue
				}
				if found := s.lidWide(&t); found != nil {
					out = append(out, found...)
				} else {
					out = append(out, s.lidDeep(&t)...)
				}
			}
			return out
		})
	},
}

// lidDeep compares the lid with the wall that its tuck goes behind: practice is
// to make it a caliper less than the way across.
func (s *closing) lidDeep(t *insert) []Found {
	lid, wall := t.carrier(), t.into.Panel
	// Height is that of the tuck's fold over the wall's mid-surface, outward. The fold is to lie a
	// caliper inside it, so that the tuck lies against the wall.
	over := s.Of(wall).Height(t.at3) + s.caliper()
	if !exceeds(over, s.limit(board.LidOver)) {
		return nil
	}
	f := s.found([]*model.Panel{lid, t.panel, wall}, "lid %q is %s too deep for its tuck %q to lie behind %q",
		lid.Name, mm(over), t.panel.Name, wall.Name).
		relate(t.panel.Site, "tuck %q", t.panel.Name).relate(wall.Site, "panel %q", wall.Name)
	if e, ok := s.lidEdges(t); ok {
		f.Cures = []Cure{{lid, t.fold.On.Name, e, -roundUp(over)}}
	}
	f.Blames = []*model.Panel{lid}
	return []Found{f}
}

// lidEdges names the edge of a lid across from the one its tuck hangs on.
func (s *closing) lidEdges(t *insert) (across string, ok bool) {
	across = opposite(t.carrier(), t.fold.On.Curve())
	return across, across != ""
}

// lidWide compares the lid with the walls on either side of it.
func (s *closing) lidWide(t *insert) []Found {
	lid := t.carrier()
	l := s.Of(lid)
	middle, along := s.lidMiddle(t), l.Back.ApplyDir(t.along3).Plane()
	cuts := contact.Along([][]geom.Point{l.Loop}, middle, along)
	if len(cuts) == 0 {
		return nil
	}
	near := s.Near(lid, cuts[len(cuts)-1].To-cuts[0].From)
	// Looked at from just under the lid, below what lies along its inside, both ways along the
	// tuck's fold: the walls there bound the lid's width.
	under := l.Frame.Apply(middle.Space()).Sub(l.Normal.Mul(3*s.caliper() + underLid))
	left, okLeft := s.Cast(under, t.along3, near)
	right, okRight := s.Cast(under, t.along3.Mul(-1), near)
	if !okLeft || !okRight || s.walled(t, along) {
		return nil
	}
	left, right = s.rolledOuter(left, under), s.rolledOuter(right, under)
	// Beyond the outside of the wall on either side.
	overLeft, overRight := cuts[len(cuts)-1].To-left.Dist-s.caliper(), -cuts[0].From-right.Dist-s.caliper()
	over := math.Max(overLeft, overRight)
	if !exceeds(over, s.limit(board.LidOver)) {
		return nil
	}
	walls := inOrder(s.pair(left.Panel, right.Panel))
	width, outside := cuts[len(cuts)-1].To-cuts[0].From, left.Dist+right.Dist+2*s.caliper()
	f := s.found(append([]*model.Panel{lid}, walls...), "lid %q is %s wide and stands out by %s over %q and %q, which measure %s outside",
		lid.Name, mm(width), mm(over), walls[0].Name, walls[1].Name, mm(outside)).
		relate(walls[0].Site, "panel %q", walls[0].Name).relate(walls[1].Site, "panel %q", walls[1].Name)
	if lid.Role == model.Plain {
		f.Cures = []Cure{{lid, "right", "left", outside - s.caliper() - width}}
		return []Found{f}
	}
	// The hint ends the lid goodLid inside the middle of either wall.
	l0, r0 := insets(lid)
	back := s.caliper()/2 + goodLid
	return []Found{f.hint("%s would put it right", insetCure(lid, l0+overLeft+back, r0+overRight+back))}
}

// rolledOuter leads from the wall that a way from a place inside runs into to the
// outermost one, where the wall is rolled: one that comes down inside a ledge
// has the wall that carries the ledge outside it, and the lid lies on both.
func (s *closing) rolledOuter(hit contact.Hit, from geom.Point3) contact.Hit {
	for {
		inner := s.Piece.Panels[hit.Panel]
		if inner.Hang == nil || inner.Hang.Parent.Hang == nil {
			return hit
		}
		ledge := inner.Hang.Parent
		outer := ledge.Hang.Parent
		if !s.Of(outer).OK || s.parallel(ledge, inner) || !s.parallel(outer, inner) {
			return hit
		}
		// The outer wall counts only where it stands farther out than the one that was hit.
		further := math.Abs(s.Of(outer).Height(from)) - s.caliper()/2
		if further <= hit.Dist {
			return hit
		}
		hit.Panel, hit.Dist = slices.Index(s.Piece.Panels, outer), further
	}
}

// goodLid is how far inside the middle of a wall a hint asks a lid to end, in
// mm. Common practice, no source.
const goodLid = 0.25

// lidMiddle is the middle of a lid, in its frame.
func (s *closing) lidMiddle(t *insert) geom.Point {
	return s.Of(t.carrier()).Back.Apply(t.at3).Plane().Lerp(t.carrier().Outline.Bounds().Mid(), 0.5)
}

// walled reports whether a lid has walls of its own at the sides.
func (s *closing) walled(t *insert, along geom.Point) bool {
	lid := t.carrier()
	for _, h := range s.Piece.Hinges {
		var e model.EdgeRef
		switch lid {
		case h.Parent:
			e = h.On
		case h.Child:
			e = h.By
		default:
			continue
		}
		// An edge nearer to square to the tuck's fold than along it is at a side.
		if c := e.Curve(); math.Abs(c.Tangent(0.5).Dot(along)) < math.Sqrt2/2 {
			return true
		}
	}
	return false
}
