package emit

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// What G-code files are held to.
const (
	// biarcTolerance is how far, in mm, the arcs that stand for a curve may stray from
	// it: less than machines of this kind repeat (common practice, no source).
	biarcTolerance = 0.005
	// mostRadius is the largest radius in mm of an arc that is written as one. Many
	// controllers compute with seven digits, which leave 0.001 mm of it, and the ends of an arc may
	// differ by 0.002 mm in theirs (RS274/NGC, 3.5.3.2). Larger ones are chords.
	mostRadius = 10000
	// upZ is how high above the board, in mm, tools move that have a height (common
	// practice, no source).
	upZ = 5
	// swingShare is the share of its depth at which a blade turns about its tip: the tip
	// stays in the board and most of the edge is out of it (common practice, no source).
	swingShare = 0.5
	// fullPower is what S says for the full power of a beam.
	fullPower = 1000
	// commentLine is the length at which comments are broken: readers take 256 bytes.
	commentLine = 72
)

// NoFeed is the error of GCode for a tool without a feed: a program of G-code has
// to name one.
type NoFeed struct {
	Machine string
	Tool    board.ToolKind
	Line    string
}

func (e *NoFeed) Error() string {
	return fmt.Sprintf("machine %q: the %s for %q has no feed, which G-code needs", e.Machine, e.Tool, e.Line)
}

// GCode is the file of a program in RS274/NGC: millimetres, absolute places, the
// origin in the bed's lower left corner, feeds per minute, four decimals. Z 0 is the
// upper face of the board. Tools with a height move over the board at upZ, go down to their
// depth and turn in a swing at swingShare of it; a tool without a declared depth goes to Z 0,
// and its depth is set on the machine. A beam has no height: it is on (M3 with S, in
// thousandths of the full power) along a stroke and off before it moves on. Where a program
// needs several tools, each is called for by T and M6; all beams are one head and never
// called for. Curves are arcs within biarcTolerance. The error is an *OffBed, a *NoFeed
// or the context's.
func GCode(ctx context.Context, p *toolpath.Program) ([]byte, error) {
	if err := onBed(p); err != nil {
		return nil, err
	}
	w := &gcodeWriter{lattice: latticeOf(p.Machine, gcodeStep), changes: heads(p) > 1}
	w.header(p)
	var last *board.Tool
	for i := range p.Passes {
		pass := &p.Passes[i]
		if pass.Tool.Feed == nil {
			return nil, &NoFeed{Machine: p.Machine.Name, Tool: pass.Tool.Kind, Line: string(pass.Kind)}
		}
		w.pass(last, pass)
		last = &pass.Tool
		for _, s := range pass.Strokes {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			for run := range pass.Runs(s) {
				w.stroke(run, pass.Tool)
			}
		}
	}
	return append(w.out, "M2\n"...), nil
}

// sameHead reports whether two tools are one to the machine, though their figures may differ.
func sameHead(t, u *board.Tool) bool {
	return t.Kind == board.Beam && u.Kind == board.Beam || t.Number == u.Number
}

// heads counts the tools that the program needs to call for.
func heads(p *toolpath.Program) int {
	n := 0
	for i := range p.Passes {
		first := true
		for k := range i {
			first = first && !sameHead(&p.Passes[k].Tool, &p.Passes[i].Tool)
		}
		if first {
			n++
		}
	}
	return n
}

// gcodeWriter writes one block to a line.
type gcodeWriter struct {
	lattice
	out     []byte
	at      spot
	changes bool // tools are called for
}

func (w *gcodeWriter) line(words string) { w.out = append(append(w.out, words...), '\n') }

// comment writes a text as comments of commentLine bytes each. Controllers act upon comments that
// begin with certain words, and texts may hold such words: all comments but the first begin
// with commentMore.
func (w *gcodeWriter) comment(text string) {
	plain := plainComment(text)
	for line := ""; ; {
		word, rest, more := strings.Cut(plain, " ")
		if line != "" && len(line)+1+len(word) > commentLine {
			w.line("(" + line + ")")
			line = commentMore
		}
		if line != "" {
			line += " "
		}
		line += word[:min(len(word), commentLine-len(commentMore)-1)]
		if plain = rest; !more {
			w.line("(" + line + ")")
			return
		}
	}
}

// commentMore begins a comment that goes on with the one before.
const commentMore = "..."

// plainComment is a text in the characters that no reader or sender of such files acts upon.
func plainComment(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', strings.ContainsRune(" .,:-+_/=", r):
			return r
		}
		return '_'
	}, text)
}

// gcodeTitle begins the comment in which every file begins.
const gcodeTitle = "Creasewright"

// header tells what the file is for, in comments, and sets what all blocks rely on.
func (w *gcodeWriter) header(p *toolpath.Program) {
	short := func(v float64) string { return string(decimal.AppendShort(nil, v, 3)) }
	w.comment(gcodeTitle + ", RS274/NGC, millimetres")
	w.comment("piece: " + p.Piece.Name)
	if b := p.Piece.Board; b != nil {
		w.comment("board: " + b.Name + ", " + short(b.Caliper) + " mm")
	}
	w.comment("machine: " + p.Machine.Name + ", bed " + short(p.Machine.Bed[0]) + " x " + short(p.Machine.Bed[1]) + " mm")
	w.comment("size: " + short(p.Size[0]) + " x " + short(p.Size[1]) + " mm, its corner at X" + short(p.Corner[0]) + " Y" + short(p.Corner[1]))
	kinds := kindsOf(p)
	if slices.ContainsFunc(kinds, hasHeight) {
		w.comment("Z0 is the upper face of the board")
	}
	if w.changes {
		w.comment("several tools: each is called for by T and M6")
	}
	for _, k := range kinds {
		if c := k.Caution(); c != "" {
			w.comment("caution: " + c)
		}
	}
	w.line("G21 G90 G17 G94")
	if slices.Contains(kinds, board.Beam) {
		w.line("M5")
	}
	if slices.ContainsFunc(kinds, hasHeight) {
		w.up()
	}
}

// hasHeight reports whether tools of a kind are moved up and down.
func hasHeight(k board.ToolKind) bool { return k != board.Beam }

// kindsOf lists the kinds of tools that a program uses, each once.
func kindsOf(p *toolpath.Program) (kinds []board.ToolKind) {
	seen := map[board.ToolKind]bool{}
	for _, pass := range p.Passes {
		if k := pass.Tool.Kind; !seen[k] {
			seen[k] = true
			kinds = append(kinds, k)
		}
	}
	return kinds
}

// pass says what comes, calls for its tool and sets the feed.
func (w *gcodeWriter) pass(last *board.Tool, p *toolpath.Pass) {
	t := &p.Tool
	w.comment(describe(p))
	if w.changes && (last == nil || !sameHead(last, t)) {
		w.line("T" + strconv.Itoa(t.Number) + " M6")
		if hasHeight(t.Kind) {
			w.up()
		}
	}
	w.line("F" + string(decimal.AppendShort(nil, max(*t.Feed*60, leastFeed), 3)))
}

// leastFeed in mm/min is what is left of a feed by three decimals.
const leastFeed = 0.001

// describe says in a comment what a pass is made with, and what stays to be set on
// the machine.
func describe(p *toolpath.Pass) string {
	t, short := p.Tool, func(v float64) string { return string(decimal.AppendShort(nil, v, 3)) }
	text := string(p.Kind) + ": " + string(t.Kind)
	if t.Kind == board.Beam {
		text += ", power " + short(t.Power*100) + " per cent is S" + beamPower(t) + " of S" + strconv.Itoa(fullPower)
		if n := t.Passes; n > 1 {
			text += ", each stroke " + strconv.Itoa(n) + " times"
		}
		return text + compensation(p, t.Kerf > 0, "kerf "+short(t.Kerf)+" mm")
	}
	text += ", tool " + strconv.Itoa(t.Number)
	switch {
	case t.Depth != nil:
		text += ", depth " + short(*t.Depth) + " mm"
	case t.Kind != board.Pen:
		text += ", down at Z0: no depth is given, set it on the machine"
	default:
		text += ", down at Z0"
	}
	return text + compensation(p, t.Offset > 0, "offset "+short(t.Offset)+" mm")
}

// compensation says whether the way is that of the lines, for cuts and wherever a blade
// trails. A beam is kept off cuts only.
func compensation(p *toolpath.Pass, has bool, figure string) string {
	switch {
	case p.Tool.Kind == board.Beam && p.Kind != blank.CutLine:
		return ""
	case p.Tool.Compensate:
		return ", compensated for " + figure
	case has:
		return ", not compensated for " + figure
	case p.Kind == blank.CutLine:
		return ", not compensated"
	}
	return ""
}

// beamPower is the power of a beam as S says it.
func beamPower(t board.Tool) string {
	return string(decimal.AppendShort(nil, t.Power*fullPower, 1))
}

// depths is the Z at which a tool works and that at which it swings, in text. They
// are rounded toward the board's face: never below a declared depth.
func depths(t board.Tool) (work, swing string) {
	if t.Depth == nil {
		return "0", "0"
	}
	z := func(depth float64) string {
		return string(decimal.AppendShort(nil, -math.Floor(depth*perMM+1e-3)/perMM, 4))
	}
	return z(*t.Depth), z(*t.Depth * swingShare)
}

// up lifts the tool.
func (w *gcodeWriter) up() { w.line("G0 Z" + strconv.Itoa(upZ)) }

// stroke goes to the start of a stroke with the tool up or the beam off, along it,
// and leaves the tool up. A stroke that comes to nothing on the lattice is left out.
func (w *gcodeWriter) stroke(s toolpath.Stroke, t board.Tool) {
	before, from := len(w.out), w.at
	w.at = w.round(s.Start())
	w.out = append(w.out, "G0"...)
	w.place(w.at)
	work, swing := depths(t)
	if hasHeight(t.Kind) {
		w.line("G1 Z" + work)
	} else {
		w.line("M3 S" + beamPower(t))
	}
	moved, swings := false, false
	for _, m := range s.Moves {
		if m.Swing != swings && work != swing && hasHeight(t.Kind) {
			swings = m.Swing
			w.line("G1 Z" + map[bool]string{true: swing, false: work}[swings])
		}
		for _, c := range plain(m.Curve) {
			moved = w.move(c) || moved
		}
	}
	switch {
	case !moved:
		w.out, w.at = w.out[:before], from
	case hasHeight(t.Kind):
		w.up()
	default:
		w.line("M5")
	}
}

// plain gives a curve as lines and arcs of a quarter turn at most that a controller
// computes well.
func plain(c geom.Curve) []geom.Curve {
	var out []geom.Curve
	switch {
	case c.Kind == geom.Cubic:
		for _, a := range appendArcs(nil, c, biarcTolerance, mostHalvings) {
			out = append(out, plain(a)...)
		}
	case c.Kind == geom.Arc && c.R > mostRadius:
		at := c.P
		for _, p := range c.Flatten(nil, biarcTolerance) {
			out = append(out, geom.LineFrom(at, p))
			at = p
		}
	case c.Kind == geom.Arc:
		n := quarters(c)
		for k := range n {
			out = append(out, c.Part(float64(k)/float64(n), float64(k+1)/float64(n)))
		}
	default:
		out = append(out, c)
	}
	return out
}

// move goes along a line or an arc; false where it has no length on the lattice. The
// centre of an arc lies on the middle line of its rounded ends, as far from them as the
// radius asks, so that its distances from both agree but for the rounding of I and J.
func (w *gcodeWriter) move(c geom.Curve) bool {
	to := w.round(c.Q)
	if to == w.at {
		return false
	}
	p, q := w.point(w.at), w.point(to)
	half := p.Dist(q) / 2
	if c.Kind == geom.Line || half > c.R || c.R-math.Sqrt(float64((c.R-half)*(c.R+half))) < 1.0/perMM {
		w.out = append(w.out, "G1"...)
		w.place(to)
		w.at = to
		return true
	}
	left := c.Sweep.Radians() > 0
	height := math.Sqrt(float64((c.R - half) * (c.R + half)))
	if !left {
		height = -height
	}
	offset := q.Sub(p).Mul(0.5).Add(q.Sub(p).Unit().Left().Mul(height))
	if left {
		w.out = append(w.out, "G3"...)
	} else {
		w.out = append(w.out, "G2"...)
	}
	w.coordinate('X', to.x)
	w.coordinate('Y', to.y)
	w.coordinate('I', toSteps(offset.X, gcodeStep))
	w.coordinate('J', toSteps(offset.Y, gcodeStep))
	w.out = append(w.out, '\n')
	w.at = to
	return true
}

// place ends a block with a place.
func (w *gcodeWriter) place(s spot) {
	w.coordinate('X', s.x)
	w.coordinate('Y', s.y)
	w.out = append(w.out, '\n')
}

func (w *gcodeWriter) coordinate(word byte, v int64) {
	w.out = grid(v).append(append(w.out, ' ', word))
}
