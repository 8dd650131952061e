package blank

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

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

// wide reports whether the overlap is more than rounding: on average wider
// than a weld.
func (o *overlap) wide() bool { return o.area > geom.SnapTolerance*o.rim/2 }

// overlaps finds every pair of panels with board on the same spot, in order of
// the later panel. Where two panels overlap, the boundary of what they share
// is made of pieces with both on one side and not on the other: so looking
// along every piece misses nothing, and the pieces give the area exactly.
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
	found = slices.DeleteFunc(found, func(o *overlap) bool { return !o.wide() })
	slices.SortFunc(found, func(a, b *overlap) int {
		return cmp.Or(cmp.Compare(a.high, b.high), cmp.Compare(a.low, b.low))
	})
	return found
}

// overlapsAlong adds a piece to every overlap that it bounds on the given side.
func (l *layout) overlapsAlong(i, side int, of func(low, high int) *overlap) {
	here, s := l.sides[i][side], &l.sides[i]
	for k, a := range here {
		for _, b := range here[k+1:] {
			if s.has(1-side, a.index) && s.has(1-side, b.index) {
				continue
			}
			o, c := of(min(a.index, b.index), max(a.index, b.index)), l.Pieces[i].Curve
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
		out = append(out, l.furtherOverlaps(l.piece.Site, fmt.Sprintf("%d more pairs of panels overlap in the flat", more)))
	}
	return append(out, l.crowdFindings()...)
}

// crowdFindings tells of the panels that are not laid out, in one finding.
func (l *layout) crowdFindings() []*diag.Finding {
	var left []*model.Panel
	for i, c := range l.crowded {
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
	f := l.furtherOverlaps(left[0].Site, message)
	f.Panel = left[0].Name
	return []*diag.Finding{f}
}

func (l *layout) furtherOverlaps(site source.Site, message string) *diag.Finding {
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
