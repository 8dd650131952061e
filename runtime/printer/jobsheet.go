package printer

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/jobsheet"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// JobSheet is the drawing sheet, and behind it pages of paper with what a quote and a die
// are reckoned from, piece by piece. The error is the context's cause, or one of PDF's.
func JobSheet(ctx context.Context, m engine.Made) ([]byte, error) {
	drawing, err := m.Sheet()
	if err != nil {
		return nil, err
	}
	pieces, err := jobsheet.Of(ctx, m.Run)
	if err != nil {
		return nil, err
	}
	return pages(ctx, drawing, jobTables(m, pieces)...)
}

// jobTables are the pages behind the drawing sheet.
func jobTables(m engine.Made, pieces []jobsheet.Piece) []*preview.Sheet {
	foot := m.Script
	if m.Design.Title != "" {
		foot = strings.TrimSuffix(m.Design.Title, ".") + " · " + m.Script
	}
	return preview.Tables(geom.Pt(m.Paper.Size()), foot, 1, jobBlocks(m, pieces))
}

// jobBlocks are all tables of a job sheet.
func jobBlocks(m engine.Made, pieces []jobsheet.Piece) []preview.Block {
	blocks := []preview.Block{jobHead(m, pieces)}
	for _, p := range pieces {
		blocks = append(blocks, pieceBlocks(p)...)
	}
	return append(blocks, lastBlocks(m)...)
}

// fact is a row of a name and a value. The names of job sheets are longer than those of the
// drawing sheet.
func fact(name, format string, args ...any) preview.Item {
	return preview.Fact{Name: name, Value: fmt.Sprintf(format, args...), Column: 24}
}

// jobHead says what job it is and how much of it.
func jobHead(m engine.Made, pieces []jobsheet.Piece) preview.Block {
	b := preview.Title(cmp.Or(m.Design.Title, m.Script), "Job sheet for quote and die · "+m.Script)
	for _, f := range m.Design.Sheet.Facts() {
		b.Items = append(b.Items, fact(strings.ReplaceAll(f.Name, "_", " "), "%s", f.Value))
	}
	copies := 0
	for _, p := range pieces {
		copies += p.Blank.Piece.Copies
	}
	b.Items = append(b.Items, fact("pieces", "%d, blanks in all %d", len(pieces), copies))
	if n := count(m.Findings, diag.Error); n > 0 {
		b.Items = append(b.Items, fact("not to be made", "%s found, see page 1", many(n, "error")))
	}
	if n := count(m.Findings, diag.Warning); n > 0 {
		b.Items = append(b.Items, fact("to look at", "%s found, see page 1", many(n, "warning")))
	}
	return b
}

// count counts findings of a severity.
func count(fs []*diag.Finding, s diag.Severity) int {
	n := 0
	for _, f := range fs {
		if f.Severity == s {
			n++
		}
	}
	return n
}

// many is a number of things: "1 error", "2 errors".
func many(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// pieceBlocks tell of one piece. Of what it has not there is no block; its facts say so.
func pieceBlocks(p jobsheet.Piece) []preview.Block {
	blocks := []preview.Block{
		{Heading: "Rules, by line kind", Items: lineItems(p)},
		{Heading: "Radii", Items: radiusItems(p)},
		{Heading: "Smallest details", Items: detailItems(p)},
		{Heading: "Folds", Items: foldItems(p)},
		{Heading: "Glue", Items: glueItems(p)},
		{Heading: "Pieces to a sheet", Items: yieldItems(p)},
		{Heading: "Machine files", Items: programItems(p)},
	}
	facts := pieceFacts(p)
	var without []string
	for i, thing := range [...]string{1: "arcs", 3: "folds", 4: "glue"} {
		if thing != "" && len(blocks[i].Items) == 0 {
			without = append(without, thing)
		}
	}
	if len(without) > 0 {
		facts = append(facts, fact("without", "%s", strings.Join(without, ", ")))
	}
	return append([]preview.Block{{Heading: p.Blank.Piece.Name, Large: true, Items: facts}}, blocks...)
}

// pieceFacts are size, amount and board.
func pieceFacts(p jobsheet.Piece) []preview.Item {
	b, piece := p.Blank, p.Blank.Piece
	n := float64(piece.Copies)
	items := []preview.Item{
		fact("flat size", "%s × %s mm", preview.Size(b.Bounds.Width()), preview.Size(b.Bounds.Height())),
		fact("copies", "%d", piece.Copies),
		fact("area", "%s", ofAll(preview.Area, b.Area, n)),
	}
	if p.Mass != nil {
		items = append(items, fact("mass", "%s", ofAll(preview.Mass, *p.Mass, n)))
	} else {
		items = append(items, fact("mass", "not known: the board has no gsm"))
	}
	if p.Closed != nil {
		o := p.Closed.Outside
		items = append(items, fact("closed, outside", "%s × %s × %s mm", preview.Size(o[0]), preview.Size(o[1]), preview.Size(o[2])))
	}
	board := piece.Board
	gsm, grain := "gsm not given", "not given"
	if board.GSM != nil {
		gsm = geom.Num(*board.GSM) + " g/m²"
	}
	if board.GrainDegrees != nil {
		grain = grainWords(*board.GrainDegrees, "the flat width", "the flat height")
	}
	items = append(items,
		fact("board", "%s, %s, %s mm, %s", board.Name, board.Kind, geom.Num(board.Caliper), gsm),
		fact("grain", "%s", grain))
	if piece.Inside {
		items = append(items, fact("worked", "from the inside: drawing and cut files are mirrored"))
	}
	return items
}

// ofAll is an amount of one copy and, where there are more, of all.
func ofAll(words func(float64) string, one, copies float64) string {
	if copies == 1 {
		return words(one)
	}
	return fmt.Sprintf("%s; all copies %s", words(one), words(one*copies))
}

// grainWords say how grain runs by what lies along it.
func grainWords(d geom.Degrees, along0, along90 string) string {
	switch math.Mod(math.Mod(float64(d), 180)+180, 180) {
	case 0:
		return "along " + along0
	case 90:
		return "along " + along90
	}
	return fmt.Sprintf("at %s° to %s", geom.Num(float64(d)), along0)
}

// metres is a length for all copies: what is bought by the metre.
func metres(mm float64) string { return preview.Size(mm/1000) + " m" }

// lineItems are lengths and counts by line kind.
func lineItems(p jobsheet.Piece) []preview.Item {
	n := float64(p.Blank.Piece.Copies)
	t := preview.Table{Columns: []preview.Column{{Name: "line kind"}, {Name: "strokes", Right: true}, {Name: "length, mm", Right: true}, {Name: "all copies", Right: true}}}
	strokes := 0
	for _, l := range p.Lines {
		t.Rows = append(t.Rows, []string{string(l.Kind), strconv.Itoa(l.Strokes), preview.Size(l.Length), metres(l.Length * n)})
		if l.Kind != blank.DrawnLine {
			strokes += l.Strokes
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	t.Rows = append(t.Rows, []string{"rules of one die", strconv.Itoa(strokes), preview.Size(p.Rules()), metres(p.Rules() * n)})
	items := []preview.Item{t}
	if p.Perforated > 0 {
		items = append(items, preview.Note(fmt.Sprintf("Of perforations the cuts are counted; with their ties they are %s mm long.", preview.Size(p.Perforated))))
	}
	return items
}

// radiusItems are the radii that rules are bent to.
func radiusItems(p jobsheet.Piece) []preview.Item {
	t := preview.Table{Columns: []preview.Column{{Name: "line kind"}, {Name: "radius, mm", Right: true}, {Name: "arcs", Right: true}, {Name: "of these circles", Right: true}}}
	for _, r := range p.Radii {
		circles := ""
		if r.Circles > 0 {
			circles = strconv.Itoa(r.Circles)
		}
		t.Rows = append(t.Rows, []string{string(r.Kind), geom.Num(r.R), strconv.Itoa(r.Arcs), circles})
	}
	var items []preview.Item
	if len(t.Rows) > 0 {
		items = append(items, t)
	}
	for _, c := range p.Cubics {
		items = append(items, preview.Note(fmt.Sprintf("%s: %s that are no arcs; the tightest radius in them is %s mm.", c.Kind, many(c.Count, "curve"), preview.Size(c.Least))))
	}
	return items
}

// measured says what is measured for a detail.
var measured = map[jobsheet.Measure]string{
	jobsheet.Web:        "board between two cuts",
	jobsheet.Gap:        "gap between two cuts",
	jobsheet.Opening:    "opening, its shorter side",
	jobsheet.Slit:       "slit, its length",
	jobsheet.CreasePair: "between creases side by side",
	jobsheet.CreaseEdge: "between a crease and a cut",
}

// detailItems are the smallest details and where they are.
func detailItems(p jobsheet.Piece) []preview.Item {
	t := preview.Table{Columns: []preview.Column{{Name: "what was measured"}, {Name: "where"}, {Name: "mm", Right: true}}, Wide: 1}
	var none []string
	for _, d := range p.Details {
		if !d.Found {
			none = append(none, measured[d.Measure])
			continue
		}
		t.Rows = append(t.Rows, []string{measured[d.Measure], whereWords(d), preview.Size(d.Size)})
	}
	items := []preview.Item{t}
	if len(none) > 0 {
		items = append(items, preview.Note("None: "+strings.Join(none, "; ")+"."))
	}
	return items
}

// whereWords say where a detail is.
func whereWords(d jobsheet.Detail) string {
	a, b := d.A.String(), d.B.String()
	switch {
	case d.Measure == jobsheet.Opening:
		return fmt.Sprintf("%s, %s long", a, preview.Size(d.Other))
	case d.Measure == jobsheet.Slit:
		return a
	case d.Measure == jobsheet.CreasePair:
		a, b = creaseWords(d.A), creaseWords(d.B)
	case d.Measure == jobsheet.CreaseEdge:
		b = creaseWords(d.B)
	}
	if a == b {
		return a
	}
	return a + " – " + b
}

// creaseWords name a crease: a score, or the hinge of a panel.
func creaseWords(f linework.Feature) string {
	if f.Work != nil {
		return f.String()
	}
	return fmt.Sprintf("the crease of %q", f.Panel.Name)
}

// foldItems are the folds by kind and angle.
func foldItems(p jobsheet.Piece) []preview.Item {
	if len(p.Folds) == 0 {
		return nil
	}
	t := preview.Table{Columns: []preview.Column{{Name: "line kind"}, {Name: "closed", Right: true}, {Name: "folds", Right: true}, {Name: "length, mm", Right: true}}}
	n, sum := 0, 0.0
	for _, f := range p.Folds {
		angle := "not found"
		switch {
		case f.Known && f.Degrees < 0:
			angle = geom.Num(-float64(f.Degrees)) + "° out"
		case f.Known && f.Degrees > 0:
			angle = geom.Num(float64(f.Degrees)) + "° in"
		case f.Known:
			angle = "0°"
		}
		t.Rows = append(t.Rows, []string{string(f.Kind), angle, strconv.Itoa(f.Count), preview.Size(f.Length)})
		n, sum = n+f.Count, sum+f.Length
	}
	t.Rows = append(t.Rows, []string{"all", "", strconv.Itoa(n), preview.Size(sum)})
	return []preview.Item{t}
}

// glueItems are glue by side.
func glueItems(p jobsheet.Piece) []preview.Item {
	if len(p.Glue) == 0 {
		return nil
	}
	t := preview.Table{Columns: []preview.Column{{Name: "glue"}, {Name: "places", Right: true}, {Name: "length, mm", Right: true}, {Name: "area", Right: true}}}
	for i, side := range [...]string{"on the outside", "on the inside"} {
		n, length, area := 0, 0.0, 0.0
		for _, g := range p.Glue {
			if g.Inside == (i == 1) {
				n, length, area = n+1, length+g.Length, area+g.Area
			}
		}
		if n > 0 {
			t.Rows = append(t.Rows, []string{side, strconv.Itoa(n), preview.Size(length), preview.Area(area)})
		}
	}
	return []preview.Item{t}
}

// yieldItems are how many copies lie on the script's machines.
func yieldItems(p jobsheet.Piece) []preview.Item {
	if len(p.Yields) == 0 {
		return nil // said once, for all pieces
	}
	t := preview.Table{Columns: []preview.Column{{Name: "sheet"}, {Name: "laid"}, {Name: "rows × columns", Right: true}, {Name: "pieces", Right: true}, {Name: "used", Right: true}, {Name: "sheets", Right: true}}}
	var grain []string
	for _, y := range p.Yields {
		name := y.Machine.Name
		for i, r := range [...]jobsheet.Rows{y.Straight, y.Turned} {
			if i == 1 {
				name = fmt.Sprintf("%s × %s", preview.Size(y.Machine.Bed[0]), preview.Size(y.Machine.Bed[1]))
			}
			sheets := "–"
			if n := r.Count(); n > 0 {
				sheets = strconv.Itoa((p.Blank.Piece.Copies + n - 1) / n)
			}
			t.Rows = append(t.Rows, []string{name, [...]string{"straight", "turned"}[i], fmt.Sprintf("%d × %d", r.Rows, r.Columns), strconv.Itoa(r.Count()), fmt.Sprintf("%.1f %%", 100*r.Share), sheets})
			if r.Grain != nil && len(grain) < 2 {
				grain = append(grain, grainWords(*r.Grain, "x", "y")+[...]string{" for straight", " for turned"}[i])
			}
		}
	}
	items := []preview.Item{t}
	if len(grain) > 0 { // the same on every bed
		items = append(items, preview.Note("The sheet's grain must run "+strings.Join(grain, ", ")+"."))
	}
	return items
}

// programItems tell of the files for machines that were asked for.
func programItems(p jobsheet.Piece) []preview.Item {
	var items []preview.Item
	for _, g := range p.Programs {
		items = append(items, fact(g.Machine.Name, "%s", programWords(g)))
	}
	return items
}

// programWords are the figures of one program, in metres.
func programWords(g *toolpath.Program) string {
	words := []string{
		string(g.Machine.Format),
		fmt.Sprintf("%s, %s with the tool down", many(g.Strokes(), "stroke"), metres(g.Length())),
		fmt.Sprintf("%s of travel (%s in the order of drawing)", metres(g.Travel), metres(g.Naive)),
	}
	if g.Turned {
		words = append(words, "turned by 90°")
	}
	if g.Compensated() {
		words = append(words, "compensated for the tools")
	} else {
		words = append(words, "not compensated")
	}
	for _, k := range g.Unmade {
		words = append(words, "no "+string(k)+" lines: no tool for them")
	}
	for _, l := range g.Lost {
		words = append(words, "lost: "+l.Text)
	}
	for _, n := range g.Told {
		words = append(words, n.Text)
	}
	return strings.Join(words, "; ")
}

// lastBlocks are what was waived, how all was measured, and what is to be known of its use.
func lastBlocks(m engine.Made) []preview.Block {
	waived := preview.Block{Heading: "Waived"}
	for _, w := range m.Waived {
		where := w.Finding.Rule
		if w.Finding.Panel != "" {
			where += " on " + w.Finding.Panel
		}
		waived.Items = append(waived.Items, preview.Words(where+": "+w.Finding.Message+". Reason given: "+w.Reason))
	}
	if len(m.Waived) == 0 {
		waived.Items = []preview.Item{preview.Note("nothing")}
	}
	cautions := preview.Block{Heading: "Cautions"}
	for _, c := range m.Cautions {
		cautions.Items = append(cautions.Items, preview.Words(c))
	}
	sheets := fmt.Sprintf("Pieces to a sheet: a plain count of boxes round the piece, %s mm apart, inside the margin; used is the share of the sheet that becomes pieces. The command creasewright layout lays true shapes.", geom.Num(jobsheet.SheetGap))
	if len(m.Design.Machines) == 0 {
		sheets = "Pieces to a sheet: the script names no machine and no sheet. The command creasewright layout fills a sheet of any size."
	}
	counted := preview.Block{Heading: "How it was counted", Items: []preview.Item{
		preview.Note("Figures are of one copy where it does not say otherwise. A stroke is a run of one tool without a lift; drawn lines take no rule."),
		preview.Note(fmt.Sprintf("Details: the smallest of each, where lines face each other closer than %s mm; corners and steps are left out.", geom.Num(jobsheet.Reach))),
		preview.Note("Folds: creases between panels, by how far they are folded in the closed piece. Scores drawn on a panel count as rules alone."),
		preview.Note("Glue: the length of a tab is its crease, of other glued board the longer side of the box round it."),
		preview.Note(sheets),
	}}
	assessed := preview.Block{Heading: "Not assessed", Items: []preview.Item{
		preview.Note("Strength, stacking, and how print, glue and creases hold on this board. Sizes are those of the design, before any allowance for tools, unless a machine file above says that it is compensated."),
	}}
	return []preview.Block{{Heading: "The job", Large: true}, waived, cautions, assessed, counted}
}
