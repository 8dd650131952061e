package scene

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// stroke is a line in the world before anything is hidden. The faces of its
// owners cannot hide it: it is part of both.
type stroke struct {
	kind   LineKind
	owners [2]*sheet // the second may be nil
	points []geom.Point3
}

// hinged is a hinge whose two panels both stand in the picture.
type hinged struct {
	*blank.HingeLine
	parent, child *sheet
	folded        bool
}

// hingesShown lists them.
func (s *stage) hingesShown() []hinged {
	at := map[string]int{}
	for i, sh := range s.in.Blank.Sheets {
		at[sh.Panel.Name] = i
	}
	var out []hinged
	for i := range s.in.Blank.Hinges {
		l := &s.in.Blank.Hinges[i]
		h := hinged{HingeLine: l, parent: s.of[at[l.Hinge.Parent.Name]], child: s.of[at[l.Hinge.Child.Name]]}
		angle := s.in.Pose.Angles[i]
		h.folded = angle.OK && angle.Degrees != 0
		if h.parent != nil && h.child != nil {
			out = append(out, h)
		}
	}
	return out
}

// strokes lists the lines of the pose: every raw edge, and every hinge that is
// folded or has a line of its own. A hinge whose panels stand apart, by a layer
// or because a loop does not close, is drawn on both.
func (s *stage) strokes() []stroke {
	hinges := s.hingesShown()
	var out []stroke
	for _, b := range s.boards {
		var joined []geom.Curve
		for _, h := range hinges {
			if h.parent == b || h.child == b {
				joined = append(joined, h.Curves...)
			}
		}
		for _, r := range s.in.Blank.Sheets[b.index].Rings {
			for _, run := range rawRuns(r, joined) {
				out = append(out, s.stroke(Rim, b, nil, run))
			}
		}
	}
	for _, h := range hinges {
		out = append(out, s.hingeStrokes(h)...)
	}
	return out
}

func (s *stage) hingeStrokes(h hinged) []stroke {
	if !h.folded && h.Kind == "" {
		return nil
	}
	var out []stroke
	for _, c := range h.Curves {
		run := []geom.Curve{c}
		on := s.stroke(Hinge, h.parent, h.child, run)
		out = append(out, on)
		by := s.stroke(Hinge, h.child, h.parent, run)
		if apart(on.points, by.points) {
			out[len(out)-1].owners[1], by.owners[1] = nil, nil
			out = append(out, by)
		}
	}
	return out
}

// apart reports whether two images of one line lie apart.
func apart(a, b []geom.Point3) bool {
	for i, p := range a {
		if p.Dist(b[i]) > flush {
			return true
		}
	}
	return false
}

// stroke places a run of curves of the blank frame where a panel stands.
func (s *stage) stroke(k LineKind, b, other *sheet, run []geom.Curve) stroke {
	out := stroke{kind: k, owners: [2]*sheet{b, other}}
	pts := []geom.Point{run[0].P}
	tol := flatness * diagonal(s.in.Blank)
	for _, c := range run {
		pts = c.Flatten(pts, tol)
	}
	for _, p := range pts {
		out.points = append(out.points, b.world(p))
	}
	return out
}

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
		for _, t := range geom.Meet(c, o) {
			if !t.IsPoint() {
				gone = append(gone, span{t.A0, t.A1})
			}
		}
	}
	var out []geom.Curve
	length := c.Length()
	for _, k := range rest(gone) {
		if (k.to-k.from)*length > geom.Weld {
			out = append(out, c.Part(k.from, k.to))
		}
	}
	return out
}

// span is a stretch of a line by parameter, 0…1.
type span struct{ from, to float64 }

// rest is what spans leave of the line.
func rest(gone []span) []span {
	slices.SortFunc(gone, func(a, b span) int {
		if a.from < b.from {
			return -1
		}
		return 1
	})
	var out []span
	at := 0.0
	for _, g := range gone {
		if g.from > at {
			out = append(out, span{at, g.from})
		}
		at = math.Max(at, g.to)
	}
	if at < 1 {
		out = append(out, span{at, 1})
	}
	return out
}
