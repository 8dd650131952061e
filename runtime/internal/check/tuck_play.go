package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// tuckPlay warns of tucks that fill their opening, or rattle in it.
var tuckPlay = Rule{
	ID: "tuck-play", Severity: diag.Warning, Title: "a tuck has no play in its opening, or far too much",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "tuck-too-wide", "join-gap", "panels-collide"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TuckJoin) {
				look := s.playBeside
				if t.into.IsThrough() {
					look = s.playThrough
				}
				if p, ok := look(&t); ok {
					out = append(out, s.judgePlay(&t, p)...)
				}
			}
			return out
		})
	},
}

// play is the room beside a tuck, as seen looking out over its fold.
type play struct {
	width, opening float64
	left, right    float64 // beside it; below 0 where it is in the way, +Inf where it is open
	between        string  // what bounds the opening, in words
	panels         []*model.Panel
}

// tight is what play there would be with as little room on either side as on
// the tighter one.
func (p *play) tight() float64 { return 2 * math.Min(p.left, p.right) }

// tongue is the share of its opening under which a tuck is a tongue, which is
// not guided by the sides.
const tongue = 0.5

// goodPlay is what a hint asks for beside a caliper. Common practice, no
// source.
const goodPlay = 0.5

// judgePlay holds the room to either side of a tuck against the limits: too little and it binds,
// too much and it falls out.
func (s *closing) judgePlay(t *insert, p play) []Found {
	room := p.left + p.right
	least, most := s.limit(board.TuckPlay), s.limit(board.TuckLoose)
	loose := most > 0 && exceeds(room, most) && exceeds(p.width, tongue*p.opening) && !math.IsInf(room, 1)
	if p.tight() >= least-geom.SnapTolerance && !loose {
		return nil
	}
	f := s.found(append([]*model.Panel{t.panel}, p.panels...), "tuck %q is %s wide in an opening of %s %s: %s",
		t.panel.Name, mm(p.width), mm(p.opening), p.between, p.words(p.tight() >= least-geom.SnapTolerance))
	for _, q := range p.panels {
		f = f.relate(q.Site, "panel %q", q.Name)
	}
	if math.IsInf(room, 1) {
		return []Found{f.hint("%s more of slit on that side would put it right", mm(roundUp(max(s.caliper()+goodPlay, least)/2-p.tight()/2)))}
	}
	return []Found{f.hint("%s would put it right", p.cure(t, max(s.caliper()+goodPlay, least)))}
}

// lopsided is the difference in mm between the two sides from which a tuck
// counts as out of the middle.
const lopsided = 0.05

// words says how much room there is, too little or too much.
func (p *play) words(loose bool) string {
	room := p.left + p.right
	side, name := p.left, "left"
	if exceeds(p.left, p.right) {
		side, name = p.right, "right"
	}
	switch {
	case math.IsInf(room, 1) && side <= geom.SnapTolerance:
		return fmt.Sprintf("no play on the %s", name)
	case math.IsInf(room, 1):
		return fmt.Sprintf("only %s of play on the %s", mm(side), name)
	case room <= geom.SnapTolerance:
		return "no play"
	case loose:
		return fmt.Sprintf("%s of play, too much to guide it", mm(room))
	case !exceeds(math.Abs(p.left-p.right), lopsided):
		return fmt.Sprintf("only %s of play", mm(room))
	case side <= geom.SnapTolerance:
		return fmt.Sprintf("%s of play, none of it on the %s", mm(room), name)
	}
	return fmt.Sprintf("%s of play, only %s of it on the %s", mm(room), mm(side), name)
}

// cure says how a tuck is given as much play as asked for, half on either side.
func (p *play) cure(t *insert, good float64) string {
	switch {
	case t.into.IsThrough():
		return fmt.Sprintf("%s %s long, with the tuck in its middle,", aHole(t.into), mm(p.width+good))
	case t.panel.Role == model.Plain:
		return Cure{t.panel, "right", "left", p.left + p.right - good}.String()
	}
	left, right := insets(t.panel)
	return insetCure(t.panel, left+good/2-p.left, right+good/2-p.right)
}

// insetCure says what a flap's insets should be.
func insetCure(p *model.Panel, left, right float64) string {
	if math.Abs(left-right) < geom.SnapTolerance {
		return fmt.Sprintf("inset = %s for %q", short(left), p.Name)
	}
	return fmt.Sprintf("inset = (%s, %s) for %q", short(left), short(right), p.Name)
}

// roundUp rounds to a hundredth, away from nothing.
func roundUp(v float64) float64 { return math.Copysign(math.Ceil(math.Abs(v)*100-1e-6)/100, v) }

// insets are how far a flap's base stops short of its edge's ends.
func insets(p *model.Panel) (left, right float64) {
	h := p.Hang
	bare := h.On.Length() - h.By.Length()
	return bare/2 + h.Slide, bare/2 - h.Slide
}

// playBeside measures a tuck between the walls on either side of the one it
// slips behind, where it has least room; ok is false where nothing stands
// there.
func (s *closing) playBeside(t *insert) (worst play, ok bool) {
	levels := s.levels(t)
	width := 0.0
	for _, l := range levels {
		width = math.Max(width, l.Length())
	}
	// Walls farther off than the tuck is wide leave it play enough whatever they are.
	near := s.Near(t.panel, width)
	for _, l := range levels {
		// Looked at level by level, as a tuck with slanting sides may bind at its tip or at its
		// fold.
		left, right, bounded := s.beside(t, l, near)
		if !bounded {
			continue
		}
		// Measured from the middle of the level: what is left beyond either of its ends, in mm.
		half := l.Length() / 2
		p := play{width: l.Length(), opening: left.Dist + right.Dist, left: left.Dist - half, right: right.Dist - half}
		if !ok || exceeds(worst.tight(), p.tight()) {
			p.panels = inOrder(s.pair(left.Panel, right.Panel))
			p.between = fmt.Sprintf("between %q and %q", p.panels[0].Name, p.panels[1].Name)
			worst, ok = p, true
		}
	}
	return worst, ok
}

// inOrder puts two panels in order of making.
func inOrder(a, b *model.Panel) []*model.Panel {
	if a.Index > b.Index {
		a, b = b, a
	}
	return []*model.Panel{a, b}
}

// besideWall is how far inside the wall, in mm, room is looked for at least: on
// its very plane stand the edges of the walls beside it.
const besideWall = 0.05

// beside looks out to both sides from the middle of a level.
func (s *closing) beside(t *insert, l level, near []int) (left, right contact.Hit, ok bool) {
	wall := s.Of(t.into.Panel)
	from := t.place(l.depth, l.Mid())
	// From just inside the wall, where the walls beside it are seen and not their edges.
	if h := wall.Height(from); h > -besideWall {
		from = from.Sub(wall.Normal.Mul(h + besideWall))
	}
	left, okLeft := s.Cast(from, t.along3, near)
	right, okRight := s.Cast(from, t.along3.Mul(-1), near)
	return left, right, okLeft && okRight
}

// playThrough measures a tuck along the opening or slit that it passes through.
func (s *closing) playThrough(t *insert) (play, bool) {
	p, ok := s.passage(t)
	if !ok {
		return play{}, false
	}
	out := play{
		width: p.own.Length(), opening: p.slot.Length(), left: p.slot.To - p.own.To, right: p.own.From - p.slot.From,
		between: fmt.Sprintf("in %q", t.into.Panel.Name), panels: []*model.Panel{t.into.Panel},
	}
	if t.into.Slit == nil {
		return out, true
	}
	// A slit that runs out of the board does not bound the tuck on that side.
	for _, c := range openEnds(t.into.Slit, s.boardOf(t.into.Panel)) {
		if c.Sub(p.at).Dot(p.dir) > p.slot.Mid() {
			out.left = math.Inf(1)
		} else {
			out.right = math.Inf(1)
		}
	}
	return out, true
}

// openEnds are the ends of a slit that run out to the edge of the board and bound
// nothing there: a rim further on there is none.
func openEnds(slit *model.Work, board [][]geom.Point) (out []geom.Point) {
	first, last := slit.Path.Edges[0].Curve, slit.Path.Edges[len(slit.Path.Edges)-1].Curve
	for _, end := range [...]struct{ at, way geom.Point }{{first.P, first.Tangent(0).Mul(-1)}, {last.Q, last.Tangent(1)}} {
		if !polygon.Holds(board, end.at.Add(end.way.Mul(contact.Rim))) {
			out = append(out, end.at)
		}
	}
	return out
}

// passage is a tuck where it passes through an opening, along the line in which
// the two planes cross.
type passage struct {
	own, slot contact.Stretch
	at, dir   geom.Point // the line in the frame of the panel that has the opening
	sine      float64    // of the angle between the planes
}

// leastSine is the sine of the angle, 10 degrees, under which a tongue lies
// along the panel rather than passes through it.
const leastSine = 0.17

// nudge is how far, in mm, to either side of a line to look again when a fold
// lies on it.
const nudge = 0.1

// passage finds where a tuck crosses the plane of its opening.
func (s *closing) passage(t *insert) (p passage, ok bool) {
	tuck, wall := s.Of(t.panel), s.Of(t.into.Panel)
	way := tuck.Normal.Cross(wall.Normal)
	if p.sine = way.Len(); exceeds(leastSine, p.sine) {
		return p, false
	}
	if way = way.Unit(); way.Dot(t.along3) < 0 {
		way = way.Mul(-1)
	}
	// Down the slope of the tuck's own plane to the plane of the opening.
	slope := way.Cross(tuck.Normal)
	for _, off := range [...]float64{0, nudge, -nudge} {
		at := t.at3.Sub(slope.Mul(wall.Height(t.at3)/slope.Dot(wall.Normal) + off))
		own := contact.Along(s.boardOf(t.panel), tuck.Back.Apply(at).Plane(), tuck.Back.ApplyDir(way).Plane())
		if len(own) == 0 {
			continue
		}
		p.own = contact.Stretch{From: own[0].From, To: own[len(own)-1].To}
		p.at, p.dir = wall.Back.Apply(at.Sub(wall.Normal.Mul(wall.Height(at)))).Plane(), wall.Back.ApplyDir(way).Plane()
		for _, slot := range contact.Through(t.into, p.at, p.dir) {
			if slot.From <= p.own.Mid() && p.own.Mid() <= slot.To {
				p.slot = slot
				return p, true
			}
		}
	}
	return p, false
}
