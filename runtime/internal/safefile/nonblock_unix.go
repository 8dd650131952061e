//go:build unix

package safefile

import "syscall"

// nonBlock keeps the opening of a pipe from waiting for its other end.
const nonBlock = syscall.O_NONBLOCK
