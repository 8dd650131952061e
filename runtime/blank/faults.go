package blank

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// findings lists what keeps the blank from being made.
func (l *layout) findings(b *Blank) []*diag.Finding {
	out := l.lostPanels()
	out = append(out, l.lostHinges(b.Hinges)...)
	out = append(out, l.idleWindows()...)
	out = append(out, l.idleWorks()...)
	for _, err := range l.unclosed {
		out = append(out, l.fault(l.piece.Site, l.piece.Root, "%v", err).
			WithHint("lines run so close together here that they can be told apart no more; move them apart or onto each other"))
	}
	return append(out, l.overlapFindings()...)
}

// fault is a script error about a panel of this piece.
func (l *layout) fault(site source.Site, p *model.Panel, format string, args ...any) *diag.Finding {
	f := diag.Scriptf(site, format, args...)
	f.Piece, f.Panel = l.piece.Name, p.Name
	return f
}

// lostPanels are the panels that windows leave without board.
func (l *layout) lostPanels() []*diag.Finding {
	left := l.hasBoard()
	var out []*diag.Finding
	for i, p := range l.panels {
		if !left[i] && !l.crowded[i] {
			f := l.fault(p.Site, p, "panel %q has no board left: windows take all %s mm² of it", p.Name, geom.Num(p.Outline.Area()))
			at := l.outlines[i].Bounds().Mid()
			f.At = &at
			out = append(out, f)
		}
	}
	return out
}

// hasBoard tells, by panel, whether windows leave it any board.
func (l *layout) hasBoard() []bool {
	left := make([]bool, len(l.panels))
	for i := range l.sides {
		for _, covers := range l.sides[i] {
			for _, c := range covers {
				left[c.index] = true
			}
		}
	}
	return left
}

// lostHinges are the hinges of which windows and slits leave nothing, though
// both their panels still stand.
func (l *layout) lostHinges(lines []HingeLine) []*diag.Finding {
	left := l.hasBoard()
	var out []*diag.Finding
	for i, line := range lines {
		h := line.Hinge
		if len(line.Curves) > 0 || !left[l.hingeEnds[i][0]] || !left[l.hingeEnds[i][1]] {
			continue
		}
		f := l.fault(h.Site, h.Child, "hinge %q is left nowhere: windows and slits take all %s mm of it along %s",
			h.Name, geom.Num(h.Curve.Length()), h.On)
		at := h.Parent.Flat.Apply(h.Curve.At(0.5))
		f.At = &at
		out = append(out, f)
	}
	return out
}

// idleWindows are the windows with no board under them.
func (l *layout) idleWindows() []*diag.Finding {
	var out []*diag.Finding
	for i, w := range l.windows {
		if !l.onBoard[i] {
			out = append(out, l.idle(w.Site, w.Panel, "window", w.Outline))
		}
	}
	return out
}

// idleWorks are the slits, scores, perforations and drawn lines that touch no
// board.
func (l *layout) idleWorks() []*diag.Finding {
	onBoard := make([]bool, len(l.works))
	for i, p := range l.Pieces {
		if s := &l.sides[i]; s.bare(leftSide) && s.bare(rightSide) {
			continue
		}
		for _, u := range p.Uses {
			if o := l.owners[u.Curve]; o.role == workPath {
				onBoard[o.index] = true
			}
		}
	}
	var out []*diag.Finding
	for i, w := range l.works {
		if !onBoard[i] {
			out = append(out, l.idle(w.Site, w.Panel, workWord(w), w.Path))
		}
	}
	return out
}

// idle is the fault of a path in a panel's frame that lies off the board.
func (l *layout) idle(site source.Site, p *model.Panel, word string, path geom.Path) *diag.Finding {
	b := path.Bounds()
	f := l.fault(site, p, "%s in panel %q lies wholly outside the board: it spans x %s to %s, y %s to %s", word, p.Name,
		geom.Num(b.Min.X), geom.Num(b.Max.X), geom.Num(b.Min.Y), geom.Num(b.Max.Y))
	at := p.Flat.Apply(b.Mid())
	f.At = &at
	board := p.Outline.Bounds()
	return f.WithHint("the panel's own outline spans x %s to %s, y %s to %s",
		geom.Num(board.Min.X), geom.Num(board.Max.X), geom.Num(board.Min.Y), geom.Num(board.Max.Y))
}

// workWord is what messages call a work.
func workWord(w *model.Work) string {
	return [...]string{"slit", "score", "perforation", "drawn line"}[w.Kind]
}
