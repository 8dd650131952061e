//go:build unix

package live

import "syscall"

// processorTime is the processor time in ms that this process and its children that
// have ended have used.
func processorTime() (own, children float64) {
	used := func(who int) float64 {
		var u syscall.Rusage
		if syscall.Getrusage(who, &u) != nil {
			return 0
		}
		return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
	}
	return used(syscall.RUSAGE_SELF), used(syscall.RUSAGE_CHILDREN)
}
