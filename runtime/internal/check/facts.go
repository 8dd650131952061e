package check

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// facts is all that the rules judge: a design, its pieces laid flat, folded and
// measured, and what was found on the way there. The slices run parallel to the
// design's pieces. Rules look at ctx in their loops and may stop short once it
// has ended: what they give is of no use then.
type facts struct {
	ctx    context.Context
	Design *model.Design
	Blanks []*blank.Blank
	Pieces []*simulate.Piece
	Lines  []*linework.Lines
	Close  [][]linework.Facing // lines that run closer together than some limit allows
	// hingeAt is the place of every hinge in its piece.
	hingeAt map[*model.Hinge]int
	// Early are findings that the stages before made themselves.
	Early []*diag.Finding
	// Machines are those that files are asked for, Programs what pieces come to there.
	Machines []*model.Machine
	Programs []*toolpath.Program

	waivers  waivers
	named    map[string]*model.Panel // panels by name, once a rule has asked for one
	parted   [][]linework.Part       // the parts that cuts leave of each piece, once a rule has asked for them
	closings []*closing              // of each piece that has the pose "closed", likewise
}

// state is one piece in one pose, with all that was measured there.
type state struct{ *simulate.State }

// newFacts lists the lines of the pieces and which of them run close.
func newFacts(ctx context.Context, in Input) *facts {
	d, pieces := in.Design, in.Pieces
	f := &facts{
		ctx: ctx, Design: d, Pieces: pieces, Early: in.Early, Machines: in.Machines, Programs: in.Programs,
		hingeAt: map[*model.Hinge]int{}, waivers: newWaivers(d.Waivers),
	}
	for _, p := range pieces {
		if f.ended() {
			break
		}
		lines, err := linework.New(ctx, p.Blank)
		if err != nil {
			break // the rules look, too
		}
		f.Blanks, f.Lines = append(f.Blanks, p.Blank), append(f.Lines, lines)
		f.Close = append(f.Close, facings(ctx, d, lines))
		for k, h := range p.Piece.Hinges {
			f.hingeAt[h] = k
		}
	}
	return f
}

// ended reports whether the context has.
func (f *facts) ended() bool { return f.ctx.Err() != nil }

// each visits every piece in every pose.
func (f *facts) each(visit func(state) []Found) []Found {
	var out []Found
	for _, p := range f.Pieces {
		for _, s := range p.States {
			if f.ended() {
				return nil
			}
			out = append(out, visit(state{s})...)
		}
	}
	return out
}

// name is the pose's name.
func (s state) name() string { return s.Pose.Name }

// pair gives the panels of two numbers.
func (s state) pair(a, b int) (*model.Panel, *model.Panel) {
	return s.Piece.Panels[a], s.Piece.Panels[b]
}
