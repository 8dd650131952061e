package fold

import (
	"math"
)

// snap sets folds that are quarter turns but for rounding exactly so and lets
// the others follow, if that closes the loops no worse: at 180° a loop is
// singular and the last digits would otherwise be lost.
func (s *state) snap(g *group) {
	all := g.all()
	was, gap := s.values(g), s.worst(all)
	changed := false
	for _, v := range g.vars {
		x := &s.vars[v]
		if q := quarter(x.value); math.Abs(x.value-q) < nearQuarter {
			changed = changed || x.value != q
			x.value, x.frozen = q, true
		}
	}
	if changed {
		s.descend(g, all, false, home)
	}
	for _, v := range g.vars {
		s.vars[v].frozen = false
	}
	if changed && s.worst(all) > math.Max(gap, closedTo/10) {
		s.restore(g, was)
	}
}

// nearQuarter is how near, in radians, a fold is to a quarter turn that may be
// one: a singular loop leaves the square root of rounding, about 1e-8, and the
// descent a few thousand times that.
const nearQuarter = 2e-4

// quarter is the nearest multiple of a quarter turn.
func quarter(angle float64) float64 { return math.Round(angle/(math.Pi/2)) * (math.Pi / 2) }
