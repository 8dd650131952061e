package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// vertexNotFlatFoldable tells of corners that a pose folds flat and that cannot
// lie flat.
var vertexNotFlatFoldable = Rule{
	ID: "vertex-not-flat-foldable", Severity: diag.Error, Title: "the creases at a point cannot fold flat together",
	find: func(f *facts) []Found {
		return f.each(func(p state) []Found {
			var out []Found
			for _, v := range p.Vertices {
				if why := f.notFlat(p, v); why != "" {
					out = append(out, vertexFound(p, v, why))
				}
			}
			return out
		})
	},
}

// vertexFound tells why a vertex cannot lie flat, at the crease that was made last.
func vertexFound(p state, v contact.Vertex, why string) Found {
	last := slices.MaxFunc(v.Hinges, func(g, h *model.Hinge) int { return cmp.Compare(g.Index, h.Index) })
	panels := panelsAt(v.Hinges)
	f := foundf(siteOf(last), panels, "the creases where %s meet cannot lie flat in pose %q: %s", quoted(panels), p.name(), why).
		in(p.Pose, fmt.Sprint(v.At))
	f.At, f.Blames = &v.At, panels
	return f
}

// panelsAt lists the panels that hinges join, in order of making.
func panelsAt(hinges []*model.Hinge) []*model.Panel {
	var out []*model.Panel
	for _, h := range hinges {
		out = append(out, h.Parent, h.Child)
	}
	slices.SortFunc(out, func(p, q *model.Panel) int { return cmp.Compare(p.Index, q.Index) })
	return slices.Compact(out)
}

// notFlat says what keeps a vertex from lying flat, "" when nothing does.
func (f *facts) notFlat(p state, v contact.Vertex) string {
	if n := len(v.Hinges); n%2 == 1 {
		return fmt.Sprintf("%s there, and an even number is needed", counted(n, "fold"))
	}
	if exceeds(float64(v.Sum.Abs()), contact.SumLimit) {
		return fmt.Sprintf("every other angle adds up to %s and %s degrees, and both must be 180",
			degrees(180+v.Sum/2), degrees(180-v.Sum/2))
	}
	if d := v.Mountains - v.Valleys; d != 2 && d != -2 {
		return fmt.Sprintf("%s in and %d out, and the numbers must differ by 2", counted(v.Mountains, "fold"), v.Valleys)
	}
	if i := f.flatRing(p, v).stuck(); i >= 0 {
		return fmt.Sprintf("the angle of %s degrees between hinges %q and %q cannot be folded in between those beside it, as both hinges fold the same way",
			degrees(v.Sectors[i]), v.Hinges[i].Name, v.Hinges[(i+1)%len(v.Hinges)].Name)
	}
	return ""
}

// flatRing reads which way the creases of a vertex fold.
func (f *facts) flatRing(p state, v contact.Vertex) *ring {
	r := &ring{angles: v.Sectors}
	for _, h := range v.Hinges {
		r.in = append(r.in, p.Folds[f.hingeAt[h]].Degrees > 0)
	}
	return r
}

// degrees prints an angle for reading, to a thousandth.
func degrees(v geom.Degrees) string {
	return strconv.FormatFloat(math.Round(float64(v)*1e3)/1e3, 'f', -1, 64)
}

// ring is the board round a vertex whose creases are all folded by 180 degrees:
// the angles in degrees, counter-clockwise, and by crease whether it folds in;
// crease i precedes angle i. There is an even number, and every other angle
// adds up to 180.
type ring struct {
	angles []geom.Degrees
	in     []bool
}

// stuck looks for an angle that keeps the ring from lying flat without passing
// through itself. Among the smallest angles there must be one whose two creases
// fold opposite ways; folded in between its neighbours, it leaves a simpler
// ring (Bern and Hayes, "The complexity of flat origami", 1996; value from
// memory). It returns the number of an angle that stays in the way, or −1.
func (r *ring) stuck() int {
	left := ring{slices.Clone(r.angles), slices.Clone(r.in)}
	number := make([]int, len(r.angles)) // of each angle left, the one it began as
	for i := range number {
		number[i] = i
	}
	for len(left.angles) > 2 {
		crimp, smallest := left.crimp()
		if crimp < 0 {
			return number[smallest]
		}
		number = left.foldIn(crimp, number)
	}
	return -1
}

// crimp is a smallest angle between opposite folds, −1 when there is none, and
// the first smallest angle.
func (r *ring) crimp() (crimp, smallest int) {
	least := slices.Min(r.angles)
	crimp, smallest = -1, -1
	for i, a := range r.angles {
		if exceeds(a, least+contact.SumLimit) {
			continue
		}
		if smallest < 0 {
			smallest = i
		}
		if crimp < 0 && r.in[i] != r.in[(i+1)%len(r.in)] {
			crimp = i
		}
	}
	return crimp, smallest
}

// foldIn folds angle i in between its neighbours, so that the three become one,
// and gives the numbers of the angles left.
func (r *ring) foldIn(i int, number []int) []int {
	n := len(r.angles)
	before, after := (i+n-1)%n, (i+1)%n
	r.angles[before] = max(0, r.angles[before]-r.angles[i]+r.angles[after])
	var angles []geom.Degrees
	var in []bool
	var left []int
	for k := range n {
		if k != i && k != after {
			angles, in, left = append(angles, r.angles[k]), append(in, r.in[k]), append(left, number[k])
		}
	}
	r.angles, r.in = angles, in
	return left
}
