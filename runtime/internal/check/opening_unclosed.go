package check

import (
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// openingUnclosed notes the ways out of a closed piece that no panel bars: a
// sleeve and a tray are meant to be open, a carton is not. Windows count as
// closed.
var openingUnclosed = Rule{
	ID: "opening-unclosed", Severity: diag.Note, Title: "an opening that nothing closes",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			if around := s.viewFromInside(); around != nil {
				for _, gap := range around.gaps() {
					out = append(out, s.openingFound(gap))
				}
			}
			return out
		})
	},
}

// openingFound names an opening by the edges round it.
func (s *closing) openingFound(edges []model.EdgeRef) Found {
	var names []string
	var about []*model.Panel
	for _, e := range edges {
		names = append(names, e.String())
		if !slices.Contains(about, e.Panel) {
			about = append(about, e.Panel)
		}
	}
	f := s.found(about, "%q is open between %s, and nothing closes it", s.Piece.Name, listed(names))
	f.Site = s.Piece.Site
	at := edges[0].Panel.Flat.Apply(edges[0].Curve().At(0.5))
	f.At = &at
	return f.hint("a sleeve or a tray is meant to be open; anything else needs a flap or a lid here")
}

// listed joins names for a message, at most mostNamed of them.
func listed(names []string) string {
	if more := len(names) - mostNamed; more > 0 {
		return strings.Join(names[:mostNamed], ", ") + " and " + counted(more, "more edge")
	}
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// The ways to look are the cells of a globe, rows of the same latitude. No way
// points into a corner or along an edge of a box that stands upright.
const (
	rows, columns = 16, 32
	// leastShare of all that is seen makes an opening: less is a chink beside a
	// flap.
	leastShare = 0.02
	// mostOpen is how much may lie open in all: more, and the piece encloses
	// nothing. Two sides of a box are a third.
	mostOpen = 0.4
	// leastInside is the depth in mm under which a piece has no inside.
	leastInside = 4
)

// globe is what is seen from inside a piece, cell by cell: the panel and the
// spot, or the open.
type globe struct {
	*closing
	seen [rows * columns]struct {
		contact.Hit
		ok bool
	}
}

// viewFromInside looks round from inside the piece: from the middle of its contents,
// or of its own box. Ways are stretched as the box is, so that long and flat
// pieces count like a cube. It gives nil for a piece without an inside.
func (s *closing) viewFromInside() *globe {
	lo, hi := s.Box()
	if size := hi.Sub(lo); exceeds(leastInside, min(size.X, size.Y, size.Z)) || !finite(size) {
		return nil
	}
	from, size := lo.Lerp(hi, 0.5), hi.Sub(lo)
	if len(s.Fits) > 0 {
		fit := s.Fits[0]
		from = fit.Frame.Apply(geom.Point3{Z: -fit.Contents.Size[2] / 2})
	}
	g := &globe{closing: s}
	var all []int
	for i := range s.Solids {
		all = append(all, i)
	}
	// Open is the share of the globe from which nothing is seen, 0 to 1.
	open := 0.0
	for c := range g.seen {
		if s.ended() {
			return nil
		}
		d := wayOf(c)
		way := geom.Point3{X: d.X * size.X, Y: d.Y * size.Y, Z: d.Z * size.Z}.Unit()
		if g.seen[c].Hit, g.seen[c].ok = s.Look(from, way, all, 0); !g.seen[c].ok {
			open += weight(c)
		}
	}
	if exceeds(open, mostOpen) {
		return nil
	}
	return g
}

// finite reports whether a size is a number: a piece of which no panel has a place has none.
func finite(p geom.Point3) bool { return !math.IsInf(p.X, 0) && !math.IsNaN(p.X) }

// wayOf is the direction of a cell.
func wayOf(cell int) geom.Point3 {
	up, out := geom.Degrees((float64(cell/columns)+0.5)/rows*180 - 90).Angle().SinCos()
	sin, cos := geom.Degrees((float64(cell%columns) + 0.5) / columns * 360).Angle().SinCos()
	return geom.Point3{X: out * cos, Y: out * sin, Z: up}
}

// weight is a cell's share of the globe.
func weight(cell int) float64 {
	row := cell / columns
	// The area of a zone of the unit sphere is 2π times its height (Archimedes), so a cell's share
	// of 4π is half the height over the cells of its row.
	south, _ := geom.Degrees(float64(row)/rows*180 - 90).Angle().SinCos()
	north, _ := geom.Degrees(float64(row+1)/rows*180 - 90).Angle().SinCos()
	return (north - south) / 2 / columns
}

// nextTo lists the cells next to a cell; all cells of a pole's row are next to
// one another.
func nextTo(cell int) []int {
	row, column := cell/columns, cell%columns
	var out []int
	if row == 0 || row == rows-1 {
		for c := range columns {
			out = append(out, row*columns+c)
		}
	}
	out = append(out, row*columns+(column+1)%columns, row*columns+(column+columns-1)%columns)
	if row > 0 {
		out = append(out, cell-columns)
	}
	if row < rows-1 {
		out = append(out, cell+columns)
	}
	return out
}

// gaps lists the openings, each as the edges of the panels round it.
func (g *globe) gaps() [][]model.EdgeRef {
	var out [][]model.EdgeRef
	var done [rows * columns]bool
	for c := range g.seen {
		if g.seen[c].ok || done[c] {
			continue
		}
		done[c] = true
		// A flood fill over cells that see nothing; the cells at its shore see the panels round the
		// opening.
		share, rim := 0.0, []int{}
		for queue := []int{c}; len(queue) > 0; queue = queue[1:] {
			share += weight(queue[0])
			for _, n := range nextTo(queue[0]) {
				if g.seen[n].ok {
					rim = append(rim, n)
				} else if !done[n] {
					done[n] = true
					queue = append(queue, n)
				}
			}
		}
		if edges := g.edgesAt(rim); share >= leastShare && len(edges) > 0 {
			out = append(out, edges)
		}
	}
	return out
}

// edgesAt names the free edges nearest to where the cells of a rim were stopped.
func (g *globe) edgesAt(rim []int) []model.EdgeRef {
	// Cells are gone through in order of number and edges sorted by panel and place, so that the
	// same opening reads the same.
	taken, joined := g.takenEdges(), g.joined()
	var out []model.EdgeRef
	slices.Sort(rim)
	for _, c := range slices.Compact(rim) {
		h := g.seen[c].Hit
		p := g.Piece.Panels[h.Panel]
		// What is glued or tucked bounds the opening, but is not what would close it.
		if joined[p] {
			continue
		}
		at := g.Solids[h.Panel].Back.Apply(h.At).Plane()
		// The free edge nearest to the spot that was seen, in the panel's frame.
		best, dist := -1, math.Inf(1)
		for i, e := range p.Outline.Edges {
			if _, d := e.Nearest(at); d < dist && !taken[edgeAt{p, i}] {
				best, dist = i, d
			}
		}
		if best < 0 {
			continue
		}
		e := p.Outline.Edges[best]
		if ref := (model.EdgeRef{Panel: p, Name: e.Name, Index: best, To: e.Length()}); !slices.Contains(out, ref) {
			out = append(out, ref)
		}
	}
	slices.SortFunc(out, func(a, b model.EdgeRef) int {
		if d := a.Panel.Index - b.Panel.Index; d != 0 {
			return d
		}
		return a.Index - b.Index
	})
	return out
}
