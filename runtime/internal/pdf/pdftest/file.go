// Package pdftest reads the PDF files that package pdf writes, strictly and by itself:
// it takes no other form of a file, an object or a content than that package's. It is for
// tests.
package pdftest

import (
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// File is a file as it was read.
type File struct {
	Title   string
	Subject string
	Layers  []Layer // as readers list them, the topmost first
	Inks    map[string][]float64
	Fonts   []string
	Pages   []Page
}

// Layer is an optional-content group.
type Layer struct {
	Name, Group, Type string
	ScreenOnly        bool // not printed, in its own dictionary and in the automatic states
}

// Page is a page; all lengths are mm.
type Page struct {
	Media, Bleed, Trim geom.Box
	Marks              []Mark
}

// Mark is one thing drawn: a stroked path, a filled one of several subpaths, or a text.
type Mark struct {
	Layer     string
	Ink       string     // the spot colour; "" where it is RGB
	RGB       [3]float64 // where it is none
	Overprint bool
	Window    geom.Box // what it is seen through; empty for all of the page

	Paths  []Path
	Filled bool
	Width  float64
	Dash   []float64

	Text  string
	Size  float64
	At    geom.Point
	Angle geom.Angle
}

// Path is a subpath of lines and cubics.
type Path struct {
	Curves []geom.Curve
	Closed bool
}

const pointsPerMM = 72 / 25.4

// Read reads a file. Everything in it must be used.
func Read(file []byte) (*File, error) {
	o, trailer, err := readObjects(file)
	if err != nil {
		return nil, err
	}
	root, info := o.dict(trailer["Root"]), o.dict(trailer["Info"])
	if root["Type"] != name("Catalog") || len(o.list(trailer["ID"])) != 2 {
		return nil, fmt.Errorf("the trailer %v", trailer)
	}
	f := &File{Title: words(info["Title"]), Subject: words(info["Subject"]), Inks: map[string][]float64{}}
	names, err := f.readLayers(o, o.dict(root["OCProperties"]))
	if err != nil {
		return nil, err
	}
	tree := o.dict(root["Pages"])
	kids := o.list(tree["Kids"])
	if tree["Type"] != name("Pages") || tree["Count"] != float64(len(kids)) || len(kids) == 0 {
		return nil, fmt.Errorf("the pages %v", tree)
	}
	for i, k := range kids {
		d := o.dict(k)
		if d["Type"] != name("Page") || o.dict(d["Parent"])["Type"] != name("Pages") {
			return nil, fmt.Errorf("the page %v", d)
		}
		p, err := f.readPage(o, d, names)
		if err != nil {
			return nil, fmt.Errorf("page %d: %w", i+1, err)
		}
		f.Pages = append(f.Pages, p)
	}
	if i := slices.Index(o.asked, false); i >= 0 {
		return nil, fmt.Errorf("nothing uses object %d", i+1)
	}
	return f, nil
}

// readLayers gives the names of the groups by their references.
func (f *File) readLayers(o *objects, d dict) (map[reference]string, error) {
	names := map[reference]string{}
	if d == nil {
		return names, nil
	}
	config := o.dict(d["D"])
	var printed []any // what the automatic states switch when printing
	for _, auto := range o.list(config["AS"]) {
		if a := o.dict(auto); a["Event"] == name("Print") {
			if c := o.list(a["Category"]); len(c) != 1 || c[0] != name("Print") {
				return nil, fmt.Errorf("the category %v", c)
			}
			printed = append(printed, o.list(a["OCGs"])...)
		}
	}
	all, order, on := o.list(d["OCGs"]), o.list(config["Order"]), o.list(config["ON"])
	if len(order) != len(all) || len(on) != len(all) {
		return nil, fmt.Errorf("%d layers, %d in order and %d on", len(all), len(order), len(on))
	}
	for _, ref := range order {
		g := o.dict(ref)
		steps := o.dict(g["GTS_Metadata"])
		group, _ := steps["GTS_ProcStepsGroup"].(name)
		typ, _ := steps["GTS_ProcStepsType"].(name)
		off := o.dict(o.dict(g["Usage"])["Print"])["PrintState"] == name("OFF")
		if g["Type"] != name("OCG") || !slices.Contains(all, ref) || !slices.Contains(on, ref) || off != slices.Contains(printed, ref) {
			return nil, fmt.Errorf("the layer %v", g)
		}
		l := Layer{words(g["Name"]), string(group), string(typ), off}
		if slices.ContainsFunc(f.Layers, func(k Layer) bool { return k.Name == l.Name }) {
			return nil, fmt.Errorf("two layers are called %q", l.Name)
		}
		f.Layers = append(f.Layers, l)
		names[ref.(reference)] = l.Name
	}
	return names, nil
}

// readPage reads boxes, resources and the content.
func (f *File) readPage(o *objects, d dict, names map[reference]string) (Page, error) {
	unit := 1.0
	if u, ok := d["UserUnit"].(float64); ok {
		unit = u
	}
	box := func(key string) geom.Box {
		l := o.list(d[key])
		if len(l) != 4 {
			return geom.EmptyBox()
		}
		var v [4]float64
		for i := range v {
			v[i], _ = l[i].(float64)
			v[i] *= unit / pointsPerMM
		}
		return geom.BoxOf(geom.Pt(v[0], v[1]), geom.Pt(v[2], v[3]))
	}
	p := Page{Media: box("MediaBox"), Bleed: box("BleedBox"), Trim: box("TrimBox")}
	if p.Media.Empty() || p.Media.Min != geom.Pt(0, 0) || d["Rotate"] != nil {
		return p, fmt.Errorf("the page %v", d)
	}
	content, ok := o.get(d["Contents"]).(stream)
	if !ok {
		return p, fmt.Errorf("no content")
	}
	r, err := f.readResources(o, o.dict(d["Resources"]), names)
	if err != nil {
		return p, err
	}
	c := &interpreter{resources: r, page: &p, scale: unit / pointsPerMM}
	return p, c.run(content.data)
}
