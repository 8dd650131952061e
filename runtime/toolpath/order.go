package toolpath

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/tour"
)

// order puts the lines of the passes, as they lie on the bed, into the order in which
// they are made, with little travel. Passes stay in their sequence; within them, what must be made before
// something else comes first (see classes), and within such a class the way between the strokes is
// short, begun where the class before has ended. Open strokes may be run the other way. Closed ones
// are begun at one of their starts and keep their sense: a blade cuts as well either way, a beam's cut has the same slope on both sides, and who
// leads in or moves the way by the kerf then knows the side of the waste.
//
// It gives the passes so ordered, and for comparison the naive order: each class as the
// blank has it, every stroke run forwards and from its first start.
func (p *Program) order(ctx context.Context) (found, naive []Pass, err error) {
	var all []line
	var tasks []tour.Task
	var given, best []tour.Visit
	o := tour.Options{HasFrom: true}
	for _, class := range p.classes() {
		first := len(tasks)
		all = append(all, class...)
		for _, l := range class {
			tasks = append(tasks, l.task())
		}
		visits, _, err := tour.Order(ctx, tasks[first:], o)
		if err != nil {
			return nil, nil, err
		}
		for i, v := range visits {
			given = append(given, tour.Visit{Task: first + i})
			best = append(best, tour.Visit{Task: first + v.Task, Start: v.Start})
			o.From = tasks[first+v.Task].Exit(v.Start)
		}
	}
	if best, err = restarted(ctx, tasks, best); err != nil {
		return nil, nil, err
	}
	return p.passes(all, best), p.passes(all, given), nil
}

// passes is the lines in the order of their visits, in passes as before.
func (p *Program) passes(all []line, visits []tour.Visit) []Pass {
	out := slices.Clone(p.Passes)
	for i := range out {
		out[i].Strokes = nil
	}
	for _, v := range visits {
		pass := &out[all[v.Task].pass]
		pass.Strokes = append(pass.Strokes, all[v.Task].from(v.Start))
	}
	return out
}

// restarted chooses starts and senses anew for a sequence of all classes at once, so that a class
// ends where the next one is near.
func restarted(ctx context.Context, tasks []tour.Task, visits []tour.Visit) ([]tour.Visit, error) {
	sequence := make([]tour.Task, len(visits))
	for i, v := range visits {
		sequence[i] = tasks[v.Task]
	}
	starts, err := tour.Starts(ctx, sequence, tour.Options{HasFrom: true})
	if err != nil {
		return nil, err
	}
	for i := range starts {
		starts[i].Task = visits[i].Task
	}
	return starts, nil
}

// line is a stroke to be put in order, and where it may begin.
type line struct {
	Stroke
	pass    int
	returns bool    // an open one that is run forth and back ends where it began
	starts  []start // of a closed one without bridges
}

// start is a place on a closed stroke: on its k-th move at parameter t.
type start struct {
	k     int
	t     float64
	at    geom.Point
	along float64 // mm from where the stroke begins now
}

func (l line) task() tour.Task {
	if !l.Closed {
		return tour.Task{Points: []geom.Point{l.Start(), l.End()}, Closed: l.returns}
	}
	t := tour.Task{Closed: true}
	for _, part := range l.parts { // begun behind a bridge it ends before the same one
		t.Points = append(t.Points, part[0].P)
	}
	for _, s := range l.starts {
		t.Points = append(t.Points, s.at)
	}
	return t
}

// from is the stroke begun at one of its starts, or at one of its ends.
func (l line) from(i int) Stroke {
	s := l.Stroke
	switch {
	case len(l.parts) > 0:
		s.parts = append(slices.Clone(l.parts[i:]), l.parts[:i]...)
	case l.Closed:
		return l.begun(l.starts[i])
	case i == 1:
		s = s.Reversed()
	}
	return s
}

// begun is the closed stroke from a start once round.
func (s Stroke) begun(at start) Stroke {
	out := s
	out.Moves = append(slices.Clone(s.Moves[at.k:]), s.Moves[:at.k]...)
	if at.t > 0 {
		a, b := s.Moves[at.k].Split(at.t)
		a.Q, b.P = at.at, at.at
		out.Moves[0].Curve = b
		out.Moves = append(out.Moves, Move{Curve: a})
	}
	return out
}

// classes is the lines of the passes in groups, each to be made before the next. A pass is
// one, but for cuts: what lies within most closed cuts comes first, and so holes come before what
// surrounds them, slits before the contour around them, and outer contours last, so that board
// is cut while it is held.
func (p *Program) classes() [][]line {
	var out [][]line
	for i, pass := range p.Passes {
		depths := make([]int, len(pass.Strokes))
		if pass.Kind == blank.CutLine {
			depths = nesting(pass.Strokes)
		}
		for depth := slices.Max(append(depths, 0)); depth >= 0; depth-- {
			var class []line
			for k, s := range pass.Strokes {
				if depths[k] != depth {
					continue
				}
				l := line{Stroke: s, pass: i, returns: p.returns(pass.Tool)}
				if s.Closed && len(s.parts) == 0 {
					l.starts = startsOf(s, clearance(pass.Tool))
				}
				class = append(class, l)
			}
			if len(class) > 0 {
				out = append(out, class)
			}
		}
	}
	return out
}

// nesting is by stroke how many closed ones it lies within.
func nesting(strokes []Stroke) []int {
	depths, boxes := make([]int, len(strokes)), make([]geom.Box, len(strokes))
	for i, s := range strokes {
		boxes[i] = geom.EmptyBox()
		for _, m := range s.Moves {
			boxes[i] = boxes[i].Union(m.Bounds())
		}
	}
	tree := geom.NewBoxTree(boxes)
	for i, outer := range strokes {
		if !outer.Closed {
			continue
		}
		index := geom.NewWindingIndex(outer.curves())
		for _, k := range tree.Intersecting(boxes[i], nil) {
			if k != i && index.About(strokes[k].Moves[0].At(0.5)) != 0 {
				depths[k]++
			}
		}
	}
	return depths
}

const (
	// mostStarts is about how many starts of a closed stroke are looked at. More of them
	// shorten the way by less than their spacing.
	mostStarts = 12

	// closestStarts is how far apart, in mm, starts on one curve are at least.
	closestStarts = 5

	// settled is after how many offsets a blade that is dragged round a square corner points along its
	// way again, to a degree (4.74; derived from the equation of the trailing blade).
	settled = 5
)

// clearance is how far from corners, in mm, a tool begins a closed stroke: a knife so far that its blade
// comes back along the line and its overcut stays on it, every tool so far that there is room
// for its way in. 0: it may begin on a corner.
func clearance(t board.Tool) float64 {
	clear := t.Lead
	if t.Kind == board.Knife {
		clear = max(clear, float64(settled*t.Offset)+t.Overcut, geom.SnapTolerance)
	}
	return clear
}

// startsOf is where a closed stroke may begin, along it from where it begins now. Without
// clearance that is at the ends of its curves and along them. With it only straights are used that are long enough, or
// where there are none the middle of other curves that are, or else the middle of
// the longest.
func startsOf(s Stroke, clear float64) []start {
	spacing := max(s.Length()/mostStarts, closestStarts)
	var best, other, last []start
	sum, longest := 0.0, 0.0
	for k, m := range s.Moves {
		length := m.Length()
		place := func(l float64) start {
			t := m.ParamAt(l)
			return start{k, t, m.At(t), sum + l}
		}
		switch {
		case clear == 0:
			best = append(best, start{k, 0, m.P, sum})
			for n, i := math.Floor(length/spacing), 1.0; i < n; i++ {
				best = append(best, place(length*i/n))
			}
		case length < 2*clear:
		case m.Kind == geom.Line:
			room := length - 2*clear
			n := math.Floor(room / spacing)
			if n == 0 {
				best = append(best, place(length/2))
			}
			for i := 0.0; i <= n && n > 0; i++ {
				best = append(best, place(clear+room*i/n))
			}
		default:
			other = append(other, place(length/2))
		}
		if length > longest {
			longest, last = length, []start{place(length / 2)}
		}
		sum += length
	}
	for _, found := range [...][]start{best, other} {
		if len(found) > 0 {
			return thinned(found, spacing/2)
		}
	}
	return last
}

// thinned leaves out starts that come within a distance along the stroke behind one that is
// kept.
func thinned(starts []start, distance float64) []start {
	out := starts[:1]
	for _, s := range starts[1:] {
		if s.along-out[len(out)-1].along >= distance {
			out = append(out, s)
		}
	}
	return out
}
