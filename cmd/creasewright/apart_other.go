//go:build !unix && !windows

package main

import "os/exec"

// setApart has nothing to do where there are no groups of processes.
func setApart(*exec.Cmd) {}
