//go:build linux && !race

package worker

import "golang.org/x/sys/unix"

// SystemLimits reports whether the system bounds a run's memory.
const SystemLimits = true

// boundMemory has the system refuse the process more memory than this. Address
// space cannot be bounded: Go reserves gigabytes of it.
func boundMemory(bytes int64) {
	lower(unix.RLIMIT_DATA, uint64(bytes))
}

// openNothing has the system refuse the process every further file, and every
// byte into one.
func openNothing() {
	for _, what := range []int{unix.RLIMIT_NOFILE, unix.RLIMIT_FSIZE, unix.RLIMIT_CORE} {
		lower(what, 0)
	}
}

// lower sets a limit for good. Where the system will not, the process's watch
// over itself is left.
func lower(what int, to uint64) {
	_ = unix.Setrlimit(what, &unix.Rlimit{Cur: to, Max: to})
}
