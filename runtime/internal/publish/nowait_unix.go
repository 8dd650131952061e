//go:build unix

package publish

import "syscall"

// noWait keeps the opening of a pipe from waiting for its other end.
const noWait = syscall.O_NONBLOCK
