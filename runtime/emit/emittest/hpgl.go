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

// unitsPerMM is how many plotter units make a millimetre (HP 7550A manual: one is
// 0.025 mm).
const unitsPerMM = 40

// How HP-GL numbers are written: whole, or short decimals for angles and speeds.
var (
	wholeNumber = regexp.MustCompile(`^(0|-?[1-9][0-9]*)$`)
	shortNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])?$`)
)

// ParseHPGL does what a plotter does with a file, and is strict: it knows IN, PA, SP, VS,
// PU, PD and AA, wants IN first and the tool put away last, whole coordinates on the bed, and
// behind each arc the place where it ends, within a unit along each axis of where the
// plotter computes it to.
func ParseHPGL(data []byte, limits Limits) (Work, error) {
	p := &plotter{limits: limits, work: Work{Box: geom.EmptyBox()}}
	text := string(data)
	if !strings.HasPrefix(text, "IN;\n") || !strings.HasSuffix(text, "\nPU;\nSP0;\n") {
		return Work{}, errors.New("hpgl: not from IN to PU and SP0")
	}
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if err := p.instruction(line); err != nil {
			return Work{}, fmt.Errorf("hpgl: line %d, %q: %w", i+1, line, err)
		}
	}
	if !p.put {
		return Work{}, errors.New("hpgl: ends with a tool in hand")
	}
	p.work.begin(Cut{})
	p.work.Cuts = p.work.Cuts[:len(p.work.Cuts)-1]
	return p.work, p.limits.within(p.work.Box, 1.0/unitsPerMM)
}

// plotter is the state of a plotter.
type plotter struct {
	limits   Limits
	work     Work
	at       geom.Point
	pen      int
	put      bool // the pen was put away: nothing may follow
	absolute bool
	down     bool
	turned   bool // an arc was drawn, and its end is to come
	velocity float64
	count    int
}

func (p *plotter) instruction(line string) error {
	body, ok := strings.CutSuffix(line, ";")
	if !ok || len(body) < 2 || strings.ContainsAny(body, "; \t\r") {
		return errors.New("not one instruction")
	}
	if p.count++; (p.count == 1) != (body == "IN") || p.put {
		return errors.New("out of place")
	}
	var numbers []string
	if body[2:] != "" {
		numbers = strings.Split(body[2:], ",")
	}
	if p.turned && (body[:2] != "PD" || len(numbers) == 0) {
		return errors.New("an arc without its end")
	}
	switch body[:2] {
	case "IN":
		return none(numbers)
	case "PA":
		p.absolute = true
		return none(numbers)
	case "SP":
		return p.take(numbers)
	case "VS":
		return p.speed(numbers)
	case "PU":
		return p.up(numbers)
	case "PD":
		return p.draw(numbers)
	case "AA":
		return p.arc(numbers)
	}
	return errors.New("unknown")
}

func none(numbers []string) error {
	if len(numbers) > 0 {
		return errors.New("more than is known of it")
	}
	return nil
}

func (p *plotter) take(numbers []string) error {
	if len(numbers) != 1 || !wholeNumber.MatchString(numbers[0]) || p.down || !p.absolute {
		return errors.New("no tool, or one is down")
	}
	n, err := strconv.Atoi(numbers[0])
	if err != nil || n < 0 || n > 99 {
		return fmt.Errorf("tool %s (%v)", numbers[0], err)
	}
	p.pen, p.put = n, n == 0
	return nil
}

func (p *plotter) speed(numbers []string) error {
	if len(numbers) == 0 {
		p.velocity = 0
		return nil
	}
	v, err := number(numbers[0], shortNumber)
	if err != nil || len(numbers) != 1 || !(v > 0 && v < 128) {
		return fmt.Errorf("a velocity of %v cm/s (%v)", numbers, err)
	}
	p.velocity = 10 * v
	return nil
}

// places reads pairs of whole coordinates on the bed.
func (p *plotter) places(numbers []string) ([]geom.Point, error) {
	if len(numbers)%2 != 0 {
		return nil, errors.New("half a place")
	}
	var out []geom.Point
	for i := 0; i < len(numbers); i += 2 {
		x, errX := number(numbers[i], wholeNumber)
		y, errY := number(numbers[i+1], wholeNumber)
		at := geom.Pt(x/unitsPerMM, y/unitsPerMM)
		if err := errors.Join(errX, errY, p.limits.within(geom.BoxOf(at), 1e-9)); err != nil {
			return nil, err
		}
		out = append(out, at)
	}
	return out, nil
}

func (p *plotter) up(numbers []string) error {
	to, err := p.places(numbers)
	if err != nil || len(to) > 1 {
		return fmt.Errorf("up to %d places (%w)", len(to), err)
	}
	p.down = false
	for _, q := range to {
		p.work.Travel += p.at.Dist(q)
		p.at = q
	}
	return nil
}

// lower puts the tool down.
func (p *plotter) lower() error {
	if p.pen == 0 || !p.absolute {
		return errors.New("no tool")
	}
	if !p.down {
		p.down = true
		p.work.begin(Cut{Tool: p.pen, Feed: p.velocity})
	}
	return nil
}

func (p *plotter) draw(numbers []string) error {
	to, err := p.places(numbers)
	if err = errors.Join(err, p.lower()); err != nil {
		return err
	}
	for _, q := range to {
		if p.turned {
			if off := q.Sub(p.at); math.Abs(off.X) > 1.0/unitsPerMM || math.Abs(off.Y) > 1.0/unitsPerMM {
				return fmt.Errorf("the arc before ends at %v", p.at)
			}
			p.turned = false
		} else if q == p.at {
			return errors.New("a line without length")
		}
		if q != p.at {
			p.work.add(geom.LineFrom(p.at, q))
		}
		p.at = q
	}
	return nil
}

// arc draws an arc about a centre, which may lie anywhere: x, y, the angle, positive to
// the left, and the angle of the chords that it is drawn by.
func (p *plotter) arc(numbers []string) error {
	if len(numbers) != 4 || !p.down {
		return errors.New("no arc, or the tool is up")
	}
	x, errX := number(numbers[0], wholeNumber)
	y, errY := number(numbers[1], wholeNumber)
	turn, errT := number(numbers[2], shortNumber)
	chord, errC := number(numbers[3], shortNumber)
	if err := errors.Join(errX, errY, errT, errC); err != nil {
		return err
	}
	c := geom.ArcFrom(p.at, geom.Pt(x/unitsPerMM, y/unitsPerMM), geom.Degrees(turn).Angle())
	stray := c.R * (1 - math.Cos(chord/2*math.Pi/180))
	if turn == 0 || math.Abs(turn) > 360 || chord < 0.5 || chord > 180 || stray > 0.0201 {
		return fmt.Errorf("a turn of %v by chords of %v degrees, %v mm off", turn, chord, stray)
	}
	p.work.add(c)
	p.at, p.turned = c.Q, true
	return nil
}
