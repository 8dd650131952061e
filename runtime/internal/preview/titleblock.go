package preview

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// titleStyle is a way to set the title, measures in mm.
type titleStyle struct {
	font
	leading float64 // height of a line
	middle  float64 // from the top of a line to half its capitals' height
}

// titleStyles are tried in this order, until the title fits on mostTitle lines.
var titleStyles = [...]titleStyle{
	{font{4.6, true}, 5.4, 2},
	{font{3.8, true}, 4.5, 1.65},
	{font{lettering, true}, 4.2, 1.5},
}

const (
	mostTitle  = 4    // lines of title
	factColumn = 16.5 // width of the names of facts, mm
)

// setTitle breaks a title into lines of at most width mm, in the largest style that
// holds it on mostTitle lines. A title too long for the smallest ends in an ellipsis
// on the last line.
func setTitle(title string, width float64) (lines []string, style titleStyle) {
	for _, style = range titleStyles {
		if lines = style.wrap(title, width); len(lines) <= mostTitle {
			break
		}
	}
	return style.clip(lines, mostTitle, width), style
}

// titleSection heads the sheet: what it shows and which script made it.
func titleSection(in Input, width float64) section {
	var s section
	lines, style := setTitle(strings.TrimSuffix(diag.Printable(sheetTitle(in)), "."), width)
	for _, l := range lines {
		s.rows = append(s.rows, row{height: style.leading, keep: true, draw: func(w Surface, p geom.Point) {
			writeText(w, l, style.font, p.Add(geom.Pt(0, style.middle)), 0, AtStart, inkColour)
		}})
	}
	s.rows = append(s.rows, textRow(textFont.shorten(diag.Printable(in.Script), width), textFont, greyColour))
	if in.Design != nil {
		for _, f := range in.Design.Sheet.Facts() {
			s.rows = append(s.rows, fact(strings.ReplaceAll(f.Name, "_", " "), diag.Printable(f.Value), width)...)
		}
	}
	return s
}

// textRow is one line of text.
func textRow(text string, f font, colour string) row {
	return row{height: leading, draw: func(w Surface, p geom.Point) {
		writeText(w, text, f, p.Add(geom.Pt(0, leading/2)), 0, AtStart, colour)
	}}
}

// fact is a row of a name and a value, wrapped under itself if it must be.
func fact(name, value string, width float64) []row {
	return factAt(name, value, factColumn, width)
}

// factAt is fact with the value at a column of its own.
func factAt(name, value string, column, width float64) []row {
	lines := textFont.wrap(value, width-column)
	var rows []row
	for i, l := range lines {
		rows = append(rows, row{height: leading, keep: i+1 < len(lines), draw: func(w Surface, p geom.Point) {
			p = p.Add(geom.Pt(0, leading/2))
			if i == 0 {
				writeText(w, name, textFont, p, 0, AtStart, greyColour)
			}
			writeText(w, l, textFont, p.Add(geom.Pt(column, 0)), 0, AtStart, inkColour)
		}})
	}
	return rows
}

// pieceSections tell the figures of each piece and then of each board. Where
// there is more than one board they are lettered, A and on.
func pieceSections(in Input, width float64) []section {
	boards := boardsOf(in.Blanks)
	var out []section
	for _, b := range in.Blanks {
		s := section{heading: headFont.shorten(diag.Printable(b.Piece.Name), width), rows: pieceFacts(b, usualFold(b, in.Folds), width)}
		if len(boards) > 1 {
			i := slices.IndexFunc(boards, func(o *board.Board) bool { return reflect.DeepEqual(o, b.Piece.Board) })
			s.rows = append(s.rows, fact("board", strings.ToUpper(letters(i)), width)...)
		}
		out = append(out, s)
	}
	for i, b := range boards {
		s := section{"Board", boardFacts(b, width)}
		if len(boards) > 1 {
			s.heading = "Board " + strings.ToUpper(letters(i))
		}
		out = append(out, s)
	}
	return out
}

// boardsOf lists the different boards in order of first use.
func boardsOf(bs []*blank.Blank) []*board.Board {
	var out []*board.Board
	for _, b := range bs {
		if !slices.ContainsFunc(out, func(o *board.Board) bool { return reflect.DeepEqual(o, b.Piece.Board) }) {
			out = append(out, b.Piece.Board)
		}
	}
	return out
}

// pieceFacts gives a piece's size, area, mass if it is known, and copies.
func pieceFacts(b *blank.Blank, fold string, width float64) []row {
	rows := fact("blank", dimText(b.Bounds.Width())+" × "+dimText(b.Bounds.Height())+" mm", width)
	rows = append(rows, fact("area", areaText(b.Area), width)...)
	if g, ok := b.Piece.Board.Mass(b.Area); ok {
		rows = append(rows, fact("mass", massText(g), width)...)
	}
	rows = append(rows, fact("copies", strconv.Itoa(b.Piece.Copies), width)...)
	if fold != "" {
		rows = append(rows, fact("folds", fold+" where no angle stands", width)...)
	}
	if b.Piece.Inside {
		rows = append(rows, fact("worked", "from the inside: drawing and cut files are mirrored", width)...)
	}
	return rows
}

// boardFacts gives a board's properties.
func boardFacts(b *board.Board, width float64) []row {
	rows := fact("name", diag.Printable(b.Name), width)
	rows = append(rows, fact("kind", string(b.Kind), width)...)
	rows = append(rows, fact("caliper", geom.Num(b.Caliper)+" mm", width)...)
	gsm, grain := "not given: mass unknown", "not given"
	if b.GSM != nil {
		gsm = geom.Num(*b.GSM) + " g/m²"
	}
	if b.GrainDegrees != nil {
		grain = geom.Num(float64(*b.GrainDegrees)) + "° in the blank"
	}
	rows = append(rows, fact("grammage", gsm, width)...)
	return append(rows, fact("grain", grain, width)...)
}

// areaText gives an area in the unit in which it is easiest to read.
func areaText(mm2 float64) string {
	switch {
	case mm2 < 1e3:
		return figures(mm2) + " mm²"
	case mm2 < 1e6:
		return figures(mm2/1e2) + " cm²"
	}
	return figures(mm2/1e6) + " m²"
}

// massText gives a mass of g grams in g or kg.
func massText(g float64) string {
	if g < 1e3 {
		return figures(g) + " g"
	}
	return figures(g/1e3) + " kg"
}

// figures writes a positive number to four significant figures.
func figures(v float64) string {
	if v <= 0 {
		return "0"
	}
	places := max(0, 3-int(math.Floor(math.Log10(v))))
	unit := math.Pow(10, float64(places))
	return strconv.FormatFloat(math.Round(exact(v)*unit)/unit, 'f', -1, 64)
}

// mostParams is how many parameters a sheet lists.
const mostParams = 80

// paramSection lists the parameters in force.
func paramSection(in Input, width float64) section {
	s := section{heading: "Parameters"}
	if in.Design == nil {
		return s
	}
	name := paramColumn(in.Design.Params, width)
	for i, p := range in.Design.Params {
		if i == mostParams {
			s.rows = append(s.rows, textRow(fmt.Sprintf("and %d more", len(in.Design.Params)-i), textFont, greyColour))
			break
		}
		s.rows = append(s.rows, paramRows(p, name, width)...)
	}
	return s
}

// paramColumn is how wide the names' column is: as the longest, within reason.
func paramColumn(ps []model.Param, width float64) float64 {
	w := 0.0
	for _, p := range ps {
		w = max(w, textFont.width(diag.Printable(p.Name)))
	}
	return min(w+2, width*0.55)
}

// paramRows is a parameter's name and value; a value other than the default is
// bold and the default follows it.
func paramRows(p model.Param, name, width float64) []row {
	value, f := valueText(p.Value), textFont
	lines := []string{}
	if d := valueText(p.Default); d != value {
		f = boldFont
		lines = append(lines, textFont.shorten("instead of "+d, width-name))
	}
	wrapped := f.clip(f.wrap(value, width-name), mostLines, width-name)
	if len(wrapped) == 0 {
		wrapped = []string{`""`}
	}
	rows := []row{{height: leading, keep: len(wrapped)+len(lines) > 1, draw: func(w Surface, at geom.Point) {
		at = at.Add(geom.Pt(0, leading/2))
		writeText(w, textFont.shorten(diag.Printable(p.Name), name-1), textFont, at, 0, AtStart, greyColour)
		writeText(w, wrapped[0], f, at.Add(geom.Pt(name, 0)), 0, AtStart, inkColour)
	}}}
	for _, l := range wrapped[1:] {
		rows = append(rows, indented(textRow(l, f, inkColour), name))
	}
	for _, l := range lines {
		rows = append(rows, indented(textRow(l, textFont, greyColour), name))
	}
	return rows
}

// indented moves a row's drawing to the right.
func indented(r row, by float64) row {
	draw := r.draw
	r.draw = func(w Surface, at geom.Point) { draw(w, at.Add(geom.Pt(by, 0))) }
	return r
}

// valueText writes a parameter's value as a script would.
func valueText(v any) string {
	switch v := v.(type) {
	case float64:
		return geom.Num(v)
	case bool:
		if v {
			return "True"
		}
		return "False"
	case string:
		return diag.Printable(v)
	}
	return fmt.Sprint(v)
}
