package engine

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/model"
)

// Names of the files that every run makes once, whatever its pieces are.
const (
	PreviewName = "preview.svg"
	ReportName  = "report.json"
)

// cutFiles are the files for the machine, two a piece.
func (r *run) cutFiles() []File {
	var out []File
	for _, b := range r.blanks {
		p := b.Piece
		out = append(out,
			File{p.Name + ".cut.svg", CutSVG, emit.SVG(b, p.Inside)},
			File{p.Name + ".cut.dxf", CutDXF, emit.DXF(b, p.Inside)})
	}
	return out
}

// peopleFiles are the picture and the report.
func (r *run) peopleFiles() []File {
	shown := worthShowing(r.findings)
	sheet := preview.SVG(preview.Input{
		Script: r.req.Script, Design: r.design, Blanks: r.blanks, Folds: r.folds(), Views: r.views(shown),
		Findings: shown, Cautions: r.cautions,
	})
	report := emit.Report(emit.Run{
		Script: r.req.Script, Design: r.design, Blanks: r.blanks, States: r.states(), Room: r.room(),
		Findings: r.findings, Waived: r.waived, Cautions: r.cautions,
	})
	return []File{{PreviewName, Preview, sheet}, {ReportName, Report, report}}
}

// folds are the free folds of the finished pieces that were found, in degrees.
func (r *run) folds() map[*model.Hinge]float64 {
	out := map[*model.Hinge]float64{}
	for i, poses := range r.facts.Poses {
		for _, p := range poses {
			if !p.Closed() {
				continue
			}
			for k, a := range p.Posed.Pose.Angles {
				if h := r.blanks[i].Piece.Hinges[k]; h.Fold.Free != nil && a.OK {
					out[h] = a.Degrees
				}
			}
		}
	}
	return out
}

// faultFiles are what a script without a design leaves: a picture of the first
// fault. A script that could not be read at all leaves nothing, so that a
// mistyped name makes no folder.
func (r *run) faultFiles() []File {
	if _, err := r.store.Text(r.req.Script); err != nil {
		return nil
	}
	f := r.findings[0]
	at := f.Site.First()
	picture := preview.Fault(f, r.store.Line(at.File, at.Line), r.req.LastPreview)
	return []File{{PreviewName, Preview, picture}}
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
