package main

import (
	"os/exec"
	"syscall"
)

// setApart gives a program a group of its own, which Ctrl-C in this terminal does not
// reach.
func setApart(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{CreationFlags: syscall.CREATE_NEW_PROCESS_GROUP}
}
