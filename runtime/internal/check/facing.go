package check

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// facings finds the lines of a piece that run closer together than some limit
// allows.
func facings(ctx context.Context, d *model.Design, lines *linework.Lines) []linework.Facing {
	stock := lines.Blank.Piece.Board
	limit := func(l board.Limit) float64 {
		v, _, _ := d.Limit(l, stock)
		return v
	}
	cuts := math.Max(limit(board.Web), limit(board.Detail))
	edge := limit(board.EdgeGap)
	crease := math.Max(limit(board.CreaseGap), edge) // a ledge spares its cut edges too
	reach := func(a, b *linework.Line) float64 {
		switch {
		case a.IsCut() && b.IsCut():
			return cuts
		case a.IsCut() || b.IsCut():
			return edge
		}
		return crease
	}
	var out []linework.Facing
	_ = lines.Facings(ctx, max(cuts, crease), reach, func(f linework.Facing) { out = append(out, f) }) // the end of the context is seen by all rules
	return out
}

// closest picks of the facings that a rule is about, one for each key, the
// closest; in order of the blank's lines.
func closest[K comparable](all []linework.Facing, key func(*linework.Facing) (K, bool)) []*linework.Facing {
	at := map[K]int{}
	var out []*linework.Facing
	for i := range all {
		k, about := key(&all[i])
		if !about {
			continue
		}
		n, told := at[k]
		switch {
		case !told:
			at[k] = len(out)
			out = append(out, &all[i])
		case nearer(&all[i], out[n]):
			out[n] = &all[i]
		}
	}
	return out
}

// nearer reports whether lines face closer than others; of equals, sides go
// before corners.
func nearer(a, b *linework.Facing) bool {
	if math.Abs(a.Gap-b.Gap) > geom.SnapTolerance {
		return a.Gap < b.Gap
	}
	return a.Slant < b.Slant-geom.SnapTolerance
}

// isScore reports whether a line is pressed into a creasing channel.
func isScore(l *linework.Line) bool {
	return l.Kind == blank.ScoreLine || l.Kind == blank.BackScoreLine
}

// creaseName names a crease for a message.
func creaseName(l *linework.Line) string {
	if l.Hinge != nil {
		return fmt.Sprintf("crease %q", l.Hinge.Name)
	}
	return fmt.Sprintf("the score on %q", l.Score.Panel.Name)
}

// creasePanels are the panels a crease joins or runs on.
func creasePanels(l *linework.Line) []*model.Panel {
	if l.Hinge != nil {
		return []*model.Panel{l.Hinge.Child, l.Hinge.Parent}
	}
	return []*model.Panel{l.Score.Panel}
}

// edgeOn is the edge of a panel that a crease runs along, "" for none.
func edgeOn(l *linework.Line, p *model.Panel) string {
	switch {
	case l.Hinge == nil:
	case l.Hinge.Child == p && l.Hinge.By.Window == nil:
		return l.Hinge.By.Name
	case l.Hinge.Parent == p && l.Hinge.On.Window == nil:
		return l.Hinge.On.Name
	}
	return ""
}

// later orders panels by making, the last first: what is wrong between two
// panels is told at the one made later.
func laterFirst(panels []*model.Panel) []*model.Panel {
	out := slices.Clone(panels)
	slices.SortStableFunc(out, func(a, b *model.Panel) int { return cmp.Compare(b.Index, a.Index) })
	return slices.Compact(out)
}

// maker is the hinge or the score that a crease comes from.
func maker(l *linework.Line) any {
	if l.Hinge != nil {
		return l.Hinge
	}
	return l.Score
}

// creaseSite is where a crease was asked for.
func creaseSite(l *linework.Line) source.Site {
	if l.Hinge != nil {
		return siteOf(l.Hinge)
	}
	return l.Score.Site
}

// mostTold is how many findings of one rule are told of one piece. More are of
// one making, and nobody reads on.
const mostTold = 100

// eachSound visits every piece whose blank can be made: where it cannot, that
// is told already, and its lines mean little.
func (f *facts) eachSound(visit func(i int, piece *model.Piece) []Found) []Found {
	var out []Found
	for i, piece := range f.Design.Pieces {
		if f.ended() {
			return nil
		}
		// An error that an earlier stage found in the piece.
		broken := slices.ContainsFunc(f.Early, func(e *diag.Finding) bool { return e.Piece == piece.Name && e.Severity == diag.Error })
		if broken {
			continue
		}
		found := visit(i, piece)
		if more := len(found) - mostTold; more > 0 {
			found = found[:mostTold]
			found[mostTold-1].Message += fmt.Sprintf("; with it %d more of this kind", more)
		}
		out = append(out, found...)
	}
	return out
}
