package toolpath

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// kerfed is the lines of a layer, in the blank frame, as the axis of a tool runs along them:
// where a beam cuts boundaries of the board, by half of its kerf into the waste. Cuts with
// board on both sides stay on their line, as do all other kinds. What the beam cannot make of the
// boundaries is in lost.
//
// The way is the boundary of the board grown by a disc as wide as the kerf, so that corners of board are
// arcs about the corner. What the beam takes away is the same with mitred corners: the
// corner itself comes out sharp either way, for the beam is round. On the arc the axis keeps its
// speed and stays as near the board as it has to.
func kerfed(l blank.Layer, t board.Tool) (strokes []blank.Stroke, lost []Lost, err error) {
	if t.Kind != board.Beam || !t.Compensate || l.Kind != blank.CutLine {
		return l.Strokes, nil, nil
	}
	var rings [][]geom.Curve
	var rest []blank.Stroke
	for _, s := range l.Strokes {
		if s.Rim {
			rings = append(rings, s.Curves)
		} else {
			rest = append(rest, s)
		}
	}
	grown, gone, err := region.RoundRings(rings, t.Kerf/2)
	if err != nil {
		return nil, nil, err
	}
	var holes []blank.Stroke
	for _, r := range grown {
		area := 0.0
		for _, c := range r {
			area += c.Area()
		}
		s := blank.Stroke{Curves: r, Closed: true, Rim: true}
		if area > 0 {
			strokes = append(strokes, s)
		} else {
			holes = append(holes, s)
		}
	}
	u := unreached{kerf: t.Kerf, rings: rings, gone: gone}
	u.find()
	return append(append(strokes, holes...), rest...), u.lost, nil
}

// unreached finds what of a region's boundaries a beam cannot make.
type unreached struct {
	kerf  float64
	rings [][]geom.Curve
	gone  [][]bool // of each curve: the beam's way has nothing beside it
	lost  []Lost
}

func (u *unreached) tell(at geom.Point, format string, args ...any) {
	// The two sides of an opening that is too narrow are one trouble.
	for _, l := range u.lost {
		if l.At.Dist(at) < 2*u.kerf {
			return
		}
	}
	u.lost = append(u.lost, Lost{At: at, Kind: blank.CutLine, Text: fmt.Sprintf(format, args...)})
}

// narrow tells of an opening that is narrower than the kerf, and of the length of outline that is lost there.
func (u *unreached) narrow(at geom.Point, length float64) {
	told := len(u.lost)
	if length > 0 {
		u.tell(at, "%.2f mm of the outline, where an opening is narrower than the kerf of %.2f mm", length, u.kerf)
	} else {
		u.tell(at, "a place where an opening is narrower than the kerf of %.2f mm", u.kerf)
	}
	if len(u.lost) > told {
		u.lost[told].Kerf, u.lost[told].Length = u.kerf, length
	}
}

func (u *unreached) find() {
	n := u.narrows()
	for i, ring := range u.rings {
		first := -1 // a curve of which something is left
		for j := range ring {
			if !u.gone[i][j] {
				first = j
				break
			}
		}
		if first < 0 {
			u.hole(ring)
			continue
		}
		var run []geom.Curve
		for k := 1; k <= len(ring); k++ {
			j := (first + k) % len(ring)
			if u.gone[i][j] {
				run = append(run, ring[j])
				continue
			}
			u.run(run)
			before, after := ring[(j+len(ring)-1)%len(ring)], ring[(j+1)%len(ring)]
			if len(run) == 0 {
				u.notch(before, ring[j])
			}
			run = run[:0]
			n.look(before, ring[j], after)
		}
	}
}

// hole tells of a hole that the beam has no room in, by its size across the direction in
// which it is narrowest, of those along its curves, and along that.
func (u *unreached) hole(ring []geom.Curve) {
	const fine = 5e-4 // a tenth of half of what is shown
	var pts []geom.Point
	for _, c := range ring {
		pts = c.Flatten(pts, fine)
	}
	extent := func(dir geom.Point) float64 {
		least, most := math.Inf(1), math.Inf(-1)
		for _, p := range pts {
			v := p.Sub(pts[0]).Dot(dir)
			least, most = min(least, v), max(most, v)
		}
		return most - least
	}
	length, width := 0.0, math.Inf(1)
	for _, c := range ring {
		for _, t := range [...]float64{0, 0.5} {
			dir := c.Tangent(t)
			if w := extent(dir.Left()); w < width {
				length, width = extent(dir), w
			}
		}
	}
	u.tell(ring[0].At(0.5), "a hole of %.2f × %.2f mm, in which there is no room for the kerf of %.2f mm", length, width, u.kerf)
}

// run tells of curves in a row that the beam makes nothing of.
func (u *unreached) run(run []geom.Curve) {
	if len(run) == 0 {
		return
	}
	at := run[len(run)/2].At(0.5)
	if len(run) == 1 && run[0].Kind == geom.Arc && run[0].Sweep.Radians() < 0 && run[0].R <= u.kerf/2 {
		u.tell(at, "an inner radius of %.2f mm: the kerf of %.2f mm leaves one of its half", run[0].R, u.kerf)
		return
	}
	sum := 0.0
	for _, c := range run {
		sum += c.Length()
	}
	u.narrow(at, sum)
}

// notch tells of an inner corner so sharp that the beam stops short of it by more than its
// width. With an angle of β between the sides a disc of radius r gets with its middle to r/sin(β/2) from
// the corner, with its rim to r(1/sin(β/2) − 1).
func (u *unreached) notch(before, after geom.Curve) {
	angle, inner := innerAngle(before, after)
	if !inner {
		return
	}
	sin, _ := angle.Mul(0.5).SinCos()
	if short := u.kerf / 2 * (1/sin - 1); short > u.kerf {
		u.tell(after.P, "the last %.2f mm of a notch of %.0f degrees, in which there is no room for the kerf of %.2f mm",
			short, float64(angle.Degrees()), u.kerf)
	}
}

// innerAngle is the angle without board at a corner; inner is false where board juts out or
// runs on.
func innerAngle(before, after geom.Curve) (angle geom.Angle, inner bool) {
	turn := geom.AngleBetween(before.Tangent(1), after.Tangent(0)).Radians()
	return geom.Radians(math.Pi + turn), turn < -geom.SmoothSine
}

// narrows finds where an opening is narrower than the kerf between curves that are left
// elsewhere, as between two that bulge toward each other.
type narrows struct {
	*unreached
	curves []geom.Curve
	tree   *geom.BoxTree
	found  []int
}

func (u *unreached) narrows() *narrows {
	n := &narrows{unreached: u}
	var boxes []geom.Box
	for _, r := range u.rings {
		for _, c := range r {
			n.curves, boxes = append(n.curves, c), append(boxes, c.Bounds())
		}
	}
	n.tree = geom.NewBoxTree(boxes)
	return n
}

// look looks at a curve every kerf along it. The beam's middle beside a place must be no nearer to any board than
// half a kerf. Near inner corners it always is.
func (n *narrows) look(before, c, after geom.Curve) {
	r, length := n.kerf/2, c.Length()
	first, last := n.beyond(before, c), length-n.beyond(c, after)
	steps := math.Min(256, math.Floor(length/n.kerf))
	// What rounding and fits of cubics come nearer by.
	least, at := r*0.98, geom.Point{}
	for i := 0.5; i < steps; i++ {
		t := i / steps
		if along := t * length; along < first || along > last {
			continue
		}
		middle := c.At(t).Sub(c.Tangent(t).Left().Mul(r))
		n.found = n.tree.Intersecting(geom.BoxOf(middle).Grow(r), n.found[:0])
		for _, k := range n.found {
			if _, d := n.curves[k].Nearest(middle); d < least {
				least, at = d, c.At(t)
			}
		}
	}
	if least < r*0.98 {
		n.narrow(at, 0)
	}
}

// beyond is how far along a curve from a corner the beam has to be to touch it; a little for
// corners of board too, whose sides may be curved.
func (n *narrows) beyond(before, after geom.Curve) float64 {
	least := 3 * n.kerf
	if angle, inner := innerAngle(before, after); inner {
		if tan := angle.Mul(0.5).Tan(); tan > 0 {
			return max(least, n.kerf/2/tan+n.kerf)
		}
		return math.Inf(1)
	}
	return least
}
