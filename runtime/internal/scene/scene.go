package scene

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Input is one piece in one pose.
type Input struct {
	Blank *blank.Blank
	Pose  *fold.Pose
	// Layers gives, by panel of the piece, its place among the panels that lie
	// on one another; each layer is drawn LayerSpacing further in, so that overlaps
	// can be read. Nil leaves all in place; of panels that coincide the one made
	// later is then drawn on the inside of the other.
	Layers []Layer
	// Rings lists, by their indices in the piece, the pairs of panels of which the
	// first lies outside the second although its layer lies no further out: where
	// the order of layers is cyclic, as that of interlocking petals is.
	Rings [][2]int
	// Piercing lists, by their indices in the piece, the pairs of panels whose
	// intersection is a fault and drawn as such.
	Piercing [][2]int
	// StandsOn is the panel that lies on the ground; nil for the widest base.
	StandsOn *model.Panel
	// Foot is the straight edge of StandsOn that stands on the ground instead of it;
	// nil where the panel lies there.
	Foot *model.EdgeRef
	// Products are what stands in the piece.
	Products []Product
}

// Layer is a panel's place in its stack. The zero value stays in place.
type Layer struct {
	In  int         // how many layers further in than what stays in place; negative for further out
	Out geom.Point3 // the way out of the stack, unit
}

// Side is the side of the board that a face shows.
type Side uint8

// The sides of a board.
const (
	Outside Side = iota // the print side
	Inside
)

// Picture is what is seen. Faces and those of products do not overlap, so they and the lines can be
// painted in any order, lines last. Coordinates are millimetres in the picture
// plane, x to the right and y up; the world's origin is its origin.
type Picture struct {
	View     View
	Bounds   geom.Box // of the whole piece and of products that show, hidden parts included
	Faces    []Face
	Products []ProductFace
	Lines    []Line

	projection *projection
}

// Face is the visible part of one panel. Outer rings run counter-clockwise,
// holes clockwise.
type Face struct {
	Panel *model.Panel
	Side  Side
	Shade float64 // light that falls on it, 0…1
	Rings [][]geom.Point
}

// LineKind is what a line of a picture stands for.
type LineKind uint8

// Kinds of line.
const (
	Rim         LineKind = iota // a raw edge of board, or a slit
	Hinge                       // a crease, folded or not
	Perforated                  // a perforation within a panel
	Drawn                       // pen or print, on the outside only
	Crossing                    // where two panels pierce each other: a fault
	ProductEdge                 // an edge or the silhouette of a product
)

// Line is a visible stretch of a line.
type Line struct {
	Kind   LineKind
	Work   blank.Kind // how a crease is worked; "" for one folded by hand and for other lines
	Points []geom.Point
}

// Draw makes the picture from one side. It may be called from several
// goroutines at a time. An error is that of a context which has ended.
func (sc *Scene) Draw(ctx context.Context, v View) (*Picture, error) {
	s := sc.project(v)
	s.seeProducts(ctx)
	p := &Picture{View: v, Bounds: s.bounds, projection: s}
	for _, f := range s.faces {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		if rings := s.visible(ctx, f); len(rings) > 0 {
			p.Faces = append(p.Faces, Face{f.plate.panel, f.side(), f.light, rings})
		}
	}
	p.Products = s.productFaces(ctx)
	var err error
	p.Lines, err = s.lines(ctx)
	return p, err
}

// Share is the part of all that is seen that shows one side of the board, 0…1.
func (p *Picture) Share(side Side) float64 {
	all, part := 0.0, 0.0
	for _, f := range p.Faces {
		area := 0.0
		for _, r := range f.Rings {
			area += polygon.Area(r)
		}
		if all += area; f.Side == side {
			part += area
		}
	}
	return part / max(all, geom.Tiny)
}

// LayerSpacing is the distance in mm at which two layers are drawn, the same in all
// pictures of a piece; stacks deeper than maxSpread layers are drawn closer.
func LayerSpacing(b *blank.Blank) float64 { return min(maxSpacing, spacingShare*diagonal(b)) }

// diagonal is the length of the diagonal of the blank's bounding box, in mm.
func diagonal(b *blank.Blank) float64 { return b.Bounds.Min.Dist(b.Bounds.Max) }

// Scene is a piece placed in a pose, to be drawn from any side. It does not change
// after New.
type Scene struct {
	in      Input
	plates  []*plate // in the order of the piece's panels
	strokes []stroke
	solids  []*solid
}

// New places a piece in its pose. Panels that have no placement in it, or no board,
// are left out. An error is that of a context which has ended.
func New(ctx context.Context, in Input) (*Scene, error) {
	s := &Scene{in: in, plates: plates(in)}
	hinges := s.hinges()
	s.lift(ctx, hinges)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	s.standProducts()
	s.strokes = s.worldStrokes(hinges)
	return s, nil
}

// projection is a scene seen along one view. It does not change once made.
type projection struct {
	*Scene
	view   View
	faces  []*face
	seen   []*face  // by panel of the piece; nil for one left out or edge-on
	bounds geom.Box // of all plates and of products that show, mm in the picture plane

	products []*solidView // those that show
}

// project is the scene seen along a view.
func (sc *Scene) project(v View) *projection {
	s := &projection{Scene: sc, view: v, seen: make([]*face, len(sc.in.Blank.Regions)), bounds: geom.EmptyBox()}
	for _, b := range s.plates {
		for _, p := range b.hull {
			s.bounds = s.bounds.Add(v.Project(b.place.Apply(p.Space())))
		}
		if f, ok := newFace(b, v); ok {
			s.faces = append(s.faces, f)
			s.seen[b.index] = f
		}
	}
	s.findNeighbours()
	return s
}

// findNeighbours lists for every face the others whose boxes meet its box, in the
// order of the panels: the broad phase of hidden-surface removal. With a tree over
// the boxes it takes O(n log n + pairs found).
func (s *projection) findNeighbours() {
	boxes := make([]geom.Box, len(s.faces))
	for i, f := range s.faces {
		boxes[i] = f.box
	}
	tree := geom.NewBoxTree(boxes)
	var found []int
	for i, f := range s.faces {
		found = tree.Intersecting(f.box, found[:0])
		slices.Sort(found)
		f.near = make([]*face, 0, len(found)-1)
		for _, j := range found {
			if j != i {
				f.near = append(f.near, s.faces[j])
			}
		}
	}
}

// plate is the board of one panel that has a placement in the pose, its curves
// flattened. It is the same for every view.
type plate struct {
	panel *model.Panel
	index int                 // in the piece's panels
	place geom.RigidTransform // panel frame to world, lift included
	posed geom.RigidTransform // the same without the lift
	lift  geom.Point3         // displacement by its layer, mm; of a turned stack at its far edge
	out   geom.Point3         // its normal before that, unit, to the outside
	flat  geom.Isometry       // blank frame to panel frame
	rings [][]geom.Point      // panel frame, board on the left

	// outer says, by the index of another plate in a cyclic order with this one,
	// whether this one lies outside it. Out of the stack is along the plate's normal
	// where facesOut, against it elsewhere.
	outer    map[int]bool
	facesOut bool

	hull   []geom.Point // of the rings, counter-clockwise
	convex bool         // the rings are one, and it is the hull
}

// world is the point of the world at a point of the blank frame.
func (b *plate) world(p geom.Point) geom.Point3 { return b.place.Apply(b.flat.Apply(p).Space()) }

// plates lists the panels of a pose that have a placement and board, in the order of
// the piece's panels, with no lifts yet. Corners of neighbours along the sides of a
// convex plate are left out: the hull has none, and fewer sides are fewer to
// subtract.
func plates(in Input) []*plate {
	var out []*plate
	tol := flatness * diagonal(in.Blank)
	for i, s := range in.Blank.Regions {
		if !in.Pose.Place[i].OK || len(s.Rings) == 0 {
			continue
		}
		b := &plate{panel: s.Panel, index: i, place: in.Pose.Place[i].RigidTransform, flat: s.Panel.Flat.Inverse()}
		b.posed, b.out = b.place, b.place.Normal()
		for _, r := range s.Rings {
			b.rings = append(b.rings, b.ring(r, tol))
		}
		b.hull = polygon.Hull(b.rings)
		if b.convex = len(b.rings) == 1 && polygon.Convex(b.rings[0]); b.convex {
			b.rings[0] = b.hull
		}
		if in.Layers != nil {
			b.facesOut = b.out.Dot(in.Layers[i].Out) > 0
		}
		for _, pair := range in.Rings {
			for k, outer := range [...]bool{true, false} {
				if pair[k] == i {
					if b.outer == nil {
						b.outer = map[int]bool{}
					}
					b.outer[pair[1-k]] = outer
				}
			}
		}
		out = append(out, b)
	}
	return out
}

// ring flattens a boundary to chords within tol mm and moves it to the panel's
// frame.
func (b *plate) ring(r blank.Ring, tol float64) []geom.Point {
	var pts []geom.Point
	for _, c := range r {
		pts = c.Flatten(pts, tol)
	}
	for i, p := range pts {
		pts[i] = b.flat.Apply(p)
	}
	return pts
}
