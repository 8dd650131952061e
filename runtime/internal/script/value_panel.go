package script

import (
	"fmt"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelValue is a panel; its edges are its attributes.
type panelValue struct {
	fixed
	h *host
	p *model.Panel
}

func (v panelValue) String() string        { return fmt.Sprintf("panel(%q)", v.p.Name) }
func (v panelValue) Type() string          { return "panel" }
func (v panelValue) Hash() (uint32, error) { return hashOf(v) }
func (v panelValue) describe() string      { return "the panel " + quote(v.p.Name) }
func (v panelValue) AttrNames() []string {
	return append(v.h.table.members("panel"), v.p.Outline.Names()...)
}

func (v panelValue) Attr(name string) (starlark.Value, error) {
	return v.h.attr(v, name)
}

// edge is the panel's whole edge of that name.
func (v panelValue) edge(name string) (edgeValue, *diag.Finding) {
	return v.h.whole(model.EdgeRef{Panel: v.p}, v.p.Outline, name, "panel "+quote(v.p.Name))
}

// openingValue is a window cut in a panel; its edges are its attributes.
type openingValue struct {
	fixed
	h *host
	w *model.Window
}

func (v openingValue) String() string        { return fmt.Sprintf("opening in panel(%q)", v.w.Panel.Name) }
func (v openingValue) Type() string          { return "opening" }
func (v openingValue) Hash() (uint32, error) { return hashOf(v) }
func (v openingValue) describe() string      { return "the opening in panel " + quote(v.w.Panel.Name) }
func (v openingValue) AttrNames() []string {
	return append(v.h.table.members("opening"), v.w.Outline.Names()...)
}

func (v openingValue) Attr(name string) (starlark.Value, error) {
	return v.h.attr(v, name)
}

// edge is the opening's whole edge of that name.
func (v openingValue) edge(name string) (edgeValue, *diag.Finding) {
	return v.h.whole(model.EdgeRef{Panel: v.w.Panel, Window: v.w}, v.w.Outline, name, v.describe())
}

// edged is a value whose edges are its attributes.
type edged interface {
	starlark.Value
	edge(name string) (edgeValue, *diag.Finding)
}

// attr is a member of a value, or else its edge of that name.
func (h *host) attr(v edged, name string) (starlark.Value, error) {
	if m := h.member(v, name); m != nil {
		return m, nil
	}
	e, fault := v.edge(name)
	if fault != nil {
		return nil, fault
	}
	return e, nil
}

// whole is an outline's whole edge of that name; of says whose outline it is,
// and owner says it in words.
func (h *host) whole(of model.EdgeRef, outline geom.Path, name, owner string) (edgeValue, *diag.Finding) {
	i := outline.Index(name)
	if i < 0 {
		return edgeValue{}, noEdge(owner, name, outline.Names())
	}
	of.Name, of.Index, of.To = name, i, outline.Edges[i].Length()
	return edgeValue{h: h, ref: of, curve: of.Curve()}, nil
}

// edgeValue is a stretch of an edge of a panel, of an opening, or of an
// outline that is no panel yet; then its ref has no Panel and only the curve,
// directed with board on its left, tells where it is.
type edgeValue struct {
	fixed
	h     *host
	ref   model.EdgeRef
	curve geom.Curve
}

func (v edgeValue) String() string {
	name := v.ref.String()
	if v.ref.From > 0 || v.ref.To < v.curve.Length() {
		name += fmt.Sprintf(".part(%s, %s)", geom.Num(v.ref.From), geom.Num(v.ref.To))
	}
	return name
}
func (v edgeValue) Type() string          { return "edge" }
func (v edgeValue) Hash() (uint32, error) { return hashOf(v) }
func (v edgeValue) AttrNames() []string   { return v.h.table.members("edge") }
func (v edgeValue) describe() string      { return "the edge " + v.String() }
func (v edgeValue) Attr(name string) (starlark.Value, error) {
	if m := v.h.member(v, name); m != nil {
		return m, nil
	}
	return nil, v.h.noMember(v, "edge", name)
}

// at is the place a distance from the edge's own left end.
func (v edgeValue) at(d float64) geom.Point {
	l := v.curve.Length()
	switch {
	case d <= 0:
		return v.curve.Q
	case d >= l:
		return v.curve.P
	}
	return v.curve.At(v.curve.ParamAt(l - d))
}
