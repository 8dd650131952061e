package blank

import (
	"github.com/creasewright/creasewright/runtime/model"
)

// hingeKind is the kind of line a hinge makes in the files; "" when it is
// folded by hand or never folds. A crease yields away from the tool, so a
// hinge that leans outward is worked from the other side.
func hingeKind(h *model.Hinge, poses []*model.Pose) Kind {
	lean := leanOf(h, poses)
	switch {
	case lean == 0 || h.Line == model.PlainFold:
		return ""
	case h.Line == model.Perforated:
		return PerforatedLine
	case h.Line == model.PartCut && lean > 0:
		return PartCutLine
	case h.Line == model.PartCut:
		return BackPartCutLine
	case lean > 0:
		return ScoreLine
	}
	return BackScoreLine
}

// leanOf is the sign of the finished fold, or of the first pose's that folds
// the hinge at all when the finished piece leaves it flat; 0 for a hinge that
// no pose folds.
func leanOf(h *model.Hinge, poses []*model.Pose) int {
	if h.Fold.Free != nil {
		if h.Fold.Free.Side == model.Out {
			return -1
		}
		return 1
	}
	if s := sign(h.Fold.Degrees); s != 0 {
		return s
	}
	for _, p := range poses {
		if s := sign(p.FoldDegrees[h]); s != 0 {
			return s
		}
	}
	return 0
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// hingeLines lists what is left of every hinge.
func (l *layout) hingeLines() []HingeLine {
	lines := make([]HingeLine, len(l.hinges))
	for i, steps := range l.hingePaths() {
		line := HingeLine{Hinge: l.hinges[i], Kind: l.hingeKinds[i]}
		keep := func(piece int) bool { return l.verdicts[piece].joined && l.joins(i, &l.sides[piece]) }
		for _, r := range l.runs(steps, false, keep) {
			line.Curves = append(line.Curves, l.join(r.chain)...)
		}
		for _, c := range line.Curves {
			line.Length += c.Length()
		}
		lines[i] = line
	}
	return lines
}
