package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// early is the function of a rule whose findings an earlier stage makes.
func early(id string) func(*facts) []Found {
	return func(f *facts) []Found {
		var out []Found
		for _, g := range f.Early {
			if g.Rule == id {
				out = append(out, f.adopt(g))
			}
		}
		return out
	}
}

// adopt finds the panel and piece that a finding names.
func (f *facts) adopt(g *diag.Finding) Found {
	out := Found{Finding: *g}
	for _, p := range f.Design.Panels {
		if p.Name == g.Panel {
			out.Panels, out.Blames = []*model.Panel{p}, []*model.Panel{p}
		}
	}
	for _, p := range f.Design.Pieces {
		if p.Name == g.Piece {
			out.Piece = p
		}
	}
	return out
}
