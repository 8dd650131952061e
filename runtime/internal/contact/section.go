package contact

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// interval is a stretch of a line, by mm along it.
type interval struct{ from, to float64 }

func (v interval) length() float64 { return v.to - v.from }
func (v interval) mid() float64    { return (v.from + v.to) / 2 }

// cut lists the stretches of the line through at along the unit direction dir
// that lie in the loops, holes left out, in order. An edge along the line
// counts as lying to its right, so every line crosses a loop an even number of
// times.
func cut(loops [][]geom.Point, at, dir geom.Point) []interval {
	var marks []float64
	for _, loop := range loops {
		p := loop[len(loop)-1].Sub(at)
		side := dir.Cross(p)
		for _, q := range loop {
			q = q.Sub(at)
			next := dir.Cross(q)
			if (side > 0) != (next > 0) {
				t := side / (side - next)
				marks = append(marks, dir.Dot(p.Lerp(q, t)))
			}
			p, side = q, next
		}
	}
	slices.Sort(marks)
	out := make([]interval, 0, len(marks)/2)
	for i := 0; i+1 < len(marks); i += 2 {
		out = append(out, interval{marks[i], marks[i+1]})
	}
	return out
}

// common lists what two ordered lists of stretches share, longer than a weld.
func common(a, b []interval) []interval {
	var out []interval
	for len(a) > 0 && len(b) > 0 {
		v := interval{max(a[0].from, b[0].from), min(a[0].to, b[0].to)}
		if v.length() > geom.SnapTolerance {
			out = append(out, v)
		}
		if a[0].to < b[0].to {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
	return out
}

// slid moves stretches along their line.
func slid(a []interval, by float64) []interval {
	out := make([]interval, len(a))
	for i, v := range a {
		out[i] = interval{v.from + by, v.to + by}
	}
	return out
}

// longest is the longest of some stretches, the first of equals.
func longest(a []interval) interval {
	best := a[0]
	for _, v := range a[1:] {
		if v.length() > best.length() {
			best = v
		}
	}
	return best
}

// spotIn is a point well inside loops: the middle of the roomiest stretch of
// the level lines half-way between their corners.
func spotIn(loops [][]geom.Point) geom.Point {
	var levels []float64
	for _, loop := range loops {
		for _, p := range loop {
			levels = append(levels, p.Y)
		}
	}
	slices.Sort(levels)
	best, room := geom.Point{}, -1.0
	for i := 1; i < len(levels); i++ {
		tall := levels[i] - levels[i-1]
		if tall <= room {
			continue
		}
		y := (levels[i] + levels[i-1]) / 2
		for _, v := range cut(loops, geom.Pt(0, y), geom.Pt(1, 0)) {
			if r := min(tall, v.length()); r > room {
				best, room = geom.Pt(v.mid(), y), r
			}
		}
	}
	return best
}
