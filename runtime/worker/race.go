//go:build race

package worker

// The race detector needs more address space and files than the system's bounds
// would leave it.
func init() { underRace = true }
