//go:build unix

package read

import "syscall"

// noWait keeps the opening of a pipe from waiting for its other end.
const noWait = syscall.O_NONBLOCK
