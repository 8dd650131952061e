package emit

// The parts of a DXF R2000 file round its entities. A strict reader wants each
// section and table below, though a cut file says nothing in most of them (DXF
// reference, R2000).

// header writes the variables that a reader needs for units and extent. $ACADVER
// AC1015 is R2000; $INSUNITS 4 makes one drawing unit a millimetre, which is
// left to the reader otherwise. $HANDSEED must be above every handle in use.
func (w *dxfWriter) header(d drawing) {
	const millimetres, metric, decimalUnits = 4, 1, 2
	far := node{d.width, d.height}
	w.section("HEADER")
	w.variable("$ACADVER")
	w.tag(1, "AC1015")
	w.variable("$DWGCODEPAGE")
	w.tag(3, "ANSI_1252")
	w.variable("$INSBASE")
	w.place(10, node{})
	w.variable("$EXTMIN")
	w.place(10, node{})
	w.variable("$EXTMAX")
	w.place(10, far)
	w.variable("$LIMMIN")
	w.node(10, node{})
	w.variable("$LIMMAX")
	w.node(10, far)
	w.variable("$CLAYER")
	w.tag(8, "0")
	w.variable("$LUNITS")
	w.int(70, decimalUnits)
	w.variable("$LUPREC")
	w.int(70, 4)
	w.variable("$HANDSEED")
	w.ref(5, w.next)
	w.variable("$MEASUREMENT")
	w.int(70, metric)
	w.variable("$INSUNITS")
	w.int(70, millimetres)
	w.endSection()
}

// variable opens a header variable: its name under group 9, its value follows
// under the group code of its type.
func (w *dxfWriter) variable(name string) { w.tag(9, name) }

// classes declares the object types that R2000 does not build in.
func (w *dxfWriter) classes() {
	w.section("CLASSES")
	for _, c := range [...][2]string{
		{"ACDBDICTIONARYWDFLT", "AcDbDictionaryWithDefault"},
		{"ACDBPLACEHOLDER", "AcDbPlaceHolder"},
		{"LAYOUT", "AcDbLayout"},
	} {
		w.tag(0, "CLASS")
		w.tag(1, c[0])
		w.tag(2, c[1])
		w.tag(3, "ObjectDBX Classes")
		w.int(90, 0)
		w.int(280, 0)
		w.int(281, 0)
	}
	w.endSection()
}

// tables writes the nine symbol tables of R2000, the empty ones too.
func (w *dxfWriter) tables(d drawing) {
	w.section("TABLES")
	w.table("VPORT", viewportTable, 1)
	w.viewport(d)
	w.tag(0, "ENDTAB")
	w.table("LTYPE", linetypeTable, 3)
	for _, name := range [...]string{"ByBlock", "ByLayer", "Continuous"} {
		w.linetype(name)
	}
	w.tag(0, "ENDTAB")
	w.table("LAYER", layerTable, 1+len(d.layers))
	w.layer("0", 7)
	for _, l := range d.layers {
		w.layer(string(l.kind), l.kind.Facts().ColourIndex)
	}
	w.tag(0, "ENDTAB")
	w.table("STYLE", styleTable, 1)
	w.textStyle()
	w.tag(0, "ENDTAB")
	w.table("VIEW", viewTable, 0)
	w.tag(0, "ENDTAB")
	w.table("UCS", ucsTable, 0)
	w.tag(0, "ENDTAB")
	w.table("APPID", appTable, 1)
	w.record("APPID", appTable, "AcDbRegAppTableRecord", "ACAD")
	w.tag(0, "ENDTAB")
	w.dimensionStyles()
	w.table("BLOCK_RECORD", blockTable, 2)
	w.blockRecord("*Model_Space", modelSpace, modelLayout)
	w.blockRecord("*Paper_Space", paperSpace, paperLayout)
	w.tag(0, "ENDTAB")
	w.endSection()
}

// table opens a symbol table of a number of entries (group 70). It has no owner:
// its reference (330) is the handle 0.
func (w *dxfWriter) table(name string, h handle, count int) {
	w.tag(0, "TABLE")
	w.tag(2, name)
	w.ref(5, h)
	w.ref(330, none)
	w.tag(100, "AcDbSymbolTable")
	w.int(70, count)
}

// record opens an entry of a table.
func (w *dxfWriter) record(kind string, table handle, class, name string) {
	w.object(kind, w.free(), table)
	w.named(class, name)
}

// named gives a table entry its two subclass markers (group 100), its name (2)
// and its flags (70), none of which is set.
func (w *dxfWriter) named(class, name string) {
	w.tag(100, "AcDbSymbolTableRecord")
	w.tag(100, class)
	w.tag(2, name)
	w.int(70, 0)
}

// viewport opens the file on the whole blank: groups 10 and 11 are the corners of
// the viewport as parts of the screen, 12 is the centre of the view, 13 to 15 are
// snap base, snap spacing and grid spacing, 16 and 17 direction and target of the
// view, 40 its height in millimetres and 41 its aspect ratio.
func (w *dxfWriter) viewport(d drawing) {
	w.record("VPORT", viewportTable, "AcDbViewportTableRecord", "*Active")
	w.node(10, node{})
	w.node(11, node{perMM, perMM})
	w.node(12, node{d.width / 2, d.height / 2})
	w.node(13, node{})
	w.node(14, node{10 * perMM, 10 * perMM})
	w.node(15, node{10 * perMM, 10 * perMM})
	w.direction(16, 0, 0, 1)
	w.direction(17, 0, 0, 0)
	w.length(40, max(d.height, d.width))
	w.real(41, 1)
	w.real(42, 50) // lens
	for _, code := range [...]int{43, 44, 50, 51} {
		w.real(code, 0)
	}
	w.int(71, 0)
	w.int(72, 1000) // lines to a circle on screen
	for _, code := range [...]int{73, 74, 75, 76, 77, 78} {
		w.int(code, 0)
	}
}

// linetype writes a continuous line type: no dashes (73), pattern length 0 (40).
func (w *dxfWriter) linetype(name string) {
	w.record("LTYPE", linetypeTable, "AcDbLinetypeTableRecord", name)
	w.tag(3, "")
	w.int(72, 'A') // the one alignment there is
	w.int(73, 0)
	w.real(40, 0)
}

// layer writes a layer with its colour by index (62), the default line weight
// (370) and the plot style that it points at (390).
func (w *dxfWriter) layer(name string, colour int) {
	const defaultWeight = -3
	w.record("LAYER", layerTable, "AcDbLayerTableRecord", name)
	w.int(62, colour)
	w.tag(6, "Continuous")
	w.int(370, defaultWeight)
	w.ref(390, plotStyle)
}

// textStyle writes the style Standard: no fixed height (40), width factor 1 (41),
// not slanted (50), font file txt (3).
func (w *dxfWriter) textStyle() {
	w.record("STYLE", styleTable, "AcDbTextStyleTableRecord", "Standard")
	w.real(40, 0)
	w.real(41, 1)
	w.real(50, 0)
	w.int(71, 0)
	w.real(42, 2.5)
	w.tag(3, "txt")
	w.tag(4, "")
}

// dimensionStyles differs from other tables: it has a class of its own and its
// entry carries its handle under 105.
func (w *dxfWriter) dimensionStyles() {
	w.table("DIMSTYLE", dimstyleTable, 1)
	w.tag(100, "AcDbDimStyleTable")
	w.tag(0, "DIMSTYLE")
	w.ref(105, w.free())
	w.ref(330, dimstyleTable)
	w.named("AcDbDimStyleTableRecord", "Standard")
	w.tag(0, "ENDTAB")
}

// blockRecord writes the table entry of a block; group 340 points at its layout.
func (w *dxfWriter) blockRecord(name string, h, layout handle) {
	w.object("BLOCK_RECORD", h, blockTable)
	w.tag(100, "AcDbSymbolTableRecord")
	w.tag(100, "AcDbBlockTableRecord")
	w.tag(2, name)
	w.ref(340, layout)
}

// blocks writes the definitions of model and paper space, empty: what lies in
// model space is in the section ENTITIES and names its record as owner.
func (w *dxfWriter) blocks() {
	w.section("BLOCKS")
	w.block("*Model_Space", modelSpace, modelBegin, modelEnd)
	w.block("*Paper_Space", paperSpace, paperBegin, paperEnd)
	w.endSection()
}

// block writes one definition: its begin and end are objects with handles of
// their own, both owned by the block record.
func (w *dxfWriter) block(name string, record, begin, end handle) {
	w.object("BLOCK", begin, record)
	w.tag(100, "AcDbEntity")
	w.tag(8, "0")
	w.tag(100, "AcDbBlockBegin")
	w.tag(2, name)
	w.int(70, 0)
	w.place(10, node{})
	w.tag(3, name)
	w.tag(1, "")
	w.object("ENDBLK", end, record)
	w.tag(100, "AcDbEntity")
	w.tag(8, "0")
	w.tag(100, "AcDbBlockEnd")
}

// objects writes the dictionaries that name the groups, layouts and plot
// styles of the file, and what they name.
func (w *dxfWriter) objects(d drawing) {
	w.section("OBJECTS")
	w.dictionary(rootDictionary, none,
		entry{"ACAD_GROUP", groupDictionary},
		entry{"ACAD_LAYOUT", layoutDictionary},
		entry{"ACAD_PLOTSTYLENAME", plotStyleDictionary})
	w.dictionary(groupDictionary, rootDictionary)
	w.dictionary(layoutDictionary, rootDictionary,
		entry{"Model", modelLayout},
		entry{"Layout1", paperLayout})
	w.plotStyles()
	w.layout("Model", modelLayout, modelSpace, 0, node{d.width, d.height})
	w.layout("Layout1", paperLayout, paperSpace, 1, node{})
	w.endSection()
}

// entry is one name in a dictionary.
type entry struct {
	name string
	of   handle
}

// dictionary writes an object that maps names (3) to handles (350).
func (w *dxfWriter) dictionary(h, owner handle, entries ...entry) {
	w.object("DICTIONARY", h, owner)
	w.entries(entries...)
}

// entries writes the part of a dictionary behind its handles. Group 281 says what
// happens to an entry of a name that exists when drawings are merged.
func (w *dxfWriter) entries(entries ...entry) {
	const keepExisting = 1
	w.tag(100, "AcDbDictionary")
	w.int(281, keepExisting)
	for _, e := range entries {
		w.tag(3, e.name)
		w.ref(350, e.of)
	}
}

// plotStyles names the one plot style, which every layer points at.
func (w *dxfWriter) plotStyles() {
	w.object("ACDBDICTIONARYWDFLT", plotStyleDictionary, rootDictionary)
	w.entries(entry{"Normal", plotStyle})
	w.tag(100, "AcDbDictionaryWithDefault")
	w.ref(340, plotStyle)
	w.object("ACDBPLACEHOLDER", plotStyle, plotStyleDictionary)
}

// layout describes model space or the one, empty, sheet of paper: groups 10 and 11
// are the limits, 12 is the insertion base, 14 and 15 are the extents, 146 is the
// elevation, and 13, 16 and 17 are origin and axes of the coordinate system.
func (w *dxfWriter) layout(name string, h, space handle, order int, far node) {
	w.object("LAYOUT", h, layoutDictionary)
	w.plotSettings(space == modelSpace)
	w.tag(100, "AcDbLayout")
	w.tag(1, name)
	w.int(70, 1)
	w.int(71, order)
	w.node(10, node{})
	w.node(11, far)
	w.place(12, node{})
	w.place(14, node{})
	w.place(15, far)
	w.real(146, 0)
	w.place(13, node{})
	w.direction(16, 1, 0, 0)
	w.direction(17, 0, 1, 0)
	w.int(76, 0)
	w.ref(330, space)
}

// plotSettings ask for no printer, no paper and a scale of 1:1. Groups 40 to 43
// are the margins, 44 to 47 size and origin of the paper, 48, 49, 140 and 141 the
// plot window, 142 and 143 the two numbers of the scale, 147 is their ratio.
func (w *dxfWriter) plotSettings(ofModel bool) {
	const modelType, paperMillimetres, oneToOne = 1024, 1, 16
	w.tag(100, "AcDbPlotSettings")
	for _, code := range [...]int{1, 2, 4, 6} {
		w.tag(code, "")
	}
	for _, code := range [...]int{40, 41, 42, 43, 44, 45, 46, 47, 48, 49, 140, 141} {
		w.real(code, 0)
	}
	w.real(142, 1)
	w.real(143, 1)
	if ofModel {
		w.int(70, modelType)
	} else {
		w.int(70, 0)
	}
	w.int(72, paperMillimetres)
	w.int(73, 0)
	w.int(74, 0)
	w.tag(7, "")
	w.int(75, oneToOne)
	w.real(147, 1)
	w.real(148, 0)
	w.real(149, 0)
}
