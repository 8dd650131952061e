package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/live"
)

// scriptFlags are what every command that runs a script takes.
// They are raw text until job or bounds reads them; a value that makes no sense is
// exit code 2, without the pointer to --help that faults found by cobra get.
type scriptFlags struct {
	set    []string
	limits []string
	shelf  string
	notes  bool

	unfiled string // see paths
}

// paths says how texts are named in messages.
func (f *scriptFlags) paths() paths { return paths{shelf: f.shelf, unfiled: f.unfiled} }

// add defines the flags for a command.
func (f *scriptFlags) add(c *console, cmd *cobra.Command) {
	flags := cmd.Flags()
	// Not a comma-separated list: a value may hold commas.
	flags.StringArrayVar(&f.set, "set", nil, "value for a parameter of the script, as `name=value` (may be given again)")
	flags.BoolVar(&f.notes, "notes", false, "show notes as well as warnings and errors")
	complete(cmd, "set", c.completeParams(f))
	f.addRun(cmd)
}

// addShelf defines the one that says where the user's modules are.
func (f *scriptFlags) addShelf(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.shelf, "shelf", "", "`folder` of your own modules (default: creasewright/shelf in your configuration folder)")
	complete(cmd, "shelf", completeFolders)
}

// addRun defines those that say how scripts are run and where their texts are.
func (f *scriptFlags) addRun(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringArrayVar(&f.limits, "limit", nil, "change a limit on the run, as `name=value` (may be given again)")
	complete(cmd, "limit", completeLimits)
	f.addShelf(cmd)
}

// job is what the flags and a script's path ask for, all but what does it.
// dir is the output folder, "" for the one derived from the script's path: then
// Derived is set. The caller fills in Build.
func (f *scriptFlags) job(script, dir string) (live.Job, limit.Set, error) {
	if full := script + ".star"; !isFile(script) && isFile(full) {
		return live.Job{}, limit.Set{}, &exit{code: engine.Broken, err: fmt.Errorf("there is no file %q; did you mean %q?", script, full)}
	}
	params, err := parseSet(f.set)
	if err != nil {
		return live.Job{}, limit.Set{}, err
	}
	limits, err := f.bounds()
	derived := dir == ""
	if derived {
		dir = live.OutputFolder(script)
	} else if file := fileInTheWay(dir); file != "" {
		return live.Job{}, limit.Set{}, &exit{code: engine.Broken, err: fmt.Errorf("-o %s names the folder for the files, and %s is a file", dir, file)}
	}
	return live.Job{Script: script, Dir: dir, Derived: derived, Shelf: f.shelfFolder(), Params: params}, limits, err
}

// isFile reports whether something has that name that is no folder: the folder of
// a script's files is called as the script without its ending.
func isFile(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && !info.IsDir()
}

// fileInTheWay is what of a folder's path is there and no folder, "" for none.
func fileInTheWay(dir string) string {
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if info, err := os.Stat(at); err == nil {
			if info.IsDir() {
				return ""
			}
			return at
		}
		if at == filepath.Dir(at) {
			return ""
		}
	}
}

// bounds reads the --limit flags.
// Those given last hold; what is not named keeps its default.
func (f *scriptFlags) bounds() (limit.Set, error) {
	s := limit.Defaults()
	for _, text := range f.limits {
		if err := s.Put(text); err != nil {
			return s, &exit{code: engine.Broken, err: fmt.Errorf("--limit: %w", err)}
		}
	}
	return s, nil
}

// What the commands take besides flags, said in words.

// oneScript is the rule of make and watch. What it returns is reported by run with
// exit code 2 and the pointer to --help.
func oneScript(cmd *cobra.Command, args []string) error {
	if len(args) == 1 {
		return nil
	}
	return fmt.Errorf("%s takes one script, not %d", cmd.Name(), len(args))
}

// someScripts is the rule of check: folders count as well.
func someScripts(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return nil
	}
	return fmt.Errorf("%s takes at least one script", cmd.Name())
}

// parseSet reads the --set flags; of two for one name the last holds.
// A setting is split at its first equals sign, so values may hold others; white
// space round name and value is dropped. Types are checked by the script's
// parameters, not here.
func parseSet(set []string) (map[string]string, error) {
	params := map[string]string{}
	for _, s := range set {
		name, value, ok := strings.Cut(s, "=")
		if name = strings.TrimSpace(name); !ok || name == "" {
			return nil, &exit{code: engine.Broken, err: fmt.Errorf("--set %q is not of the form name=value", s)}
		}
		params[name] = strings.TrimSpace(value)
	}
	return params, nil
}

// shelfFolder is the folder of the user's own modules, "" where the system has
// no place for one.
// It need not exist.
func (f *scriptFlags) shelfFolder() string {
	if f.shelf != "" {
		return f.shelf
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(config, "creasewright", "shelf")
}
