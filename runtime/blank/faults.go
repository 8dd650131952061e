package blank

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// findings lists what keeps the blank from being made.
func (l *layout) findings(b *Blank) []*diag.Finding {
	out := l.panelsWithoutBoard()
	out = append(out, l.hingesWithoutBoard(b.Hinges)...)
	out = append(out, l.windowsOffBoard()...)
	out = append(out, l.worksOffBoard()...)
	for _, err := range l.unclosed {
		out = append(out, l.fault(l.piece.Site, l.piece.Root, "%v", err).
			WithHint("lines run so close together here that they can be told apart no more; move them apart or onto each other"))
	}
	return append(out, l.overlapFindings()...)
}

// fault is a script error about a panel of this piece.
func (l *layout) fault(site source.Site, p *model.Panel, format string, args ...any) *diag.Finding {
	f := diag.Scriptf(site, format, args...)
	f.Piece, f.Panel = l.piece.Name, p.Name
	return f
}

// panelsWithoutBoard are the panels that windows leave without board. Those that one
// window takes whole are told together, at that window.
func (l *layout) panelsWithoutBoard() []*diag.Finding {
	left := l.hasBoard()
	var out []*diag.Finding
	taken := make([][]*model.Panel, len(l.windows))
	for i, p := range l.panels {
		if left[i] || l.omitted[i] {
			continue
		}
		if w := l.coveringWindow(l.outlines[i]); w >= 0 {
			taken[w] = append(taken[w], p)
			continue
		}
		f := l.fault(p.Site, p, "panel %q has no board left: windows take all %s mm² of it", p.Name, geom.Num(p.Outline.Area()))
		at := l.outlines[i].Bounds().Mid()
		f.At = &at
		out = append(out, f)
	}
	for i, w := range l.windows {
		if panels := taken[i]; panels != nil {
			out = append(out, l.coveredFinding(w, panels))
		}
	}
	return out
}

// coveringWindow is the index of the window made last that contains the whole of an
// outline, both in the blank frame; −1 for none.
func (l *layout) coveringWindow(outline geom.Path) int {
	for i, w := range slices.Backward(l.windows) {
		if containsOutline(w.Outline.Transform(w.Panel.Flat), outline) {
			return i
		}
	}
	return -1
}

// containsOutline reports whether an outline lies within another, edges along it
// included, at sample points: the corners of its flattened curves and the points
// half-way. By tolerance: inside is exact for the flattened outline (polygon.Holds),
// and points up to fine outside the true one count as inside. Only the wording of a
// finding depends on it, namely whether one window is named for a panel without
// board.
func containsOutline(around, outline geom.Path) bool {
	const fine = 0.01 // mm by which lines may stray from a curve
	loop, ring := outline.Flatten(fine), around.Flatten(fine)
	inside := func(q geom.Point) bool {
		return polygon.Holds([][]geom.Point{ring}, q) || slices.ContainsFunc(around.Edges, func(e geom.Edge) bool {
			_, d := e.Nearest(q)
			return d <= fine
		})
	}
	for k, p := range loop {
		if !inside(p) || !inside(p.Lerp(loop[(k+1)%len(loop)], 0.5)) {
			return false
		}
	}
	return true
}

// mostNamed is how many panels a message names.
const mostNamed = 5

// coveredFinding is the fault of a window that takes whole panels.
func (l *layout) coveredFinding(w *model.Window, panels []*model.Panel) *diag.Finding {
	var names []string
	for _, p := range panels[:min(len(panels), mostNamed)] {
		names = append(names, fmt.Sprintf("%q", p.Name))
	}
	said, word := strings.Join(names, ", "), "panels"
	if len(panels) == 1 {
		word = "panel"
	}
	if more := len(panels) - mostNamed; more > 0 {
		said += fmt.Sprintf(" and %d more", more)
	}
	f := l.fault(w.Site, w.Panel, "window in panel %q takes all board of %s %s", w.Panel.Name, word, said)
	for _, p := range panels[:min(len(panels), mostNamed)] {
		if at := p.Site.First(); at.Known() {
			f.Related = append(f.Related, diag.Related{Span: at, Message: fmt.Sprintf("panel %q", p.Name)})
		}
	}
	at := w.Panel.Flat.Apply(w.Outline.Bounds().Mid())
	f.At = &at
	return f
}

// hasBoard tells, by panel, whether windows leave it any board.
func (l *layout) hasBoard() []bool {
	left := make([]bool, len(l.panels))
	for i := range l.sides {
		for _, labels := range l.sides[i] {
			for _, c := range labels {
				left[c.index] = true
			}
		}
	}
	return left
}

// hingesWithoutBoard are the hinges of which windows and slits leave nothing, though
// both their panels still stand.
func (l *layout) hingesWithoutBoard(lines []HingeLine) []*diag.Finding {
	left := l.hasBoard()
	var out []*diag.Finding
	for i, line := range lines {
		h := line.Hinge
		if len(line.Curves) > 0 || !left[l.hingeEnds[i][0]] || !left[l.hingeEnds[i][1]] {
			continue
		}
		f := l.fault(h.Site, h.Child, "hinge %q is left nowhere: windows and slits take all %s mm of it along %s",
			h.Name, geom.Num(h.Curve.Length()), h.On)
		at := h.Parent.Flat.Apply(h.Curve.At(0.5))
		f.At = &at
		out = append(out, f)
	}
	return out
}

// windowsOffBoard are the windows with no board under them.
func (l *layout) windowsOffBoard() []*diag.Finding {
	var out []*diag.Finding
	for i, w := range l.windows {
		if !l.onBoard[i] {
			out = append(out, l.offBoardFinding(w.Site, w.Panel, "window", w.Outline))
		}
	}
	return out
}

// worksOffBoard are the slits, scores, perforations and drawn lines that touch no
// board.
func (l *layout) worksOffBoard() []*diag.Finding {
	onBoard := make([]bool, len(l.works))
	for i, p := range l.Edges {
		if s := &l.sides[i]; s.empty(leftSide) && s.empty(rightSide) {
			continue
		}
		for _, u := range p.Origins {
			if o := l.owners[u.Curve]; o.role == workPath {
				onBoard[o.index] = true
			}
		}
	}
	var out []*diag.Finding
	for i, w := range l.works {
		if !onBoard[i] {
			out = append(out, l.offBoardFinding(w.Site, w.Panel, workWord(w), w.Path))
		}
	}
	return out
}

// offBoardFinding is the fault of a path in a panel's frame that lies off the board.
func (l *layout) offBoardFinding(site source.Site, p *model.Panel, word string, path geom.Path) *diag.Finding {
	b := path.Bounds()
	f := l.fault(site, p, "%s in panel %q lies wholly outside the board: it spans x %s to %s, y %s to %s", word, p.Name,
		geom.Num(b.Min.X), geom.Num(b.Max.X), geom.Num(b.Min.Y), geom.Num(b.Max.Y))
	at := p.Flat.Apply(b.Mid())
	f.At = &at
	board := p.Outline.Bounds()
	return f.WithHint("the panel's own outline spans x %s to %s, y %s to %s",
		geom.Num(board.Min.X), geom.Num(board.Max.X), geom.Num(board.Min.Y), geom.Num(board.Max.Y))
}

// workWord is what messages call a work.
func workWord(w *model.Work) string {
	return [...]string{"slit", "score", "perforation", "drawn line"}[w.Kind]
}

// RuleOverlap is the rule id of two panels that lie on one another in the flat.
const RuleOverlap = "panels-overlap"

// maxOverlaps is how many overlapping pairs are told one by one.
const maxOverlaps = 10

// overlap is where two panels lie on one another.
type overlap struct {
	low, high int     // the panels' numbers
	area      float64 // mm²
	rim       float64 // length of its boundary
	box       geom.Box
}

// significant reports whether the overlap is more than rounding and snapping leave:
// wider than geom.SnapTolerance on average, its mean width being twice its area over
// the length of its boundary. Snapping moves each of two coincident edges by up to
// the tolerance, mostly to a common line, and then there is no overlap at all.
func (o *overlap) significant() bool { return o.area > geom.SnapTolerance*o.rim/2 }

// overlaps finds every pair of panels whose regions intersect, in order of the later
// panel. The boundary of the intersection consists of edges of the arrangement with
// both labels on one side and not on the other, so looking along every edge misses
// none, and the boundary integral over these edges is the area of the intersection.
func (l *layout) overlaps() []*overlap {
	var found []*overlap
	number := map[[2]int]*overlap{}
	for i := range l.sides {
		for side := range l.sides[i] {
			l.overlapsAlong(i, side, func(low, high int) *overlap {
				o := number[[2]int{low, high}]
				if o == nil {
					o = &overlap{low: low, high: high, box: geom.EmptyBox()}
					number[[2]int{low, high}] = o
					found = append(found, o)
				}
				return o
			})
		}
	}
	found = slices.DeleteFunc(found, func(o *overlap) bool { return !o.significant() })
	slices.SortFunc(found, func(a, b *overlap) int {
		return cmp.Or(cmp.Compare(a.high, b.high), cmp.Compare(a.low, b.low))
	})
	return found
}

// overlapsAlong adds edge i to every overlap that it bounds on the given side.
func (l *layout) overlapsAlong(i, side int, of func(low, high int) *overlap) {
	here, s := l.sides[i][side], &l.sides[i]
	for k, a := range here {
		for _, b := range here[k+1:] {
			if s.has(1-side, a.index) && s.has(1-side, b.index) {
				continue
			}
			o, c := of(min(a.index, b.index), max(a.index, b.index)), l.Edges[i].Curve
			o.area += c.Area() * float64(1-2*side)
			o.rim += c.Length()
			o.box = o.box.Union(c.Bounds())
		}
	}
}

// overlapFindings tells the first overlaps one by one and the others by number.
func (l *layout) overlapFindings() []*diag.Finding {
	var out []*diag.Finding
	all := l.overlaps()
	for _, o := range all[:min(len(all), maxOverlaps)] {
		out = append(out, l.overlapFinding(o))
	}
	if more := len(all) - maxOverlaps; more > 0 {
		out = append(out, l.overlapSummary(l.piece.Site, fmt.Sprintf("%d more pairs of panels overlap in the flat", more)))
	}
	return append(out, l.omittedFindings()...)
}

// omittedFindings tells of the panels that are not laid out, in one finding.
func (l *layout) omittedFindings() []*diag.Finding {
	var left []*model.Panel
	for i, c := range l.omitted {
		if c {
			left = append(left, l.panels[i])
		}
	}
	if len(left) == 0 {
		return nil
	}
	message := fmt.Sprintf("panel %q lies on more than %d others in the flat; it is left out of the picture", left[0].Name, maxStack)
	if len(left) > 1 {
		message = fmt.Sprintf("panel %q and %d more lie on more than %d others each in the flat; they are left out of the picture",
			left[0].Name, len(left)-1, maxStack)
	}
	f := l.overlapSummary(left[0].Site, message)
	f.Panel = left[0].Name
	return []*diag.Finding{f}
}

func (l *layout) overlapSummary(site source.Site, message string) *diag.Finding {
	return &diag.Finding{Rule: RuleOverlap, Severity: diag.Error, Piece: l.piece.Name, Site: site, Message: message}
}

func (l *layout) overlapFinding(o *overlap) *diag.Finding {
	earlier, later := l.panels[o.low], l.panels[o.high]
	if earlier.Index > later.Index {
		earlier, later = later, earlier
	}
	at := o.box.Mid()
	f := &diag.Finding{
		Rule: RuleOverlap, Severity: diag.Error, Site: later.Site,
		Message: fmt.Sprintf("panels %q and %q overlap in the flat by %s mm²", earlier.Name, later.Name,
			geom.Num(math.Abs(o.area))),
		Piece: l.piece.Name, Panel: later.Name, At: &at,
		Related: []diag.Related{{Span: earlier.Site.First(), Message: fmt.Sprintf("panel %q", earlier.Name)}},
	}
	return f.WithHint("make one of them smaller, or hang it on another edge")
}
