package printer

import (
	"cmp"
	"context"
	"image/color"
	"math"
	"strconv"
	"strings"

	"github.com/go-fonts/liberation/liberationsansbold"
	"github.com/go-fonts/liberation/liberationsansregular"
	"github.com/tdewolff/canvas"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// weights are a regular and a bold font.
type weights [2]*canvas.Font

// loadFonts loads the fonts of one file.
func loadFonts() (w weights, err error) {
	for i, ttf := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		if w[i], err = canvas.LoadFont(ttf, 0, canvas.FontRegular); err != nil {
			return w, err
		}
	}
	return w, nil
}

// draw draws a sheet on a canvas of its size in mm, on white paper.
func draw(ctx context.Context, s *preview.Sheet, fonts weights) (*canvas.Canvas, error) {
	w := &surface{canvas: canvas.New(s.Size.X, s.Size.Y), height: s.Size.Y, fonts: fonts, groups: []group{{paint: preview.Paint{Fill: preview.Ink, Stroke: preview.None}}}}
	w.Rect(geom.Box{Max: s.Size}, preview.Paint{Fill: preview.Paper})
	return w.canvas, s.Draw(ctx, w)
}

// surface is a preview.Surface that draws on a canvas. Canvas has mm and y up; sheets
// have mm and y down, so every point is mirrored by at and every angle negated. It is
// for one goroutine.
type surface struct {
	canvas *canvas.Canvas
	height float64 // of the page, mm
	fonts  weights
	groups []group // open ones, the innermost last
}

// group is what holds in a group: its paint, with those of the groups round it
// in place of what it leaves out, and how far it is shifted on the page.
type group struct {
	paint preview.Paint
	shift geom.Point
}

// group is the innermost open group.
func (w *surface) group() group { return w.groups[len(w.groups)-1] }

// paint is a paint with the group's in place of what it leaves out.
func (w *surface) paint(p preview.Paint) preview.Paint {
	of := w.group().paint
	p.Fill, p.Stroke = cmp.Or(p.Fill, of.Fill), cmp.Or(p.Stroke, of.Stroke)
	p.Width = cmp.Or(p.Width, of.Width)
	if p.Dash == nil {
		p.Dash = of.Dash
	}
	p.EvenOdd = p.EvenOdd || of.EvenOdd
	p.RoundJoin, p.RoundCap = p.RoundJoin || of.RoundJoin, p.RoundCap || of.RoundCap
	return p
}

// Open is preview.Surface's.
func (w *surface) Open(p preview.Paint, shift geom.Point) {
	w.groups = append(w.groups, group{w.paint(p), w.group().shift.Add(shift)})
}

// Close is preview.Surface's.
func (w *surface) Close() { w.groups = w.groups[:len(w.groups)-1] }

// at puts a point of the open group on the canvas.
func (w *surface) at(p geom.Point) (x, y float64) {
	p = p.Add(w.group().shift)
	return p.X, w.height - p.Y
}

// Curves is preview.Surface's. A curve that starts more than the snap tolerance from
// where the one before ended begins a new subpath. The outline is flattened besides,
// for hatching, to a quarter of a hatch line's width.
func (w *surface) Curves(strokes []blank.Stroke, p preview.Paint) {
	path := &canvas.Path{}
	var outline [][]geom.Point
	for _, s := range strokes {
		var flat []geom.Point
		for i, c := range s.Curves {
			if i == 0 || c.P.Dist(s.Curves[i-1].Q) > geom.SnapTolerance {
				path.MoveTo(w.at(c.P))
			}
			w.curve(path, c)
			flat = c.Flatten(flat, preview.HatchWidth/4)
		}
		if s.Closed {
			path.Close()
			outline = append(outline, flat)
		}
	}
	w.render(path, outline, p)
}

// mostTurn is the largest turn of an arc, in radians, that is drawn as one cubic. The
// cubic with the arc's ends and tangents and handles of 4/3·tan(turn/4) radii strays
// from the arc by 2/27·sin⁶(turn/4)/cos²(turn/4) of the radius, 4·10⁻⁷ at 30 degrees
// (value from memory, and checked by sampling).
const mostTurn = math.Pi / 6

// curve appends a curve to a path. Arcs become cubics: canvas takes some arcs
// for half circles.
func (w *surface) curve(path *canvas.Path, c geom.Curve) {
	x, y := w.at(c.Q)
	switch c.Kind {
	case geom.Line:
		path.LineTo(x, y)
	case geom.Cubic:
		w.cubic(path, c.C, c.D, c.Q)
	default:
		n := math.Ceil(c.Sweep.Abs().Radians() / mostTurn)
		reach := 4.0 / 3 * math.Tan(c.Sweep.Abs().Radians()/n/4) * c.R
		for i := 1.0; i <= n; i++ {
			a, b := (i-1)/n, i/n
			from, to := c.At(a), c.At(b)
			w.cubic(path, from.Add(c.Tangent(a).Unit().Mul(reach)), to.Sub(c.Tangent(b).Unit().Mul(reach)), to)
		}
	}
}

// cubic appends a cubic with control points c and d that ends at q.
func (w *surface) cubic(path *canvas.Path, c, d, q geom.Point) {
	cx, cy := w.at(c)
	dx, dy := w.at(d)
	x, y := w.at(q)
	path.CubeTo(cx, cy, dx, dy, x, y)
}

// Points is preview.Surface's.
func (w *surface) Points(runs [][]geom.Point, closed bool, p preview.Paint) {
	path := &canvas.Path{}
	for _, r := range runs {
		for i, q := range r {
			if x, y := w.at(q); i == 0 {
				path.MoveTo(x, y)
			} else {
				path.LineTo(x, y)
			}
		}
		if closed {
			path.Close()
		}
	}
	if !closed {
		p.Fill = preview.None
	}
	w.render(path, runs, p)
}

// Rect is preview.Surface's.
func (w *surface) Rect(b geom.Box, p preview.Paint) {
	w.Points([][]geom.Point{{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}}, true, p)
}

// Circle is preview.Surface's.
func (w *surface) Circle(mid geom.Point, r float64, p preview.Paint) {
	start := mid.Add(geom.Pt(r, 0))
	circle := geom.ArcBetween(start, start, mid, geom.Radians(2*math.Pi))
	w.Curves([]blank.Stroke{{Curves: []geom.Curve{circle}, Closed: true}}, p)
}

// render draws a path; outline is its rings as points, for hatching, which is drawn
// as lines, the same in both formats.
func (w *surface) render(path *canvas.Path, outline [][]geom.Point, p preview.Paint) {
	p = w.paint(p)
	switch p.Fill {
	case preview.Hatch:
		w.hatch(outline, -45)
	case preview.HatchInside:
		w.hatch(outline, 45)
	}
	if p.Fill == preview.Hatch || p.Fill == preview.HatchInside {
		p.Fill = preview.None
	}
	style := canvas.Style{StrokeWidth: p.Width, StrokeCapper: canvas.ButtCap, StrokeJoiner: canvas.MiterJoin}
	if p.Fill != preview.None {
		style.Fill = canvas.Paint{Color: colourOf(p.Fill)}
	}
	if p.Stroke != preview.None {
		style.Stroke = canvas.Paint{Color: colourOf(p.Stroke)}
		for _, d := range p.Dash {
			style.Dashes = append(style.Dashes, d/p.Width) // canvas counts in widths
		}
	}
	if p.EvenOdd {
		style.FillRule = canvas.EvenOdd
	}
	if p.RoundCap {
		style.StrokeCapper = canvas.RoundCap
	}
	if p.RoundJoin {
		style.StrokeJoiner = canvas.RoundJoin
	}
	w.canvas.RenderPath(path, style, canvas.Identity)
}

// hatch draws the lines of the hatching that lie within rings.
func (w *surface) hatch(rings [][]geom.Point, upright geom.Degrees) {
	path := &canvas.Path{}
	for _, l := range hatching(rings, upright, preview.HatchStep, preview.HatchWidth) {
		path.MoveTo(w.at(l.P))
		path.LineTo(w.at(l.Q))
	}
	w.render(path, nil, preview.Paint{Fill: preview.None, Stroke: preview.HatchColour, Width: preview.HatchWidth})
}

// pointsPerMM is how many typographic points a millimetre has.
const pointsPerMM = 72 / 25.4

// Text is preview.Surface's.
func (w *surface) Text(t preview.Text) {
	if strings.TrimSpace(t.Text) == "" {
		return
	}
	font := w.fonts[0]
	if t.Bold {
		font = w.fonts[1]
	}
	align := [...]canvas.TextAlign{preview.AtStart: canvas.Left, preview.AtMiddle: canvas.Center, preview.AtEnd: canvas.Right}[t.Anchor]
	line := canvas.NewTextLine(font.Face(t.Size*pointsPerMM, colourOf(t.Colour)), t.Text, align)
	x, y := w.at(t.At)
	w.canvas.RenderText(line, canvas.Identity.Translate(x, y).Rotate(-t.Angle))
}

// colourOf reads "#RRGGBB".
func colourOf(s string) color.RGBA {
	v, _ := strconv.ParseUint(s[1:], 16, 32) // preview writes no other
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 0xFF}
}
