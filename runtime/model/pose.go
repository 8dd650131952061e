package model

import "github.com/creasewright/creasewright/runtime/source"

// The poses that every design has: laid flat, and folded and glued.
const (
	PoseFlat   = "flat"
	PoseClosed = "closed"
)

// Pose is a state to fold to. FoldDegrees are by hinge.
type Pose struct {
	Name        string
	FoldDegrees map[*Hinge]float64
	At          float64 // 0…1, scales the given folds that FoldDegrees does not name
	Glued       bool
	Site        source.Site
}
