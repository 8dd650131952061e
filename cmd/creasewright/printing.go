package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// printProgram is the program beside this one that also draws the sheet in the
// formats that are made only when asked for. What these take to draw would cost
// this program some 3 ms at every start.
const printProgram = "creasewright-print"

// addAlso adds --also, which takes formats separated by commas or given again.
func addAlso(cmd *cobra.Command, also *[]string) {
	cmd.Flags().StringSliceVar(also, "also", nil, "draw the sheet as `format` too: "+strings.Join(formatsAsked(), " or "))
	complete(cmd, "also", fixed(formatsAsked()...))
}

// formatsAsked lists the formats that are written only when asked for.
func formatsAsked() (out []string) {
	for _, f := range engine.Formats() {
		if f.Asked && !f.Unwritten {
			out = append(out, string(f.Kind))
		}
	}
	return out
}

// printing is what is asked for and the program whose process makes it, "" for
// this one where nothing is.
func printing(also []string) (kinds []emit.Kind, program string, err error) {
	if len(also) == 0 {
		return nil, "", nil
	}
	for _, name := range also {
		f, ok := engine.Formats().Of(emit.Kind(name))
		if !ok || !slices.Contains(formatsAsked(), name) {
			return nil, "", fmt.Errorf("--also takes %s, not %q", strings.Join(formatsAsked(), " or "), name)
		}
		kinds = append(kinds, f.Kind)
	}
	program, err = findPrintProgram()
	return kinds, program, err
}

// findPrintProgram looks beside this program and then where programs are looked
// for.
// The path is absolute. That the program is of the same version is not looked at
// here.
func findPrintProgram() (string, error) {
	name := printProgram
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	if self, err := os.Executable(); err == nil {
		beside := filepath.Join(filepath.Dir(self), name)
		if _, err := os.Stat(beside); err == nil {
			return beside, nil
		}
	}
	if path, err := exec.LookPath(name); err == nil {
		return filepath.Abs(path)
	}
	return "", fmt.Errorf("--also needs the program %s beside this one: "+
		"go install github.com/creasewright/creasewright/cmd/%[1]s@latest", printProgram)
}
