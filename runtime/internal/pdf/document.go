package pdf

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// Document is a file that is being written. Its pages share all layers, colours and
// fonts. It is for one goroutine.
type Document struct {
	objects
	info, tree, resources Ref
	pages                 []*Page
	layers                []*Layer
	spots                 []spot
	fonts                 []Ref
	err                   error // the first misuse
}

// New begins a document of a title; subject is more words about it, or "".
func New(title, subject string) *Document {
	d := &Document{}
	about := ""
	if subject != "" {
		about = "/Subject" + Text(subject)
	}
	d.info = d.Add("<</Title" + Text(title) + about + "/Producer(Creasewright)>>")
	d.tree, d.resources = d.Reserve(), d.Reserve()
	return d
}

// fail keeps the first error for Bytes.
func (d *Document) fail(format string, args ...any) {
	if d.err == nil {
		d.err = fmt.Errorf("pdf: "+format, args...)
	}
}

// Step is a processing step of ISO 19593-1: what a layer's lines are to whoever makes
// the piece, told in the layer's dictionary.
type Step struct {
	Group string // one of stepGroups
	Type  string // one of the group's types; "" for groups that have none
}

// LineStep is the step of lines of a Structural type; those of no type are a legend.
func LineStep(structural string) Step {
	if structural == "" {
		return Step{Group: "Legend"}
	}
	return Step{"Structural", structural}
}

// stepGroups are the groups of ISO 19593-1:2018 with the types that each may have.
// Groups of the document's own are not written.
var stepGroups = map[string][]string{
	"Structural": {
		"Cutting", "PartialCutting", "ReversePartialCutting", "Creasing", "ReverseCreasing", "CuttingCreasing",
		"ReverseCuttingCreasing", "PartialCuttingCreasing", "ReversePartialCuttingCreasing", "Drilling", "Gluing",
		"FoilStamping", "ColdFoilStamping", "Embossing", "Debossing", "Perforating", "Bleed", "VarnishFree", "InkFree",
		"InkVarnishFree", "Folding", "Punching", "Stapling",
	},
	"Positions":  {"Hologram", "Barcode", "ContentArea", "CodingMarking", "Imprinting"},
	"White":      nil,
	"Varnish":    nil,
	"Dimensions": nil,
	"Braille":    nil,
	"Legend":     nil,
}

// Layer is an optional-content group (8.11).
type Layer struct {
	Name string
	Step Step // the zero value: none, as for artwork
	// ScreenOnly layers are shown and not printed.
	ScreenOnly bool

	resource string
	ref      Ref
}

// Layer adds a layer above those that are there.
func (d *Document) Layer(l Layer) *Layer {
	metadata := ""
	if types, ok := stepGroups[l.Step.Group]; ok && (types == nil && l.Step.Type == "" || slices.Contains(types, l.Step.Type)) {
		metadata = "/GTS_Metadata<</GTS_ProcStepsGroup/" + l.Step.Group
		if l.Step.Type != "" {
			metadata += "/GTS_ProcStepsType/" + l.Step.Type
		}
		metadata += ">>"
	} else if l.Step != (Step{}) {
		d.fail("no processing step %q", l.Step)
	}
	usage := ""
	if l.ScreenOnly {
		usage = "/Usage<</Print<</PrintState/OFF>>/View<</ViewState/ON>>>>"
	}
	l.resource = fmt.Sprintf("L%d", len(d.layers))
	l.ref = d.Add("<</Type/OCG/Name" + Text(l.Name) + metadata + usage + ">>")
	d.layers = append(d.layers, &l)
	return &l
}

// Parts reads a colour, "#rrggbb": red, green and blue, each from 0 to 1.
func Parts(hex string) (r, g, b float64) {
	v, _ := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32) // colours are tables in the code
	part := func(shift int) float64 { return float64(v>>shift&0xFF) / 0xFF }
	return part(16), part(8), part(0)
}

// Inks is a colour, "#rrggbb", as cyan, magenta, yellow and black, the black taking all
// that the others share. It is no colour management: what it looks like on paper is
// near enough to tell lines apart.
func Inks(hex string) []float64 {
	r, g, b := Parts(hex)
	most := max(r, g, b)
	if most == 0 {
		return []float64{0, 0, 0, 1}
	}
	return []float64{1 - r/most, 1 - g/most, 1 - b/most, 1 - most}
}

// Colour is what is stroked or filled with.
type Colour struct {
	stroke, fill string // operators
	spot         bool
}

// RGB is a colour of a screen, each part from 0 to 1.
func RGB(r, g, b float64) Colour {
	parts := shorts(r, g, b)
	return Colour{stroke: parts + " RG", fill: parts + " rg"}
}

type spot struct {
	name string
	ref  Ref
}

// processInks are the names that no spot colour may have (8.6.6.4).
var processInks = []string{"All", "None", "Cyan", "Magenta", "Yellow", "Black"}

// Spot adds an ink of its own, a Separation colour space. It overprints what lies below.
// Where there is no such ink it is shown by a tint of other colours, from no ink to
// these: three parts are red, green and blue, four are cyan, magenta, yellow and black,
// each from 0 to 1.
func (d *Document) Spot(name string, parts ...float64) Colour {
	if !isName(name) || slices.Contains(processInks, name) {
		d.fail("no ink can be called %q", name)
	}
	space, none := "DeviceCMYK", "0 0 0 0"
	if len(parts) == 3 {
		space, none = "DeviceRGB", "1 1 1"
	} else if len(parts) != 4 {
		d.fail("%d parts of the ink %q", len(parts), name)
	}
	tint := d.Add(fmt.Sprintf("<</FunctionType 2/Domain[0 1]/N 1/C0[%s]/C1[%s]>>", none, shorts(parts...)))
	ref := d.Add(fmt.Sprintf("[/Separation/%s/%s %s]", name, space, tint))
	resource := fmt.Sprintf("/C%d", len(d.spots))
	d.spots = append(d.spots, spot{name, ref})
	return Colour{stroke: resource + " CS 1 SCN", fill: resource + " cs 1 scn", spot: true}
}

// Font is a font whose codes are two bytes each, its glyphs' numbers.
type Font struct{ resource string }

// Font makes a font's dictionary, or one reserved, known to all pages.
func (d *Document) Font(dict Ref) Font {
	d.fonts = append(d.fonts, dict)
	return Font{fmt.Sprintf("F%d", len(d.fonts)-1)}
}

// Boxes are the bounds of a page in mm, y up. Media begins at 0, 0; the others lie
// within it, the trim within the bleed. Empty ones are left out.
type Boxes struct{ Media, Bleed, Trim geom.Box }

// pointsPerMM is how many points, 1/72 inch, a millimetre has.
const pointsPerMM = 72 / 25.4

// longestSide is the most units that a side of a page may have (Annex C.2). Longer pages
// have larger units.
const longestSide = 14400

// Page adds a page.
func (d *Document) Page(b Boxes) *Page {
	p := &Page{boxes: b, unit: math.Ceil(max(b.Media.Max.X, b.Media.Max.Y) * pointsPerMM / longestSide)}
	d.pages = append(d.pages, p)
	return p
}

// Bytes is the file. The error is the first misuse: a step or a name that is not allowed.
func (d *Document) Bytes() ([]byte, error) {
	o := slices.Clone(d.objects)
	var kids []string
	for _, p := range d.pages {
		kids = append(kids, p.add(&o, d.tree, d.resources).String())
	}
	o.Set(d.tree, fmt.Sprintf("<</Type/Pages/Count %d/Kids[%s]>>", len(kids), strings.Join(kids, " ")))
	o.Set(d.resources, d.resourceDict())
	// Print dialogs are asked not to scale, 12.2.
	catalogue := fmt.Sprintf("<</Type/Catalog/Pages %s/ViewerPreferences<</PrintScaling/None>>", d.tree)
	if len(d.layers) > 0 {
		catalogue += "/OCProperties" + d.layerDict()
	}
	return o.file(o.Add(catalogue+">>"), d.info), d.err
}

// layerDict tells readers of the layers (8.11.4): the topmost first in what they list,
// all shown, and those for screens hidden by themselves where the page is printed.
func (d *Document) layerDict() string {
	var all, order, screen []string
	for _, l := range d.layers {
		all = append(all, l.ref.String())
		if l.ScreenOnly {
			screen = append(screen, l.ref.String())
		}
	}
	order = slices.Clone(all)
	slices.Reverse(order)
	auto := ""
	if len(screen) > 0 {
		list := strings.Join(screen, " ")
		auto = "/AS[<</Event/Print/OCGs[" + list + "]/Category[/Print]>><</Event/View/OCGs[" + list + "]/Category[/View]>>]"
	}
	list := strings.Join(all, " ")
	return "<</OCGs[" + list + "]/D<</BaseState/ON/ON[" + list + "]/Order[" + strings.Join(order, " ") + "]" + auto + ">>>>"
}

// resourceDict names what contents use. GS0 has all inks overprint, one of no share
// leaving what lies below alone (8.6.7).
func (d *Document) resourceDict() string {
	out := strings.Builder{}
	list := func(key string, n int, at func(i int) (string, Ref)) {
		if n == 0 {
			return
		}
		out.WriteString("/" + key + "<<")
		for i := range n {
			name, ref := at(i)
			fmt.Fprintf(&out, "/%s %s", name, ref)
		}
		out.WriteString(">>")
	}
	out.WriteString("<<")
	list("ColorSpace", len(d.spots), func(i int) (string, Ref) { return fmt.Sprintf("C%d", i), d.spots[i].ref })
	list("Properties", len(d.layers), func(i int) (string, Ref) { return d.layers[i].resource, d.layers[i].ref })
	list("Font", len(d.fonts), func(i int) (string, Ref) { return fmt.Sprintf("F%d", i), d.fonts[i] })
	if len(d.spots) > 0 {
		out.WriteString("/ExtGState<</GS0<</Type/ExtGState/OP true/op true/OPM 1>>>>")
	}
	return out.String() + ">>"
}

// add writes the page and its content.
func (p *Page) add(o *objects, tree, resources Ref) Ref {
	scale := pointsPerMM / p.unit
	content := fmt.Appendf(nil, "%[1]s 0 0 %[1]s 0 0 cm\n", decimal.AppendShort(nil, scale, scaleDecimals))
	stream := o.Stream("", append(content, p.text...))
	box := func(name string, b geom.Box) string {
		if b.Empty() || b.Width() == 0 {
			return ""
		}
		return fmt.Sprintf("/%s[%s]", name, joined(boxDecimals, b.Min.X*scale, b.Min.Y*scale, b.Max.X*scale, b.Max.Y*scale))
	}
	unit := ""
	if p.unit > 1 {
		unit = fmt.Sprintf("/UserUnit %g", p.unit)
	}
	return o.Add(fmt.Sprintf("<</Type/Page/Parent %s%s%s%s%s/Resources %s/Contents %s>>", tree,
		box("MediaBox", p.boxes.Media), box("BleedBox", p.boxes.Bleed), box("TrimBox", p.boxes.Trim), unit, resources, stream))
}

// Decimals of what is written: of mm in contents, a tenth of geom.SnapTolerance; of the
// scale, which a page of 5 m keeps to 1e-9 mm; of boxes in points; of parts of a colour.
const (
	contentDecimals = 4
	scaleDecimals   = 12
	boxDecimals     = 6
	colourDecimals  = 4
)

// shorts writes parts of a colour.
func shorts(parts ...float64) string { return joined(colourDecimals, parts...) }

// noiseDecimals is how many decimals beyond those that are written count: the last bits of a number may
// differ between processors and would turn one that is half way between two.
const noiseDecimals = 3

// joined writes numbers with spaces between.
func joined(decimals int, parts ...float64) string {
	var out []byte
	for i, v := range parts {
		if i > 0 {
			out = append(out, ' ')
		}
		out = decimal.AppendShort(out, decimal.Round(v, decimals+noiseDecimals), decimals)
	}
	return string(out)
}
