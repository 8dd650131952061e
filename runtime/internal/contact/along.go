package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Joins between an edge of a bent panel and the outline of another panel are
// measured along both: whatever shape the bent panel takes, its edge keeps its
// length, so that two joins lie equally far from one another on either side. With
// s the place of a join along the bent edge and t its place along the other
// outline, mm, s + t is the same for all of them where the outlines run against
// one another, as those of board that meets do, and s − t where they run alike. On
// an outline t counts modulo its length. A tooth shorter than the edge it goes to
// may lie anywhere on it: the difference of the lengths is its play.

// edgePair is what joins of one row have in common: the bent edge, and the outline of
// the other panel or of its window.
type edgePair struct {
	bent   *model.Panel
	window *model.Window
	edge   int
	other  *model.Panel
	around *model.Window
}

// placed is a join with its places along both sides of its row, mm.
// s is the middle of the part of the bent edge that the join takes, t that of its
// part of the other outline.
type placed struct {
	join *model.Join
	s, t float64
	play float64 // how far it may lie to either side of t
}

// missPlaces is, for every join of the piece round a bent panel whose place along
// the edges disagrees with that of the others between the same two, by how much.
// The place taken for right is that of the join that leaves the least to move.
// An entry says that the join is off by more than geom.SnapTolerance beyond its
// play; joins that agree have none. Nothing of the pose is used, so the result is
// the same in all of them. For n joins in a row it takes n²
// steps (agree). Rows are visited in the order of their first joins.
func missPlaces(p *model.Piece) map[*model.Join]Miss {
	var pairs []edgePair
	rows := map[edgePair][]placed{}
	for _, j := range p.Joins {
		own, to, ok := bentEnds(j)
		if !ok || !own.Panel.Bent && !to.Panel.Bent {
			continue // of a tab that is bent itself the edges are straight, and meet in space or not
		}
		bent, other := own, to
		if !bent.Panel.Bent || other.Panel.Bent && other.Panel.Index < bent.Panel.Index {
			bent, other = other, bent
		}
		// Joins between one bent edge and one outline are compared with each other; a panel that is
		// bent comes first in the key, of two the one made first.
		key := edgePair{bent.Panel, bent.Window, bent.Index, other.Panel, other.Window}
		if rows[key] == nil {
			pairs = append(pairs, key)
		}
		rows[key] = append(rows[key], placed{
			j, (bent.From + bent.To) / 2, alongOutline(other),
			math.Abs(own.Length()-to.Length())/2 + j.Gap,
		})
	}
	out := map[*model.Join]Miss{}
	for _, key := range pairs {
		outline := key.other.Outline
		if key.around != nil {
			outline = key.around.Outline
		}
		around := totalLength(outline.Edges)
		row := rows[key]
		// The two outlines may be run along in the same sense or in opposite ones; the sense in
		// which less has to move is taken.
		best := agree(row, around, 1)
		if alike := agree(row, around, -1); alike.total < best.total-geom.SnapTolerance {
			best = alike
		}
		for i, off := range best.off {
			if off == 0 {
				continue
			}
			j, from := row[i], row[best.anchor]
			own, to, _ := bentEnds(j.join)
			apart := math.Mod(math.Abs(j.t-from.t), around)
			out[j.join] = Miss{
				To: Places, Raw: off, Panel: own.Panel, Edge: to.Name,
				AtBlank: own.Panel.Flat.Apply(own.Stretch().At(0.5)), Ends: [2]model.EdgeRef{*own, *to},
				From: from.join, Apart: [2]float64{math.Abs(j.s - from.s), min(apart, around-apart)},
			}
		}
	}
	return out
}

// bentEnds are the edges of a join that comes together round a bent panel; a tab
// stands for the edge it hangs on. ok is false for other joins.
// own is the edge on A's side, to the one on B's; either may be of the bent panel.
func bentEnds(j *model.Join) (own, to *model.EdgeRef, ok bool) {
	own, to = j.A.Edge, j.B.Edge
	bent := j.A.Panel.Bent || j.B.Panel.Bent
	if h := j.A.Panel.Hang; j.Kind == model.TabJoin && h != nil {
		own, bent = &h.On, bent || h.Parent.Bent
	}
	return own, to, bent && own != nil && to != nil && (j.Kind == model.MeetJoin || j.Kind == model.TabJoin)
}

// agreement is how a row of joins goes together with one of them in its place.
type agreement struct {
	anchor int
	off    []float64 // of each join, mm beyond its play
	total  float64
}

// agree finds the join of a row that leaves the least to move when it is in its
// place; turn is 1 where the sides run against one another, −1 where they run
// alike. around is the length of the other outline.
// Places are compared modulo around, as the remainder nearest to 0, in mm. Among
// equals, within geom.SnapTolerance of the total, the first join of the row is
// taken for the one in its place.
func agree(row []placed, around, turn float64) agreement {
	best := agreement{total: math.Inf(1)}
	for a := range row {
		now := agreement{anchor: a, off: make([]float64, len(row))}
		for i := range row {
			d := math.Remainder(row[i].s-row[a].s+turn*(row[i].t-row[a].t), around)
			if off := math.Abs(d) - row[i].play - row[a].play; i != a && off > geom.SnapTolerance {
				now.off[i] = off
				now.total += off
			}
		}
		if now.total < best.total-geom.SnapTolerance {
			best = now
		}
	}
	return best
}

// alongOutline is how far the middle of an edge's part lies along the outline it
// belongs to, from left to right as seen from the board looking out, mm. A panel's
// outline runs the other way; a window's, which has its board on the right, this way.
// The origin is a corner of the outline and has no meaning: only differences of
// two places on one outline are used.
func alongOutline(e *model.EdgeRef) float64 {
	edges := e.Panel.Outline.Edges[e.Index+1:]
	if e.Window != nil {
		edges = e.Window.Outline.Edges[:e.Index]
	}
	return totalLength(edges) + (e.From+e.To)/2
}

// totalLength is the length of some edges, mm.
func totalLength(edges []geom.Edge) (sum float64) {
	for _, e := range edges {
		sum += e.Curve.Length()
	}
	return sum
}
