package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/region"
)

// verdict is what becomes of one piece of line.
type verdict struct {
	kind  Kind // "" for no line
	rim   bool // a cut with board on one side only
	by    owner
	hinge int // the hinge that joins the board here, with a line or without; else −1
}

// judge applies the line-work rule to a piece with board on its sides: a rim
// is cut, so is a slit and so are panels that no hinge joins; then comes the
// hinge, then whatever is worked on the board.
func (l *layout) judge(p region.Piece, s sides) verdict {
	v := verdict{hinge: -1}
	if s.bare(leftSide) || s.bare(rightSide) {
		if s.bare(leftSide) != s.bare(rightSide) {
			v.kind, v.rim = CutLine, true
		}
		return v
	}
	if l.slit(p) {
		v.kind = CutLine
		return v
	}
	v.hinge = l.joining(p, s)
	switch {
	case v.hinge >= 0 && l.hingeKinds[v.hinge] != "":
		v.kind, v.by = l.hingeKinds[v.hinge], owner{hingeStretch, v.hinge}
	case v.hinge < 0 && !s.unbroken():
		v.kind = CutLine
	default:
		v.kind, v.by = l.worked(p)
	}
	return v
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

// joining is the hinge along the piece whose two panels both have their board
// there, one on either side; else −1.
func (l *layout) joining(p region.Piece, s sides) int {
	for _, u := range p.Uses {
		o := l.owners[u.Curve]
		if o.role != hingeStretch {
			continue
		}
		ends := l.hingeEnds[o.index]
		if s.has(leftSide, ends[0]) && s.has(rightSide, ends[1]) ||
			s.has(leftSide, ends[1]) && s.has(rightSide, ends[0]) {
			return o.index
		}
	}
	return -1
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
	return slices.Index(Kinds, k)
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
