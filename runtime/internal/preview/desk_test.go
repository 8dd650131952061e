package preview

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// desk makes designs for the tests of this package: the builder's words with
// faults as panics, for designs here are right by construction.
type desk struct {
	b    *model.Builder
	line int
}

func newDesk(title string) *desk {
	d := &desk{b: model.NewBuilder(nil)}
	if err := d.b.Title(nil, title); err != nil {
		panic(err)
	}
	return d
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func (d *desk) site() source.Site {
	d.line++
	return source.Site{{File: "design.star", Line: d.line, Column: 1, EndLine: d.line, EndColumn: 2}}
}

func (d *desk) edge(p *model.Panel, name string) *model.EdgeRef {
	e := must(d.b.Edge(d.site(), p, name))
	return &e
}

func (d *desk) param(name string, v any) {
	must(d.b.Param(d.site(), model.ParamSpec{Name: name, Default: v}))
}

func (d *desk) card(gsm *float64, grain *geom.Degrees) *board.Board {
	return must(d.b.Board(d.site(), model.BoardSpec{Name: "uncoated card", Caliper: 0.3556, GSM: gsm, GrainDegrees: grain}))
}

func (d *desk) root(name string, outline geom.Path) *model.Panel {
	return must(d.b.Panel(d.site(), model.PanelSpec{Name: name, Outline: outline}))
}

// hang hangs a rectangle w by h on an edge.
func (d *desk) hang(name string, w, h float64, on *model.Panel, edge string, change ...func(*model.PanelSpec)) *model.Panel {
	s := model.PanelSpec{Name: name, Outline: rect(w, h), On: d.edge(on, edge)}
	for _, c := range change {
		c(&s)
	}
	return must(d.b.Panel(d.site(), s))
}

func folding(degrees geom.Degrees) func(*model.PanelSpec) {
	return func(s *model.PanelSpec) { s.Fold = model.Degrees(degrees) }
}

func made(l model.LineKind) func(*model.PanelSpec) {
	return func(s *model.PanelSpec) { s.Line = l }
}

func (d *desk) flap(name string, on *model.Panel, edge string, depth, taper, round float64) *model.Panel {
	return must(d.b.Flap(d.site(), model.FlapSpec{
		Name: name, On: *d.edge(on, edge), Depth: depth, TaperDegrees: model.BothAngles(geom.Degrees(taper)), Round: model.Both(round),
	}))
}

func (d *desk) tab(name string, on *model.Panel, edge string, depth float64, to *model.Panel, toEdge string) *model.Panel {
	return must(d.b.Tab(d.site(), model.TabSpec{
		FlapSpec: model.FlapSpec{Name: name, On: *d.edge(on, edge), Depth: depth, TaperDegrees: model.BothAngles(model.TabTaper)},
		To:       model.ToEdge(*d.edge(to, toEdge)),
	}))
}

func (d *desk) piece(name string, root *model.Panel, b *board.Board, copies int) {
	must(d.b.Piece(d.site(), model.PieceSpec{Name: name, Root: root, Board: b, Copies: copies}))
}

// done lays every piece and gives the sheet's input.
func (d *desk) done(script string) Input {
	design := must(d.b.Finish())
	in := Input{Script: script, Design: design}
	for _, p := range design.Pieces {
		b, found, _ := blank.Lay(context.Background(), p, design.Poses)
		in.Blanks = append(in.Blanks, b)
		in.Findings = append(in.Findings, found...)
	}
	return in
}

func rect(w, h float64) geom.Path { return must(geom.Rect(w, h, 0)) }

func ptr[T any](v T) *T { return &v }
