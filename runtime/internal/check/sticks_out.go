package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// sticksOut warns of flaps that reach out of the closed piece: past the wall
// across from their fold, under its foot, or beyond the stack they lie on.
var sticksOut = Rule{
	ID: "sticks-out", Severity: diag.Warning, Title: "a flap sticks out of the closed piece",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap", "panels-collide", "lid-too-large", "layers-tangled", "panel-overhangs"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			all := s.crossings()
			var out []Found
			for i := range all {
				if s.ended() {
					return nil
				}
				if over, past := s.over(&all[i], all); exceeds(over, outLimit) {
					out = append(out, s.outFound(&all[i], over, past))
				}
			}
			return out
		})
	},
}

const (
	// outLimit is how far beyond the outer surface of all else, in mm, a flap may
	// reach: what sizes are rounded by. Common practice, no source.
	outLimit = 0.5
	// leastFold is the angle in degrees from which a hinge counts as folded: the
	// panels on either side of less are one board.
	leastFold = 1
	// laidDown is the angle in degrees from which a flap lies back on what it
	// hangs on.
	laidDown = 170
	// spineShare is how wide a spine is at most beside the depth of its cover: of
	// what is wider the piece is a box, and its walls say where it ends.
	spineShare = 0.25
	// foldInside is how far inside a wall, in mm, a fold lies that leads a flap
	// toward it, rather than along it.
	foldInside = 3
	// faces is the cosine, of 60 degrees, from which a wall counts as across a
	// way.
	faces = 0.5
)

// boardGroup is panels that lie in one plane as one board, the first of them hung by
// a fold, and all that hangs on them.
type boardGroup struct {
	insert
	members []*model.Panel
	tree    *panelTree   // tells what hangs on them
	folded  geom.Degrees // degrees
}

// beyond reports whether a panel is the first of the board or hangs on it.
func (g *boardGroup) beyond(p *model.Panel) bool { return g.tree.below(p, g.panel) }

// bare reports whether nothing hangs on the board.
func (g *boardGroup) bare() bool { return g.tree.count(g.panel) == len(g.members) }

// panelTree is the tree of a piece's panels, numbered from the root so that what
// hangs on a panel has the numbers that follow its own.
type panelTree struct {
	index    func(*model.Panel) int
	children [][]*model.Panel // those that have a place
	enter    []int
	leave    []int // one more than the last number below
}

// panelTree numbers the panels depth first, so that asking what hangs on what takes two
// comparisons. Panels without a place are no part of it.
func (s *closing) panelTree() *panelTree {
	if s.tree != nil {
		return s.tree
	}
	n := len(s.Piece.Panels)
	h := &panelTree{index: s.Contacts().Index, children: make([][]*model.Panel, n), enter: make([]int, n), leave: make([]int, n)}
	size := make([]int, n)
	for i := n - 1; i >= 0; i-- { // a panel is made after the one it hangs on
		p := s.Piece.Panels[i]
		if size[i]++; p.Hang != nil && s.Of(p).OK {
			size[h.index(p.Hang.Parent)] += size[i]
		}
	}
	for _, p := range s.Piece.Panels {
		if p.Hang != nil && s.Of(p).OK {
			parent := h.index(p.Hang.Parent)
			h.children[parent] = append(h.children[parent], p)
		}
	}
	for i, p := range s.Piece.Panels {
		if p.Hang == nil || !s.Of(p).OK {
			h.enter[i] = -n // no part of the tree
		}
		if p == s.Piece.Root {
			h.enter[i] = 0
		}
		next := h.enter[i] + 1
		h.leave[i] = h.enter[i] + size[i]
		for _, c := range h.children[i] {
			k := h.index(c)
			h.enter[k] = next
			next += size[k]
		}
	}
	s.tree = h
	return h
}

// below reports whether p is top or hangs on it, over others or not.
func (h *panelTree) below(p, top *model.Panel) bool {
	i, k := h.index(p), h.index(top)
	return h.enter[k] <= h.enter[i] && h.enter[i] < h.leave[k]
}

// count is how many panels hang on one, itself counted.
func (h *panelTree) count(p *model.Panel) int { return h.leave[h.index(p)] - h.enter[h.index(p)] }

// outward is a board that reaches past a wall, or out of the stack it lies on,
// one way.
type outward struct {
	*boardGroup
	way  geom.Point3  // unit
	wall *model.Panel // nil for a board laid down
	leaf *model.Panel // what a board without a wall is laid down on
	far  *model.Panel // the member that reaches farthest
	to   float64      // how far along way, from the world's origin
}

// crossings lists the boards that pass the edge of a wall toward its outside.
func (s *closing) crossings() []outward {
	var out []outward
	for _, p := range s.Piece.Panels {
		if s.ended() {
			return nil
		}
		g, ok := s.boardAt(p)
		if !ok {
			continue
		}
		ways := []geom.Point3{g.in3}
		if p.Role != model.Plain {
			ways = append(ways, g.along3, g.along3.Mul(-1))
		}
		for k, way := range ways {
			// Ways are looked at one by one: away from the fold, and for flaps, whose sides nothing
			// holds, to either side along it.
			c := outward{boardGroup: g, way: way}
			c.far, c.to = s.farthest(g.members, way)
			if c.wall = s.passed(&c, k == 0); c.wall == nil && k == 0 && g.bare() {
				c.leaf = s.leafUnder(g)
			}
			if c.wall == nil && c.leaf == nil {
				continue
			}
			if !s.meant(&c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// boardAt is the board that begins at a panel's fold; ok is false where none
// does.
func (s *closing) boardAt(p *model.Panel) (g *boardGroup, ok bool) {
	if p.Hang == nil || p.Hang.Curve.Kind != geom.Line || !s.Of(p).OK || s.foldOf(p.Hang) < leastFold || p.Role == model.TabRole {
		return nil, false
	}
	g = &boardGroup{
		insert: s.insert(&model.Join{A: model.ToPanel(p), B: model.ToPanel(p.Hang.Parent)}), members: []*model.Panel{p},
		tree: s.panelTree(), folded: s.foldOf(p.Hang),
	}
	// Members grow as the list is gone through: breadth first over hinges that are not folded.
	for k := 0; k < len(g.members); k++ {
		for _, q := range g.tree.children[g.tree.index(g.members[k])] {
			if s.foldOf(q.Hang) < leastFold {
				g.members = append(g.members, q)
			}
		}
	}
	slices.SortFunc(g.members[1:], func(a, b *model.Panel) int { return cmp.Compare(a.Index, b.Index) })
	return g, true
}

// leafUnder is the panel over which a board lies back, nil for none: what it hangs
// on by one fold in a flat piece, or as a cover over a spine what the spine's other
// fold leads to.
func (s *closing) leafUnder(g *boardGroup) *model.Panel {
	spine := g.fold.Parent
	if s.Flat && g.folded >= laidDown {
		return spine
	}
	cover := s.Of(g.panel)
	deep := 0.0
	for _, q := range cover.Loop {
		deep = max(deep, q.Sub(g.at).Dot(g.in))
	}
	for _, h := range s.Piece.Hinges {
		if h == g.fold || h.Parent != spine && h.Child != spine || h.Curve.Kind != geom.Line {
			continue
		}
		// Two panels that a spine folds to one side of it face each other.
		leaf := s.Of(beyond(h, spine))
		if !leaf.OK || cover.Normal.Dot(leaf.Normal) > flapLean-1 {
			continue
		}
		if off := math.Abs(leaf.Height(cover.Frame.T)); off > geom.SnapTolerance && off <= deep*spineShare {
			return beyond(h, spine)
		}
	}
	return nil
}

// foldOf is by how much a hinge is folded, in degrees, either way; 0 where that
// is not known.
func (s *closing) foldOf(h *model.Hinge) geom.Degrees {
	a := s.Folds[s.hingeAt[h]]
	if !a.OK {
		return 0
	}
	return a.Degrees.Abs()
}

// farthest is the panel of some that reaches farthest one way, and how far.
func (s *closing) farthest(panels []*model.Panel, way geom.Point3) (far *model.Panel, to float64) {
	to = math.Inf(-1)
	for _, p := range panels {
		o := s.Of(p)
		for _, q := range o.Loop {
			if d := o.Frame.Apply(q.Space()).Dot(way); d > to+geom.SnapTolerance {
				far, to = p, d
			}
		}
	}
	return far, to
}

// tipOf is a place of the world that a board reaches farthest its way.
func (s *closing) tipOf(c *outward) (tip geom.Point3) {
	o, to := s.Of(c.far), math.Inf(-1)
	for _, q := range o.Loop {
		if at := o.Frame.Apply(q.Space()); at.Dot(c.way) > to+geom.SnapTolerance {
			tip, to = at, at.Dot(c.way)
		}
	}
	return tip
}

// passed is the wall whose edge a board passes on its way out, nil for none.
// Away from its fold a board starts well inside the wall; along it the fold may
// reach up to the wall.
func (s *closing) passed(c *outward, away bool) *model.Panel {
	inside := s.caliper() + geom.SnapTolerance
	if away {
		inside = -foldInside
	}
	near := 3*s.caliper() + underLid
	// Walls that look along the way, do not hang on the board, and whose inside the board's fold
	// lies on.
	for _, i := range s.Near(c.far, near) {
		p, wall := s.Piece.Panels[i], &s.Solids[i]
		if c.beyond(p) || wall.Normal.Dot(c.way) < faces {
			continue
		}
		frame, fold := s.Of(c.panel).Frame, c.fold.Curve.Transform(c.fold.ToParent.Inverse())
		if a, b := wall.Height(frame.Apply(fold.P.Space())), wall.Height(frame.Apply(fold.Q.Space())); max(a, b) > inside {
			continue
		}
		if s.passes(c.members, wall.Normal, i, near) {
			return p
		}
	}
	return nil
}

// passes reports whether some of the members cross the plane of a wall within
// reach of its board, or through an opening in it.
func (s *closing) passes(members []*model.Panel, normal geom.Point3, wall int, near float64) bool {
	w := &s.Solids[wall]
	for _, m := range members {
		o := s.Of(m)
		for k, q := range o.Loop {
			p, r := o.Frame.Apply(q.Space()), o.Frame.Apply(o.Loop[(k+1)%len(o.Loop)].Space())
			a, b := w.Height(p), w.Height(r)
			// A side of the outline that changes sides passes the plane where its height is 0.
			if (a > 0) == (b > 0) {
				continue
			}
			at := w.Back.Apply(p.Lerp(r, a/(a-b))).Plane()
			if nearLoop(w.Loop, at, near) || polygon.Holds([][]geom.Point{w.Loop}, at) {
				return true
			}
		}
	}
	return false
}

// nearLoop reports whether a point lies within reach of a loop's sides.
func nearLoop(loop []geom.Point, at geom.Point, reach float64) bool {
	for k, p := range loop {
		if _, d := geom.LineFrom(p, loop[(k+1)%len(loop)]).Nearest(at); d <= reach {
			return true
		}
	}
	return false
}

// meant reports whether a board reaches out on purpose: overhang = True, an edge
// that meets another or a panel that hangs on the far part says so, and so does
// a tuck through an opening of the wall, but for one under the product, where a
// piece stands.
func (s *closing) meant(c *outward) bool {
	limit := c.to
	if c.wall != nil {
		w := s.Of(c.wall)
		limit = w.Frame.T.Dot(c.way)
		if math.Abs(w.Normal.Dot(c.way)) < 1-flapLean {
			limit = math.Inf(-1) // a slanting wall has no one place along the way
		}
	}
	for _, m := range c.members {
		if m.Over || m.Role == model.TabRole {
			return true
		}
	}
	for _, h := range s.Piece.Hinges {
		own := h.Parent
		if slices.Contains(c.members, h.Child) && h != c.fold {
			own = h.Child
		}
		if slices.Contains(c.members, own) && s.foldOf(h) >= leastFold && h != c.fold {
			frame := s.Of(h.Parent).Frame
			if max(frame.Apply(h.Curve.P.Space()).Dot(c.way), frame.Apply(h.Curve.Q.Space()).Dot(c.way)) > limit+geom.SnapTolerance {
				return true
			}
		}
	}
	return slices.ContainsFunc(s.Piece.Joins, func(j *model.Join) bool {
		a, b := slices.Contains(c.members, j.A.Panel), slices.Contains(c.members, j.B.Panel)
		switch {
		case a == b:
			return false
		case j.Kind == model.MeetJoin:
			return true
		case j.Kind == model.TuckJoin && a && j.B.IsThrough():
			through := s.Of(j.B.Panel)
			below := c.to - through.Frame.T.Dot(c.way) - s.caliper()/2
			return !s.stoodOn(j.B.Panel) || !exceeds(below, s.caliper()+underLid)
		}
		other := j.B.Panel
		if b {
			other = j.A.Panel
		}
		_, to := s.farthest([]*model.Panel{other}, c.way)
		return !exceeds(c.to, to+outLimit)
	})
}

// stoodOn reports whether a product stands on a panel.
func (s *closing) stoodOn(p *model.Panel) bool {
	return slices.ContainsFunc(s.Design.Contents, func(c *model.Contents) bool { return c.Panel == p })
}

// over is how far a board reaches beyond the outer surface of all else in its
// way, and what it passes last. Boards beside it that stick out likewise do not
// count.
func (s *closing) over(c *outward, all []outward) (over float64, past *model.Panel) {
	likewise := map[*model.Panel]bool{}
	for i := range all {
		if all[i].way.Dot(c.way) > 1-flapLean {
			for _, p := range all[i].members {
				likewise[p] = true
			}
		}
	}
	var rest []*model.Panel
	for _, p := range s.Piece.Panels {
		if s.Of(p).OK && !c.beyond(p) && !(likewise[p] && p != c.leaf && s.parallel(p, c.panel)) {
			rest = append(rest, p)
		}
	}
	// A panel square to the way ends at its surface, half a caliper beyond its mid-surface.
	to := math.Inf(-1)
	for _, p := range rest {
		_, d := s.farthest([]*model.Panel{p}, c.way)
		if s.Of(p).Normal.Cross(c.way).Len() < flapLean {
			d += s.caliper() / 2
		}
		if d > to+geom.SnapTolerance {
			past, to = p, d
		}
	}
	if past == nil {
		return 0, nil
	}
	if c.wall != nil && !exceeds(to, s.Of(c.wall).Frame.T.Dot(c.way)+s.caliper()/2) {
		past = c.wall
	}
	return c.to - to, past
}

// outFound tells how far a board reaches out, at the call that made its first panel, with the edge
// to take back.
func (s *closing) outFound(c *outward, over float64, past *model.Panel) Found {
	f := s.found(laterFirst(append(slices.Clone(c.members), past)), "panel %q sticks out of the closed piece by %s, past %q", c.far.Name, mm(over), past.Name)
	f.Site, f.Key = c.panel.Site, fmt.Sprint(c.far.Index)
	f = f.atPanel(c.far).relate(past.Site, "panel %q", past.Name)
	f.Panels = append([]*model.Panel{c.panel}, f.Panels...)
	f.Weight = over
	if c.far != c.panel {
		f = f.relate(c.far.Site, "panel %q", c.far.Name)
	}
	f.Cures = trims(s.state, s.Contacts().Index(c.far), c.way.Mul(-1), over, s.tipOf(c))
	return f.hint("overhang = True says that it is meant")
}
