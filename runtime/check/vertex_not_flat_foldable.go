package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/fold"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// vertexNotFlatFoldable tells of corners that a pose folds flat and that cannot
// lie flat.
var vertexNotFlatFoldable = Rule{
	ID: "vertex-not-flat-foldable", Severity: diag.Error, Title: "the creases at a point cannot fold flat together",
	find: func(f *Facts) []Found {
		var out []Found
		for i, piece := range f.Folded {
			if !foldsFlat(piece) {
				continue
			}
			for _, v := range vertices(f.Blanks[i]) {
				out = append(out, v.judge(piece)...)
			}
		}
		return out
	},
}

// foldsFlat reports whether some pose folds a hinge by 180 degrees.
func foldsFlat(piece *fold.Folded) bool {
	for _, pose := range piece.Poses {
		for _, a := range pose.Angles {
			if a.OK && math.Abs(math.Abs(a.Degrees)-180) < angleSlack {
				return true
			}
		}
	}
	return false
}

// judge holds the vertex to the flat-folding rules in every pose in which all
// its creases are flat or folded by 180 degrees.
func (v *vertex) judge(piece *fold.Folded) []Found {
	var out []Found
	for _, pose := range piece.Poses {
		flat, sectors, ok := v.folded(pose)
		if !ok {
			continue
		}
		why := flat.fault(sectors)
		if why == "" {
			continue
		}
		panels := v.panels()
		site, key := v.site(piece.Piece), fmt.Sprint(v.at)
		g := foundf(site, panels, "the creases where %s meet cannot lie flat in pose %q: %s", quoted(panels), pose.Pose.Name, why).
			in(pose.Pose, key)
		at := v.at
		g.At, g.Blames = &at, panels
		out = append(out, g)
	}
	return out
}

// folded gives the vertex's folded creases in a pose and, by the angles between
// them, the panel each begins with; ok is false when a crease stands open or
// none is folded.
func (v *vertex) folded(pose *fold.Pose) (f flatFold, sectors []*model.Panel, ok bool) {
	start := -1
	for i, c := range v.creases {
		a := pose.Angles[c.hinge]
		size := math.Abs(a.Degrees)
		if !a.OK || size > angleSlack && math.Abs(size-180) > angleSlack {
			return f, nil, false
		}
		if start < 0 && size > angleSlack {
			start = i
		}
	}
	if start < 0 {
		return f, nil, false
	}
	for k := range v.creases {
		c := v.creases[(start+k)%len(v.creases)]
		deg := pose.Angles[c.hinge].Degrees
		if math.Abs(deg) > angleSlack {
			f.angles, f.in = append(f.angles, 0), append(f.in, deg > 0)
			sectors = append(sectors, c.sector)
		}
		f.angles[len(f.angles)-1] += c.angle
	}
	return f, sectors, true
}

// fault says what keeps the vertex from lying flat, "" when nothing does.
func (f *flatFold) fault(sectors []*model.Panel) string {
	if n := len(f.angles); n%2 == 1 {
		return fmt.Sprintf("it has %s there, and an even number is needed", counted(n, "fold"))
	}
	if even, odd := f.alternate(); math.Abs(even-180) > angleSlack {
		return fmt.Sprintf("every other angle adds up to %s and %s degrees, and both must be 180", degrees(even), degrees(odd))
	}
	if in, out := f.sides(); in-out != 2 && out-in != 2 {
		return fmt.Sprintf("%s in and %d out, and the numbers must differ by 2", counted(in, "fold"), out)
	}
	if i := f.stuck(); i >= 0 {
		return fmt.Sprintf("the angle of %s degrees at %q cannot be folded in between those beside it, as both its creases fold the same way",
			degrees(f.angles[i]), sectors[i].Name)
	}
	return ""
}

// site is where the last hinge round the vertex was asked for.
func (v *vertex) site(piece *model.Piece) source.Site {
	last := slices.MaxFunc(v.creases, func(a, b crease) int { return cmp.Compare(a.hinge, b.hinge) })
	return siteOf(piece.Hinges[last.hinge])
}

// degrees prints an angle for reading, to a thousandth.
func degrees(v float64) string { return strconv.FormatFloat(math.Round(v*1e3)/1e3, 'f', -1, 64) }
