package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/worker"
	"github.com/creasewright/creasewright/stdlib"
)

// shelfNew is shelf new: the skeleton of a module and of its tests. What is there
// already is never written over.
func shelfNew(c *console) *cobra.Command {
	var flags scriptFlags
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Begin a module: a part with its documentation, a trial and a test",
		Long: "Writes a module with one part to start from, its trial() and a file of tests beside it, with comments on\n" +
			"what each is for. Nothing that is there already is written over.",
		Example: "  creasewright shelf new hook_flap",
		Args:    oneOf("the name of one module"),
		RunE: func(_ *cobra.Command, args []string) error {
			name := strings.TrimSuffix(args[0], ".star")
			if err := goodName(name); err != nil {
				return err
			}
			function := strings.ReplaceAll(name, "-", "_")
			if word := wordCalled(function); word != "" {
				return &exit{code: engine.Broken, err: fmt.Errorf("%s is a word of the language already; choose another name", word)}
			}
			path := filepath.Join(flags.shelfFolder(), name)
			files := []string{path + ".star", path + engine.TestSuffix}
			for _, file := range files {
				if _, err := os.Lstat(file); err == nil {
					return &exit{code: engine.Broken, err: fmt.Errorf("%s is there already and stays as it is; choose another name", file)}
				}
			}
			fill := strings.NewReplacer("FILE", name, "PART", function)
			for i, text := range []string{moduleSkeleton, testSkeleton} {
				if err := live.Put(files[i], []byte(fill.Replace(text))); err != nil {
					return &exit{code: engine.Crashed, err: fmt.Errorf("cannot write %s: %w", files[i], cause(err))}
				}
			}
			c.say("wrote " + files[0] + " and its tests, " + filepath.Base(files[1]))
			c.say("next: creasewright shelf try " + name + " --watch")
			return nil
		},
	}
	flags.addShelf(cmd)
	return cmd
}

// moduleSkeleton is a module to begin with: FILE is its name, PART its function.
const moduleSkeleton = `"""Flaps with round corners: say in a sentence what your parts are for."""

# Scripts take the part by load("@shelf//FILE.star", "PART"). Other
# functions and names that begin with _ stay in this file.

def PART(name, on, card, depth = 20, round = 6):
    """Hangs a flap with round corners on an edge.

    Args:
      name: what the flap is called; a pose opens it by this name
      on: the edge that it hangs on, such as back.top
      card: the board, for its caliper
      depth: how far it reaches, mm
      round: radius of its corners, mm

    Returns:
      the flap
    """

    # A caliper on either side keeps it clear of the walls beside it.
    return flap(name, on = on, depth = depth, inset = card.caliper, round = round)

def trial():
    """Hangs the part on a panel, to be looked at without a box round it.

    Returns:
      the panel, and its board
    """
    card = board("trial card", caliper = 0.4)
    base = panel("base", rect(60, 40))
    PART("flap", on = base.top, card = card)
    return base, card
`

// testSkeleton is the file of tests beside it.
const testSkeleton = `"""Tests of FILE.star: creasewright shelf test runs them."""

load("FILE.star", "PART", "trial")

def test_trial():
    base, card = trial()
    piece("trial", base, board = card)
    facts = built()
    near(facts.blank().height, 60)
    near(facts.fold("flap"), 90)

def test_flap_that_is_too_round():
    base = panel("base", rect(60, 40))
    card = board("card", caliper = 0.4)
    fails(lambda: PART("flap", on = base.top, card = card, depth = 5, round = 80), "radius of 80 mm")
`

// goodName refuses names that a module cannot have, or that would be awkward to load.
func goodName(name string) error {
	odd := func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != '_' && r != '-'
	}
	begins := name != "" && (name[0] >= 'a' && name[0] <= 'z' || name[0] >= 'A' && name[0] <= 'Z')
	switch {
	case strings.HasSuffix(name+".star", engine.TestSuffix):
		return &exit{code: engine.Broken, err: fmt.Errorf("%s.star is the name of a file of tests; these stand beside a module", name)}
	case !begins || strings.ContainsFunc(name, odd) || len(name) > maxModuleName:
		return &exit{code: engine.Broken, err: fmt.Errorf("%q cannot be the name of a module: it begins with a letter and has letters, digits, _ and - alone, at most %d", name, maxModuleName)}
	}
	return nil
}

// maxModuleName is how long the name of a module may be: its trial is a piece of that
// name.
const maxModuleName = 50

// wordCalled is the word of the language that has a name, "" for none.
func wordCalled(name string) string {
	for _, w := range engine.Words() {
		if w.Name == name {
			return name
		}
	}
	return ""
}

// shelfAdd is shelf add: a file from elsewhere, once it has been looked through.
func shelfAdd(c *console) *cobra.Command {
	var flags scriptFlags
	var replace bool
	cmd := &cobra.Command{
		Use:   "add FILE",
		Short: "Take a module onto the shelf after looking it through",
		Long: "Copies a module onto the shelf, and the file of tests beside it, if it can be loaded from there, makes no\n" +
			"piece, says in docstrings what it and its functions are for, and none of its functions is called like a\n" +
			"word or like a function of another module there. A module of that name is replaced with --replace\n" +
			"alone; without, what would change is told." + limitsHelp(),
		Example:           "  creasewright shelf add hook_flap.star\n  creasewright shelf add hook_flap.star --replace",
		Args:              oneOf("one file"),
		ValidArgsFunction: completeScripts(false),
		RunE: func(cmd *cobra.Command, args []string) error {
			limits, err := flags.bounds()
			if err != nil {
				return err
			}
			run, end := c.sandbox("", limits, worker.Once)
			defer end()
			return c.take(cmd.Context(), run, &flags, args[0], replace)
		},
	}
	flags.addRun(cmd)
	cmd.Flags().BoolVar(&replace, "replace", false, "replace a module of that name")
	return cmd
}

// take puts a module onto the shelf if nothing speaks against it.
func (c *console) take(ctx context.Context, run runner, flags *scriptFlags, path string, replace bool) error {
	text, err := moduleText(path, "")
	if err != nil {
		return &exit{code: engine.Broken, err: err}
	}
	stem, isScript := strings.CutSuffix(filepath.Base(path), ".star")
	if !isScript {
		return &exit{code: engine.Broken, err: fmt.Errorf("%s does not end in .star", path)}
	}
	if err := goodName(stem); err != nil {
		return err
	}
	shelf := flags.shelfFolder()
	if shelf == "" {
		return &exit{code: engine.Broken, err: errors.New("this system has no configuration folder; say with --shelf where the shelf is")}
	}
	place := filepath.Join(shelf, stem+".star")
	if same, err := sameFile(path, place); err != nil {
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot look at %s: %w", place, cause(err))}
	} else if same {
		return &exit{code: engine.Broken, err: fmt.Errorf("%s is on the shelf already", path)}
	}
	if err := c.runs(ctx, run, path, place, shelf, text); err != nil {
		return err
	}
	m := readModule(stem+".star", text, nil)
	all, err := onShelf(shelf)
	if err != nil {
		return &exit{code: engine.Crashed, err: err}
	}
	if faults := objections(&m, all); len(faults) > 0 {
		for _, f := range faults {
			c.say(path + ": " + f)
		}
		return &exit{code: engine.Broken, err: fmt.Errorf("%s was not put onto the shelf", path)}
	}
	there := slices.IndexFunc(all, func(o shelved) bool { return o.name == m.name })
	if there >= 0 {
		change := changes(&all[there], &m)
		if !replace {
			return &exit{code: engine.Broken, err: fmt.Errorf("%s is on the shelf already; --replace puts this one in its place: %s", m.name, change)}
		}
		c.say("replaces " + m.name + ": " + change)
	}
	return c.put(path, place, text)
}

// runs sees that a module can be loaded from its place on the shelf and makes nothing.
func (c *console) runs(ctx context.Context, run runner, path, place, shelf string, text []byte) error {
	job := live.Job{Script: place, Text: text, Shelf: shelf, Build: run, Formats: emit.Table{}}
	res, err := job.Check(ctx)
	switch {
	case ctx.Err() != nil:
		return interrupted("nothing was put onto the shelf")
	case err != nil:
		return &exit{code: engine.Broken, err: err}
	case res.Module():
		return nil
	}
	c.prints(res.Prints)
	if res.Exit >= engine.Broken {
		// Told by the path of the file that was given, which is the one to be mended.
		style := diag.Style{Line: res.Lines(), Colour: c.colourErr, Path: func(label string) string {
			if label == filepath.Base(place) {
				return path
			}
			return label
		}}
		_, _ = c.err.Write(style.Text(res.Findings))
		return &exit{code: res.Exit, err: fmt.Errorf("%s was not put onto the shelf", path)}
	}
	return &exit{code: engine.Broken, err: fmt.Errorf("%s makes a piece and is a script; a module only defines functions for scripts to load", path)}
}

// objections are what speaks against a module on a shelf.
func objections(m *shelved, all []shelved) (faults []string) {
	if m.brief == "" {
		faults = append(faults, `it does not begin with a text that says what it is for: """…"""`)
	}
	if len(m.parts()) == 0 {
		faults = append(faults, "it defines no function for scripts to load")
	}
	for _, p := range m.parts() {
		if p.Brief == "" {
			faults = append(faults, p.Name+` does not begin with a text that says what it does: """…"""`)
		}
		if wordCalled(p.Name) != "" {
			faults = append(faults, p.Name+" is a word of the language, which a script that loads this would lose")
		}
		if label := stdlib.Functions()[p.Name]; label != "" {
			faults = append(faults, p.Name+" is a function of the standard library, in "+label)
		}
		for _, other := range all {
			if other.name != m.name && slices.ContainsFunc(other.parts(), func(q manual.Page) bool { return q.Name == p.Name }) {
				faults = append(faults, p.Name+" is a function of "+other.name+" on the shelf")
			}
		}
	}
	return faults
}

// changes says in a line what becomes of the functions of a module that another one
// takes the place of.
func changes(old, fresh *shelved) string {
	titles := func(m *shelved) map[string]string {
		out := map[string]string{}
		for _, p := range m.parts() {
			out[p.Name] = p.Title
		}
		return out
	}
	was, is := titles(old), titles(fresh)
	var gone, other, more []string
	for _, p := range old.parts() {
		if title, stays := is[p.Name]; !stays {
			gone = append(gone, p.Name)
		} else if title != p.Title {
			other = append(other, p.Name)
		}
	}
	for _, p := range fresh.parts() {
		if was[p.Name] == "" {
			more = append(more, p.Name)
		}
	}
	var parts []string
	for _, s := range []struct {
		names []string
		what  string
	}{{gone, "without "}, {other, "other arguments for "}, {more, "new: "}} {
		if len(s.names) > 0 {
			parts = append(parts, s.what+list(s.names))
		}
	}
	if len(parts) == 0 {
		return "the same functions with the same arguments"
	}
	return strings.Join(parts, "; ")
}

// put writes a module and the tests beside it onto the shelf.
func (c *console) put(path, place string, text []byte) error {
	err := live.Put(place, text)
	wrote := "wrote " + place
	tested := strings.TrimSuffix(path, ".star") + engine.TestSuffix
	if text, absent := moduleText(tested, ""); err == nil && absent == nil {
		beside := strings.TrimSuffix(place, ".star") + engine.TestSuffix
		err = live.Put(beside, text)
		wrote += " and its tests, " + filepath.Base(beside)
	}
	if err != nil {
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot write %s: %w", place, cause(err))}
	}
	c.say(wrote)
	c.say(fmt.Sprintf("scripts take it by load(%q, …)", shelfLabel+filepath.Base(place)))
	return nil
}

// sameFile reports whether two paths lead to one file.
func sameFile(a, b string) (bool, error) {
	x, err := os.Stat(a)
	if err != nil {
		return false, err
	}
	y, err := os.Stat(b)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && os.SameFile(x, y), err
}
