package preview

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Limits of the list of panels.
const (
	mostAlike  = 60 // rows of one piece
	mostPlaces = 8  // places of equal openings that are listed one by one

	columnRoom    = 1.6 // mm between columns
	openingIndent = 3.0 // mm
)

// panelSize is what the list says of panels that are alike: their size, how far the
// ends of their creases are set in, and where their openings lie.
type panelSize struct {
	names    []string
	size     string
	in       string
	openings []string
}

// turnedMark stands behind the size of a panel that lies askew on the sheet.
const turnedMark = " *"

// panelSections list the sizes of the panels of each piece, those alike together.
func panelSections(in Input, width float64) []section {
	var out []section
	for _, b := range in.Blanks {
		s := section{heading: "Panels"}
		if len(in.Blanks) > 1 {
			s.heading = headFont.shorten("Panels: "+diag.Printable(b.Piece.Name), width)
		}
		all := panelSizes(b)
		shown := all[:min(len(all), mostAlike)]
		k := panelColumns{width: width}
		turned, set := false, false
		head := tableHead
		for _, p := range shown {
			k.size, k.in = max(k.size, textFont.width(p.size)), max(k.in, textFont.width(p.in))
			turned, set = turned || strings.HasSuffix(p.size, turnedMark), set || p.in != ""
		}
		if !set {
			head.in = ""
		}
		k.size, k.in = max(k.size, textFont.width(head.size)), max(k.in, textFont.width(head.in))
		s.rows = append(s.rows, k.row(head, greyColour))
		for _, p := range shown {
			s.rows = append(s.rows, k.row(p, inkColour))
		}
		if left := len(all) - len(shown); left > 0 {
			s.rows = append(s.rows, textRow(fmt.Sprintf("and %d more sizes", left), textFont, greyColour))
		}
		if turned {
			s.rows = append(s.rows, textRow(strings.TrimSpace(turnedMark)+" along its crease × out", textFont, greyColour))
		}
		if set {
			for _, l := range textFont.wrap(setInMeans, width) {
				s.rows = append(s.rows, textRow(l, textFont, greyColour))
			}
		}
		s.rows[0].keep = true
		out = append(out, s)
	}
	return out
}

// setInMeans explains the list's last column.
const setInMeans = "set in: ends of the crease from those of the edge it is on, left or bottom first"

// setIn is the head of the list's last column.
const setIn = "set in"

// tableHead is the list's first row.
var tableHead = panelSize{names: []string{"panel"}, size: "across × up", in: setIn}

// panelColumns are the widths of the list and of its columns of figures.
type panelColumns struct{ width, size, in float64 }

// row sets names and figures side by side, and openings below them.
func (k panelColumns) row(p panelSize, colour string) row {
	left := k.width - k.size - k.in - columnRoom
	names := textFont.clip(textFont.wrap(someOf(p.names), left-columnRoom), mostLines, left-columnRoom)
	var openings []string
	for _, o := range p.openings {
		openings = append(openings, textFont.wrap(o, k.width-openingIndent)...)
	}
	return row{height: leading * float64(len(names)+len(openings)), draw: func(w Surface, at geom.Point) {
		at = at.Add(geom.Pt(0, leading/2))
		writeText(w, p.size, textFont, at.Add(geom.Pt(left, 0)), 0, AtStart, colour)
		writeText(w, p.in, textFont, at.Add(geom.Pt(left+k.size+columnRoom, 0)), 0, AtStart, colour)
		for _, l := range names {
			writeText(w, l, textFont, at, 0, AtStart, colour)
			at.Y += leading
		}
		for _, l := range openings {
			writeText(w, l, textFont, at.Add(geom.Pt(openingIndent, 0)), 0, AtStart, greyColour)
			at.Y += leading
		}
	}}
}

// panelSizes measures the panels of a blank and puts those together of which the same
// is said, in the order of the first.
func panelSizes(b *blank.Blank) []panelSize {
	var out []panelSize
	found := map[string]int{}
	for i, box := range boardBoxes(b) {
		m := measuring{panel: b.Regions[i].Panel, box: box}
		m.settle()
		p := panelSize{size: dimText(m.box.Width()) + " × " + dimText(m.box.Height())}
		if m.turned {
			p.size += turnedMark
		}
		p.in, p.openings = m.ends(), m.openings()
		key := p.size + "\n" + p.in + "\n" + strings.Join(p.openings, "\n")
		n, ok := found[key]
		if !ok {
			n = len(out)
			found[key] = n
			out = append(out, p)
		}
		out[n].names = append(out[n].names, diag.Printable(m.panel.Name))
	}
	return out
}

// measuring is a panel in the frame that it is measured in: the blank's where its
// hinge lies along one of the sheet's axes, else turned so that the hinge is level
// and the panel above it.
type measuring struct {
	panel  *model.Panel
	m      geom.Isometry // from the panel's frame
	box    geom.Box      // of the board
	turned bool
}

// settle chooses the frame; box holds the board's in the blank's frame before.
func (m *measuring) settle() {
	m.m = m.panel.Flat
	if m.panel.Hang == nil {
		return
	}
	by := m.panel.Hang.By.Curve()
	dir := m.m.ApplyDir(by.Q.Sub(by.P)).Unit()
	if math.Min(math.Abs(dir.X), math.Abs(dir.Y)) <= askew {
		return
	}
	m.turned = true
	m.m = geom.Align(by.P, by.Q.Sub(by.P), geom.Point{}, geom.Pt(1, 0))
	m.box = geom.EmptyBox()
	for _, e := range m.panel.Outline.Edges {
		m.box = m.box.Union(e.Curve.Transform(m.m).Bounds())
	}
}

// ends tells how far the ends of the panel's hinge edge lie within those of the edge
// it hangs on, or with a minus past them: once where they are alike, "" where they are
// flush.
func (m *measuring) ends() string {
	h := m.panel.Hang
	if h == nil || h.On.Curve().Kind != geom.Line || h.By.Curve().Kind != geom.Line {
		return ""
	}
	on := h.On.Curve().Transform(h.ToParent.Inverse()).Transform(m.m)
	by := h.By.Curve().Transform(m.m)
	a := axis{upright: math.Abs(by.Q.Y-by.P.Y) > math.Abs(by.Q.X-by.P.X)}
	span := func(c geom.Curve) (lo, hi float64) {
		p, _ := a.split(c.P)
		q, _ := a.split(c.Q)
		return min(p, q), max(p, q)
	}
	from, to := span(on)
	lo, hi := span(by)
	first, second := signedText(lo-from), signedText(to-hi)
	switch {
	case first != second:
		return first + ", " + second
	case first == "0":
		return ""
	}
	return first
}

// signedText writes a size that may be less than nothing.
func signedText(v float64) string {
	text := dimText(math.Abs(v))
	if v < 0 && text != "0" {
		return "−" + text
	}
	return text
}

// opening is a window or a line worked on a panel: what it is, and where its place is
// measured to, a circle's middle or else the lower left corner of its box.
type opening struct {
	what   string
	at     geom.Point
	box    geom.Box
	circle bool
}

// all measures what is cut or worked on the panel.
func (m *measuring) all() []opening {
	var out []opening
	for _, w := range m.panel.Windows {
		if o, ok := m.opening("", w.Outline); ok {
			out = append(out, o)
		}
	}
	for _, w := range m.panel.Works {
		if word := workWords[w.Kind]; word != "" {
			if o, ok := m.opening(word+" ", w.Path); ok {
				out = append(out, o)
			}
		}
	}
	return out
}

// openings tells what is cut or worked on the panel and where, equal ones together.
func (m *measuring) openings() []string {
	var kinds []string
	places := map[string][]geom.Point{}
	for _, o := range m.all() {
		what := o.what
		if o.circle {
			what += ", its middle"
		}
		if places[what] == nil {
			kinds = append(kinds, what)
		}
		places[what] = append(places[what], o.at.Sub(m.box.Min))
	}
	var out []string
	for _, what := range kinds {
		at := places[what]
		text := what
		if len(at) > 1 {
			text += fmt.Sprintf(", %d of them", len(at))
		}
		out = append(out, text+": "+placesText(at))
	}
	return out
}

// workWords are the words for lines worked on a panel; drawn ones are not measured.
var workWords = [...]string{model.Slit: "slit", model.ScoreLine: "score", model.Perforation: "perforation", model.Drawn: ""}

// opening measures an outline or a path: a circle by its diameter and to its middle,
// what runs straight along an axis by its length, others by the box round what of
// them lies on the panel, to its lower left corner.
func (m *measuring) opening(word string, p geom.Path) (opening, bool) {
	box, ring := geom.EmptyBox(), make(blank.Ring, len(p.Edges))
	for i, e := range p.Edges {
		ring[i] = e.Curve.Transform(m.m)
		box = box.Union(ring[i].Bounds())
	}
	if len(ring) == 0 {
		return opening{}, false
	}
	if c, ok := circleOf(ring); ok {
		return opening{word + diameterSign + dimText(2*c.R), c.C, box, true}, true
	}
	box = geom.Box{
		Min: geom.Pt(max(box.Min.X, m.box.Min.X), max(box.Min.Y, m.box.Min.Y)),
		Max: geom.Pt(min(box.Max.X, m.box.Max.X), min(box.Max.Y, m.box.Max.Y)),
	}
	if box.Empty() {
		return opening{}, false
	}
	w, h := dimText(box.Width()), dimText(box.Height())
	switch {
	case h == "0":
		return opening{word + w + " across", box.Min, box, false}, true
	case w == "0":
		return opening{word + h + " up", box.Min, box, false}, true
	}
	return opening{word + w + " × " + h, box.Min, box, false}, true
}

// Words between and after the distances of an opening.
const (
	fromLeft   = " from left, "
	fromBottom = " from bottom"
)

// placesText tells where openings lie; of those that fill rows and columns only the
// distances of these.
func placesText(at []geom.Point) string {
	var xs, ys []string
	rising := slices.Clone(at)
	slices.SortStableFunc(rising, func(p, q geom.Point) int {
		if p.X != q.X {
			return cmp.Compare(p.X, q.X)
		}
		return cmp.Compare(p.Y, q.Y)
	})
	for _, p := range rising {
		if x := dimText(p.X); !slices.Contains(xs, x) {
			xs = append(xs, x)
		}
	}
	slices.SortStableFunc(rising, func(p, q geom.Point) int { return cmp.Compare(p.Y, q.Y) })
	for _, p := range rising {
		if y := dimText(p.Y); !slices.Contains(ys, y) {
			ys = append(ys, y)
		}
	}
	if len(xs)*len(ys) == len(at) {
		return strings.Join(xs, " and ") + fromLeft + strings.Join(ys, " and ") + fromBottom
	}
	var parts []string
	for i, p := range at {
		if i == mostPlaces {
			parts = append(parts, fmt.Sprintf("and %d more", len(at)-i))
			break
		}
		parts = append(parts, dimText(p.X)+fromLeft+dimText(p.Y)+fromBottom)
	}
	return strings.Join(parts, "; ")
}
