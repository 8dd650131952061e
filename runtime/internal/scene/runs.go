package scene

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// rawRuns is what hinges leave of a boundary, as unbroken runs.
func rawRuns(r blank.Ring, joined []geom.Curve) [][]geom.Curve {
	var runs [][]geom.Curve
	for _, c := range r {
		for _, part := range uncovered(c, joined) {
			if n := len(runs) - 1; n >= 0 && runs[n][len(runs[n])-1].Q == part.P {
				runs[n] = append(runs[n], part)
			} else {
				runs = append(runs, []geom.Curve{part})
			}
		}
	}
	if n := len(runs) - 1; n > 0 && runs[n][len(runs[n])-1].Q == runs[0][0].P {
		runs[0] = append(runs[n], runs[0]...)
		runs = runs[:n]
	}
	return runs
}

// uncovered is what is left of a curve where none of the others runs along it.
func uncovered(c geom.Curve, others []geom.Curve) []geom.Curve {
	var gone []span
	for _, o := range others {
		for _, t := range geom.Intersect(c, o) {
			if !t.IsPoint() {
				gone = append(gone, span{t.A0, t.A1})
			}
		}
	}
	var out []geom.Curve
	length := c.Length()
	for _, k := range rest(gone) {
		if (k.to-k.from)*length > geom.SnapTolerance {
			out = append(out, c.Part(k.from, k.to))
		}
	}
	return out
}

// span is a stretch of a line by parameter, 0…1.
type span struct{ from, to float64 }

// rest is what spans leave of the line.
func rest(gone []span) []span {
	slices.SortFunc(gone, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	var out []span
	at := 0.0
	for _, g := range gone {
		if g.from > at {
			out = append(out, span{at, g.from})
		}
		at = max(at, g.to)
	}
	if at < 1 {
		out = append(out, span{at, 1})
	}
	return out
}
