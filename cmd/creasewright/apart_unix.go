//go:build unix

package main

import (
	"os/exec"
	"syscall"
)

// setApart gives a program a group of its own, which Ctrl-C in this terminal does not
// reach.
func setApart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }
