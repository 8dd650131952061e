package script

import (
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/geom"
)

// outlineValue is a closed outline or an unclosed path. It never changes: its
// methods give new ones.
type outlineValue struct {
	fixed
	h    *host
	path geom.Path
}

func (h *host) outlineOf(p geom.Path) *outlineValue { return &outlineValue{h: h, path: p} }

func (v *outlineValue) Type() string {
	if v.path.Closed {
		return "outline"
	}
	return "path"
}

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

// CompareSameType tells equal outlines: same edges, same names, same order.
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
