package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// throughMissed tells of cuts that are meant to go through a panel which does
// not lie over them.
var throughMissed = Rule{
	ID: "through-missed", Severity: diag.Error, Title: "a cut does not reach a panel that it is to go through",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		leftOut := map[*model.Panel]bool{}
		for _, p := range f.Pieces {
			for _, o := range p.LeftOut {
				leftOut[o.Panel] = true
			}
		}
		var out []Found
		for _, t := range f.Design.Throughs {
			for _, l := range t.Layers {
				if l.Miss != nil {
					out = append(out, missFound(t, l, leftOut))
				}
			}
		}
		return out
	},
}

func missFound(t *model.Through, l *model.ThroughLayer, leftOut map[*model.Panel]bool) Found {
	why, hint := missWords(t, l, leftOut)
	f := foundf(t.Site, []*model.Panel{l.Panel, t.Panel}, "the cut in %q does not go through %q: in the closed piece %s", t.Panel.Name, l.Panel.Name, why).
		relate(l.Panel.Site, "panel %q", l.Panel.Name)
	path := t.Path()
	at := t.Panel.Flat.Apply(path.Bounds().Mid())
	f.At = &at
	return f.hint("%s", hint)
}

// missWords say why a cut does not go through a panel, and what can be done; some
// panels are left out of all poses.
func missWords(t *model.Through, l *model.ThroughLayer, leftOut map[*model.Panel]bool) (why, hint string) {
	p, q := t.Panel, l.Panel
	alone := fmt.Sprintf("leave %q out of through and cut it by a call of its own", q.Name)
	switch m := l.Miss; m.Kind {
	case model.Tilted:
		return fmt.Sprintf("it stands at %s degrees to %q", degrees(m.AngleDegrees), p.Name),
			fmt.Sprintf("through is for panels that lie flat on %q; %s", p.Name, alone)
	case model.Distant:
		return fmt.Sprintf("it lies %s from %q, further than board of one stack", mm(m.Distance), p.Name),
			fmt.Sprintf("through is for panels that lie on %q; %s", p.Name, alone)
	case model.Beside:
		why = fmt.Sprintf("its board lies %s beside the cut", mm(m.Distance))
		if !exceeds(m.Distance, 0) {
			why = "the cut runs along its rim, beside its board"
		}
		return why, "move the cut to where the panels lie over one another, or leave that panel out of through"
	}
	// The rest have no place in the pose, the panel of the cut or the one to be cut.
	for _, r := range [...]*model.Panel{p, q} {
		if leftOut[r] {
			return fmt.Sprintf("%q has no place", r.Name), "panels that are bent, or lie beyond one or a curved hinge, are in no pose; " + alone
		}
	}
	return "a fold on the way to it was not found", "give the fold an angle, or " + alone
}
