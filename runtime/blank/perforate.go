package blank

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// pattern is how a line is perforated, lengths in mm.
type pattern struct {
	cut, tie float64
	holds    bool // keeps a tie however short the run: the board hangs by it
}

// hingePattern is how a perforated hinge is made.
var hingePattern = pattern{cut: 3, tie: 1, holds: true}

// workPattern is how a perforation was asked for.
func workPattern(w *model.Work) pattern { return pattern{cut: w.Cut, tie: w.Tie} }

// fit gives the number of cuts for a run and their length. An open run begins
// and ends with a cut, a closed one has as many ties as cuts; ties keep their
// length and cuts stretch or shrink alike. One cut as long as the run: no tie
// found room.
func (p pattern) fit(run float64, closed bool) (cuts, length float64) {
	if closed {
		if cuts = math.Round(run / (p.cut + p.tie)); cuts < 1 {
			return 1, run
		}
		return cuts, run/cuts - p.tie
	}
	cuts = 1 + math.Max(0, math.Round((run-p.cut)/(p.cut+p.tie)))
	if p.holds && run > 2*p.tie {
		cuts = math.Max(2, cuts)
	}
	return cuts, (run - (cuts-1)*p.tie) / cuts
}

// perforate gives the cuts of a perforated run, each a stroke that may bend
// round corners. On a closed run the first cut starts where the run does.
func (p pattern) perforate(run []geom.Curve, closed bool) []Stroke {
	total := Stroke{Curves: run}.Length()
	cuts, length := p.fit(total, closed)
	if cuts == 1 && length == total {
		return []Stroke{{Curves: run, Closed: closed}}
	}
	strokes := make([]Stroke, 0, int(cuts))
	for i := 0.0; i < cuts; i++ {
		from := i * (length + p.tie)
		to := from + length
		if i == cuts-1 && !closed {
			to = math.Inf(1) // the run's very end, free of rounding
		}
		strokes = append(strokes, Stroke{Curves: between(run, from, to)})
	}
	return strokes
}

// between is the part of a chain of curves from one length along it to
// another.
func between(chain []geom.Curve, from, to float64) []geom.Curve {
	var out []geom.Curve
	for _, c := range chain {
		length := c.Length()
		a, b := math.Max(from, 0), math.Min(to, length)
		// Shorter than rounding means the cut ended at the corner before.
		if b-a > geom.Tiny {
			out = append(out, c.Part(c.ParamAt(a), c.ParamAt(b)))
		}
		from, to = from-length, to-length
	}
	return out
}
