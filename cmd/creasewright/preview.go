package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// previewer says where the preview is when it was not there before the first run,
// and opens it when that was asked for.
type previewer struct {
	path string
	open bool // asked for and not done yet
	told bool
	hint bool // --open is to be had
}

// newPreviewer is to be called before the first run: a preview that is there already
// has been told of.
func newPreviewer(job live.Job, open bool) *previewer {
	path := filepath.Join(job.Dir, emit.PreviewName)
	return &previewer{path: path, open: open, told: isFile(path), hint: true}
}

// after is to be called after each run; it does something after the first that left
// a preview.
func (p *previewer) after(c *console, out live.Outcome) {
	made := slices.ContainsFunc(out.Files, func(f engine.File) bool { return f.Kind == emit.KindPreview })
	if !made || out.Err != nil {
		return
	}
	if !p.told {
		line := "the preview is " + p.path
		if !p.open && p.hint {
			line += "; --open opens it"
		}
		c.say(line)
	}
	p.told = true
	if p.open {
		p.open = false
		if err := c.open(p.path); err != nil {
			c.say(fmt.Sprintf("cannot open %s: %v", p.path, err))
		}
	}
}

// addOpen adds --open.
func addOpen(cmd *cobra.Command, open *bool) {
	cmd.Flags().BoolVar(open, "open", false, "open the preview in the program that the system has for pictures")
}

// openWithSystem starts the program that the system has for a file, and does not
// wait for it: it may stay open as long as the user likes.
func openWithSystem(path string) error {
	args, err := opener(runtime.GOOS, path)
	if err != nil {
		return err
	}
	return startApart(exec.Command(args[0], args[1:]...))
}

// opener is the command line that opens a file on a system. The path is made
// absolute, so that none is taken for an option.
func opener(system, path string) ([]string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	switch system {
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler", full}, nil
	case "darwin":
		return []string{"open", full}, nil
	case "js", "wasip1":
		return nil, fmt.Errorf("%w: this system starts no programs", os.ErrInvalid)
	}
	return []string{"xdg-open", full}, nil
}
