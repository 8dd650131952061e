package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/worker"
)

// shelfCommand is shelf: the folder of the user's own modules, and what can be done
// with those in it.
func shelfCommand(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "shelf list | show NAME | new NAME | add FILE | try NAME | test",
		Short: "Your own parts: list, show, begin, take in, try and test them",
		Long: "The shelf is a folder of modules, files of functions that every script can load by\n" +
			"load(\"@shelf//NAME.star\", …). It is creasewright/shelf in your configuration folder, or where --shelf\n" +
			"says. \"shelf new\" begins a module, \"shelf try\" hangs its part on a panel to look at, \"shelf add\" takes\n" +
			"in a file from elsewhere, and \"shelf COMMAND --help\" says more of each.",
		Example: "  creasewright shelf new hook_flap\n  creasewright shelf try hook_flap --watch\n  creasewright shelf list --pictures parts.svg",
		Args:    cobra.NoArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		// The commands are in the first line already.
		DisableFlagsInUseLine: true,
	}
	cmd.AddCommand(shelfList(c), shelfShow(c), shelfNew(c), shelfAdd(c), shelfTry(c), shelfTest(c))
	return cmd
}

// shelved is one module on the shelf.
type shelved struct {
	name  string // of its file, below the shelf with slashes
	brief string // what its docstring begins with
	pages []manual.Page
	fault error // why it cannot be read
}

// trialName is the function by which a module hangs its part on a panel.
const trialName = "trial"

// parts are the functions that scripts may load, but for the trial.
func (m *shelved) parts() (pages []manual.Page) {
	for _, p := range m.pages {
		if p.Kind == manual.Function && p.Name != trialName {
			pages = append(pages, p)
		}
	}
	return pages
}

// hasTrial reports whether the module can be tried.
func (m *shelved) hasTrial() bool {
	return slices.ContainsFunc(m.pages, func(p manual.Page) bool { return p.Kind == manual.Function && p.Name == trialName })
}

// stem is the name without .star, by which the module is asked for.
func (m *shelved) stem() string { return strings.TrimSuffix(m.name, ".star") }

// line is the module in a line.
func (m *shelved) line() string {
	if m.fault != nil {
		return fmt.Sprintf("%s: %v", m.name, m.fault)
	}
	var names []string
	for _, p := range m.parts() {
		names = append(names, p.Name)
	}
	line := m.name + ": " + m.brief
	if len(names) > 0 {
		line += " (" + strings.Join(names, ", ") + ")"
	}
	return line
}

// onShelf lists the modules of a shelf in order of name. A folder that is not there
// is an empty shelf.
func onShelf(shelf string) ([]shelved, error) {
	var all []shelved
	if _, err := os.Stat(shelf); errors.Is(err, os.ErrNotExist) || shelf == "" {
		return nil, nil
	}
	err := walkScripts(shelf, designs, func(path string) {
		name, err := filepath.Rel(shelf, path)
		if err != nil {
			return
		}
		text, err := moduleText(shelfLabel+filepath.ToSlash(name), shelf)
		all = append(all, readModule(filepath.ToSlash(name), text, err))
	})
	if err != nil {
		return nil, fmt.Errorf("cannot look through the shelf %s: %w", shelf, cause(err))
	}
	return all, nil
}

// readModule is a module by its text; err says that there is none.
func readModule(name string, text []byte, err error) shelved {
	m := shelved{name: name, fault: err}
	if err == nil {
		m.pages, m.fault = manual.ModulePages(shelfLabel+name, text)
	}
	if m.fault == nil {
		m.brief = m.pages[0].Brief
	}
	return m
}

// moduleNamed is the module on the shelf that is asked for: by the name of its file,
// with or without .star, as a script loads it, or by a function in it.
func moduleNamed(flags *scriptFlags, asked string) (*shelved, error) {
	all, err := onShelf(flags.shelfFolder())
	if err != nil {
		return nil, &exit{code: engine.Crashed, err: err}
	}
	name := scriptName(strings.TrimPrefix(asked, shelfLabel))
	for i := range all {
		if all[i].name == name {
			return &all[i], nil
		}
	}
	for i, m := range all {
		if slices.ContainsFunc(m.parts(), func(p manual.Page) bool { return p.Name == asked }) {
			return &all[i], nil
		}
	}
	text := fmt.Sprintf("there is no %s on the shelf %s", name, flags.shelfFolder())
	if len(all) == 0 {
		text += "; it is empty"
	} else {
		text += "; it has " + list(stems(all))
	}
	return nil, &exit{code: engine.Broken, err: errors.New(text)}
}

func stems(all []shelved) (names []string) {
	for _, m := range all {
		names = append(names, m.stem())
	}
	return names
}

// oneOf is the rule of commands that take one thing.
func oneOf(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 1 {
			return nil
		}
		return fmt.Errorf("shelf %s takes %s", cmd.Name(), what)
	}
}

// completeShelf completes the names of modules on the shelf.
func completeShelf(flags *scriptFlags) completion {
	return func(_ *cobra.Command, args []string, _ string) (out []cobra.Completion, _ cobra.ShellCompDirective) {
		if all, err := onShelf(flags.shelfFolder()); err == nil && len(args) == 0 {
			for _, m := range all {
				out = append(out, cobra.CompletionWithDesc(m.stem(), m.brief))
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp
	}
}

// shelfList is shelf list: a line for each module on standard output.
func shelfList(c *console) *cobra.Command {
	var flags scriptFlags
	var pictures string
	cmd := &cobra.Command{
		Use:   "list",
		Short: "Give a line for each module on the shelf, and a sheet of pictures if you like",
		Long: "Gives the modules on the shelf, a line each: the file, what it is for, and the functions in it. With\n" +
			"--pictures, runs the trial of each and draws them all on one sheet." + limitsHelp(),
		Example: "  creasewright shelf list\n  creasewright shelf list --pictures parts.svg",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			all, err := onShelf(flags.shelfFolder())
			if err != nil {
				return &exit{code: engine.Crashed, err: err}
			}
			if len(all) == 0 {
				c.say("the shelf " + flags.shelfFolder() + " is empty; creasewright shelf new NAME begins a module")
				return nil
			}
			for _, m := range all {
				c.result([]byte(diag.Printable(m.line()) + "\n"))
			}
			if pictures == "" {
				return nil
			}
			return c.picture(cmd.Context(), &flags, all, pictures)
		},
	}
	flags.addRun(cmd)
	cmd.Flags().StringVar(&pictures, "pictures", "", "draw the trial of every module on one sheet, into this SVG `file`")
	return cmd
}

// shelfShow is shelf show: what a module says of itself, on standard output.
func shelfShow(c *console) *cobra.Command {
	var flags scriptFlags
	cmd := &cobra.Command{
		Use:               "show NAME",
		Short:             "Print what a module is for and the page of each of its functions",
		Example:           "  creasewright shelf show hook_flap",
		Args:              oneOf("the name of one module"),
		ValidArgsFunction: completeShelf(&flags),
		RunE: func(_ *cobra.Command, args []string) error {
			m, err := moduleNamed(&flags, args[0])
			if err != nil {
				return err
			}
			if m.fault != nil {
				return &exit{code: engine.Broken, err: m.fault}
			}
			pages := append(m.pages[:1:1], m.parts()...)
			c.result([]byte(joined(pages)))
			return nil
		},
	}
	flags.addShelf(cmd)
	return cmd
}

// shelfTry is shelf try: the trial of a module, made as a script is.
func shelfTry(c *console) *cobra.Command {
	var flags scriptFlags
	var dir string
	var open, watch bool
	cmd := &cobra.Command{
		Use:   "try NAME",
		Short: "Hang a part on a panel, and make that as a script is made",
		Long: "Runs the function trial() of a module, which hangs its part on a panel and gives the panel, or the panel\n" +
			"and its board, and makes that as a script is made: so a part can be looked at, folded and checked\n" +
			"without a box round it. With --watch it is made again at every save of the module." + limitsHelp(),
		Example:           "  creasewright shelf try hook_flap\n  creasewright shelf try hook_flap --watch --open",
		Args:              oneOf("the name of one module"),
		ValidArgsFunction: completeShelf(&flags),
		RunE: func(cmd *cobra.Command, args []string) error {
			m, err := moduleNamed(&flags, args[0])
			if err != nil {
				return err
			}
			if m.fault == nil && !m.hasTrial() {
				return noTrial(m)
			}
			params, err := parseSet(flags.set)
			if err != nil {
				return err
			}
			limits, err := flags.bounds()
			if err != nil {
				return err
			}
			job := trialOf(m, &flags)
			job.Params = params
			if job.Dir = dir; dir == "" {
				job.Dir, job.Derived = filepath.Base(filepath.FromSlash(m.stem()))+"-trial", true
			}
			use := worker.Once
			if watch {
				use = worker.Waiting
			}
			run, end := c.sandbox("", limits, use)
			defer end()
			job.Build = run
			if !watch {
				return c.once(cmd.Context(), job, &flags, open)
			}
			watched := watchFlags{scriptFlags: flags, open: open, page: pageFlags{off: true}}
			return c.watchJobs(cmd.Context(), []live.Job{job}, &watched, "watching the trial of "+m.name)
		},
	}
	flags.add(c, cmd)
	cmd.Flags().StringVarP(&dir, "out", "o", "", "output `folder` (default: NAME-trial in the current folder)")
	complete(cmd, "out", completeFolders)
	cmd.Flags().BoolVar(&watch, "watch", false, "go on, and make it again at every save")
	addOpen(cmd, &open)
	return cmd
}

// noTrial is the error for a module that cannot be tried.
func noTrial(m *shelved) error {
	return &exit{code: engine.Broken, err: fmt.Errorf("%s has no function trial(): it hangs the part on a panel and gives the panel and its board;"+
		" \"creasewright words shelf\" shows one", m.name)}
}

// trialOf is the job of trying a module. Its script stands in no file: it is called as
// if it lay beside the module, so that it is read from there.
func trialOf(m *shelved, flags *scriptFlags) live.Job {
	shelf := flags.shelfFolder()
	dir, base := filepath.Split(filepath.FromSlash(m.name))
	stem := strings.TrimSuffix(base, ".star")
	text := fmt.Sprintf(`"""Trial of %s"""

load(%q, "trial")

made = trial()
root, card = made if type(made) == "tuple" and len(made) == 2 else (made, board("trial card", caliper = 0.4))
if type(root) != "panel" or type(card) != "board":
    fail("trial() gives something else than the panel that the part hangs on, or that panel and its board")
piece(%q, root, board = card)
`, m.name, base, stem)
	flags.unfiled = "trial of " + base
	return live.Job{Script: filepath.Join(shelf, dir, flags.unfiled), Text: []byte(text), Shelf: shelf}
}

// shelfTest is shelf test: the tests on the shelf.
func shelfTest(c *console) *cobra.Command {
	var flags scriptFlags
	cmd := &cobra.Command{
		Use:   "test",
		Short: "Run the tests that stand beside the modules on the shelf",
		Long: "Runs the tests in the files called NAME" + engine.TestSuffix + " on the shelf, as \"creasewright test\" does for any\n" +
			"folder." + limitsHelp(),
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			shelf := flags.shelfFolder()
			if info, err := os.Stat(shelf); err != nil || !info.IsDir() {
				return &exit{code: engine.Broken, err: fmt.Errorf("there is no shelf %s yet; creasewright shelf new NAME begins a module", shelf)}
			}
			files, err := targets([]string{shelf}, tests)
			if err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			paths := make([]string, len(files))
			for i, t := range files {
				paths[i] = t.path
			}
			return c.tests(cmd.Context(), &flags, paths)
		},
	}
	flags.addRun(cmd)
	return cmd
}
