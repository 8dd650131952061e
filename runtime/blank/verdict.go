package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// verdict is what becomes of one piece of line.
type verdict struct {
	kind   Kind  // "" for no line
	by     owner // the hinge or work that a line other than a cut comes from
	rim    bool  // a cut with board on one side only
	joined bool  // a hinge joins the board here, with a line or without
}

// judge applies the line-work rule to a piece with board on its sides: a rim
// is cut, so is a slit and so are panels that no hinge joins; then comes the
// hinge, then whatever is worked on the board.
func (l *layout) judge(p region.Piece, s *sides) verdict {
	switch {
	case s.bare(leftSide) && s.bare(rightSide):
		return verdict{}
	case s.bare(leftSide) || s.bare(rightSide):
		return verdict{kind: CutLine, rim: true}
	case l.slit(p):
		return verdict{kind: CutLine}
	}
	hinge := l.joining(p, s)
	switch {
	case hinge >= 0 && l.hingeKinds[hinge] != "":
		return verdict{kind: l.hingeKinds[hinge], by: owner{hingeStretch, hinge}, joined: true}
	case hinge < 0 && !s.unbroken():
		return verdict{kind: CutLine}
	}
	kind, by := l.worked(p)
	return verdict{kind: kind, by: by, joined: hinge >= 0}
}

// unbroken reports whether the same panel's board runs across the piece.
func (s *sides) unbroken() bool {
	left, right := s[leftSide][0], s[rightSide][0]
	return left == right && !left.edge
}

// slit reports whether a slit runs along the piece.
func (l *layout) slit(p region.Piece) bool {
	return slices.ContainsFunc(p.Uses, func(u region.Use) bool {
		o := l.owners[u.Curve]
		return o.role == workPath && l.works[o.index].Kind == model.Slit
	})
}

// joining is the first hinge along the piece that joins the board there; −1
// for none.
func (l *layout) joining(p region.Piece, s *sides) int {
	for _, u := range p.Uses {
		if hinge := l.carried[u.Curve].hinge; hinge >= 0 && l.joins(hinge, s) {
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

// worked is the kind of line worked along the piece and the work it comes
// from; of several the deepest, then the first made.
func (l *layout) worked(p region.Piece) (Kind, owner) {
	kind, by := Kind(""), owner{}
	for _, u := range p.Uses {
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

// depth orders kinds by how deep they go into the board; −1 for none. Either
// side's score is as deep as the other's.
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
