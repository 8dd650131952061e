package model

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/source"
)

// Setting is one limits() call: what designs are held to in place of the
// defaults.
type Setting struct {
	Board  *board.Board // the board it is for; nil for every board
	Values map[board.Limit]float64
	Site   source.Site
}

// Machine is one machine() call: every piece must fit its bed.
type Machine struct {
	*board.Machine
	Site source.Site
}

// Limit is the limit in force for a board: what the script set for that board,
// else for every board, else the default, which for the finest detail is the
// coarsest machine's. set is the call that decided, nil for a default; machine
// the machine that did.
func (d *Design) Limit(l board.Limit, b *board.Board) (v float64, set *Setting, machine *Machine) {
	for _, s := range d.Settings {
		if w, ok := s.Values[l]; ok && (s.Board == b || s.Board == nil && set == nil) {
			v, set = w, s
		}
	}
	if set != nil {
		return v, set, nil
	}
	if l == board.Detail {
		for _, m := range d.Machines {
			if m.Detail != nil && (machine == nil || *m.Detail > v) {
				v, machine = *m.Detail, m
			}
		}
		if machine != nil {
			return v, nil, machine
		}
	}
	return l.Default(b), nil, nil
}
