package board

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// MachineFormat is the language of a machine's files.
type MachineFormat string

// The formats that a machine may take.
const (
	MachineSVG   MachineFormat = "svg"
	MachineDXF   MachineFormat = "dxf"
	MachinePDF   MachineFormat = "pdf"
	MachineHPGL  MachineFormat = "hpgl"
	MachineGCode MachineFormat = "gcode"
)

// MachineFormats lists every format, in the order shown to people.
func MachineFormats() []MachineFormat {
	return []MachineFormat{MachineSVG, MachineDXF, MachinePDF, MachineHPGL, MachineGCode}
}

// Lines lists the line kinds that a tool can be given for, in the order of work. They
// are those of package blank, whose tests compare the two lists.
func Lines() []string {
	return []string{"drawn", "score", "back-score", "part-cut", "back-part-cut", "perforated", "cut"}
}

// Machine is a cutter, or a sheet that pieces are cut from.
type Machine struct {
	Name   string
	Bed    [2]float64    // mm, along x and y
	Margin float64       // mm all round that the tool does not reach
	Detail *float64      // mm, the finest opening it makes; nil when not given
	Format MachineFormat // "" for one that takes no file of its own
	Tools  []ToolUse     // in the order given, each line kind once
	Nicks  *Nicks        // nil for none
}

// Makes reports whether the machine makes lines of a kind: those that it has a tool
// for or, without tools, all.
func (m *Machine) Makes(line string) bool {
	_, ok := m.Tool(line)
	return ok || len(m.Tools) == 0
}

// ToolUse is the tool with which a machine makes one line kind.
type ToolUse struct {
	Line string // one of Lines
	Tool Tool
}

// Nicks are short bridges of board left in closed cuts, by which the piece
// stays in its sheet. One of Count and Spacing is positive.
type Nicks struct {
	Width   float64 // mm
	Count   int     // to each closed cut
	Spacing float64 // mm between them, at most
}

// ErrFormat is what NewMachine's error wraps when the format is none of MachineFormats.
var ErrFormat = errors.New("not one of " + join(MachineFormats()))

// MostTools is how many tools a machine may number: what a numbered tool is called
// by in the files has two digits.
const MostTools = 99

// NewMachine checks m's figures and gives a machine of its own: a bed that its
// margin leaves room on, tools that line kinds are made with and, for a machine
// with tools, a format to write them in. Without tools all lines go into its files,
// which HP-GL and G-code cannot do. A tool without a number is given the lowest that is free,
// equal tools the same one.
func NewMachine(m Machine) (*Machine, error) {
	if strings.TrimSpace(m.Name) == "" {
		return nil, errors.New("a machine needs a name")
	}
	if !(m.Margin >= 0 && m.Margin <= geom.MaxSize) {
		return nil, fmt.Errorf("margin = %.10g mm is not between 0 and %s mm", m.Margin, geom.Num(geom.MaxSize))
	}
	for i, axis := range []string{"x", "y"} {
		if err := geom.CheckSize("bed "+axis, m.Bed[i]); err != nil {
			return nil, err
		}
		if m.Bed[i]-2*m.Margin < geom.MinSize {
			return nil, fmt.Errorf("the margin of %s mm leaves no room on a bed of %s mm", geom.Num(m.Margin), geom.Num(m.Bed[i]))
		}
	}
	if m.Detail != nil {
		if err := geom.CheckSize("detail", *m.Detail); err != nil {
			return nil, err
		}
	}
	if err := m.checkWork(); err != nil {
		return nil, err
	}
	m.Detail, m.Nicks, m.Tools = own(m.Detail), own(m.Nicks), numbered(m.Tools)
	return &m, nil
}

// checkWork checks what is said of files and tools.
func (m *Machine) checkWork() error {
	if m.Format != "" && !slices.Contains(MachineFormats(), m.Format) {
		return fmt.Errorf("format %q is %w", m.Format, ErrFormat)
	}
	switch {
	case m.Format == "" && len(m.Tools) > 0:
		return fmt.Errorf("tools are given, and no format of the files: one of %s", join(MachineFormats()))
	case m.Format == "" && m.Nicks != nil:
		return fmt.Errorf("nicks are given, and no format of the files: one of %s", join(MachineFormats()))
	case (m.Format == MachineHPGL || m.Format == MachineGCode) && len(m.Tools) == 0:
		return fmt.Errorf("format %q needs tools: a file of it says which tool makes which lines", m.Format)
	}
	seen := map[string]bool{}
	for _, u := range m.Tools {
		if !slices.Contains(Lines(), u.Line) {
			return &LineError{u.Line}
		}
		if seen[u.Line] {
			return fmt.Errorf("%q has two tools", u.Line)
		}
		seen[u.Line] = true
		if err := u.Tool.Check(); err != nil {
			return fmt.Errorf("the %s for %q: %w", u.Tool.Kind, u.Line, err)
		}
		if m.Format == MachineGCode && u.Tool.Feed == nil {
			return fmt.Errorf("the %s for %q needs a feed: a file of G-code says how fast the tool goes", u.Tool.Kind, u.Line)
		}
	}
	return m.Nicks.Check()
}

// Check is what is wrong with the figures; nil for none at all. NewMachine calls it.
func (n *Nicks) Check() error {
	switch {
	case n == nil:
		return nil
	case n.Count < 0 || n.Count > MostNicks:
		return fmt.Errorf("count = %d is not between 1 and %d", n.Count, MostNicks)
	case n.Spacing < 0 || n.Spacing > geom.MaxSize || math.IsNaN(n.Spacing):
		return fmt.Errorf("spacing = %.10g mm is not over 0 and up to %s mm", n.Spacing, geom.Num(geom.MaxSize))
	case n.Count > 0 && n.Spacing > 0:
		return fmt.Errorf("count = %d and spacing = %.10g mm are both given: one of the two says where nicks lie", n.Count, n.Spacing)
	case n.Count == 0 && n.Spacing == 0:
		return fmt.Errorf("neither a count nor a spacing is given: one of the two says where nicks lie, as in nicks(%s, count = 4)", geom.Num(n.Width))
	}
	if err := geom.CheckSize("the width of a nick", n.Width); err != nil {
		return err
	}
	if n.Spacing != 0 && n.Spacing < 2*n.Width {
		return fmt.Errorf("spacing = %s mm leaves more bridge than cut with nicks of %s mm: %s mm is the least",
			geom.Num(n.Spacing), geom.Num(n.Width), geom.Num(2*n.Width))
	}
	return nil
}

// LineError says that tools were given for what is no line kind.
type LineError struct{ Line string }

func (e *LineError) Error() string {
	return fmt.Sprintf("%q is no line kind: %s", e.Line, strings.Join(Lines(), ", "))
}

// MostNicks is how many nicks one cut may have: more is a slip of the hand, of a
// spacing too.
const MostNicks = 1000

// numbered gives each tool a number: its own, that of an equal tool before it, or
// the lowest that no other tool has.
func numbered(given []ToolUse) []ToolUse {
	out := slices.Clone(given)
	taken := map[int]bool{}
	for _, u := range given {
		taken[u.Tool.Number] = true
	}
	free := 1
	for i := range out {
		t := &out[i].Tool
		t.Depth, t.Feed = own(t.Depth), own(t.Feed)
		if t.Number != 0 {
			continue
		}
		for k := range given[:i] {
			if given[k].Tool.same(given[i].Tool) {
				t.Number = out[k].Tool.Number
			}
		}
		for t.Number == 0 {
			if !taken[free] {
				taken[free], t.Number = true, free
			}
			free++
		}
	}
	return out
}

// Tool is the tool that makes lines of a kind; ok is false where the machine has none.
func (m *Machine) Tool(line string) (t Tool, ok bool) {
	for _, u := range m.Tools {
		if u.Line == line {
			return u.Tool, true
		}
	}
	return Tool{}, false
}

// Finest is the finest opening that the machine makes: its detail or the kerf of its
// beams, whichever is coarser; ok is false where neither is given.
func (m *Machine) Finest() (v float64, ok bool) {
	if m.Detail != nil {
		v, ok = *m.Detail, true
	}
	for _, u := range m.Tools {
		if k := u.Tool.Kerf; k > v {
			v, ok = k, true
		}
	}
	return v, ok
}

// Compensates reports whether some tool of the machine does.
func (m *Machine) Compensates() bool {
	return slices.ContainsFunc(m.Tools, func(u ToolUse) bool { return u.Tool.Compensate })
}

// Reach is how far, in mm, the axis goes beyond the lines of a piece: the offset of a knife that
// it leads, half of the kerf that a beam cuts beside them.
func (m *Machine) Reach() float64 {
	most := 0.0
	for _, u := range m.Tools {
		if u.Tool.Compensate {
			most = max(most, u.Tool.Offset, u.Tool.Kerf/2)
		}
	}
	return most
}

// Room is the size of what fits on the bed, inside its margin, so that the axis stays
// there too.
func (m *Machine) Room() (x, y float64) {
	edge := m.Margin + m.Reach()
	return m.Bed[0] - 2*edge, m.Bed[1] - 2*edge
}

// Excess is how far a piece of the given size reaches over the room along its
// own x and y, laid the way in which it reaches over least, turned by 90
// degrees or not; both 0 or less when it fits.
func (m *Machine) Excess(width, height float64) (x, y float64) {
	rx, ry := m.Room()
	as, turned := [2]float64{width - rx, height - ry}, [2]float64{width - ry, height - rx}
	if worst(turned) < worst(as) {
		as = turned
	}
	return as[0], as[1]
}

func worst(v [2]float64) float64 { return math.Max(v[0], v[1]) }

// join lists words of any type of text.
func join[T ~string](words []T) string {
	var out []string
	for _, w := range words {
		out = append(out, string(w))
	}
	return strings.Join(out, ", ")
}
