package model

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// told writes out all that can be reached from a value, so that two states of
// it can be compared; pointers are numbered in order of first sight.
func told(v any) string {
	var out strings.Builder
	seen := map[uintptr]int{}
	var tell func(v reflect.Value)
	tell = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if v.IsNil() {
				out.WriteString("nil ")
			} else if n, ok := seen[v.Pointer()]; ok {
				fmt.Fprintf(&out, "#%d ", n)
			} else {
				seen[v.Pointer()] = len(seen)
				tell(v.Elem())
			}
		case reflect.Interface:
			if !v.IsNil() {
				tell(v.Elem())
			}
		case reflect.Struct:
			for i := range v.NumField() {
				fmt.Fprintf(&out, "%s:", v.Type().Field(i).Name)
				tell(v.Field(i))
			}
		case reflect.Slice, reflect.Array:
			fmt.Fprintf(&out, "%d[", v.Len())
			for i := range v.Len() {
				tell(v.Index(i))
			}
			out.WriteString("]")
		case reflect.Map:
			var entries []string
			for it := v.MapRange(); it.Next(); {
				k := it.Key()
				if k.Kind() == reflect.Pointer {
					k = k.Elem().FieldByName("Name")
				}
				entries = append(entries, fmt.Sprintf("%v=%v ", k, it.Value()))
			}
			slices.Sort(entries)
			fmt.Fprint(&out, entries)
		default:
			fmt.Fprintf(&out, "%v ", v)
		}
	}
	tell(reflect.ValueOf(v))
	return out.String()
}

// handed is all that a caller hands to a builder and could change afterwards.
type handed struct {
	overrides map[string]string
	outline   geom.Path
	window    geom.Path
	slit      geom.Path
	on        EdgeRef
	free      Free
	near      geom.Degrees
	folds     map[string]geom.Degrees
	at, mass  float64
	spot      geom.Point
	limits    map[board.Limit]float64
	choices   []any
	gsm       float64
	detail    float64
	edge      EdgeRef
}

// finished makes a design that uses everything handed to it.
func finished(h *handed) (*Builder, *Design) {
	*h = handed{
		overrides: map[string]string{"count": "2"},
		outline:   rect(60, 40), window: rectAt(5, 5, 10, 10), slit: line(geom.Pt(30, 10), geom.Pt(40, 10)),
		free: Free{Side: In}, near: 30, folds: map[string]geom.Degrees{"lid": 45}, at: 0.5, mass: 12, spot: geom.Pt(20, 20),
		limits: map[board.Limit]float64{board.Web: 2}, choices: []any{1, 2}, gsm: 300, detail: 0.2,
	}
	h.free.NearDegrees = &h.near
	b := NewBuilder(h.overrides)
	must(b.Param(at(1), ParamSpec{Name: "count", Default: 1, Choices: h.choices}))
	card := must(b.Board(at(2), BoardSpec{Name: "card", Caliper: 0.4, GSM: &h.gsm}))
	front := must(b.Panel(at(3), PanelSpec{Name: "front", Outline: h.outline}))
	h.on = edge(b, front, "top")
	lid := must(b.Panel(at(4), PanelSpec{Name: "lid", Outline: rect(60, 40), On: &h.on, Fold: Freely(&h.free)}))
	must(b.Cut(at(5), front, h.window))
	must(b.Cut(at(5), front, h.slit))
	must(b.Work(at(5), WorkSpec{Kind: Drawn, Panel: front, Path: h.slit}))
	h.edge = edge(b, front, "left")
	must(b.Tab(at(6), TabSpec{FlapSpec: FlapSpec{Name: "tab", On: edge(b, lid, "left"), Depth: 8}, To: JoinEnd{Panel: front, Edge: &h.edge}}))
	must(b.Pose(at(7), PoseSpec{Name: "ajar", FoldDegrees: h.folds, At: &h.at}))
	must(b.Contents(at(8), ContentsSpec{Name: "bar", Size: [3]float64{9, 9, 9}, On: front, At: &h.spot, Mass: &h.mass}))
	for _, err := range []error{
		b.Limits(at(9), card, h.limits), b.Machine(at(10), board.Machine{Name: "cutter", Bed: [2]float64{600, 400}, Detail: &h.detail}),
		b.Title(nil, "frozen"),
	} {
		if err != nil {
			panic(err)
		}
	}
	must(b.Piece(at(11), PieceSpec{Name: "box", Root: front, Board: card, Copies: 1}))
	return b, must(b.Finish())
}

// Law: a finished builder refuses every one of its methods, whatever they are,
// and leaves the design as it was.
func TestFinishedBuilderRefusesAll(t *testing.T) {
	var h handed
	b, d := finished(&h)
	before := told(d)
	v := reflect.ValueOf(b)
	for i := range v.NumMethod() {
		name := v.Type().Method(i).Name
		var args []reflect.Value
		for k := range v.Method(i).Type().NumIn() {
			args = append(args, reflect.Zero(v.Method(i).Type().In(k)))
		}
		call := v.Method(i).Call
		if v.Method(i).Type().IsVariadic() {
			call = v.Method(i).CallSlice
		}
		out := call(args)
		err, _ := out[len(out)-1].Interface().(error)
		if err == nil || !strings.Contains(err.Error(), "the design is finished") {
			t.Errorf("%s gives %v", name, err)
		}
	}
	if v.NumMethod() < 20 || told(d) != before {
		t.Errorf("of %d methods some changed the design", v.NumMethod())
	}
	// Arguments that would do are refused as well.
	refuse(t, []fault{
		{"panel", failed(b.Panel(at(99), PanelSpec{Name: "late", Outline: rect(9, 9)})), `panel "late": the design is finished, and its builder makes no other`, ""},
		{"title", b.Title(at(99), "late"), `title: the design is finished, and its builder makes no other`, "start another with NewBuilder"},
		{"cut", failed(b.Cut(at(99), d.Panels[0], rectAt(20, 20, 5, 5))), `cut: the design is finished, and its builder makes no other`, ""},
		{"require", b.Require(at(99), false, "late"), `require: the design is finished, and its builder makes no other`, ""},
	})
	if told(d) != before {
		t.Error("a late call changed the design")
	}
}

// A builder whose Finish failed is spent as well.
func TestFailedFinishSpends(t *testing.T) {
	b, _ := newFront()
	if _, err := b.Finish(); err == nil || !strings.Contains(err.Error(), "the script makes no piece") {
		t.Fatal(err)
	}
	if _, err := b.Finish(); err == nil || !strings.Contains(err.Error(), "the design is finished") {
		t.Errorf("once more: %v", err)
	}
}

// Law: no value that a caller handed in changes the design later.
func TestDesignKeepsItsOwn(t *testing.T) {
	var h handed
	_, d := finished(&h)
	before := told(d)
	h.overrides["count"] = "1"
	for _, p := range []geom.Path{h.outline, h.window, h.slit} {
		for i := range p.Edges {
			p.Edges[i].Name, p.Edges[i].P = "moved", geom.Pt(-500, -500)
		}
	}
	h.on, h.edge = EdgeRef{}, EdgeRef{}
	h.free.Side, h.near = Out, 99
	h.folds["lid"], h.at, h.mass, h.spot = 1, 0.1, 99, geom.Pt(99, 99)
	h.limits[board.Web], h.limits[board.Joint] = 99, 99
	h.choices[0], h.gsm, h.detail = 99, 99, 99
	if after := told(d); after != before {
		t.Errorf("the design changed:\n%s\n%s", before, after)
	}
}

// Hinges that share an unknown angle of a caller's own share the design's.
func TestFreeStaysShared(t *testing.T) {
	b, front := newFront()
	f := &Free{Side: Out}
	var hinges []*Hinge
	for _, name := range []string{"left", "right"} {
		on := edge(b, front, name)
		p := must(b.Panel(at(2), PanelSpec{Name: name, Outline: rect(40, 20), On: &on, Fold: Freely(f)}))
		hinges = append(hinges, p.Hang)
	}
	if a, z := hinges[0].Fold.Free, hinges[1].Fold.Free; a != z || a == f || a.Side != Out {
		t.Errorf("%p and %p of %p", a, z, f)
	}
}
