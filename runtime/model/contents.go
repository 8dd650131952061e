package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Contents is the product in the closed piece.
type Contents struct {
	Name        string
	Panel       *Panel
	Size        [3]float64 // x, y along the panel's axes, z inward
	Round       bool       // a cylinder: Size is d, d, h
	At          *geom.Point
	TurnDegrees float64 // about z
	Clearance   float64
	Mass        *float64 // grams
	Site        source.Site
}
