package scene

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// sheet is the board of one panel that has a place in the pose, in the world,
// curves drawn as chords. It is the same for every view.
type sheet struct {
	panel *model.Panel
	index int                 // in the piece's panels
	place geom.RigidTransform // panel frame to world, lift included
	lift  geom.Point3         // what its layer moves it by, where that is most
	out   geom.Point3         // its normal before that, unit
	flat  geom.Isometry       // blank frame to panel frame
	rings [][]geom.Point      // panel frame, board on the left

	hull   []geom.Point // of the rings, counter-clockwise
	convex bool         // the rings are one, and it is the hull
}

// world puts a point of the blank frame into the world.
func (b *sheet) world(p geom.Point) geom.Point3 { return b.place.Apply(b.flat.Apply(p).Space()) }

// boards lists the panels of a pose that have a place and board, in the order
// of the piece's panels, where they would stand without layers.
func boards(in Input) []*sheet {
	var out []*sheet
	tol := flatness * diagonal(in.Blank)
	for i, s := range in.Blank.Sheets {
		if !in.Pose.Place[i].OK || len(s.Rings) == 0 {
			continue
		}
		b := &sheet{panel: s.Panel, index: i, place: in.Pose.Place[i].RigidTransform, flat: s.Panel.Flat.Inverse()}
		b.out = b.place.Normal()
		for _, r := range s.Rings {
			b.rings = append(b.rings, b.ring(r, tol))
		}
		b.hull = polygon.Hull(b.rings)
		if b.convex = len(b.rings) == 1 && polygon.Convex(b.rings[0]); b.convex {
			b.rings[0] = b.hull // without the corners of neighbours along its sides
		}
		out = append(out, b)
	}
	return out
}

// ring flattens a boundary and moves it to the panel's frame.
func (b *sheet) ring(r blank.Ring, tol float64) []geom.Point {
	var pts []geom.Point
	for _, c := range r {
		pts = c.Flatten(pts, tol)
	}
	for i, p := range pts {
		pts[i] = b.flat.Apply(p)
	}
	return pts
}
