//go:build !js

package main

import (
	"os"
	"syscall"
)

// hangupSignals is the signal that a program is sent when its terminal ends.
var hangupSignals = []os.Signal{syscall.SIGHUP}
