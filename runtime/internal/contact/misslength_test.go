package contact

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Edges of 45 and 60 mm that a bent panel joins differ by 15, and the longer
// one is blamed whichever comes first; flat panels are measured in space.
func TestLengthsOfBentEdges(t *testing.T) {
	panel := func(name string, width float64, bent bool) *model.Panel {
		outline, err := geom.Rect(width, 30, 0)
		if err != nil {
			t.Fatal(err)
		}
		return &model.Panel{Name: name, Outline: outline, Flat: geom.Identity(), Bent: bent}
	}
	edge := func(p *model.Panel, name string) model.JoinEnd {
		ref := model.EdgeRef{Panel: p, Name: name, Index: p.Outline.Index(name), From: 0, To: p.Outline.Edges[p.Outline.Index(name)].Length()}
		return model.ToEdge(ref)
	}
	short, long := panel("band", 45, true), panel("base", 60, false)
	for _, ends := range [][2]model.JoinEnd{
		{edge(short, "top"), edge(long, "bottom")},
		{edge(long, "bottom"), edge(short, "top")},
	} {
		m, ok := missLength(&model.Join{Kind: model.MeetJoin, A: ends[0], B: ends[1]})
		if !ok || m.To != Lengths || m.Raw != 15 || m.Panel != long || m.Edge != "top" {
			t.Errorf("%+v, %v", m, ok)
		}
	}
	short.Bent = false
	if m, ok := missLength(&model.Join{Kind: model.MeetJoin, A: edge(short, "top"), B: edge(long, "bottom")}); ok {
		t.Errorf("of two flat panels: %+v", m)
	}
}
