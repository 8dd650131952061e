package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// The page comes with its style and a picture of the flat blank in its own text, so that
// this is seen as soon as the browser has the page, and scripts, which take longer, only put
// the live drawing in its place. The text also names the data that they will ask for first.
const (
	styleMark   = "<!-- the style -->"
	dataMark    = "<!-- the data -->"
	pictureMark = "<!-- the flat blank -->"
)

// styleParts are the files that the style is joined of, in order.
var styleParts = []string{"page.css", "flat.css", "folded.css"}

// style is joined once, and its digest says in the content policy that it is ours.
var style = sync.OnceValue(func() (text []byte) {
	for _, name := range styleParts {
		part, err := embedded.ReadFile("assets/" + name)
		if err != nil {
			panic(err) // it is in the program
		}
		text = append(text, part...)
	}
	return text
})

var indexPolicy = sync.OnceValue(func() string {
	sum := sha256.Sum256(style())
	return strings.Replace(pagePolicy, "style-src 'self'", "style-src 'self' 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'", 1)
})

// longestPicture bounds the picture, in bytes: a larger one would hold the page up.
const longestPicture = 256 << 10

// index is the page as it is sent, with what is in it of the first script's last display.
type index struct {
	mu     sync.Mutex
	digest string
	body   []byte
}

// of gives the page with a display in it, which is nil where there is none.
func (x *index) of(plain []byte, digest string, display []byte) []byte {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.body != nil && x.digest == digest {
		return x.body
	}
	data := ""
	if digest != "" {
		data = `<link rel="preload" href="data/` + digest + `" as="fetch" crossorigin>`
	}
	body := bytes.Replace(plain, []byte(styleMark), slices.Concat([]byte("<style>"), style(), []byte("</style>")), 1)
	body = bytes.Replace(body, []byte(dataMark), []byte(data), 1)
	x.body, x.digest = bytes.Replace(body, []byte(pictureMark), picture(display), 1), digest
	return x.body
}

// pictured is what the picture shows of a display, which package internal/display describes.
type pictured struct {
	Kinds  []lineLook
	Pieces []struct {
		Inside bool
		Bounds [4]float64
		Panels []struct {
			Flat  [6]float64
			Rings [][]curve
		}
		Strokes, Hinges []stroke
	}
}

// lineLook is how lines of a kind are drawn.
type lineLook struct {
	Kind, Colour string
	Width        float64   // mm
	Dash         []float64 // in widths
}

// stroke is lines of a kind that follow one another.
type stroke struct {
	Kind   string
	Curves []curve
}

// curve is a curve as displays have it: kind, end points and what its kind needs.
type curve []float64

// Kinds of curves other than lines, and how many numbers each has.
const (
	lineNumbers              = 5
	arcCurve, arcNumbers     = 1, 9
	cubicCurve, cubicNumbers = 2, 9
)

// joinTolerance is how near, in mm, curves begin to where others end that they go on from;
// mostParts bounds the quarter turns of an arc.
const (
	joinTolerance = 1e-6
	mostParts     = 8
)

// pixelsPerMM is CSS's.
const pixelsPerMM = 96 / 25.4

var hexColour = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^#[0-9A-Fa-f]{6}$`) })

// picture draws the first piece of a display as SVG, all of it in the box that it is given:
// board, and a path for each kind of line. It is empty where there is nothing to draw. What
// is in it of the display is numbers and colours alone.
func picture(display []byte) []byte {
	var d pictured
	if json.Unmarshal(display, &d) != nil || len(d.Pieces) == 0 {
		return nil
	}
	p := d.Pieces[0]
	x0, y0, x1, y1 := p.Bounds[0], p.Bounds[1], p.Bounds[2], p.Bounds[3]
	board, left, flip := "board", x0, "scale(1 -1)"
	if p.Inside { // seen from the inside, the blank is mirrored
		board, left, flip = "board inside", -x1, "scale(-1 -1)"
	}
	var w pathWriter
	fmt.Fprintf(&w, `<svg class="first" viewBox="%s" aria-hidden="true"><g transform="%s"><path class="%s" d="`,
		spaced(left, -y1, x1-x0, y1-y0), flip, board)
	for _, panel := range p.Panels {
		for _, ring := range panel.Rings {
			w.path(ring, panel.Flat)
		}
	}
	w.WriteString(`"/>`)
	for _, look := range d.Kinds {
		if hexColour().MatchString(look.Colour) {
			w.kind(look, p.Strokes, p.Hinges)
		}
	}
	w.WriteString(`</g></svg>`)
	if w.Len() > longestPicture {
		return nil
	}
	return w.Bytes()
}

// pathWriter writes SVG.
type pathWriter struct {
	bytes.Buffer
	x, y float64 // where the path has come to
}

// kind writes the lines of a kind: those of cut files or, of what no file has, of hinges.
// Widths and dashes are in pixels whatever the scale.
func (w *pathWriter) kind(look lineLook, strokes, hinges []stroke) {
	if !slices.ContainsFunc(strokes, func(s stroke) bool { return s.Kind == look.Kind }) {
		strokes = hinges
	}
	width := max(1, look.Width*pixelsPerMM)
	fmt.Fprintf(w, `<path class="stroke" stroke="%s" stroke-width="%s"`, look.Colour, spaced(width))
	if len(look.Dash) > 0 {
		dash := make([]float64, len(look.Dash))
		for i, v := range look.Dash {
			dash[i] = v * width
		}
		fmt.Fprintf(w, ` stroke-dasharray="%s"`, spaced(dash...))
	}
	w.WriteString(` d="`)
	for _, s := range strokes {
		if s.Kind == look.Kind {
			w.path(s.Curves, [6]float64{1, 0, 0, 1, 0, 0})
		}
	}
	w.WriteString(`"/>`)
}

// path writes curves that a matrix has moved, which is that of a rigid motion.
func (w *pathWriter) path(curves []curve, m [6]float64) {
	w.x = math.NaN()
	for _, c := range curves {
		if len(c) < lineNumbers {
			continue
		}
		at := func(i int) (x, y float64) {
			return m[0]*c[i] + m[2]*c[i+1] + m[4], m[1]*c[i] + m[3]*c[i+1] + m[5]
		}
		if x, y := at(1); math.Hypot(x-w.x, y-w.y) < joinTolerance {
			// It goes on where the one before it ends.
		} else {
			fmt.Fprintf(w, "M%s", spaced(x, y))
		}
		switch {
		case c[0] == arcCurve && len(c) == arcNumbers:
			w.arc(c, at)
		case c[0] == cubicCurve && len(c) == cubicNumbers:
			ax, ay := at(3)
			bx, by := at(5)
			w.x, w.y = at(7)
			fmt.Fprintf(w, "C%s", spaced(ax, ay, bx, by, w.x, w.y))
		default:
			w.x, w.y = at(3)
			fmt.Fprintf(w, "L%s", spaced(w.x, w.y))
		}
	}
}

// arc writes an arc in parts of at most a quarter turn, which have one centre only.
func (w *pathWriter) arc(c curve, at func(i int) (x, y float64)) {
	r, turn := c[7], c[8]
	cx, cy := at(5)
	sx, sy := at(1)
	parts := max(1, math.Ceil(math.Abs(turn)/(math.Pi/2)-1e-9))
	if !(parts <= mostParts) {
		return
	}
	way := 0
	if turn > 0 {
		way = 1
	}
	for i := 1.; i <= parts; i++ {
		sin, cos := math.Sincos(turn * i / parts)
		w.x, w.y = cx+cos*(sx-cx)-sin*(sy-cy), cy+sin*(sx-cx)+cos*(sy-cy)
		fmt.Fprintf(w, "A%s 0 0 %d %s", spaced(r, r), way, spaced(w.x, w.y))
	}
}

// spaced writes numbers to a thousandth, with blanks between.
func spaced(numbers ...float64) string {
	var out []byte
	for i, v := range numbers {
		if i > 0 {
			out = append(out, ' ')
		}
		out = strconv.AppendFloat(out, math.Round(v*1000)/1000+0, 'f', -1, 64)
	}
	return string(out)
}
