package engine

import (
	"context"
	"sync"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/display"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/solid"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// Formats is the table of every format that a run can make. It is a copy.
func Formats() emit.Table { return emit.Formats() }

// Made is what the files of formats are made from that emit does not make itself.
type Made struct {
	emit.Run                   // the design, its blanks and states, what was found
	Index    int               // of the piece, for a file of one
	Pieces   []*simulate.Piece // in the order of the design's
	Paper    Paper             // of files that are printed at home
	Layout   *emit.Layout      // of a run that is asked for one, else nil
	// Sheet lays out the drawing sheet, once for all that ask.
	Sheet func() (*preview.Sheet, error)
}

// Maker makes the bytes of one file.
type Maker func(context.Context, Made) ([]byte, error)

// makers are those by kind.
var makers = map[emit.Kind]Maker{
	emit.KindPreview: func(ctx context.Context, m Made) ([]byte, error) {
		s, err := m.Sheet()
		if err != nil {
			return nil, err
		}
		return preview.SVG(ctx, s)
	},
	emit.KindGLB:           func(ctx context.Context, m Made) ([]byte, error) { return solid.GLB(ctx, m.Design, m.Pieces[m.Index]) },
	emit.KindLayoutPicture: func(ctx context.Context, m Made) ([]byte, error) { return layoutPicture(ctx, m.Layout) },
	emit.KindSTL:           func(ctx context.Context, m Made) ([]byte, error) { return solid.STL(ctx, m.Design, m.Pieces[m.Index]) },
}

// Register names what makes a kind of file that this package does not make itself,
// because not every program should carry what it takes. It is for the init functions of packages
// such as printer.
func Register(k emit.Kind, make Maker) { makers[k] = make }

// Makes reports whether this program can make files of the format.
func Makes(f emit.Format) bool {
	return f.Piece != nil || f.Design != nil || f.Program != nil || f.Layout != nil || makers[f.Kind] != nil || f.Kind == emit.KindDisplay
}

// Table is the table that a run for the request makes files from.
func (req Request) Table() emit.Table {
	switch {
	case req.Motion != nil:
		return emit.Formats().Only([]emit.Kind{emit.KindMotion})
	case req.Formats != nil:
		return req.Formats
	}
	return emit.Formats()
}

// Files lists the files of a run for the request with this ending, these pieces and these machines
// that were asked for, in order. A Broken one has none where the script could not be read.
func (req Request) Files(exit Exit, pieces []string, targets []emit.Target) []emit.File {
	also := req.Also
	if req.Motion != nil {
		also = []emit.Kind{emit.KindMotion}
	}
	return req.Table().Files(emit.When(exit), pieces, emit.Asked{Also: also, Targets: targets, Layout: req.Layout != nil && req.Motion == nil})
}

// fault is what is wrong with the request itself, nil when nothing is.
func (req Request) fault() *diag.Finding {
	if req.Motion != nil {
		return req.Motion.fault()
	}
	if req.Layout != nil {
		return req.Layout.fault()
	}
	for _, k := range req.Also {
		if f, ok := req.Table().Of(k); !ok || !Makes(f) {
			return diag.Scriptf(nil, "there is no file format %q", k)
		}
	}
	if _, ok := papers[req.Paper.orDefault()]; !ok {
		return diag.Scriptf(nil, "there is no paper %q", req.Paper)
	}
	return nil
}

// files makes the files of a design.
func (r *run) files(ctx context.Context, exit Exit) ([]File, error) {
	var pieces []string
	for _, b := range r.blanks {
		pieces = append(pieces, b.Piece.Name)
	}
	wanted := r.req.Files(exit, pieces, r.targets())
	work := make([]func() ([]byte, error), len(wanted))
	for i, f := range wanted {
		work[i] = r.maker(ctx, exit, f)
	}
	out := make([]File, len(wanted))
	err := parallel.Each(ctx, len(wanted), func(i int) error {
		text, err := work[i]()
		out[i] = File{wanted[i].Name, wanted[i].Format.Traits, text}
		return err
	})
	switch {
	case err == nil:
		return out, nil
	case ctx.Err() == nil:
		panic(err) // none but the context is to stop a file
	default:
		return nil, err
	}
}

// maker gathers what one file is made from and gives what makes its bytes, which
// may run beside the makers of other files.
func (r *run) maker(ctx context.Context, exit Exit, f emit.File) func() ([]byte, error) {
	switch {
	case f.Format.Piece != nil:
		return func() ([]byte, error) { return f.Format.Piece(ctx, r.blanks[f.Piece]) }
	case f.Format.Program != nil:
		if r.layout != nil {
			return func() ([]byte, error) { return f.Format.Program(ctx, r.layout.Program) }
		}
		p := r.told().Program(r.blanks[f.Piece].Piece.Name, r.machines[f.Target].Name)
		return func() ([]byte, error) { return f.Format.Program(ctx, p) }
	case f.Format.Layout != nil:
		return func() ([]byte, error) { return f.Format.Layout(ctx, r.layout) }
	case f.Format.Design != nil:
		told := r.told()
		return func() ([]byte, error) { return f.Format.Design(ctx, told) }
	case f.Format.Kind == emit.KindDisplay:
		shown := r.shown(exit)
		return func() ([]byte, error) { return display.JSON(ctx, shown) }
	}
	made := Made{Run: r.told(), Index: f.Piece, Pieces: r.pieces, Paper: r.req.Paper.orDefault(), Layout: r.layout, Sheet: r.sheet(ctx)}
	return func() ([]byte, error) { return makers[f.Format.Kind](ctx, made) }
}

// told is what a file of the whole design is made from.
func (r *run) told() emit.Run {
	return emit.Run{
		Script: r.req.Script, Design: r.design, Blanks: r.blanks, States: r.states(), Room: r.room(),
		Findings: r.findings, Waived: r.waived, Cautions: r.cautions, Programs: r.asked(),
	}
}

// sheet gives what lays out the sheet that pictures are drawn from, once for all
// of them.
func (r *run) sheet(ctx context.Context) func() (*preview.Sheet, error) {
	if r.laid == nil {
		shown := worthShowing(r.findings)
		for i := range r.views {
			r.views[i].Mark(shown)
		}
		in := preview.Input{
			Script: r.req.Script, Design: r.design, Blanks: r.blanks, Folds: r.folds(), Views: r.views,
			Findings: shown, Cautions: r.cautions,
		}
		r.laid = sync.OnceValues(func() (*preview.Sheet, error) { return preview.Lay(ctx, in) })
	}
	return r.laid
}

// folds are the free folds of the finished pieces that were found, in degrees.
func (r *run) folds() map[*model.Hinge]geom.Degrees {
	out := map[*model.Hinge]geom.Degrees{}
	for i, piece := range r.pieces {
		for _, p := range piece.States {
			if !p.Closed() {
				continue
			}
			for k, a := range p.Folds {
				if h := r.blanks[i].Piece.Hinges[k]; h.Fold.Free != nil && a.OK {
					out[h] = a.Degrees
				}
			}
		}
	}
	return out
}

// faultFiles are what a script without a design leaves: pictures of the first
// fault. A script that could not be read at all leaves nothing, so that a
// mistyped name makes no folder.
func (r *run) faultFiles(ctx context.Context) []File {
	if _, err := r.store.Text(r.req.Script); err != nil {
		return nil
	}
	f := r.findings[0]
	at := f.Site.First()
	var out []File
	for _, file := range r.req.Files(Broken, nil, nil) { // the preview alone
		picture := preview.Fault(ctx, f, r.store.Line(at.File, at.Line), r.req.LastPreview)
		out = append(out, File{file.Name, file.Format.Traits, picture})
	}
	return out
}

// worthShowing leaves out notes.
func worthShowing(fs []*diag.Finding) []*diag.Finding {
	var out []*diag.Finding
	for _, f := range fs {
		if f.Severity > diag.Note {
			out = append(out, f)
		}
	}
	return out
}
