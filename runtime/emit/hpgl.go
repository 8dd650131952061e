package emit

import (
	"context"
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// What HP-GL files are held to.
const (
	// hpglUnit is how many plotter units make a millimetre: one is 0.025 mm (HP 7550A
	// Interfacing and Programming Manual).
	hpglUnit = 40
	// chordTolerance is how far, in mm, the chords that stand for an arc or a
	// curve may stray from it: less than a unit.
	chordTolerance = 0.02
	// Chord angles, in degrees. What plotters take begins at 0.5 or below (value from
	// memory); 5 is what they choose by themselves, and coarser chords would show on
	// small arcs.
	leastChord, mostChord = 0.5, 5.0
	// hpglStray is how many units the circle that a plotter draws about a whole
	// centre from a whole start may be off the arc, and its end off the end written behind it.
	hpglStray = 1.0
	// hpglFlat is how many units an arc may stray from its chord and be written as that.
	hpglFlat = 0.25
	// hpglLine is the length in bytes at which an instruction of many places is
	// ended and another begun: plotters hold one in a small buffer.
	hpglLine = 72
)

// Speeds that VS takes, in cm/s (HP 7475A, value from memory).
const leastVelocity, mostVelocity = 0.01, 127.0

// HPGL is the file of a program for a plotter that reads HP-GL: 40 units to the
// millimetre, absolute places, the origin in the bed's lower left corner. Each pass
// selects its tool as a pen and, where the tool's feed is given, the pen's velocity.
// Arcs are AA, about the whole centre that keeps to them best, each followed by the
// place where it ends, so that no rounding adds up; curves are chords within
// chordTolerance. Where a blade is led, the file is made for its tip (hpglknife.go). There are no comments: CO is known to HP-GL/2 alone, and a plotter that does
// not know it takes it for an error. The error is an *OffBed or the context's.
func HPGL(ctx context.Context, p *toolpath.Program) ([]byte, error) {
	if err := onBed(p); err != nil {
		return nil, err
	}
	w := &hpglWriter{lattice: latticeOf(p.Machine, hpglStep), out: []byte(hpglHead)}
	trails := map[int]*trail{} // by tool
	var last *board.Tool
	for i := range p.Passes {
		pass := &p.Passes[i]
		w.tool(last, &pass.Tool)
		last = &pass.Tool
		if trails[pass.Tool.Number] == nil {
			trails[pass.Tool.Number] = trailOf(pass)
		}
		w.lead(trails[pass.Tool.Number], pass.Tool.Compensate)
		for _, s := range pass.Strokes {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			for run := range pass.Runs(s) {
				w.stroke(run)
			}
		}
	}
	w.end()
	return append(w.out, hpglTail...), nil
}

// How every file begins and ends.
const (
	hpglHead = "IN;\nPA;\n"
	hpglTail = "PU;\nSP0;\n"
)

// hpglWriter writes instructions one to a line.
type hpglWriter struct {
	lattice
	out  []byte
	at   spot
	down bool // the tool is
	list int  // how long out was when the PD began that takes more places; 0 while there is none

	trail        *trail  // of the blade that is led, nil for any other tool
	chord, stray float64 // chordTolerance and hpglStray, or those of the blade
}

// lead takes up a tool's blade, nil for a tool that is none.
func (w *hpglWriter) lead(t *trail, led bool) {
	w.trail, w.chord, w.stray = nil, chordTolerance, hpglStray
	if t != nil && led {
		w.trail, w.chord, w.stray = t, knifeChord, knifeStray
	}
}

// tool selects a tool and its velocity; VS without a number goes back to the
// plotter's own.
func (w *hpglWriter) tool(last, t *board.Tool) {
	w.end()
	if last == nil || last.Number != t.Number {
		if last != nil {
			w.raise()
		}
		w.out = append(w.out, "SP"...)
		w.out = append(strconv.AppendInt(w.out, int64(t.Number), 10), ";\n"...)
	}
	velocity := velocityOf(t)
	if last != nil && velocityOf(last) != velocity || last == nil && velocity != "" {
		w.out = append(w.out, "VS"+velocity+";\n"...)
	}
}

// velocityOf is a tool's feed as VS says it; "" for the plotter's own.
func velocityOf(t *board.Tool) string {
	if t.Feed == nil {
		return ""
	}
	return string(decimal.AppendShort(nil, min(max(*t.Feed/10, leastVelocity), mostVelocity), 2))
}

// raise lifts the tool.
func (w *hpglWriter) raise() {
	w.end()
	w.out, w.down = append(w.out, "PU;\n"...), false
}

// end ends the instruction that takes more places.
func (w *hpglWriter) end() {
	if w.list > 0 {
		w.out, w.list = append(w.out, ";\n"...), 0
	}
}

// stroke goes to the start of a stroke with the tool up and along it with the tool
// down. A stroke that comes to nothing on the lattice is left out.
func (w *hpglWriter) stroke(s toolpath.Stroke) {
	w.end()
	before, from := len(w.out), w.at
	if w.at, w.down = w.round(s.Start()), false; w.trail != nil {
		w.at = w.trail.start(w, s.Start())
	}
	w.out = append(w.out, "PU"...)
	w.place(w.at)
	w.out = append(w.out, ";\n"...)
	start := len(w.out)
	for _, m := range s.Moves {
		if m.Swing && w.trail != nil {
			w.swing(m.Curve)
		} else {
			w.move(m.Curve)
		}
		if w.trail != nil {
			w.trail.meant.along(m.Curve)
		}
	}
	if len(w.out) == start {
		w.out, w.at = w.out[:before], from
	}
}

// move goes along a curve with the tool down.
func (w *hpglWriter) move(c geom.Curve) {
	switch c.Kind {
	case geom.Line:
		w.lineTo(w.round(c.Q))
	case geom.Arc:
		w.arc(c)
	case geom.Cubic:
		w.chords(c)
	}
}

// chords goes along a curve by chords.
func (w *hpglWriter) chords(c geom.Curve) {
	for _, p := range c.Flatten(nil, w.chord) {
		w.lineTo(w.round(p))
	}
}

// lineTo goes straight to a spot.
func (w *hpglWriter) lineTo(to spot) {
	if to == w.at {
		return
	}
	if w.list > 0 && len(w.out)-w.list > hpglLine {
		w.end()
	}
	if w.list == 0 {
		w.begin()
	} else {
		w.out = append(w.out, ',')
	}
	w.place(to)
	w.at = to
	if w.trail != nil {
		w.trail.written.to(w.point(to))
	}
}

// begin begins an instruction that takes more places.
func (w *hpglWriter) begin() {
	w.list, w.down = len(w.out), true
	w.out = append(w.out, "PD"...)
}

func (w *hpglWriter) place(s spot) {
	w.out = strconv.AppendInt(w.out, s.x, 10)
	w.out = strconv.AppendInt(append(w.out, ','), s.y, 10)
}

// arc goes along an arc: as one instruction where a whole centre is found that
// keeps to it, else in halves. What is nearly straight or has no chord angle
// that a plotter takes is chords.
func (w *hpglWriter) arc(c geom.Curve) {
	to := w.round(c.Q)
	half := c.Sweep.Abs().Mul(0.5)
	_, cos := half.SinCos()
	chord := 2 * float64(geom.Acos(max(-1, 1-w.chord/c.R)).Degrees())
	switch {
	case half.Radians() < math.Pi/2 && c.R*hpglUnit*(1-cos) < hpglFlat:
		w.lineTo(to)
		return
	case chord < leastChord || c.R*hpglUnit < 2*w.stray:
		w.chords(c)
		return
	}
	if half.Radians() <= math.Pi/2+halfTurnSlack && to != w.at {
		if centre, sweep, ok := w.fit(c, to); ok {
			if w.trail != nil {
				w.trail.written.along(geom.ArcFrom(w.point(w.at), w.point(centre), geom.Degrees(sweep).Angle()))
				w.trail.written.to(w.point(to))
			}
			w.about(centre, sweep, math.Floor(min(chord, mostChord)*100)/100)
			w.begin()
			w.place(to)
			w.at = to
			return
		}
	}
	a, b := c.Split(0.5)
	w.arc(a)
	w.arc(b)
}

// about turns about a centre with the tool down; angles are in degrees.
func (w *hpglWriter) about(centre spot, sweep, chord float64) {
	w.end()
	if !w.down {
		w.out = append(w.out, "PD;\n"...)
	}
	w.out = append(w.out, "AA"...)
	w.place(centre)
	w.out = decimal.AppendShort(append(w.out, ','), sweep, anglePlaces)
	w.out = decimal.AppendShort(append(w.out, ','), chord, 2)
	w.out = append(w.out, ";\n"...)
}

// anglePlaces is the decimals of a sweep in degrees: the end of the longest arc that
// is written as one moves by 0.1 units in the last.
const anglePlaces = 4

// halfTurnSlack is by how much, in radians, half of a half circle's sweep may be off by rounding: at the
// largest radius on a bed that is far less than a unit.
const halfTurnSlack = 1e-9

// fit finds the centre on the lattice, next to the arc's own, whose circle from
// where the tool is keeps best to the arc and its end, and the sweep in degrees
// from there toward the end. ok is false where it is off by more than hpglStray.
func (w *hpglWriter) fit(c geom.Curve, to spot) (centre spot, sweep float64, ok bool) {
	from, end := w.point(w.at), w.point(to)
	best := w.stray / hpglUnit
	mid := spot{toSteps(c.C.X, w.step), toSteps(c.C.Y, w.step)}
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			s := spot{mid.x + dx, mid.y + dy}
			at := w.point(s)
			turn := geom.AngleBetween(from.Sub(at), end.Sub(at))
			if turn.Radians()*c.Sweep.Radians() < 0 {
				// Past a half turn, which the ends of a half circle may be by their rounding.
				turn = turn.Add(geom.Radians(math.Copysign(2*math.Pi, c.Sweep.Radians())))
			}
			written := geom.Degrees(decimal.Round(float64(turn.Degrees()), anglePlaces))
			drawn := geom.ArcFrom(from, at, written.Angle())
			off := drawn.Q.Dist(end)
			for _, t := range [...]float64{0.25, 0.5, 0.75} {
				off = max(off, drawn.At(t).Dist(c.At(t)))
			}
			if off < best {
				best, centre, sweep, ok = off, s, float64(written), true
			}
		}
	}
	return centre, sweep, ok
}
