package contact

import (
	"context"
	"sync"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Boards is the board of every panel of a piece, ready to be placed in poses.
// It does not change once made.
type Boards struct {
	Piece  *model.Piece
	Bodies []Body // in the order of the piece's panels

	caliper float64
	index   map[*model.Panel]int
	hang    []int                    // by panel, the hinge it hangs on, by its place in the piece; −1 for the root
	hinged  map[pair][]int           // hinges between two panels, by their place in the piece
	glued   map[pair]bool            // joined by a tab or by glue
	through map[pair][]model.JoinEnd // openings and slits that one is tucked into
	// joinedTo are, by panel, the panels on whose outside it lies glued or tucked.
	joinedTo map[int][]int
	holds    [][]int // by panel, those that a hinge or a join on the outside ties to it
}

// pair is two panels by their places in the piece, the lesser first.
type pair struct{ a, b int }

// pairOf puts the lesser number first.
func pairOf(a, b int) pair { return pair{min(a, b), max(a, b)} }

// New reads the board that windows leave of each panel from a laid blank.
// The error is the cause of the context's end.
func New(ctx context.Context, b *blank.Blank) (*Boards, error) {
	p := b.Piece
	out := &Boards{
		Piece: p, Bodies: make([]Body, len(p.Panels)), caliper: p.Board.Caliper,
		index: make(map[*model.Panel]int, len(p.Panels)), hinged: map[pair][]int{},
		glued: map[pair]bool{}, through: map[pair][]model.JoinEnd{}, joinedTo: map[int][]int{}, hang: make([]int, len(p.Panels)), holds: make([][]int, len(p.Panels)),
	}
	for i, s := range b.Regions {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		out.Bodies[i], out.hang[i] = newBody(s), -1
		out.index[s.Panel] = i
	}
	for k, h := range p.Hinges {
		// A panel hangs by one hinge; closing hinges join what lies side by side in the flat.
		if !h.Closing {
			out.hang[out.index[h.Child]] = k
		}
		q := pairOf(out.index[h.Parent], out.index[h.Child])
		out.hinged[q] = append(out.hinged[q], k)
		out.holds[q.a], out.holds[q.b] = append(out.holds[q.a], q.b), append(out.holds[q.b], q.a)
	}
	for _, j := range p.Joins {
		out.join(j)
	}
	return out, nil
}

// join books what a join says of two panels that lie on one another.
// A tab or glue ties two panels in glued poses only; that is looked at where it is
// used (layer). A meet says nothing here: its edges come together, its panels need
// not lie on one another.
func (b *Boards) join(j *model.Join) {
	q := pairOf(b.index[j.A.Panel], b.index[j.B.Panel])
	// Where boards make room for one another, what is joined to an outside goes with
	// its target: see givesWay and held.
	if j.Outside && j.Kind != model.MeetJoin {
		b.joinedTo[b.index[j.A.Panel]] = append(b.joinedTo[b.index[j.A.Panel]], b.index[j.B.Panel])
		b.holds[q.a], b.holds[q.b] = append(b.holds[q.a], q.b), append(b.holds[q.b], q.a)
	}
	switch j.Kind {
	case model.TabJoin, model.GlueJoin:
		b.glued[q] = true
	case model.TuckJoin:
		if j.B.IsThrough() {
			for _, end := range j.B.Layers() {
				q := pairOf(b.index[j.A.Panel], b.index[end.Panel])
				b.through[q] = append(b.through[q], end)
			}
		}
	}
}

// Posed is a piece in one pose, with all that crosses or lies on one another
// there. A panel that the pose leaves without a place, or that has no board,
// takes no part. It does not change once made.
//
// Posed.layers is filled by collide and not changed after; Levels, Stacks and places
// by order. all and faces are made on first use, by one goroutine (sync.OnceValue).
type Posed struct {
	*Boards
	Pose         *fold.Pose
	Penetrations []Penetration // by A, then B
	Stacks       []Stack       // by the panel made first
	Levels       []Level       // of each panel

	plates []plate
	layers layers
	places [][]place             // by panel, where it lies in cells, by stack, then cell
	all    func() *boxTree       // the boxes of all plates that have board and a place; made when first asked for
	faces  func() [][2][]surface // of each stack by side, as stackFaces has them; made when first asked for
}

// In places the boards in a pose of their piece and finds all contacts. It
// gives the cause of the context's end once that has ended.
func (b *Boards) In(ctx context.Context, pose *fold.Pose) (*Posed, error) {
	p := &Posed{Boards: b, Pose: pose, plates: make([]plate, len(b.Bodies))}
	for i := range b.Bodies {
		p.plates[i] = newPlate(&b.Bodies[i], pose.Place[i])
	}
	p.all = sync.OnceValue(func() *boxTree { return p.boxTree(func(int) bool { return true }) })
	p.faces = sync.OnceValue(p.stackFaces)
	if err := p.collide(ctx); err != nil {
		return nil, err
	}
	return p, p.order(ctx)
}

// ended is the cause of the context's end, nil while it goes on.
func ended(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return context.Cause(ctx)
}

// Index is a panel's place in the piece.
func (b *Boards) Index(p *model.Panel) int { return b.index[p] }

// Closed reports whether it is the pose "closed".
func (p *Posed) Closed() bool { return p.Pose.Pose.Name == model.PoseClosed }

// onBlank is where a place of panel i lies in the flat blank.
// A place off the panel's plane is brought onto it along the normal.
func (p *Posed) onBlank(i int, at geom.Point3) geom.Point {
	s := &p.plates[i]
	return s.body.Panel.Flat.Apply(s.local(at).Plane())
}

// Body is a panel's board after windows as a plane region, in the panel's
// frame. A panel that windows left nothing of has no rings.
// Outer rims run counter-clockwise and holes clockwise, seen from the outside, so
// that areas of all rings add up to that of the board. Loops has a loop for each of
// Rings, without repeating its first point at the end.
type Body struct {
	Panel *model.Panel
	Rings []blank.Ring // exact, board on the left

	// Loops are the rings as chords within Flatten of them: chord k of a loop
	// runs from point k to the next, the last one home to the first, and is part
	// of curve Source[loop][k] of the ring.
	Loops  [][]geom.Point
	Source [][]int

	Hull   []geom.Point // the convex hull's corners, counter-clockwise
	Convex bool         // the loops are one, and it is the hull
}

// newBody brings what windows leave of a panel from the blank into the panel's frame.
func newBody(s blank.Region) Body {
	b := Body{Panel: s.Panel}
	for _, ring := range laidRings(s.Rings, s.Panel.Flat.Inverse()) {
		loop, source := flatten(ring)
		b.Rings = append(b.Rings, ring)
		b.Loops = append(b.Loops, loop)
		b.Source = append(b.Source, source)
	}
	b.Hull = polygon.Hull(b.Loops)
	b.Convex = len(b.Loops) == 1 && polygon.Convex(b.Loops[0])
	return b
}

// flatten gives a ring's chords and the curve each is part of.
// loop and source have the same length; each curve gives one chord at least.
func flatten(ring blank.Ring) (loop []geom.Point, source []int) {
	for i, c := range ring {
		loop = append(loop, c.P)
		loop = c.Flatten(loop, Flatten)
		loop = loop[:len(loop)-1] // the next curve's start
		for len(source) < len(loop) {
			source = append(source, i)
		}
	}
	return loop, source
}

// Tolerances of contact, in millimetres unless said otherwise. They never grow
// with the board.
const (
	// Flatten is how far a chain of chords may stray from a curve. Board is cut
	// to a tenth of a millimetre at best, and contacts that matter are deeper.
	Flatten = 0.01

	// Shallowest is the depth up to which panels do not touch: what is within a
	// snap tolerance is one place.
	Shallowest = geom.SnapTolerance

	// Rim is how far a panel may stand out beyond its target before it counts
	// as missing it (the contract's).
	Rim = 1.0

	// FlatLimit is how far panels may lie off a common plane in a flat pose.
	// Rounding a fold to a hundredth of a degree lifts the rim of a 250 mm panel
	// this much.
	FlatLimit = 0.05

	// parallel is the sine of the angle, 1°, under which two panels lie on one
	// another where their common ground is within a caliper: folds are made by
	// hand, and a lid half a degree open rests on its flaps all the same.
	parallel = geom.DegreeSine
)

// Resolution is how far apart two measures in mm, mm², degrees or shares must be
// to count as different: far more than rounding moves what is worked out of a
// design, whatever the processor and however it fuses multiplying and adding,
// and far less than a message shows.
const Resolution = 1e-7

// Exceeds reports whether a measure is greater than a limit, or than another of
// its kind, so that every processor says the same of figures that were meant to
// be equal.
func Exceeds(v, limit float64) bool { return v > limit+Resolution }

// tuckCalipers is how deep behind a panel, in calipers, a tuck still lies along
// it (the contract's).
const tuckCalipers = 2
