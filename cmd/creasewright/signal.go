//go:build !js

package main

import (
	"os"
	"syscall"
)

// terminalEnds is the signal that a program is sent when its terminal ends.
var terminalEnds = []os.Signal{syscall.SIGHUP}
