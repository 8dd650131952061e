package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/internal/region"
)

// layers joins the judged pieces into strokes, kind by kind.
func (l *layout) layers() []Layer {
	byKind := map[Kind][]int{}
	var rim []region.Half
	for i, v := range l.verdicts {
		switch {
		case v.rim:
			// Board on the left: outer contours run counter-clockwise.
			rim = append(rim, region.Half{Piece: i, Reversed: l.sides[i].bare(leftSide)})
		case v.kind != "":
			byKind[v.kind] = append(byKind[v.kind], i)
		}
	}
	var out []Layer
	for _, k := range kinds {
		layer := Layer{Kind: k}
		switch k {
		case CutLine:
			layer.Strokes = append(l.contours(rim), l.joined(byKind[k])...)
		case PerforatedLine:
			layer.Strokes = l.perforations()
		default:
			layer.Strokes = l.joined(byKind[k])
		}
		if len(layer.Strokes) > 0 {
			out = append(out, layer)
		}
	}
	return out
}

// contours are the boundaries of the board, each a closed stroke: outer ones
// first, then those round windows, either in order of the panels.
func (l *layout) contours(rim []region.Half) []Stroke {
	var outer, holes []Stroke
	for _, ring := range l.rings(rim) {
		s := Stroke{Curves: ring, Closed: true}
		if enclosed(ring) > 0 {
			outer = append(outer, s)
		} else {
			holes = append(holes, s)
		}
	}
	return append(outer, holes...)
}

// joined are the fewest strokes over the pieces.
func (l *layout) joined(pieces []int) []Stroke {
	var out []Stroke
	for _, c := range trails(&l.Arrangement, pieces) {
		if c.closed {
			c.halves = l.turned(c.halves)
		}
		out = append(out, Stroke{Curves: l.join(c.halves), Closed: c.closed})
	}
	return out
}

// perforations are the cuts of all perforated lines, hinges first.
func (l *layout) perforations() []Stroke {
	if !slices.ContainsFunc(l.verdicts, func(v verdict) bool { return v.kind == PerforatedLine }) {
		return nil
	}
	var out []Stroke
	along := func(o owner, steps []step, closed bool, p pattern) {
		keep := func(piece int) bool {
			v := l.verdicts[piece]
			return v.kind == PerforatedLine && v.by == o
		}
		for _, r := range l.runs(steps, closed, keep) {
			out = append(out, p.perforate(l.join(r.chain), r.closed)...)
		}
	}
	for i, steps := range l.hingePaths() {
		along(owner{hingeStretch, i}, steps, false, hingePattern)
	}
	for i, steps := range l.workPaths() {
		along(owner{workPath, i}, steps, l.works[i].Path.Closed, workPattern(l.works[i]))
	}
	return out
}
