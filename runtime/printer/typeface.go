package printer

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"strings"

	"github.com/go-fonts/liberation/liberationsansbold"
	"github.com/go-fonts/liberation/liberationsansregular"
	"github.com/tdewolff/font"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// typeface is a font of which a document embeds the glyphs that it uses. The number of
// a glyph in the file is its place in order of first use, and each letter has one of
// its own, also where the font has none for it, so that text is found by searching. It is for one document.
type typeface struct {
	name   string
	sfnt   *font.SFNT
	ref    pdf.Ref
	font   pdf.Font
	runes  []rune // by number; 0 is for none
	number map[rune]uint16
}

// unknown is drawn for letters that the font does not have.
const unknown = '?'

// newTypeface reads a font and makes it known to a document.
func newTypeface(d *pdf.Document, name string, ttf []byte) (*typeface, error) {
	sfnt, err := font.ParseFont(ttf, 0)
	if err != nil {
		return nil, err
	}
	f := &typeface{name: name, sfnt: sfnt, ref: d.Reserve(), runes: []rune{0}, number: map[rune]uint16{}}
	f.font = d.Font(f.ref)
	return f, nil
}

// glyph is a letter's in the font.
func (f *typeface) glyph(r rune) uint16 {
	return cmp.Or(f.sfnt.GlyphIndex(r), f.sfnt.GlyphIndex(unknown))
}

// ems is a length of the font's in ems.
func (f *typeface) ems(units int) float64 { return float64(units) / float64(f.sfnt.Head.UnitsPerEm) }

// width is how wide a text of a size, the em in mm, runs.
func (f *typeface) width(text string, size float64) float64 {
	sum := 0
	for _, r := range text {
		sum += int(f.sfnt.GlyphAdvance(f.glyph(r)))
	}
	return float64(f.ems(sum) * size)
}

// numbers are the glyphs of a text as the file has them.
func (f *typeface) numbers(text string) []uint16 {
	var out []uint16
	for _, r := range text {
		n, ok := f.number[r]
		if !ok {
			n = uint16(len(f.runes)) // no sheet has 65,535 different letters
			f.number[r], f.runes = n, append(f.runes, r)
		}
		out = append(out, n)
	}
	return out
}

// embed writes the font's objects, once all text is set: a composite font (ISO 32000-1,
// 9.7) with a TrueType subset, its widths, and a table of the letters.
func (f *typeface) embed(d *pdf.Document) error {
	ids := make([]uint16, len(f.runes))
	widths := strings.Builder{}
	for i, r := range f.runes {
		if i > 0 {
			ids[i] = f.glyph(r)
		}
		fmt.Fprintf(&widths, " %.6g", 1000*f.ems(int(f.sfnt.GlyphAdvance(ids[i]))))
	}
	subset, err := f.sfnt.Subset(ids, font.SubsetOptions{Tables: font.KeepPDFTables})
	if err != nil {
		return err
	}
	program := subset.Write()
	if err := timelessFont(program); err != nil {
		return err
	}
	// A subset is called by six letters of its own first (9.6.4).
	sum, name := sha256.Sum256(program), []byte(nil)
	for _, b := range sum[:6] {
		name = append(name, 'A'+b%26)
	}
	base := string(name) + "+" + f.name
	file := d.Stream(fmt.Sprintf("/Length1 %d", len(program)), program)
	scaled := func(v int16) string { return fmt.Sprintf("%.6g", 1000*f.ems(int(v))) }
	head, os2 := f.sfnt.Head, f.sfnt.Hhea
	about := d.Add(fmt.Sprintf("<</Type/FontDescriptor/FontName/%s/Flags 4/FontBBox[%s %s %s %s]/ItalicAngle 0/Ascent %s/Descent %s/CapHeight %.6g/StemV 80/FontFile2 %s>>",
		base, scaled(head.XMin), scaled(head.YMin), scaled(head.XMax), scaled(head.YMax), scaled(os2.Ascender), scaled(os2.Descender), 1000*capHeight, file))
	below := d.Add(fmt.Sprintf("<</Type/Font/Subtype/CIDFontType2/BaseFont/%s/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>/FontDescriptor %s/CIDToGIDMap/Identity/W[0[%s]]>>",
		base, about, strings.TrimSpace(widths.String())))
	letters := d.Stream("", []byte(f.letters()))
	d.Set(f.ref, fmt.Sprintf("<</Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H/DescendantFonts[%s]/ToUnicode %s>>", base, below, letters))
	return nil
}

// letters is the table by which readers find the letters of glyphs (9.10.3), in blocks of
// a hundred at most.
func (f *typeface) letters() string {
	out := strings.Builder{}
	out.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	for from := 1; from < len(f.runes); from += 100 {
		to := min(from+100, len(f.runes))
		fmt.Fprintf(&out, "%d beginbfchar\n", to-from)
		for i := from; i < to; i++ {
			fmt.Fprintf(&out, "<%04X> <%s>\n", i, pdf.UTF16(string(f.runes[i])))
		}
		out.WriteString("endbfchar\n")
	}
	out.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	return out.String()
}

// capHeight is the height of capitals in ems (Liberation Sans).
const capHeight = 1409.0 / 2048

// lettering sets text on the pages of a document, in two weights of one family.
type lettering struct{ regular, bold *typeface }

func newLettering(d *pdf.Document) (*lettering, error) {
	regular, err := newTypeface(d, "LiberationSans", liberationsansregular.TTF)
	if err != nil {
		return nil, err
	}
	bold, err := newTypeface(d, "LiberationSans-Bold", liberationsansbold.TTF)
	return &lettering{regular, bold}, err
}

// embed writes both fonts.
func (l *lettering) embed(d *pdf.Document) error {
	if err := l.regular.embed(d); err != nil {
		return err
	}
	return l.bold.embed(d)
}

// face is one of the weights.
func (l *lettering) face(bold bool) *typeface {
	if bold {
		return l.bold
	}
	return l.regular
}

// label is a line of text on a page: mm, y up.
type label struct {
	text   string
	size   float64 // the em, mm
	bold   bool
	at     geom.Point // on the base line
	angle  geom.Angle // counter-clockwise, about at
	anchor preview.Anchor
	colour pdf.Colour
}

// write sets a label.
func (l *lettering) write(p *pdf.Page, t label) {
	t.text = diag.Printable(t.text)
	if strings.TrimSpace(t.text) == "" {
		return
	}
	f := l.face(t.bold)
	back := map[preview.Anchor]float64{preview.AtMiddle: 0.5, preview.AtEnd: 1}[t.anchor] * f.width(t.text, t.size)
	at := t.at.Sub(geom.Polar(back, t.angle))
	p.Glyphs(f.font, t.size, at, t.angle, t.colour, f.numbers(t.text))
}

// middle puts the middle of a label's capitals at a point.
func (t label) middle(p geom.Point) label {
	t.at, t.anchor = p.Sub(geom.Polar(t.size*capHeight/2, t.angle.Add(geom.Degrees(90).Angle()))), preview.AtMiddle
	return t
}

// cropped cuts a text to a width, with an ellipsis where something is lost.
func (f *typeface) cropped(text string, size, width float64) string {
	if f.width(text, size) <= width {
		return text
	}
	letters := []rune(text)
	for len(letters) > 0 && f.width(string(letters)+"…", size) > width {
		letters = letters[:len(letters)-1]
	}
	return strings.TrimRight(string(letters), " ") + "…"
}

// wrapped breaks a text into lines of a width; words longer than that are cropped.
func (f *typeface) wrapped(text string, size, width float64) []string {
	var lines []string
	for _, word := range strings.Fields(diag.Printable(text)) {
		last := len(lines) - 1
		if last >= 0 && f.width(lines[last]+" "+word, size) <= width {
			lines[last] += " " + word
		} else {
			lines = append(lines, f.cropped(word, size, width))
		}
	}
	return lines
}
