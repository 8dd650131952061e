package script

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// The values below wrap what the model or geom holds. Their members are those that the
// word table lists for their type, so that a word is added without a change here.
// Errors of attributes are findings without a site: the host adds the place that runs.

// fixed gives a value the parts of starlark.Value that are the same for all
// of ours: they never change, so freezing does nothing, and all are true.
type fixed struct{}

func (fixed) Freeze()              {}
func (fixed) Truth() starlark.Bool { return true }

// hashOf hashes a value by what it prints, with 32-bit FNV-1a: the same on every
// platform. Values that are equal print the same; others may share a hash.
func hashOf(v starlark.Value) (uint32, error) {
	f := fnv.New32a()
	_, err := f.Write([]byte(v.String()))
	return f.Sum32(), err
}

// member reads a method or an attribute off a value; nil when its type has
// none of that name.
func (h *host) member(v starlark.Value, name string) starlark.Value {
	w := h.table.member(v.Type(), name)
	if w == nil {
		return nil
	}
	if w.Kind == Method {
		return h.bound(w, v)
	}
	return w.get(h, v)
}

// noMember is the fault of asking a value for what it does not have.
func (h *host) noMember(v described, typ, name string) *diag.Finding {
	f := diag.Scriptf(nil, "%s has no .%s", v.describe(), name)
	has := h.table.members(typ)
	if near, ok := model.Nearest(name, has); ok {
		return f.WithHint("did you mean .%s?", near)
	}
	if len(has) > 0 {
		return f.WithHint("it has %s", list(has, "and"))
	}
	return f
}

// noEdge is the fault of asking for an edge that is not there.
func noEdge(owner, name string, edges []string) *diag.Finding {
	f := diag.Scriptf(nil, "%s has no edge %s", owner, quote(name))
	if near, ok := model.Nearest(name, edges); ok {
		return f.WithHint("did you mean %q? It has %s", near, list(edges, "and"))
	}
	return f.WithHint("it has %s", list(edges, "and"))
}

// pointValue is a place as a script sees it: (x, y).
func pointValue(x, y float64) starlark.Tuple {
	return starlark.Tuple{starlark.Float(x), starlark.Float(y)}
}

// boardValue is a stock.
type boardValue struct {
	fixed
	h *host
	b *board.Board
}

func (v boardValue) String() string        { return fmt.Sprintf("board(%q)", v.b.Name) }
func (v boardValue) Type() string          { return "board" }
func (v boardValue) Hash() (uint32, error) { return hashOf(v) }
func (v boardValue) AttrNames() []string   { return v.h.table.members("board") }
func (v boardValue) describe() string      { return "the board " + quote(v.b.Name) }

// Attr is a member of the table's; the error names the nearest of those there are.
func (v boardValue) Attr(name string) (starlark.Value, error) {
	if m := v.h.member(v, name); m != nil {
		return m, nil
	}
	return nil, v.h.noMember(v, "board", name)
}

// freeValue is an unknown fold angle.
type freeValue struct {
	fixed
	f *model.Free
}

func (v freeValue) String() string {
	side := "in"
	if v.f.Side == model.Out {
		side = "out"
	}
	return fmt.Sprintf("free(%q)", side)
}
func (v freeValue) Type() string          { return "free" }
func (v freeValue) Hash() (uint32, error) { return hashOf(v) }
func (v freeValue) describe() string      { return "a free fold" }

// cylinderValue is the size of a round product.
type cylinderValue struct {
	fixed
	d, h float64
}

func (v cylinderValue) String() string        { return fmt.Sprintf("cylinder(%g, %g)", v.d, v.h) }
func (v cylinderValue) Type() string          { return "cylinder" }
func (v cylinderValue) Hash() (uint32, error) { return hashOf(v) }
func (v cylinderValue) describe() string      { return "a cylinder" }

// toolValue is a tool of a machine.
type toolValue struct {
	fixed
	t board.Tool
}

func (v toolValue) String() string        { return v.t.String() }
func (v toolValue) Type() string          { return "tool" }
func (v toolValue) Hash() (uint32, error) { return hashOf(v) }
func (v toolValue) describe() string      { return "a " + string(v.t.Kind) }

// nicksValue is what nicks gives.
type nicksValue struct {
	fixed
	n board.Nicks
}

func (v nicksValue) String() string {
	if v.n.Count > 0 {
		return fmt.Sprintf("nicks(%g, count = %d)", v.n.Width, v.n.Count)
	}
	return fmt.Sprintf("nicks(%g, spacing = %g)", v.n.Width, v.n.Spacing)
}
func (v nicksValue) Type() string          { return "nicks" }
func (v nicksValue) Hash() (uint32, error) { return hashOf(v) }
func (v nicksValue) describe() string      { return "nicks" }

// outlineValue is a closed outline or an unclosed path. It never changes: its
// methods give new ones.
type outlineValue struct {
	fixed
	h    *host
	path geom.Path
}

// outlineOf is the script's value for a path.
func (h *host) outlineOf(p geom.Path) *outlineValue { return &outlineValue{h: h, path: p} }

// Type tells the two apart because they have different members: a path is drawn on, an
// outline is not.
func (v *outlineValue) Type() string {
	if v.path.Closed {
		return "outline"
	}
	return "path"
}

// String shows the edges' names and the size of the box, mm; of a path without edges
// where it starts. It is also what the value is hashed by.
func (v *outlineValue) String() string {
	if len(v.path.Edges) == 0 {
		return fmt.Sprintf("path(%s, %s)", geom.Num(v.path.Start().X), geom.Num(v.path.Start().Y))
	}
	b := v.path.Bounds()
	return fmt.Sprintf("%s(%s; %s × %s)", v.Type(), strings.Join(v.path.Names(), " "), geom.Num(b.Width()), geom.Num(b.Height()))
}

func (v *outlineValue) Hash() (uint32, error) { return hashOf(v) }
func (v *outlineValue) AttrNames() []string   { return v.h.table.members(v.Type()) }
func (v *outlineValue) describe() string {
	if v.path.Closed {
		return "an outline"
	}
	return "a path that is not closed"
}

// Attr is a member of the table's. The error says how the edge of that name is got, or
// that the member is one of the other of the two types.
func (v *outlineValue) Attr(name string) (starlark.Value, error) {
	if m := v.h.member(v, name); m != nil {
		return m, nil
	}
	f := v.h.noMember(v, v.Type(), name)
	switch {
	case v.path.Index(name) >= 0:
		f.WithHint("write .edge(%q), or make a panel of the outline", name)
	case v.h.table.member("outline", name) != nil:
		f.WithHint("close the path with .close() first")
	case v.h.table.member("path", name) != nil:
		f.WithHint("the outline is closed; add steps before .close()")
	}
	return nil, f
}

// CompareSameType tells equal outlines: same edges, same names, same order, from the
// same start. Coordinates are compared exactly. The error is for < and the like.
func (v *outlineValue) CompareSameType(op syntax.Token, y starlark.Value, _ int) (bool, error) {
	w := y.(*outlineValue)
	same := v.path.Closed == w.path.Closed && v.path.Start() == w.path.Start() && slices.Equal(v.path.Edges, w.path.Edges)
	switch op {
	case syntax.EQL:
		return same, nil
	case syntax.NEQ:
		return !same, nil
	}
	return false, fmt.Errorf("%s %s %s not implemented", v.Type(), op, y.Type())
}

// edge is the outline's whole edge of that name; it belongs to no panel.
func (v *outlineValue) edge(name string) (edgeValue, bool) {
	i := v.path.Index(name)
	if i < 0 {
		return edgeValue{}, false
	}
	e := edgeValue{h: v.h, curve: v.path.Edges[i].Curve}
	e.ref.Name, e.ref.Index, e.ref.To = name, i, e.curve.Length()
	return e, true
}

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

// Attr is a member of the table's, or an edge; a member hides an edge of its name.
func (v panelValue) Attr(name string) (starlark.Value, error) {
	return v.h.attr(v, name)
}

// edge is the panel's whole edge of that name; the fault lists those there are.
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

// Attr is a member of the table's, or an edge.
func (v openingValue) Attr(name string) (starlark.Value, error) {
	return v.h.attr(v, name)
}

// edge is the opening's whole edge of that name.
func (v openingValue) edge(name string) (edgeValue, *diag.Finding) {
	return v.h.whole(model.EdgeRef{Panel: v.w.Panel, Window: v.w}, v.w.Outline, name, v.describe())
}

// slitValue is a slit cut in a panel.
type slitValue struct {
	fixed
	w *model.Work
}

func (v slitValue) String() string        { return fmt.Sprintf("slit in panel(%q)", v.w.Panel.Name) }
func (v slitValue) Type() string          { return "slit" }
func (v slitValue) Hash() (uint32, error) { return hashOf(v) }
func (v slitValue) describe() string      { return "the slit in panel " + quote(v.w.Panel.Name) }

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

// String is the edge's name, with the stretch of it in mm where it is not the whole.
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

// at is the place d mm along the edge from the end where its curve stops, which is the
// edge's own left end; beyond either end it is that end exactly.
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
