// Command creasewright turns a script of panels and folds into a flat blank
// that can be cut, scored and folded. This package is the only place that
// prints and the only one that ends the program, but for its children; the work is
// done by runtime/engine and brought to disk by runtime/live.
//
// # Streams and exit codes
//
// What a command was asked for goes to standard output and can be piped;
// everything else, summaries and errors, goes to standard error. A result that
// cannot be written, as on a full disk, is a failure of the command.
//
// The exit code is that of engine.Exit: 0 without errors (warnings and notes
// allowed), 1 when the design has errors, 2 when the script or the command line
// is at fault, so that there is no design, and 3 when the program or the disk
// failed. Of several scripts it is the highest.
package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/worker"
)

// main runs a worker's job instead when the process was started as one (worker.Main
// does not return then).
func main() {
	worker.Main(nil)
	if runsScript(os.Args[1:]) {
		worker.StartEarly()
	}
	ctx, stop := signal.NotifyContext(context.Background(), endSignals()...)
	code := run(ctx, newConsole(os.Stdout, os.Stderr, os.Getenv), os.Args[1:])
	stop()
	os.Exit(code)
}

// runsScript reports whether a command line most likely runs a script in a process of
// this program, so that it pays to start one before the line is understood.
func runsScript(args []string) bool {
	return len(args) > 1 && slices.Contains([]string{"make", "check", "watch"}, args[0]) &&
		!slices.ContainsFunc(args, func(a string) bool { return strings.HasPrefix(a, "--also") || a == "--help" || a == "-h" })
}

// endSignals are the signals on which the program cleans up and ends: Ctrl-C, a
// termination request, and the end of the terminal unless the program was started to
// ignore it (nohup).
func endSignals() []os.Signal {
	out := []os.Signal{os.Interrupt, syscall.SIGTERM}
	for _, s := range hangupSignals {
		if !signal.Ignored(s) {
			out = append(out, s)
		}
	}
	return out
}

// run carries out one command line and gives the exit code.
// It can be called again, as tests do: nothing is kept between calls but what the
// console holds. A failure to write the result outranks the command's own error.
func run(ctx context.Context, c *console, args []string) int {
	return execute(ctx, c, rootCommand(c), args)
}

// execute is run with a tree of commands of the caller's.
func execute(ctx context.Context, c *console, root *cobra.Command, args []string) int {
	root.SetArgs(args)
	root.SetOut(c.out)
	root.SetErr(c.err)
	cmd, err := root.ExecuteContextC(ctx)
	var e *exit
	switch {
	case c.out.err != nil:
		e = &exit{code: engine.Crashed, err: fmt.Errorf("cannot write the result: %w", cause(c.out.err))}
	case err == nil:
		return int(engine.Clean)
	case !errors.As(err, &e):
		// The command line itself is at fault: cobra found it.
		e = &exit{code: engine.Broken, err: meant(cmd, err), help: true}
	}
	if e.err != nil {
		c.failed(e.err)
	}
	if e.help {
		fmt.Fprintln(c.err, `"creasewright --help" lists the commands and "creasewright COMMAND --help" what each takes`)
	}
	return int(e.code)
}

// meant adds to an error of the command line what was probably meant: the command
// or the flag nearest to one that is not there, and make for a script on its own.
func meant(cmd *cobra.Command, err error) error {
	said := err.Error()
	if name, ok := strings.CutPrefix(said, `unknown command "`); ok {
		name, _, _ = strings.Cut(name, `"`)
		if strings.HasSuffix(name, ".star") {
			return fmt.Errorf("%w; did you mean creasewright make %s?", err, name)
		}
		var names []string
		for _, c := range cmd.Commands() {
			names = append(names, c.Name())
		}
		if near, ok := model.Nearest(name, names); ok {
			return fmt.Errorf("%w; did you mean %s?", err, near)
		}
	}
	if name, ok := strings.CutPrefix(said, "unknown flag: --"); ok {
		var names []string
		for _, word := range strings.Fields(cmd.Flags().FlagUsages()) {
			if flag, ok := strings.CutPrefix(word, "--"); ok {
				names = append(names, flag)
			}
		}
		if near, ok := model.Nearest(name, names); ok {
			return fmt.Errorf("%w; did you mean --%s?", err, near)
		}
	}
	return err
}

// cause is what lies behind a file error, without the name of the file.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// exit is a command's end when all is not well. What a run found has been told
// by then; err is what is still to be printed, or nil.
type exit struct {
	code engine.Exit
	err  error
	help bool
}

func (e *exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit code %d", e.code)
	}
	return e.err.Error()
}

// ended is the error for a way of ending, nil for a clean one.
// It carries no text: findings have been told already.
func ended(code engine.Exit) error {
	if code == engine.Clean {
		return nil
	}
	return &exit{code: code}
}

// interrupted ends a command that was told to end before it was done.
// left says what that leaves undone. The exit code is 3: nothing is known of the
// design.
func interrupted(left string) error {
	return &exit{code: engine.Crashed, err: errors.New("interrupted; " + left)}
}

// rootCommand builds the command tree. Cobra prints neither errors nor usage:
// run does, so that every message goes through the console and is escaped.
func rootCommand(c *console) *cobra.Command {
	root := &cobra.Command{
		Use:   "creasewright",
		Short: "Folded paper and board from a script",
		Long: "Creasewright turns a short script of panels and folds into a flat blank: a picture to look at,\n" +
			"cut files at true size, and a report.\n\n" +
			"Exit codes: 0 nothing worse than a warning, 1 the design has errors, 2 the script or the command\n" +
			"line is at fault, 3 the system failed.",
		Args:          cobra.NoArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.CompletionOptions.DisableDefaultCmd = true
	root.Version = version()
	root.SetVersionTemplate("{{.Version}}")
	root.AddCommand(newCommand(c), makeCommand(c), layoutCommand(c), watchCommand(c), checkCommand(c), shelfCommand(c), testCommand(c), fmtCommand(c), wordsCommand(c),
		versionCommand(c), completionCommand(c), manCommand(c))
	return root
}
