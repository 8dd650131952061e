package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/nest"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/unit"
	"github.com/creasewright/creasewright/runtime/model"
)

// Grain is the direction of the grain in a sheet of board.
type Grain string

// The directions. LongGrain is along the sheet's longer side, as most sheets are sold
// (common practice, no source).
const (
	LongGrain Grain = ""
	GrainX    Grain = "x"
	GrainY    Grain = "y"
	AnyGrain  Grain = "any" // not looked at
)

// LayoutRequest asks for pieces laid on a sheet: as many sets as fit, a set being each
// piece as often as it has copies.
type LayoutRequest struct {
	Width, Height float64  // of the sheet, mm; 0 with a Machine
	Machine       string   // whose bed is the sheet, with its margin at least; "" for none
	Margin        float64  // mm all round that stays free
	Gap           float64  // mm between pieces; with 0 they may share cuts
	Grain         Grain    // of the sheet
	Pieces        []string // by name; nil for all
	Most          int      // sets at most, 0 for as many as fit
	Looks         int      // how many places are looked at to fit in more sets than lattices hold, 0 for usualLooks
}

// fault is what is wrong with the request whatever the design is, nil when nothing is.
func (q *LayoutRequest) fault() *diag.Finding {
	for _, v := range [...]struct {
		name string
		size float64
	}{{"the margin", q.Margin}, {"the gap", q.Gap}} {
		if !(v.size >= 0 && v.size <= geom.MaxSize) {
			return diag.Scriptf(nil, "%s is %s mm, which is no distance", v.name, geom.Num(v.size))
		}
	}
	if !slices.Contains([]Grain{LongGrain, GrainX, GrainY, AnyGrain}, q.Grain) {
		return diag.Scriptf(nil, `the grain of a sheet is "x", "y" or "any", not %q`, q.Grain)
	}
	if q.Most < 0 {
		return diag.Scriptf(nil, "%d sets cannot be laid", q.Most)
	}
	if q.Looks < 0 {
		return diag.Scriptf(nil, "%d places cannot be looked at", q.Looks)
	}
	if q.Machine == "" {
		return sheetFault(q.Width, q.Height, q.Margin)
	}
	return nil
}

// maxSheet is the longest side of a sheet, mm.
const maxSheet = 10_000

func sheetFault(width, height, margin float64) *diag.Finding {
	if !(min(width, height) >= geom.MinSize && max(width, height) <= maxSheet) {
		return diag.Scriptf(nil, "a sheet of %s × %s mm cannot be laid: sides lie between %s and %d mm", geom.Num(width), geom.Num(height), geom.Num(geom.MinSize), maxSheet)
	}
	if min(width, height) <= 2*margin {
		return diag.Scriptf(nil, "the margin of %s mm leaves no room on a sheet of %s × %s mm", geom.Num(margin), geom.Num(width), geom.Num(height))
	}
	return nil
}

// usualLooks takes some seconds of processor time.
const usualLooks = 6_000_000

// effort is what a layout may cost.
func (q *LayoutRequest) effort() nest.Effort {
	e := nest.Effort{Lattice: 1e6, Fills: 6, Looks: q.Looks}
	if e.Looks == 0 {
		e.Looks = usualLooks
	}
	return e
}

// layOut lays the pieces on the sheet that was asked for.
func (r *run) layOut(ctx context.Context) (*emit.Layout, *diag.Finding, error) {
	l, fault := r.sheetOf(r.req.Layout)
	if fault != nil {
		return nil, fault, nil
	}
	parts, bases, fault := r.parts(l)
	if fault != nil {
		return nil, fault, nil
	}
	room := 2*l.Margin - l.Gap // shapes are grown by half the gap all round
	width, height := l.Width-room, l.Height-room
	laid, sets, err := laidOn(ctx, parts, width, height, r.req.Layout)
	if err == nil {
		laid, sets, l.Boxes, err = orBoxed(ctx, parts, laid, sets, r.req.Layout)
	}
	switch {
	case errors.Is(err, nest.ErrNoFit):
		return nil, r.tooLarge(l), nil
	case errors.Is(err, nest.ErrTooMany):
		return nil, diag.Scriptf(l.Pieces[0].Piece.Site, "more than %d pieces would lie on a sheet of %s × %s mm", nest.MostCopies, geom.Num(l.Width), geom.Num(l.Height)).
			WithHint("take a smaller sheet"), nil
	case err != nil:
		return nil, nil, err
	}
	l.Sets = sets
	r.place(l, laid, bases)
	if err := l.Lay(ctx); err != nil {
		return nil, nil, err
	}
	fault, err = r.programSheet(ctx, l)
	return l, fault, err
}

// laidOn lays as many sets as fit.
func laidOn(ctx context.Context, parts []nest.Part, width, height float64, q *LayoutRequest) (nest.Layout, int, error) {
	if len(parts) == 1 && parts[0].Count == 1 {
		p := parts[0]
		p.Count = q.Most
		l, err := nest.Copies(ctx, p, width, height, q.effort())
		return l, len(l.Placements), err
	}
	return nest.Sets(ctx, parts, width, height, q.Most, q.effort())
}

// orBoxed counts the sets that fit as bounding boxes and gives the layout of these should
// it hold more, which as a layout of the shapes is as good.
func orBoxed(ctx context.Context, parts []nest.Part, laid nest.Layout, sets int, q *LayoutRequest) (nest.Layout, int, int, error) {
	if len(parts) == 1 && parts[0].Count == 1 {
		n := nest.Grid(parts[0], laid.Width, laid.Height) // which nest.Copies never falls below
		if q.Most > 0 {
			n = min(n, q.Most)
		}
		return laid, sets, n, nil
	}
	boxes := slices.Clone(parts)
	for i := range boxes {
		boxes[i].Shape = boxes[i].Boxed()
	}
	effort := q.effort()
	effort.Looks = 0
	boxed, n, err := nest.Sets(ctx, boxes, laid.Width, laid.Height, q.Most, effort)
	switch {
	case errors.Is(err, nest.ErrNoFit):
		return laid, sets, 0, nil
	case err != nil:
		return laid, sets, 0, err
	case n > sets:
		return boxed, n, n, nil
	}
	return laid, sets, n, nil
}

// sheetOf is the sheet that was asked for, with the pieces that go on it.
func (r *run) sheetOf(q *LayoutRequest) (*emit.Layout, *diag.Finding) {
	l := &emit.Layout{
		Script: r.req.Script, Width: q.Width, Height: q.Height, Margin: q.Margin, Gap: q.Gap, Grain: string(q.Grain),
		Cautions: append(slices.Clone(r.cautions), check.MachineCaution),
	}
	if slices.Contains(r.cautions, check.MachineCaution) {
		l.Cautions = r.cautions
	}
	if q.Machine != "" {
		m := machineNamed(r.design, q.Machine)
		if m == nil {
			return nil, noMachine(r.design, q.Machine)
		}
		l.Machine, l.Width, l.Height, l.Margin = m.Name, m.Bed[0], m.Bed[1], max(q.Margin, m.Margin+m.Reach())
		if fault := sheetFault(l.Width, l.Height, l.Margin); fault != nil {
			return nil, fault
		}
		if fault := gapFault(m, l.Gap); fault != nil {
			return nil, fault
		}
	}
	for _, b := range r.blanks {
		if model.FileKey(b.Piece.Name) == model.FileKey(emit.LayoutName) {
			return nil, diag.Scriptf(b.Piece.Site, "piece %q: its files would have the names of the layout's", b.Piece.Name).WithHint("give it another name")
		}
	}
	for _, name := range q.Pieces {
		if !slices.ContainsFunc(r.blanks, func(b *blank.Blank) bool { return b.Piece.Name == name }) {
			return nil, diag.Scriptf(nil, "there is no piece %q", name).WithHint("the pieces are %s", strings.Join(r.names(), ", "))
		}
	}
	for _, b := range r.blanks {
		if len(q.Pieces) == 0 || slices.Contains(q.Pieces, b.Piece.Name) {
			l.Pieces = append(l.Pieces, emit.LaidPiece{Blank: b})
		}
	}
	first := l.Pieces[0].Piece
	l.Board, l.Inside = first.Board, first.Inside
	for _, p := range l.Pieces[1:] {
		switch {
		case !sameStock(p.Piece.Board, first.Board):
			return nil, diag.Scriptf(p.Piece.Site, "pieces %q and %q are of different boards, which are different sheets", first.Name, p.Piece.Name).
				WithHint("lay them one by one: --piece %q", first.Name)
		case p.Piece.Inside != first.Inside:
			return nil, diag.Scriptf(p.Piece.Site, "piece %q is worked from the other side of the board than %q", p.Piece.Name, first.Name).
				WithHint("lay them one by one: --piece %q", first.Name)
		}
	}
	if l.Grain == string(LongGrain) {
		l.Grain = string(GrainX)
		if l.Height > l.Width {
			l.Grain = string(GrainY)
		}
		if !slices.ContainsFunc(l.Pieces, func(p emit.LaidPiece) bool { return p.Piece.Board.GrainDegrees != nil }) {
			l.Grain = string(AnyGrain)
		}
	}
	return l, nil
}

// sameStock reports whether pieces of two boards may be cut from one sheet: boards that
// differ by their grain alone are one, laid another way.
func sameStock(a, b *board.Board) bool {
	return a.Name == b.Name && a.Kind == b.Kind && a.Caliper == b.Caliper && (a.GSM == nil) == (b.GSM == nil) && (a.GSM == nil || *a.GSM == *b.GSM)
}

func (r *run) names() (out []string) {
	for _, b := range r.blanks {
		out = append(out, fmt.Sprintf("%q", b.Piece.Name))
	}
	return out
}

// parts are the pieces as shapes, and how each blank is turned and mirrored before
// it is laid: so that turns by quarters bring its grain along the sheet's.
func (r *run) parts(l *emit.Layout) (parts []nest.Part, bases []geom.Isometry, fault *diag.Finding) {
	for _, p := range l.Pieces {
		base := geom.Identity()
		if l.Inside {
			base = geom.FlipX()
		}
		turns := []int{0, 1, 2, 3}
		if g := p.Piece.Board.GrainDegrees; g != nil && l.Grain != string(AnyGrain) {
			turns = []int{0, 2}
			along := *g
			if l.Inside {
				along = 180 - along
			}
			want := geom.Degrees(0)
			if l.Grain == string(GrainY) {
				want = 90
			}
			base = base.Then(geom.Rotation(geom.Degrees(math.Mod(float64(want-along), 180)).Angle(), geom.Point{}))
		}
		var rings [][]geom.Curve
		for _, ring := range outline(p.Blank) {
			rings = append(rings, ringPlaced(ring, base))
		}
		s, err := nest.NewShape(rings, l.Gap)
		if err != nil {
			return nil, nil, diag.Scriptf(p.Piece.Site, "piece %q cannot be laid on a sheet: %v", p.Piece.Name, err)
		}
		parts = append(parts, nest.Part{Shape: s, Turns: turns, Count: p.Piece.Copies})
		bases = append(bases, base)
	}
	return parts, bases, nil
}

// ringPlaced carries a ring; a mirror image is run the other way, board on its left.
func ringPlaced(ring []geom.Curve, m geom.Isometry) []geom.Curve {
	out := make([]geom.Curve, len(ring))
	for i, c := range ring {
		out[i] = c.Transform(m)
	}
	if m.Mirrors() {
		slices.Reverse(out)
		for i, c := range out {
			out[i] = c.Reverse()
		}
	}
	return out
}

// outline is the rim of a blank's board, as rings with board on their left.
func outline(b *blank.Blank) (rings [][]geom.Curve) {
	for _, layer := range b.Layers {
		for _, s := range layer.Strokes {
			if s.Rim {
				rings = append(rings, s.Curves)
			}
		}
	}
	return rings
}

// place takes over where the shapes were laid.
func (r *run) place(l *emit.Layout, laid nest.Layout, bases []geom.Isometry) {
	off := l.Margin - l.Gap/2
	for _, p := range laid.Placements {
		turn := geom.Rotation(geom.Degrees(90*p.Turn).Angle(), geom.Point{})
		at := bases[p.Part].Then(turn).Then(geom.Translation(p.X+off, p.Y+off))
		l.Pieces[p.Part].Places = append(l.Pieces[p.Part].Places, at)
	}
}

// tooLarge says that not even one set fits.
func (r *run) tooLarge(l *emit.Layout) *diag.Finding {
	sheet := fmt.Sprintf("a sheet of %s × %s mm with a margin of %s mm", geom.Num(l.Width), geom.Num(l.Height), geom.Num(l.Margin))
	if len(l.Pieces) == 1 && l.Pieces[0].Piece.Copies == 1 {
		p := l.Pieces[0]
		f := diag.Scriptf(p.Piece.Site, "piece %q, %s × %s mm flat, does not fit on %s", p.Piece.Name, geom.Num(p.Bounds.Width()), geom.Num(p.Bounds.Height()), sheet)
		w, h, x, y := p.Bounds.Width(), p.Bounds.Height(), l.Width-2*l.Margin, l.Height-2*l.Margin
		fits := w <= x && h <= y || h <= x && w <= y
		if fits && l.Grain != string(AnyGrain) && p.Piece.Board.GrainDegrees != nil {
			return f.WithHint("its grain runs along the sheet's, %s; --grain turns that, and --grain any leaves it out", l.Grain)
		}
		return f
	}
	return diag.Scriptf(l.Pieces[0].Piece.Site, "one set of the pieces does not fit on %s", sheet).WithHint("lay them one by one with --piece, or take a larger sheet")
}

// layoutPicture draws a layout for people.
func layoutPicture(ctx context.Context, l *emit.Layout) ([]byte, error) {
	in := preview.LayoutInput{
		Title: strings.TrimSuffix(l.Script, ".star") + " on a sheet", Width: l.Width, Height: l.Height, Margin: l.Margin,
		Layers: l.Layers, Cautions: l.Cautions, Inside: l.Inside,
	}
	if l.Grain == string(GrainX) || l.Grain == string(GrainY) {
		along := geom.Degrees(0)
		if l.Grain == string(GrainY) {
			along = 90
		}
		in.Grain = &along
	}
	for _, p := range l.Pieces {
		for _, place := range p.Places {
			var rings []blank.Ring
			for _, ring := range outline(p.Blank) {
				rings = append(rings, ringPlaced(ring, place))
			}
			in.Pieces = append(in.Pieces, rings)
		}
	}
	in.Facts = LayoutFacts(l)
	return preview.Layout(ctx, in)
}

// LayoutFacts says what a layout comes to, in a few lines.
func LayoutFacts(l *emit.Layout) []string {
	percent := func(sets int) string { return geom.Num(math.Round(1000*l.Yield(sets))/10) + " %" }
	var names []string
	for _, p := range l.Pieces {
		names = append(names, fmt.Sprintf("%d × %s", len(p.Places), p.Piece.Name))
	}
	sheet := fmt.Sprintf("sheet %s × %s mm", geom.Num(l.Width), geom.Num(l.Height))
	if l.Machine != "" {
		sheet = fmt.Sprintf("bed of %s, %s × %s mm", l.Machine, geom.Num(l.Width), geom.Num(l.Height))
	}
	sheet += fmt.Sprintf(", margin %s mm, gap %s mm, %s", geom.Num(l.Margin), geom.Num(l.Gap), l.Board.Name)
	if l.Grain != string(AnyGrain) {
		sheet += ", grain along " + l.Grain
	}
	boxes := fmt.Sprintf("laid as bounding boxes: %d, yield %s", l.Boxes, percent(l.Boxes))
	switch alone := len(l.Pieces) == 1 && l.Pieces[0].Piece.Copies == 1; {
	case l.Boxes == 0:
		boxes = "laid as bounding boxes: not one set would fit"
	case !alone:
		boxes = fmt.Sprintf("%s; laid as bounding boxes: %d, yield %s", counted(l.Sets, "set"), l.Boxes, percent(l.Boxes))
	}
	out := []string{fmt.Sprintf("%s on a sheet, yield %s", strings.Join(names, ", "), percent(l.Sets)), boxes, sheet}
	var lengths []string
	for _, layer := range l.Layers { // cuts last
		lengths = append(lengths, fmt.Sprintf("%s %s mm", layer.Kind, geom.Num(math.Round(layer.Length()))))
	}
	out = append(out, strings.Join(lengths, ", "))
	if p := l.Program; p != nil {
		out = append(out, fmt.Sprintf("%s for %s: %s, %s m with the tool down, %s m of travel", p.Machine.Format, p.Machine.Name,
			counted(p.Strokes(), "stroke"), geom.Num(math.Round(p.Length()/10)/100), geom.Num(math.Round(p.Travel/10)/100)))
	}
	if l.Shared > 0 {
		out = append(out, fmt.Sprintf("%s mm of the cut is common to two pieces and made once", geom.Num(math.Round(l.Shared))))
	}
	return out
}

// counted is a number with its noun.
func counted(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// Length reads a length as people type it, in mm or with a unit: "700", "20in".
func Length(text string) (mm float64, err error) { return unit.Parse(text) }
