package contact

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// clearings is how far a line in a board, running along dir, must move to its
// left (up ≥ 0) and to its right (down ≤ 0) until its stretches in columns find
// no board: the nearest gap in the part of the board that the columns hold. The
// board's shadow in the columns can change only at the levels of corners and
// where an edge enters or leaves a column, so it is enough to look once between
// each two of these.
func clearings(loops [][]geom.Point, at, dir geom.Point, columns []interval) (up, down float64) {
	levels := shadowLevels(loops, at, dir, columns)
	free := func(level float64) bool {
		return len(common(cut(loops, at.Add(dir.Left().Mul(level)), dir), columns)) == 0
	}
	first, _ := slices.BinarySearch(levels, 0)
	up = math.Max(0, levels[len(levels)-1])
	for i := max(first, 1); i < len(levels); i++ {
		lo, hi := levels[i-1], levels[i]
		if hi-lo > geom.Weld && free((lo+hi)/2) {
			up = math.Max(0, lo)
			break
		}
	}
	down = math.Min(0, levels[0])
	for i := min(first, len(levels)-1); i > 0; i-- {
		lo, hi := levels[i-1], levels[i]
		if hi-lo > geom.Weld && free((lo+hi)/2) {
			down = math.Min(0, hi)
			break
		}
	}
	return up, down
}

// shadowLevels lists, sorted, the distances to the left of the line at which
// loops have corners or cross a column's ends.
func shadowLevels(loops [][]geom.Point, at, dir geom.Point, columns []interval) []float64 {
	var ends, levels []float64
	for _, c := range columns {
		ends = append(ends, c.from, c.to)
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
