package engine

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/display"
	"github.com/creasewright/creasewright/runtime/limit"
)

// The stages of a run.
const (
	StageScript = "script" // it is run
	StageBlank  = "blank"  // the pieces are laid flat
	StageFolds  = "folds"  // they are folded and measured
	StageRules  = "rules"  // the design is held to the rules, and its pictures are drawn
	StageFiles  = "files"  // the files are made
)

// Stages lists the stages of a run in their order. A run that makes less goes through
// fewer of them.
func Stages() []string { return []string{StageScript, StageBlank, StageFolds, StageRules, StageFiles} }

// enter tells that the run has come to a stage.
func (r *run) enter(stage string) {
	if r.req.Stage != nil {
		r.req.Stage(stage)
	}
}

// MotionRequest asks for the states of a piece on its way from flat to a pose.
type MotionRequest struct {
	Piece  int       // its place among the design's pieces
	Pose   string    // the pose's name
	Shares []float64 // how far on the way, 0 to 1 each, at most MaxShares of them
}

// MaxShares is how many states of a motion may be asked for at once.
const MaxShares = 1000

// fault is what is wrong with the request whatever the design is, nil when nothing is.
func (m *MotionRequest) fault() *diag.Finding {
	if len(m.Shares) > MaxShares {
		return diag.Scriptf(nil, "%d states are asked for at once, of at most %d", len(m.Shares), MaxShares)
	}
	if i := slices.IndexFunc(m.Shares, func(t float64) bool { return !(t >= 0 && t <= 1) }); i >= 0 {
		return diag.Scriptf(nil, "a motion runs from 0 to 1, not to %v", m.Shares[i])
	}
	return nil
}

// motion makes the motion of a design. What is wrong with the design does not keep it
// from being folded and is not told.
func (r *run) motion(ctx context.Context) (Result, error) {
	r.findings = nil
	m := r.req.Motion
	if m.Piece < 0 || m.Piece >= len(r.design.Pieces) {
		return r.broken(ctx, diag.Scriptf(nil, "there is no piece %d", m.Piece)), nil
	}
	r.enter(StageFolds)
	r.arrive(r.design.Pieces[m.Piece])
	text, ok, err := display.Motion(ctx, r.design, display.Way(*m))
	switch {
	case err != nil:
		return Result{}, err
	case !ok:
		return r.broken(ctx, diag.Scriptf(r.at, "%s has no pose %q", r.design.Pieces[m.Piece].Name, m.Pose)), nil
	}
	f := r.req.Files(Clean, nil, nil)[0]
	return r.bounded(ctx, Clean, []File{{f.Name, f.Format.Traits, text}}), nil
}

// shown is what a screen shows of the run. That of a design which takes more than a run's
// files may is its findings alone, so that it keeps no file from being made.
func (r *run) shown(exit Exit) display.Input {
	texts := map[string]string{}
	for _, read := range r.store.Reads() {
		text, _ := r.store.Text(read.Label) // "" for one that could not be had
		texts[read.Label] = string(text)
	}
	return display.Input{
		Script: r.req.Script, Exit: int(exit), Design: r.design, Pieces: r.pieces,
		Findings: r.findings, Waived: r.waived, Cautions: r.cautions, Prints: r.prints,
		Text: func(label string) string { return texts[label] },
		Most: r.req.Limits.OrDefaults()[limit.Output],
	}
}
