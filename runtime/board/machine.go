package board

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Machine is a cutter, or a sheet that pieces are cut from.
type Machine struct {
	Name   string
	Bed    [2]float64 // mm, along x and y
	Margin float64    // mm all round that the tool does not reach
	Detail *float64   // mm, the finest opening it makes; nil when not given
}

// NewMachine checks m's figures and gives a machine of its own: a bed that its
// margin leaves room on.
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
	m.Detail = own(m.Detail)
	return &m, nil
}

// Room is the size of what fits on the bed, inside its margin.
func (m *Machine) Room() (x, y float64) { return m.Bed[0] - 2*m.Margin, m.Bed[1] - 2*m.Margin }

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
