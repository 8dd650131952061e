package live

import (
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// outcome does a run and takes what is not to be written out of its files. A run that
// is to be shown keeps its texts.
func (j Job) outcome(ctx context.Context, req engine.Request) (Outcome, error) {
	req.Stage = j.Stage
	kept := snapshot{}
	if j.Display {
		req.Read = kept.keeping(req.Read)
		req.Also = append(slices.Clip(req.Also), emit.KindDisplay)
		if shown, _ := emit.Formats().Of(emit.KindDisplay); req.Formats != nil && !slices.Contains(req.Formats.Kinds(), shown.Kind) {
			req.Formats = append(emit.Table{shown}, req.Formats...)
		}
	}
	res, err := j.run(ctx, req)
	out := Outcome{Result: res}
	out.Files = slices.DeleteFunc(out.Files, func(f engine.File) bool {
		if f.Kind == emit.KindDisplay {
			out.Display = f.Bytes
		}
		return f.Unwritten
	})
	if out.Display != nil {
		j.Text, j.Params, j.label, j.reader = nil, req.Params, req.Script, kept.text
		out.Frozen = &j
	}
	return out, err
}

// Try runs the script with other values for some of its parameters, of which
// Job.Params has the rest, under the limits of any run, for its findings and its
// Display. Nothing is written. The texts are those on disk, or of the run that the job
// was frozen in. The error is about a path that makes no sense, or the context's.
func (j Job) Try(ctx context.Context, params map[string]string) (Outcome, error) {
	start := time.Now()
	script, texts, err := j.source()
	if err != nil {
		return Outcome{}, err
	}
	j.Display = true
	out, err := j.outcome(ctx, engine.Request{Script: script, Read: texts, Params: j.with(params), Formats: emit.Table{}})
	out.Built = time.Since(start)
	return out, err
}

// Motion gives the states of a piece on its way from flat to a pose, with values for the
// parameters as in Try: a file of the format emit.KindMotion, which stands in no folder.
// Only that of a job that was frozen in a run is sure to fit that run's Display. The
// error may also be a *diag.Finding, which says what is wrong with the script or with
// what was asked for.
func (j Job) Motion(ctx context.Context, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	script, texts, err := j.source()
	if err != nil {
		return nil, err
	}
	res, err := j.run(ctx, engine.Request{
		Script: script, Read: texts, Params: j.with(params), Stage: j.Stage,
		Motion: &engine.MotionRequest{Piece: piece, Pose: pose, Shares: shares},
	})
	switch {
	case err != nil:
		return nil, err
	case len(res.Files) == 1:
		return res.Files[0].Bytes, nil
	case len(res.Findings) > 0:
		return nil, res.Findings[0]
	}
	return nil, errors.New("the run gave no motion")
}

// with is the job's values with some put in their place.
func (j Job) with(params map[string]string) map[string]string {
	out := make(map[string]string, len(j.Params)+len(params))
	maps.Copy(out, j.Params)
	maps.Copy(out, params)
	return out
}

// snapshot is the texts of a run, or why there was none. It is not changed once that
// has ended.
type snapshot map[string]kept

type kept struct {
	text []byte
	err  error
}

// keeping reads as next does and keeps what came back.
func (s snapshot) keeping(next source.Reader) source.Reader {
	return func(label string) ([]byte, error) {
		text, err := next.Text(label)
		s[label] = kept{text, err}
		return text, err
	}
}

// errNotRead is what a frozen job says of a text that its run did not ask for.
var errNotRead = errors.New("the run that is shown has not read this file")

// text is a source.Reader of what was kept.
func (s snapshot) text(label string) ([]byte, error) {
	k, ok := s[label]
	if !ok {
		return nil, errNotRead
	}
	return k.text, k.err
}
