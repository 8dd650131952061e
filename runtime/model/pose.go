package model

import "github.com/creasewright/creasewright/runtime/source"

// The poses that every design has: laid flat, and folded and glued.
const (
	PoseFlat   = "flat"
	PoseClosed = "closed"
)

// Pose is a state to fold to. Folds are by hinge, in degrees.
type Pose struct {
	Name  string
	Folds map[*Hinge]float64
	At    float64 // 0…1, scales the given folds that Folds does not name
	Glued bool
	Site  source.Site
}
