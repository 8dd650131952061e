package check

import (
	"math"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// lockSlips tells of locks whose shoulders are no wider than the opening or the slit they went
// through.
var lockSlips = Rule{
	ID: "lock-slips", Severity: diag.Error, Title: "a lock slips back out of its opening",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TuckJoin) {
				// Only what the script calls a lock: any other tuck is meant to come out again.
				if !t.join.Locked {
					continue
				}
				if p, ok := s.passage(&t); ok {
					if f, slips := s.judgeLock(&t, p); slips {
						out = append(out, f)
					}
				}
			}
			return out
		})
	},
}

// leastShoulder is how much wider, in mm, a lock must be beyond its opening than
// the opening is long: less is pressed through by hand. Common practice, no
// source.
const leastShoulder = 1

// judgeLock compares the shoulders beyond an opening or a slit with its length, both in mm.
func (s *closing) judgeLock(t *insert, p passage) (Found, bool) {
	wide, long := s.shoulders(t, p), p.slot.Length()
	if !exceeds(long+leastShoulder, wide) {
		return Found{}, false
	}
	wall := t.into.Panel
	f := s.found([]*model.Panel{t.panel, wall}, "lock %q is %s wide beyond its %s in %q, which is %s long: nothing keeps it from slipping back",
		t.panel.Name, mm(wide), holeName(t.into), wall.Name, mm(long)).
		relate(holeSite(t.into), "the %s", holeName(t.into)).
		hint("shoulders %s wide would hold it", mm(long+leastShoulder))
	f.Site = t.join.Site
	at := wall.Flat.Apply(p.at.Add(p.dir.Mul(p.own.Mid())))
	f.At = &at
	return f, true
}

// holeName says what a tuck goes through.
func holeName(e model.JoinEnd) string {
	if e.Slit != nil {
		return "slit"
	}
	return "opening"
}

// aHole is holeName with its article.
func aHole(e model.JoinEnd) string {
	if e.Slit != nil {
		return "a slit"
	}
	return "an opening"
}

// holeSite is where what a tuck goes through is cut.
func holeSite(e model.JoinEnd) source.Site {
	if e.Slit != nil {
		return e.Slit.Site
	}
	return e.Window.Site
}

// shoulders is how wide a tuck is at its widest beyond the line in which it passes
// through its opening, measured along that line.
func (s *closing) shoulders(t *insert, p passage) float64 {
	tuck, wall := s.Of(t.panel), s.Of(t.into.Panel)
	at := tuck.Back.Apply(wall.Frame.Apply(p.at.Space())).Plane()
	dir := tuck.Back.ApplyDir(wall.Frame.ApplyDir(p.dir.Space())).Plane().Unit()
	away := dir.Left()
	if away.Dot(t.in) < 0 {
		away = away.Mul(-1)
	}
	wide := 0.0
	for _, q := range tuck.Loop {
		depth := q.Sub(at).Dot(away)
		if depth <= s.caliper() {
			continue
		}
		// The widest place is at a corner, and a line through corners may miss them.
		for _, d := range [...]float64{depth - geom.Tiny, depth + geom.Tiny} {
			if cuts := contact.Along([][]geom.Point{tuck.Loop}, at.Add(away.Mul(d)), dir); len(cuts) > 0 {
				wide = math.Max(wide, cuts[len(cuts)-1].To-cuts[0].From)
			}
		}
	}
	return wide
}
