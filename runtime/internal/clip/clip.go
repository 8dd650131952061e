// Package clip is the only gate to the polygon booleans of the canvas library.
// It serves pictures and cross-checks; whatever reaches a cut file goes through
// package region instead, since everything here becomes straight lines.
//
// The library has faults that this package works round: edges that nearly
// coincide can make it panic, now and then it does not end, holes come back
// with either orientation, and in trouble it prints to standard output, which
// cannot be helped from here.
package clip

import (
	"fmt"
	"time"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/tdewolff/canvas"
)

// Op is a boolean operation on two regions.
type Op uint8

// The operations: what either covers, what both do, what only the first does.
const (
	Union Op = iota
	Intersection
	Difference
)

func (op Op) String() string { return [...]string{"union", "intersection", "difference"}[op] }

// limit is how long one operation may take. Those that end take milliseconds;
// those that do not end would never.
const limit = 5 * time.Second

// init sets the library's process-wide settings, once and before anything can
// read them: the error of flattening, which for us has happened before.
func init() { canvas.Tolerance = geom.SnapTolerance }

// Combine applies op to two regions given as polygons, which are read even-odd.
// Points are rounded to a grid first. The result's rings have the region on
// their left: counter-clockwise outside, clockwise round holes.
//
// A panic inside the library, a call that exceeds the time limit and a result
// of impossible area are errors. A call that exceeds the limit is only
// abandoned: it cannot be stopped and keeps its processor busy until the
// process ends.
func Combine(op Op, a, b [][]geom.Point) ([][]geom.Point, error) {
	a, b = prepare(a), prepare(b)
	weld(a, b)
	areaA, areaB := Area(a), Area(b)
	rings, err := bounded(limit, func() [][]geom.Point { return call(op, a, b) })
	if err != nil {
		return nil, fmt.Errorf("%s of two polygons: %w", op, err)
	}
	rings = orient(rings)
	if area := signed(rings); !plausible(op, areaA, areaB, area, length(a)+length(b)) {
		return nil, fmt.Errorf("%s of polygons of %s and %s mm² cannot be %s mm²",
			op, geom.Num(areaA), geom.Num(areaB), geom.Num(area))
	}
	return rings, nil
}

// call runs the library. The settled result is read even-odd.
func call(op Op, a, b [][]geom.Point) [][]geom.Point {
	p, q := toCanvas(a).Settle(canvas.EvenOdd), toCanvas(b).Settle(canvas.EvenOdd)
	switch op {
	case Union:
		p = p.Or(q)
	case Intersection:
		p = p.And(q)
	default:
		p = p.Not(q)
	}
	return fromCanvas(p.Settle(canvas.EvenOdd))
}

// bounded runs f, turning a panic or too long a time into an error.
func bounded(limit time.Duration, f func() [][]geom.Point) ([][]geom.Point, error) {
	type outcome struct {
		rings [][]geom.Point
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		var o outcome
		defer func() {
			if r := recover(); r != nil {
				o.err = fmt.Errorf("the library panicked: %v", r)
			}
			done <- o
		}()
		o.rings = f()
	}()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case o := <-done:
		return o.rings, o.err
	case <-timer.C:
		return nil, fmt.Errorf("gave up after %v", limit)
	}
}

// plausible reports whether a result can have the given area. Rounding moves
// rims by up to a grid step, which changes areas by that times their length.
func plausible(op Op, a, b, area, length float64) bool {
	slack := 4*grid*length + 1e-9*(a+b)
	least, most := 0.0, 0.0
	switch op {
	case Union:
		least, most = max(a, b), a+b
	case Intersection:
		least, most = 0, min(a, b)
	default:
		least, most = max(0, a-b), a
	}
	return area >= least-slack && area <= most+slack
}

// The library's path format: a command, its point and the command again.
const (
	moveTo  = canvas.MoveToCmd
	lineTo  = canvas.LineToCmd
	closeTo = canvas.CloseCmd
)

// toCanvas writes the path's data directly: the library's own LineTo drops
// vertices between collinear edges, and with them welded T-junctions.
func toCanvas(rings [][]geom.Point) *canvas.Path {
	var d []float64
	for _, ring := range rings {
		for i, p := range ring {
			cmd := float64(lineTo)
			if i == 0 {
				cmd = moveTo
			}
			d = append(d, cmd, p.X, p.Y, cmd)
		}
		d = append(d, closeTo, ring[0].X, ring[0].Y, closeTo)
	}
	return canvas.NewPathFromData(d)
}

func fromCanvas(p *canvas.Path) [][]geom.Point {
	var rings [][]geom.Point
	for _, sub := range p.Split() {
		var ring []geom.Point
		for _, v := range sub.Coords() {
			ring = append(ring, geom.Pt(v.X, v.Y))
		}
		if ring = distinct(ring); len(ring) > 2 {
			rings = append(rings, ring)
		}
	}
	return rings
}
