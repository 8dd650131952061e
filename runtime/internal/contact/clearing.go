package contact

import (
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
	here, _ := slices.BinarySearch(levels, 0)
	if here == 0 || here == len(levels) {
		return 0, 0 // the line passes the board by
	}
	// Slab i lies under level i; beyond the last and the first all is free.
	slabFree := func(i int) bool {
		lo, hi := levels[i-1], levels[i]
		return hi-lo > geom.SnapTolerance && free((lo+hi)/2)
	}
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
