package emittest

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// radiiDiffer is by how much, in mm, the two radii of an arc may differ (RS274/NGC,
// 3.5.3.2).
const radiiDiffer = 0.002

// How blocks of G-code are written: words with a space between, coordinates in the
// plane with four decimals or more.
var (
	gcodeWord  = regexp.MustCompile(`^([A-Z])(-?[0-9]+(?:\.[0-9]+)?)$`)
	fineWord   = regexp.MustCompile(`^-?[0-9]+\.[0-9]{4,}$`)
	gcodeBlock = regexp.MustCompile(`^(G21 G90 G17 G94|T[0-9]+ M6|F[^ ]+|M3 S[^ ]+|M5|M2|G[01] Z[^ ]+|G[01] X[^ ]+ Y[^ ]+|G[23] X[^ ]+ Y[^ ]+ I[^ ]+ J[^ ]+)$`)
)

// ParseGCode does what a controller does with a file, and is strict: comments are plain
// ASCII, one to a line; units, plane and modes come before all else; there is a feed
// before the first G1; rapids run only with the tool above the board and the beam
// off, and never sideways and down at once; arcs keep their radius; nothing is off the bed or
// below the declared depth; at the end the tool is up and the beam off.
func ParseGCode(data []byte, limits Limits) (Work, error) {
	c := &controller{limits: limits, work: Work{Box: geom.EmptyBox()}}
	text, ok := strings.CutSuffix(string(data), "\nM2\n")
	if !ok {
		return Work{}, errors.New("gcode: does not end with M2")
	}
	for i, line := range strings.Split(text, "\n") {
		if err := c.line(line); err != nil {
			return Work{}, fmt.Errorf("gcode: line %d, %q: %w", i+1, line, err)
		}
	}
	if c.down() {
		return Work{}, errors.New("gcode: ends with the tool down")
	}
	c.work.begin(Cut{})
	c.work.Cuts = c.work.Cuts[:len(c.work.Cuts)-1]
	return c.work, limits.within(c.work.Box, radiiDiffer)
}

// controller is the state of a machine.
type controller struct {
	limits Limits
	work   Work
	ready  bool // units and modes are set
	at     geom.Point
	z      float64
	height bool // z is known
	raised bool // it was known at some time
	beam   bool // it is on
	power  float64
	feed   float64 // mm/min
	tool   int
	broken bool // the tool was up since the last curve
}

// down reports whether the tool works the board.
func (c *controller) down() bool { return c.beam || c.height && c.z <= 0 }

func (c *controller) line(line string) error {
	if len(line) > 250 {
		return errors.New("longer than readers take")
	}
	for _, r := range line {
		if r < ' ' || r > '~' {
			return fmt.Errorf("%q is not plain", r)
		}
	}
	if comment, ok := strings.CutPrefix(line, "("); ok {
		comment, ok = strings.CutSuffix(comment, ")")
		if !ok || strings.ContainsAny(comment, "()%!?~;") {
			return errors.New("not one comment")
		}
		c.work.Comments = append(c.work.Comments, comment)
		return nil
	}
	if !gcodeBlock.MatchString(line) {
		return errors.New("unknown")
	}
	if line == "G21 G90 G17 G94" {
		c.ready = true
		return nil
	}
	if !c.ready {
		return errors.New("before units and modes are set")
	}
	words, err := wordsOf(line)
	if err != nil {
		return err
	}
	return c.block(line[:2], words)
}

// wordsOf reads the words of a block, by their letters.
func wordsOf(line string) (map[byte]float64, error) {
	words := map[byte]float64{}
	for _, word := range strings.Fields(line) {
		m := gcodeWord.FindStringSubmatch(word)
		if m == nil || minusZero.MatchString(m[2]) || m[2] == "-0" {
			return nil, fmt.Errorf("%q is no word", word)
		}
		if strings.Contains("XYIJ", m[1]) && !fineWord.MatchString(m[2]) {
			return nil, fmt.Errorf("%q is too coarse", word)
		}
		v, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return nil, err
		}
		words[m[1][0]] = v
	}
	return words, nil
}

func (c *controller) block(first string, w map[byte]float64) error {
	_, sideways := w['X']
	switch {
	case first[0] == 'T':
		if c.down() || len(c.limits.Depth) > 0 && !c.raised {
			return errors.New("a tool is changed that was not raised")
		}
		c.tool, c.height = int(w['T']), false
	case first[0] == 'F':
		if c.feed = w['F']; c.feed <= 0 {
			return errors.New("no feed")
		}
	case first == "M3":
		if c.beam || c.height && c.z <= 0 || w['S'] <= 0 || w['S'] > 1000 {
			return errors.New("the beam is on, or the tool is down, or the power is none")
		}
		c.beam, c.power, c.broken = true, w['S'], true
	case first == "M5":
		c.beam = false
	case sideways:
		return c.move(first, w)
	default:
		return c.lift(first, w['Z'])
	}
	return nil
}

// lift moves along z.
func (c *controller) lift(first string, z float64) error {
	depth, has := c.limits.Depth[c.tool]
	switch {
	case !has && z <= 0:
		return fmt.Errorf("tool %d has no height", c.tool)
	case c.beam:
		return errors.New("the beam is on")
	case z < -depth:
		return fmt.Errorf("tool %d may go down to %v", c.tool, -depth)
	case first == "G0" && (z <= 0 || c.height && z < c.z):
		return errors.New("a rapid down")
	case first == "G1" && (c.feed == 0 || !c.height):
		return errors.New("without a feed or a height to begin at")
	}
	c.broken = c.broken || !c.down()
	c.z, c.height, c.raised = z, true, true
	c.work.Low = math.Min(c.work.Low, z)
	return nil
}

// move moves in the plane.
func (c *controller) move(first string, w map[byte]float64) error {
	to := geom.Pt(w['X'], w['Y'])
	if err := c.limits.within(geom.BoxOf(to), 1e-9); err != nil {
		return err
	}
	if first == "G0" {
		if _, has := c.limits.Depth[c.tool]; c.down() || has && !c.height {
			return errors.New("a rapid with the tool down, or at no known height")
		}
		c.work.Travel += c.at.Dist(to)
		c.at, c.broken = to, true
		return nil
	}
	switch {
	case !c.down():
		return errors.New("a feed with the tool up")
	case c.feed == 0:
		return errors.New("no feed is set")
	case to == c.at:
		return errors.New("a way without length")
	}
	curve := geom.LineFrom(c.at, to)
	if first != "G1" {
		var err error
		if curve, err = c.arc(to, geom.Pt(w['I'], w['J']), first == "G3"); err != nil {
			return err
		}
	}
	if c.broken {
		cut := Cut{Tool: c.tool, Feed: c.feed / 60}
		if c.beam {
			cut.Power = c.power
		}
		c.work.begin(cut)
		c.broken = false
	}
	c.work.add(curve)
	last := &c.work.Cuts[len(c.work.Cuts)-1]
	last.Z = append(last.Z, c.z)
	c.at = to
	return nil
}

// arc is an arc about the centre that lies at an offset from where the tool is.
func (c *controller) arc(to, offset geom.Point, left bool) (geom.Curve, error) {
	centre := c.at.Add(offset)
	if d := math.Abs(offset.Len() - centre.Dist(to)); d > radiiDiffer || offset.Len() == 0 {
		return geom.Curve{}, fmt.Errorf("the radii differ by %v mm", d)
	}
	turn := geom.AngleBetween(offset.Mul(-1), to.Sub(centre))
	if left && turn.Radians() <= 0 {
		turn = turn.Add(geom.Radians(2 * math.Pi))
	} else if !left && turn.Radians() >= 0 {
		turn = turn.Sub(geom.Radians(2 * math.Pi))
	}
	return geom.ArcBetween(c.at, to, centre, turn), nil
}
