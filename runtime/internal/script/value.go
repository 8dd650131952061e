package script

import (
	"fmt"
	"hash/fnv"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// fixed gives a value the parts of starlark.Value that are the same for all
// of ours: they never change, so freezing does nothing, and all are true.
type fixed struct{}

func (fixed) Freeze()              {}
func (fixed) Truth() starlark.Bool { return true }

// hashOf hashes a value by what it prints.
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
