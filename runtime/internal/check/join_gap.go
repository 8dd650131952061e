package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// gapLimit is the contract's: a join fails beyond half a millimetre, whatever
// the board.
const gapLimit = 0.5

// joinGap tells of joins that stand open.
var joinGap = Rule{
	ID: "join-gap", Severity: diag.Error, Title: "a join stands open",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide"},
	find: func(f *facts) []Found {
		return f.each(func(p state) []Found {
			var out []Found
			for _, g := range p.Gaps {
				// Size is what is missing beyond the gap asked for, in mm.
				if exceeds(g.Size, gapLimit) {
					out = append(out, gapFound(p, g))
				}
			}
			return out
		})
	},
}

// gapFound tells of one join by how far it misses. The hint is the first of these that applies:
// the edge that was meant, sizes that close it alone, what a glued pose asks, the other side of a
// free fold. All joins whose panels lie on one walk through the tree are told as one.
func gapFound(p state, g contact.Gap) Found {
	j := g.Join
	walk := walkBetween(j.A.Panel, j.B.Panel)
	f := foundf(j.Site, []*model.Panel{j.A.Panel, j.B.Panel}, "%s %s in pose %q: %s", whatJoins(j), distanceOf(g), p.name(), directionOf(g)).
		in(p.Pose, fmt.Sprint(slices.Index(p.Piece.Joins, j)))
	for _, end := range f.Panels {
		if end.Site.First() != j.Site.First() {
			f = f.relate(end.Site, "panel %q", end.Name)
		}
	}
	f.At = &g.AtBlank
	f.Ties, f.Weight = walk, jointWeight[j.Kind]+g.Size
	f.Blames = hanging(p.Piece, blamed(p, j, walk))
	if g.By != nil {
		f.Blames = append(f.Blames, g.By)
	}
	if meant, ok := meantEdge(p, j); ok {
		return f.hint("to = %s would meet it", meant)
	}
	// A size that closes this join must not open another, nor shift what hangs across it.
	for _, r := range g.Resizes {
		if c := cureOf(r); !upsets(p, j, r.Panel) && !c.shifts() {
			f.Cures = append(f.Cures, c)
		}
	}
	if pose := p.Pose; g.To == contact.Moved {
		return f.relate(pose.Site, "pose %q", pose.Name).
			hint("fold it so that the glue stays where it is, or say glued = False in the pose if nothing is glued there yet")
	}
	if free := freeAlong(walk); len(free) > 0 && len(g.Resizes) == 0 {
		return f.hint("no folds of %s on the sides asked for bring them together: ask one to fold to the other side, or change a size",
			quotedHinges(free))
	}
	return f
}

// upsets reports whether a panel of another size would open a join that holds:
// one that it stands between the two ends of.
func upsets(p state, j *model.Join, resized *model.Panel) bool {
	for _, g := range p.Gaps {
		o := g.Join
		if o == j || exceeds(g.Size, gapLimit) || g.To == contact.Moved {
			continue
		}
		if walk := walkBetween(o.A.Panel, o.B.Panel); len(walk) > 2 && slices.Contains(walk[1:len(walk)-1], resized) {
			return true
		}
	}
	return false
}

// jointWeight puts what makes the body of a piece before what closes it: a tube
// that does not meet at its seam leaves its lids no chance.
var jointWeight = map[model.JoinKind]float64{
	model.TabJoin: 3 * geom.MaxSize, model.GlueJoin: 3 * geom.MaxSize, model.MeetJoin: 2 * geom.MaxSize, model.TuckJoin: geom.MaxSize,
}

// whatJoins names a join.
func whatJoins(j *model.Join) string {
	a, b := endName(j.A), endName(j.B)
	switch j.Kind {
	case model.TabJoin:
		return fmt.Sprintf("tab %q to %s", j.A.Panel.Name, b)
	case model.TuckJoin:
		return fmt.Sprintf("tuck %q into %s", j.A.Panel.Name, b)
	case model.MeetJoin:
		return fmt.Sprintf("edge %s to meet %s", a, b)
	}
	return fmt.Sprintf("panel %q glued to %s", j.A.Panel.Name, b)
}

// endName names one end of a join: an edge, an opening, a slit or a panel.
func endName(e model.JoinEnd) string {
	switch {
	case e.Edge != nil:
		return e.Edge.String()
	case e.Window != nil:
		return fmt.Sprintf("the opening in %q", e.Panel.Name)
	case e.Slit != nil:
		return fmt.Sprintf("the slit in %q", e.Panel.Name)
	}
	return fmt.Sprintf("%q", e.Panel.Name)
}

// distanceOf says how far a join misses.
func distanceOf(g contact.Gap) string {
	if g.To == contact.Moved {
		return fmt.Sprintf("moves by %s", mmBeyond(g.Size, gapLimit))
	}
	if g.Join.Gap > 0 {
		return fmt.Sprintf("misses by %s beyond the %s mm asked for", mmBeyond(g.Size, gapLimit), geom.Num(g.Join.Gap))
	}
	return fmt.Sprintf("misses by %s", mmBeyond(g.Size, gapLimit))
}

// leastPart is the part of a gap, in mm, that is worth a word.
const leastPart = 0.05

// directionOf says in which direction a join misses, seen from its target.
func directionOf(g contact.Gap) string {
	switch g.To {
	case contact.Moved:
		return "glued board cannot slide, so the folds of this pose do not go together"
	case contact.Held:
		if g.Off != 0 {
			return fmt.Sprintf("it comes to lie %s off the %s of %q", mm(math.Abs(g.Off)), sideOf(g.Join), g.Join.B.Panel.Name)
		}
		return fmt.Sprintf("it lies along the %s of %q for %s, and %s are asked for", sideOf(g.Join), g.Join.B.Panel.Name, mm(g.Beyond), mm(g.Join.Reach))
	case contact.Stopped:
		if g.By != g.Join.B.Panel {
			return fmt.Sprintf("%s of its width meet board on the way through %q, most of it of %q, which lies before it", mm(g.Beyond), g.Join.B.Panel.Name, g.By.Name)
		}
		return fmt.Sprintf("%s of its width meet board of %q, and no notch there lets it through", mm(g.Beyond), g.Join.B.Panel.Name)
	case contact.Lengths:
		return fmt.Sprintf("bent board keeps its lengths, and these edges are %s and %s long",
			mm(g.Ends[0].Length()), mm(g.Ends[1].Length()))
	case contact.Places:
		bent, other := g.Ends[0].Panel, g.Ends[1].Panel
		if !bent.Bent || other.Bent && other.Index < bent.Index {
			bent, other = other, bent
		}
		return fmt.Sprintf("bent board keeps its lengths, and from %s it is %s along %q and %s along %q",
			whatJoins(g.From), mm(g.Apart[0]), bent.Name, mm(g.Apart[1]), other.Name)
	}
	target := g.Join.B.Panel
	// Seen from the target, unless the worst place is the target's own.
	if g.Panel == target {
		target = g.Join.A.Panel
	}
	var parts []string
	part := func(v float64, positive, negative string) {
		switch {
		case !exceeds(leastPart, v):
			parts = append(parts, mm(v)+" "+positive)
		case !exceeds(v, -leastPart):
			parts = append(parts, mm(-v)+" "+negative)
		}
	}
	part(g.Off, "outside its surface", "inside its surface")
	edge, short := fmt.Sprintf("its edge %q", g.Edge), "short of "
	if g.To == contact.ToOpening {
		edge, short = fmt.Sprintf("the %s's edge %q", holeName(g.Join.B), g.Edge), "past "
	}
	part(g.Beyond, "beyond "+edge, short+edge)
	part(math.Abs(g.Along), "along "+edge, "")
	return fmt.Sprintf("seen from %q, %q comes to lie %s", target.Name, g.Panel.Name, strings.Join(parts, " and "))
}

// sideOf names the side of its target that a join asks for.
func sideOf(j *model.Join) string {
	if j.Outside {
		return "outside"
	}
	return "inside"
}

// walkBetween lists the panels from a over the tree to b, both included.
func walkBetween(a, b *model.Panel) []*model.Panel {
	var up []*model.Panel
	// Up from a to the root, then from b until the two ways meet: a tree has one walk between two
	// panels.
	for p := a; ; p = p.Hang.Parent {
		up = append(up, p)
		if p.Hang == nil {
			break
		}
	}
	var down []*model.Panel
	for p := b; ; p = p.Hang.Parent {
		if i := slices.Index(up, p); i >= 0 {
			slices.Reverse(down)
			return append(up[:i+1], down...)
		}
		down = append(down, p)
	}
}

// freeAlong lists the free hinges between the panels of a walk. A tab's own only
// lays it down.
func freeAlong(walk []*model.Panel) []*model.Hinge {
	var out []*model.Hinge
	for _, p := range walk {
		if p.Hang != nil && p.Hang.Fold.Free != nil && p.Role != model.TabRole && slices.Contains(walk, p.Hang.Parent) {
			out = append(out, p.Hang)
		}
	}
	return out
}

// blamed lists the panels that stand wrong when a join does not hold: a tuck
// itself; both panels of edges that should meet, and what carries them as far as no
// other join holds it; all that glue should hold in shape.
func blamed(p state, j *model.Join, walk []*model.Panel) []*model.Panel {
	switch j.Kind {
	case model.TuckJoin:
		return []*model.Panel{j.A.Panel}
	case model.MeetJoin:
		return append([]*model.Panel{j.A.Panel, j.B.Panel}, unheld(p, walk)...)
	}
	return walk
}

// unheld lists the panels within a walk that no join which holds keeps in place,
// but for the one nearest the root, from which both ends hang.
func unheld(p state, walk []*model.Panel) []*model.Panel {
	kept := map[*model.Panel]bool{}
	for _, g := range p.Gaps {
		if !exceeds(g.Size, gapLimit) {
			for _, q := range walkBetween(g.Join.A.Panel, g.Join.B.Panel) {
				kept[q] = true
			}
		}
	}
	var out []*model.Panel
	for k := 1; k+1 < len(walk); k++ {
		q := walk[k]
		// The one nearest the root hangs on neither neighbour of the walk.
		top := q.Hang == nil || q.Hang.Parent != walk[k-1] && q.Hang.Parent != walk[k+1]
		if !top && !kept[q] {
			out = append(out, q)
		}
	}
	return out
}

// hanging adds to some panels of a piece all that hang on the first of them.
func hanging(piece *model.Piece, panels []*model.Panel) []*model.Panel {
	out := slices.Clone(panels)
	moved := []*model.Panel{panels[0]}
	for _, p := range piece.Panels {
		if p.Hang != nil && slices.Contains(moved, p.Hang.Parent) {
			moved = append(moved, p)
		}
	}
	return append(out, moved[1:]...)
}

// meantEdge is the edge along which a tab's hinge comes to lie, when that is not
// the one it was to meet: the one that was meant, most likely.
func meantEdge(p state, j *model.Join) (meant model.EdgeRef, ok bool) {
	tab := j.A.Panel
	if j.Kind != model.TabJoin || j.B.Edge == nil {
		return meant, false
	}
	place := p.Placements
	// A tab is laid down by its own fold, so where its hinge lies tells which edge it stands at.
	at := place[slices.Index(p.Piece.Panels, tab.Hang.Parent)]
	if !at.OK {
		return meant, false
	}
	a, b := at.Apply(tab.Hang.Curve.P.Space()), at.Apply(tab.Hang.Curve.Q.Space())
	nearest := gapLimit
	for k, q := range p.Piece.Panels {
		if q == tab || q == tab.Hang.Parent || q.Role == model.TabRole || !place[k].OK {
			continue
		}
		for i, e := range q.Outline.Edges {
			// The edge asked for, edges of windows and those that carry a hinge are no candidates.
			target := j.B.Edge.Window == nil && q == j.B.Panel && i == j.B.Edge.Index
			if e.Kind != geom.Line || target || q.Hang != nil && q.Hang.By.Window == nil && q.Hang.By.Index == i {
				continue
			}
			from, to := place[k].Apply(e.P.Space()), place[k].Apply(e.Q.Space())
			edge := contact.Segment{P: from, Q: to}
			if far := max(edge.Distance(a), edge.Distance(b)); far <= nearest {
				nearest, ok = far, true
				meant = model.EdgeRef{Panel: q, Name: e.Name, Index: i, To: e.Length()}
			}
		}
	}
	return meant, ok
}
