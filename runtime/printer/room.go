package printer

import (
	"iter"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// flatRings are rings as points that stay within tol mm of them, moved.
func flatRings(rings []blank.Ring, place geom.Isometry, tol float64) [][]geom.Point {
	var out [][]geom.Point
	for _, r := range rings {
		var flat []geom.Point
		for _, c := range r {
			flat = c.Transform(place).Flatten(flat, tol)
		}
		out = append(out, flat)
	}
	return out
}

// transposed exchanges the axes.
func transposed(rings [][]geom.Point) [][]geom.Point {
	out := make([][]geom.Point, len(rings))
	for i, r := range rings {
		for _, p := range r {
			out[i] = append(out[i], geom.Pt(p.Y, p.X))
		}
	}
	return out
}

// within reports whether a point lies in rings, read even-odd.
func within(rings [][]geom.Point, p geom.Point) bool {
	n := 0
	for _, y := range crossings(rings, p.X) {
		if y > p.Y {
			n++
		}
	}
	return n%2 == 1
}

// crossings gives the y in rising order at which rings cross the line at x. A side
// counts if one end lies right of the line and the other does not, so that a corner
// on the line is counted once or twice alike for the parity, and the number is even.
func crossings(rings [][]geom.Point, x float64) []float64 {
	var ys []float64
	for _, r := range rings {
		prev := r[len(r)-1]
		for _, p := range r {
			if (prev.X > x) != (p.X > x) {
				ys = append(ys, prev.Lerp(p, (x-prev.X)/(p.X-prev.X)).Y)
			}
			prev = p
		}
	}
	slices.Sort(ys)
	return ys
}

// hatching are the lines at a distance of each other, at an angle, that lie within rings,
// read even-odd: the rings are turned so that the lines are upright at multiples of
// step, each is cut where it crosses the rings, and the stretches between the first and
// second crossing, third and fourth and so on are turned back. The first line has its left
// side on the multiple, so that one of a width lies within the rings.
func hatching(rings [][]geom.Point, upright geom.Degrees, step, width float64) []geom.Curve {
	turn := geom.Rotation(upright.Angle(), geom.Point{})
	back := turn.Inverse()
	var turned [][]geom.Point
	box := geom.EmptyBox()
	for _, r := range rings {
		var t []geom.Point
		for _, p := range r {
			t = append(t, turn.Apply(p))
		}
		turned, box = append(turned, t), box.Union(geom.BoxOf(t...))
	}
	var out []geom.Curve
	for k := math.Floor(box.Min.X / step); k*step < box.Max.X; k++ {
		x := float64(k*step) + width/2
		ys := crossings(turned, x)
		for i := 0; i+1 < len(ys); i += 2 {
			out = append(out, geom.LineFrom(back.Apply(geom.Pt(x, ys[i])), back.Apply(geom.Pt(x, ys[i+1]))))
		}
	}
	return out
}

// strip is room for a line of text: level, or upright where it was sought in transposed
// rings.
type strip struct {
	mid            geom.Point
	length, height float64 // mm; the height of the rings as a whole
}

// Places where a strip is sought, as shares of the height of rings, and how high it is.
var stripPlaces = [...]float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8}

// halfStrip is half the height of the text that a strip surely has room for, mm.
const halfStrip = 1.3

// roomiest is the widest level strip inside rings, of a few; one further from the middle
// must be wider by a twentieth.
func roomiest(rings [][]geom.Point) strip {
	box := geom.EmptyBox()
	for _, r := range rings {
		box = box.Union(geom.BoxOf(r...))
	}
	best := strip{height: box.Height()}
	across := transposed(rings)
	for _, share := range stripPlaces {
		y := box.Min.Y + float64(box.Height()*share)
		from, to := math.Inf(-1), math.Inf(1)
		for _, off := range [...]float64{-halfStrip, 0, halfStrip} {
			a, b := widest(crossings(across, y+off))
			from, to = max(from, a), min(to, b)
		}
		if to-from > best.length*1.05 {
			best.length, best.mid = to-from, geom.Pt((from+to)/2, y)
		}
	}
	return best
}

// widest is the longest stretch inside, between crossings.
func widest(xs []float64) (from, to float64) {
	for i := 0; i+1 < len(xs); i += 2 {
		if xs[i+1]-xs[i] > to-from {
			from, to = xs[i], xs[i+1]
		}
	}
	return from, to
}

// nameSizes are the sizes of type, mm, in which names of panels are tried.
var nameSizes = [...]float64{3.2, 2.4, 1.8, 1.3}

// placeName sets a name in rings where it has most room: on a level line or, where that has
// too little and an upright one is twice as long, on that. It is left out where it has none.
func placeName(f *typeface, name string, rings [][]geom.Point) (label, bool) {
	if len(rings) == 0 {
		return label{}, false
	}
	level, upright := roomiest(rings), roomiest(transposed(rings))
	upright.mid = geom.Pt(upright.mid.Y, upright.mid.X)
	lying, standing := label{text: name}, label{text: name, angle: geom.Degrees(90).Angle()}
	tries, rooms := []label{lying, standing}, []strip{level, upright}
	if f.width(name, nameSizes[1])+2 > level.length && level.length < upright.length/2 {
		tries, rooms = []label{standing, lying}, []strip{upright, level}
	}
	for i, l := range tries {
		for _, size := range nameSizes {
			if f.width(name, size)+2 <= rooms[i].length && size*2 <= rooms[i].height {
				l.size = size
				return l.middle(rooms[i].mid), true
			}
		}
	}
	return label{}, false
}

// corners are those of the rectangle that a label takes, as points along its length and
// height.
func (t label) corners(f *typeface) []geom.Point {
	w := f.width(t.text, t.size)
	start := t.at
	if t.anchor == preview.AtMiddle {
		start = t.at.Sub(geom.Polar(w/2, t.angle))
	}
	up := geom.Polar(t.size*capHeight, t.angle.Add(geom.Degrees(90).Angle()))
	var out []geom.Point
	for i := range 5 {
		p := start.Add(geom.Polar(w*float64(i)/4, t.angle))
		out = append(out, p, p.Add(up))
	}
	return out
}

// crowd are boxes by the cells of a grid that they touch, for finding those near a place.
type crowd map[[2]int][]geom.Box

// crowdCell is a cell's side, mm: about the length of a label.
const crowdCell = 10.0

func (c crowd) add(b geom.Box) {
	for cell := range cellsOf(b) {
		c[cell] = append(c[cell], b)
	}
}

// clear reports whether a box meets none of those that were added.
func (c crowd) clear(b geom.Box) bool {
	for cell := range cellsOf(b) {
		if slices.ContainsFunc(c[cell], b.Intersects) {
			return false
		}
	}
	return true
}

// cellsOf are the cells that a box touches.
func cellsOf(b geom.Box) iter.Seq[[2]int] {
	at := func(v float64) int { return int(math.Floor(v / crowdCell)) }
	return func(yield func([2]int) bool) {
		for x := at(b.Min.X); x <= at(b.Max.X); x++ {
			for y := at(b.Min.Y); y <= at(b.Max.Y); y++ {
				if !yield([2]int{x, y}) {
					return
				}
			}
		}
	}
}
