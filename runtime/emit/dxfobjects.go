package emit

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

func (w *dxfWriter) dictionary(h, owner handle, entries ...entry) {
	w.object("DICTIONARY", h, owner)
	w.entries(entries...)
}

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

// layout describes model space or the one, empty, sheet of paper.
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

// plotSettings ask for no printer, no paper and a scale of 1:1.
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
