package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Panel is one flat area of board. Its outline is in its own frame.
type Panel struct {
	Name    string
	Index   int // order of making, over the whole design
	Outline geom.Path
	Hang    *Hinge // the hinge it hangs by; nil for a root
	Piece   *Piece // nil until a piece claims its tree
	Flat    geom.Isometry
	Bent    bool
	Over    bool    // overhang = True: may be wider than its edge
	Role    Role    // which word made it
	Depth   float64 // for flaps and tabs: square to the hinge
	Site    source.Site

	Windows []*Window
	Works   []*Work
	In      *Window // the window it hangs in, itself or an ancestor; else nil
}

// Role says which word made a panel.
type Role uint8

// Roles of panels.
const (
	Plain Role = iota
	FlapRole
	TabRole
)
