package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// class is what is made of one edge of the arrangement.
type class struct {
	kind   Kind  // "" for no line
	by     owner // the hinge or work that a line other than a cut comes from
	rim    bool  // a cut with board on one side only
	joined bool  // a hinge joins the board here, with a line or without
}

// classify applies the line-work rule to an edge with given labels:
//
//	no board on either side           nothing
//	board on one side                 a cut, part of a rim
//	board on both, a slit along it    a cut
//	a hinge joins the two sides       the hinge's kind of line, or none
//	different panels, no hinge        a cut
//	else                              what is worked on the board there, or none
//
// It uses labels and the origins of the edge alone, no coordinates: exact, given
// these.
func (l *layout) classify(p region.Edge, s *sides) class {
	switch {
	case s.empty(leftSide) && s.empty(rightSide):
		return class{}
	case s.empty(leftSide) || s.empty(rightSide):
		return class{kind: CutLine, rim: true}
	case l.slit(p):
		return class{kind: CutLine}
	}
	hinge := l.joiningHinge(p, s)
	switch {
	case hinge >= 0 && l.hingeKinds[hinge] != "":
		return class{kind: l.hingeKinds[hinge], by: owner{hingeStretch, hinge}, joined: true}
	case hinge < 0 && !s.unbroken():
		return class{kind: CutLine}
	}
	kind, by := l.workAlong(p)
	return class{kind: kind, by: by, joined: hinge >= 0}
}

// unbroken reports whether the same panel's board runs across the edge.
func (s *sides) unbroken() bool {
	left, right := s[leftSide][0], s[rightSide][0]
	return left == right && !left.edge
}

// slit reports whether a slit runs along the edge.
func (l *layout) slit(p region.Edge) bool {
	return slices.ContainsFunc(p.Origins, func(u region.Origin) bool {
		o := l.owners[u.Curve]
		return o.role == workPath && l.works[o.index].Kind == model.Slit
	})
}

// joiningHinge is the first hinge along the edge that joins the board there; −1
// for none.
func (l *layout) joiningHinge(p region.Edge, s *sides) int {
	for _, u := range p.Origins {
		if hinge := l.curveHinges[u.Curve].hinge; hinge >= 0 && l.joins(hinge, s) {
			return hinge
		}
	}
	return -1
}

// joins reports whether a hinge's two panels both have their board along the
// sides, one on either.
func (l *layout) joins(hinge int, s *sides) bool {
	parent, child := l.hingeEnds[hinge][0], l.hingeEnds[hinge][1]
	return s.has(leftSide, parent) && s.has(rightSide, child) ||
		s.has(leftSide, child) && s.has(rightSide, parent)
}

// workAlong is the kind of line worked along the edge and the work it comes
// from; of several the deepest, then the first made.
func (l *layout) workAlong(p region.Edge) (Kind, owner) {
	kind, by := Kind(""), owner{}
	for _, u := range p.Origins {
		o := l.owners[u.Curve]
		if o.role != workPath {
			continue
		}
		if k := workKind(l.works[o.index]); depth(k) > depth(kind) {
			kind, by = k, o
		}
	}
	return kind, by
}

// depth orders kinds by how deep they go into the board, by their place in kinds; −1
// for none. A score counts alike from either side, and so does a part cut.
func depth(k Kind) int {
	switch k {
	case BackScoreLine:
		k = ScoreLine
	case BackPartCutLine:
		k = PartCutLine
	}
	return slices.Index(kinds[:], k)
}

// workKind is the kind of line that a work other than a slit makes.
func workKind(w *model.Work) Kind {
	switch w.Kind {
	case model.Perforation:
		return PerforatedLine
	case model.Drawn:
		return DrawnLine
	}
	return Kind(w.Line)
}

// hingeKind is the kind of line a hinge makes in the files; "" when it is
// folded by hand or never folds. Score and part-cut are worked from the outside of
// the board, the back- kinds from its inside. A crease or a part cut is worked from
// the outside of the fold, so a hinge that folds out takes a back- kind; a groove is
// cut on the inside of the fold, so it is the other way round.
func hingeKind(h *model.Hinge, poses []*model.Pose) Kind {
	lean := foldSign(h, poses)
	switch {
	case lean == 0 || h.Line == model.PlainFold:
		return ""
	case h.Line == model.Perforated:
		return PerforatedLine
	case h.Line == model.PartCut && lean > 0, h.Line == model.Groove && lean < 0:
		return PartCutLine
	case h.Line == model.PartCut, h.Line == model.Groove:
		return BackPartCutLine
	case lean > 0:
		return ScoreLine
	}
	return BackScoreLine
}

// foldSign is the sign of the finished fold, or of the first pose's that folds
// the hinge at all when the finished piece leaves it flat; 0 for a hinge that
// no pose folds.
func foldSign(h *model.Hinge, poses []*model.Pose) int {
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

func sign(v geom.Degrees) int {
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
	for i, path := range l.hingeEdges {
		if ended(l.ctx, i) {
			break
		}
		line := HingeLine{Hinge: l.hinges[i], Kind: l.hingeKinds[i]}
		keep := func(edge int) bool { return l.classes[edge].joined && l.joins(i, &l.sides[edge]) }
		for _, part := range l.trailsAlong(path, false, keep) {
			line.Curves = append(line.Curves, l.join(part.halves)...)
		}
		for _, c := range line.Curves {
			line.Length += c.Length()
		}
		lines[i] = line
	}
	return lines
}
