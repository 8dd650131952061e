package contact

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Stretch is a part of a line, in mm along it.
type Stretch struct{ From, To float64 }

// Length is how long the stretch is.
func (s Stretch) Length() float64 { return s.To - s.From }

// Mid is the place half-way.
func (s Stretch) Mid() float64 { return (s.From + s.To) / 2 }

// Along lists the stretches of the line through at along the unit direction dir
// that lie in the loops, holes left out, in order. An edge along the line
// counts as lying to its right, so every line crosses a loop an even number of
// times.
//
// The side of a corner is the sign of one double-precision cross product, neither
// exact nor filtered. The number of marks is even whatever rounding makes of it,
// since each corner has one side that both its edges use; a corner within rounding
// of the line (1e-12 mm for panels of a metre) moves a mark by as much or adds a
// stretch as short, and callers ask for stretches longer than geom.SnapTolerance.
func Along(loops [][]geom.Point, at, dir geom.Point) []Stretch {
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
	out := make([]Stretch, 0, len(marks)/2)
	for i := 0; i+1 < len(marks); i += 2 {
		out = append(out, Stretch{marks[i], marks[i+1]})
	}
	return out
}

// common lists what two ordered lists of stretches share, longer than the snap tolerance.
func common(a, b []Stretch) []Stretch {
	var out []Stretch
	for len(a) > 0 && len(b) > 0 {
		v := Stretch{max(a[0].From, b[0].From), min(a[0].To, b[0].To)}
		if v.Length() > geom.SnapTolerance {
			out = append(out, v)
		}
		if a[0].To < b[0].To {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
	return out
}

// slid moves stretches along their line.
// by is in mm and may be negative; the order stays.
func slid(a []Stretch, by float64) []Stretch {
	out := make([]Stretch, len(a))
	for i, v := range a {
		out[i] = Stretch{v.From + by, v.To + by}
	}
	return out
}

// longest is the longest of some stretches, the first of equals.
func longest(a []Stretch) Stretch {
	best := a[0]
	for _, v := range a[1:] {
		if Exceeds(v.Length(), best.Length()) {
			best = v
		}
	}
	return best
}

// spotIn is a point well inside loops: the middle of the roomiest stretch of
// the level lines half-way between their corners.
// It takes n sections for n corners. Measures within Resolution count as equal, so that
// the place does not depend on rounding.
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
		// Room is the lesser of the height between two levels and the length of the stretch: a
		// flatter band cannot beat the best.
		if !Exceeds(tall, room) {
			continue
		}
		y := (levels[i] + levels[i-1]) / 2
		for _, v := range Along(loops, geom.Pt(0, y), geom.Pt(1, 0)) {
			if r := min(tall, v.Length()); Exceeds(r, room) {
				best, room = geom.Pt(v.Mid(), y), r
			}
		}
	}
	return best
}

// clearings is how far a line in a board, running along dir, must move to its
// left (up ≥ 0) and to its right (down ≤ 0) until its stretches in columns find
// no board: the nearest gap in the part of the board that the columns hold. The
// board's shadow in the columns can change only at the levels of corners and
// where an edge enters or leaves a column, so it is enough to look once between
// each two of these.
func clearings(loops [][]geom.Point, at, dir geom.Point, columns []Stretch) (up, down float64) {
	levels := shadowLevels(loops, at, dir, columns)
	free := func(level float64) bool {
		return len(common(Along(loops, at.Add(dir.Left().Mul(level)), dir), columns)) == 0
	}
	here, _ := slices.BinarySearch(levels, 0)
	if here == 0 || here == len(levels) {
		return 0, 0 // the line passes the board by
	}
	// Slab i lies under level i; beyond the last and the first all is free.
	slabFree := func(i int) bool {
		lo, hi := levels[i-1], levels[i]
		return hi-lo > geom.SnapTolerance && free((lo+hi)/2)
	}
	// Outward from the slab that holds the line, up and then down, to the first that is free.
	i := here
	for i < len(levels) && !slabFree(i) {
		i++
	}
	up = max(0, levels[i-1])
	for i = here; i > 0 && !slabFree(i); {
		i--
	}
	return up, min(0, levels[i])
}

// shadowLevels lists, sorted, the distances to the left of the line at which
// loops have corners or cross a column's ends.
// Columns are in mm along dir from at, levels in mm to its left.
func shadowLevels(loops [][]geom.Point, at, dir geom.Point, columns []Stretch) []float64 {
	var ends, levels []float64
	for _, c := range columns {
		ends = append(ends, c.From, c.To)
	}
	for _, loop := range loops {
		p := loop[len(loop)-1].Sub(at)
		for _, q := range loop {
			q = q.Sub(at)
			levels = append(levels, dir.Cross(q))
			for _, e := range ends {
				s, t := dir.Dot(p)-e, dir.Dot(q)-e
				if (s > 0) != (t > 0) {
					levels = append(levels, dir.Cross(p.Lerp(q, s/(s-t))))
				}
			}
			p = q
		}
	}
	slices.Sort(levels)
	return levels
}
