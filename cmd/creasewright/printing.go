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
	"github.com/creasewright/creasewright/runtime/live"
)

// printProgram is the program beside this one that also draws the sheet in the
// formats that are made only when asked for. What these take to draw would cost
// this program some 3 ms at every start.
const printProgram = "creasewright-print"

// outputFlags say which files are made beyond those of every run.
type outputFlags struct {
	also     []string
	machines []string
	paper    string
}

// add defines them for a command.
func (f *outputFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringSliceVar(&f.also, "also", nil, "make `formats` too: "+strings.Join(formatsAsked(), ", "))
	complete(cmd, "also", fixed(formatsAsked()...))
	// Not a comma-separated list: the name of a machine may hold commas.
	flags.StringArrayVar(&f.machines, "for", nil, "write the files for a `machine` of the script, by its name (may be given again)")
	flags.StringVar(&f.paper, "paper", string(engine.A4), "`paper` that tiles are printed on: "+either(papers()))
	complete(cmd, "paper", fixed(papers()...))
}

// given reports whether any says more than what every run makes.
func (f *outputFlags) given() bool { return len(f.also) > 0 || len(f.machines) > 0 }

// words are the flags as they are typed.
func (f *outputFlags) words() (out []string) {
	if len(f.also) > 0 {
		out = append(out, "--also", strings.Join(f.also, ","))
	}
	for _, m := range f.machines {
		out = append(out, "--for", m)
	}
	if f.paper != string(engine.A4) {
		out = append(out, "--paper", f.paper)
	}
	return out
}

// ask puts them into jobs and gives the program whose process makes it all, "" for this one.
func (f *outputFlags) ask(jobs ...*live.Job) (program string, err error) {
	for i, name := range f.also {
		f.also[i] = strings.TrimSpace(name) // after a comma
	}
	kinds, program, err := printing(f.also)
	if err != nil {
		return "", &exit{code: engine.Broken, err: err}
	}
	if !slices.Contains(papers(), f.paper) {
		return "", &exit{code: engine.Broken, err: fmt.Errorf("--paper takes %s, not %q", either(papers()), f.paper)}
	}
	for _, j := range jobs {
		j.Also, j.For, j.Paper = kinds, f.machines, engine.Paper(f.paper)
	}
	return program, nil
}

// either lists words of which one is to be chosen.
func either(words []string) string {
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// papers lists the papers there are.
func papers() (out []string) {
	for _, p := range engine.Papers() {
		out = append(out, string(p))
	}
	return out
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
// this one where it makes all of that itself.
func printing(also []string) (kinds []emit.Kind, program string, err error) {
	elsewhere := false
	for _, name := range also {
		f, ok := engine.Formats().Of(emit.Kind(name))
		if !ok || !slices.Contains(formatsAsked(), name) {
			return nil, "", fmt.Errorf("--also takes %s, not %q", either(formatsAsked()), name)
		}
		kinds, elsewhere = append(kinds, f.Kind), elsewhere || !engine.Makes(f)
	}
	if elsewhere {
		program, err = findPrintProgram()
	}
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
	return "", fmt.Errorf("--also needs the program %s beside this one or on the PATH; "+
		"go install ./cmd/... in the folder of the source installs both", printProgram)
}
