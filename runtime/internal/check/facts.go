package check

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// Facts is all that the rules judge: a design, its pieces laid flat, folded and
// measured, and what was found on the way there. The slices run parallel to the
// design's pieces.
type Facts struct {
	Design *model.Design
	Blanks []*blank.Blank
	Folded []*fold.Folded
	Poses  [][]*Pose // of each piece but "flat", "closed" first
	Lines  []*linework.Lines
	Close  [][]linework.Facing // lines that run closer together than some limit allows
	// Early are findings that the stages before made themselves.
	Early []*diag.Finding

	shuts []*shut // of each piece, once a rule has asked for them
}

// Pose is one piece in one pose, with all that was measured there.
type Pose struct {
	*contact.Posed
	Gaps   []contact.Gap   // of the joins that the pose requires
	Covers []contact.Cover // in "closed"
	Fits   []contact.Fit   // in "closed"
}

// Gather folds the pieces of a design that are laid already, and measures them
// in every pose. Its error is the context's.
func Gather(ctx context.Context, d *model.Design, blanks []*blank.Blank, early []*diag.Finding) (*Facts, error) {
	f := &Facts{Design: d, Blanks: blanks, Early: early}
	for i, piece := range d.Pieces {
		folded, err := fold.Fold(ctx, piece, d.Poses)
		if err != nil {
			return nil, err
		}
		f.Folded = append(f.Folded, folded)
		f.Poses = append(f.Poses, measure(d, contact.New(blanks[i]), folded))
		f.Lines = append(f.Lines, linework.New(blanks[i]))
		f.Close = append(f.Close, facings(d, f.Lines[i]))
	}
	return f, nil
}

// measure looks at a piece in each of its poses but "flat": what lies wrong
// there is the blank's to tell.
func measure(d *model.Design, boards *contact.Boards, folded *fold.Folded) []*Pose {
	var out []*Pose
	var closed *contact.Posed
	for _, pose := range folded.Poses {
		if pose.Pose.Name == model.PoseFlat {
			continue
		}
		p := &Pose{Posed: boards.In(pose)}
		if p.Closed() {
			closed = p.Posed
			p.Covers = p.Posed.Covers()
			p.Fits = fits(d, p.Posed)
		}
		p.Gaps = p.Posed.Gaps(closed)
		out = append(out, p)
	}
	return out
}

// fits stands the contents of a piece in it.
func fits(d *model.Design, closed *contact.Posed) []contact.Fit {
	var out []contact.Fit
	for _, c := range d.Contents {
		if c.Panel.Piece != closed.Piece {
			continue
		}
		if fit, ok := closed.Fit(c); ok {
			out = append(out, fit)
		}
	}
	return out
}

// each visits every piece in every pose.
func (f *Facts) each(visit func(*Pose) []Found) []Found {
	var out []Found
	for _, poses := range f.Poses {
		for _, p := range poses {
			out = append(out, visit(p)...)
		}
	}
	return out
}

// name is the pose's name.
func (p *Pose) name() string { return p.Pose.Pose.Name }

// pair gives the panels of two numbers.
func (p *Pose) pair(a, b int) (*model.Panel, *model.Panel) {
	return p.Piece.Panels[a], p.Piece.Panels[b]
}
