package engine

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// leastStrip is the narrowest strip of waste, in mm, that is left between the ways of a beam round two
// pieces. The ways of narrower ones would run into each other by the rounding of places.
const leastStrip = 0.1

// beamKerf is the kerf that a machine's beam keeps off cuts, in mm; 0 where none does.
func beamKerf(m *model.Machine) float64 {
	if t, ok := m.Tool(string(blank.CutLine)); ok && t.Kind == board.Beam && t.Compensate {
		return t.Kerf
	}
	return 0
}

// gapFault refuses a gap in which a beam that keeps off the pieces has no room.
func gapFault(m *model.Machine, gap float64) *diag.Finding {
	kerf := beamKerf(m)
	if kerf == 0 || m.Format == "" || gap == 0 || gap >= kerf+leastStrip-geom.SnapTolerance {
		return nil
	}
	return diag.Scriptf(m.Site, "a gap of %s mm between pieces has no room for the beam of machine %q, whose kerf of %s mm is cut beside each of them",
		geom.Num(gap), m.Name, geom.Num(kerf)).
		WithHint("--gap %s or more would do; with --gap 0 pieces share cuts, and the beam runs on their lines", geom.Num(kerf+leastStrip))
}

// programSheet makes the program of a layout for the machine on whose bed it lies, and tells what it has not.
func (r *run) programSheet(ctx context.Context, l *emit.Layout) (*diag.Finding, error) {
	if len(r.machines) == 0 {
		return nil, nil
	}
	m := r.machines[0]
	b, shared := l.Laid()
	p, err := toolpath.MakeLaid(ctx, b, shared, m.Machine)
	var large *toolpath.TooLarge
	if errors.As(err, &large) {
		return diag.Scriptf(m.Site, "the pieces on the bed of machine %q would lead its tools %s mm off it", m.Name, geom.Num(large.Off)).
			WithHint("a wider --margin would leave room for their ways in and out"), nil
	}
	if err != nil {
		return nil, err
	}
	l.Program = p
	if l.Gap == 0 {
		r.sharedCuts(l, m)
	}
	var said []string // of single pieces, by the rules
	for _, q := range r.programs {
		if q.Machine == p.Machine {
			said = append(said, toldBy(q)...)
		}
	}
	for _, text := range toldBy(p) {
		if !slices.Contains(said, text) {
			said = append(said, text)
			r.warn(m, "machine %q, on the sheet: %s", m.Name, text)
		}
	}
	return nil, nil
}

// toldBy are the texts in which a program tells what it has not.
func toldBy(p *toolpath.Program) (texts []string) {
	for _, lost := range p.Lost {
		texts = append(texts, lost.Text)
	}
	for _, n := range p.Told {
		texts = append(texts, n.Text)
	}
	return texts
}

// sharedCuts tells what becomes of cuts that two pieces have in common.
func (r *run) sharedCuts(l *emit.Layout, m *model.Machine) {
	if kerf := beamKerf(m); kerf > 0 {
		f := r.warn(m, "without a gap between pieces the beam of machine %q runs on their lines: every piece comes out smaller by half of the kerf, %s mm, all round, and its holes as much larger",
			m.Name, geom.Num(kerf/2))
		f.WithHint("--gap %s or more would let the beam keep off the pieces", geom.Num(kerf+leastStrip))
	}
	if m.Nicks == nil {
		return
	}
	open := 0.0
	for _, layer := range l.Layers {
		for _, s := range layer.Strokes {
			if layer.Kind != blank.CutLine || s.Closed {
				continue
			}
			for _, c := range s.Curves {
				open += c.Length()
			}
		}
	}
	if open > 0 {
		r.warn(m, "pieces share cuts, and machine %q leaves no nicks in %s mm of cuts that do not close", m.Name, fmt.Sprintf("%.0f", open)).
			WithHint("with a --gap each piece has nicks of its own")
	}
}

// warn adds a warning that the file for a machine is not all that was asked for.
func (r *run) warn(m *model.Machine, format string, args ...any) *diag.Finding {
	f := diag.Scriptf(m.Site, format, args...)
	f.Rule, f.Severity = "made-otherwise", diag.Warning
	r.findings = append(r.findings, f)
	return f
}
