package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// testCommand is test. What fails goes to standard output, with file and line; a
// file that does not run is told on standard error, as a script is by check, and
// is exit code 2. All else is talk. The other files are run all the same.
func testCommand(c *console) *cobra.Command {
	var flags scriptFlags
	cmd := &cobra.Command{
		Use:   "test FILE|FOLDER...",
		Short: "Run the tests that stand beside scripts and modules",
		Long: "Runs the tests in files called NAME" + engine.TestSuffix + ", those in the folders and below them too. A test is a\n" +
			"function whose name begins with test_: it describes a design with the ordinary words, and asks for\n" +
			"facts of it with words of its own, which \"creasewright words tests\" explains. Each test starts with\n" +
			"nothing described. What fails is told with its file and line, and the exit code is then 1." + limitsHelp(),
		Example: "  creasewright test designs\n  creasewright test lid" + engine.TestSuffix,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("test takes at least one file of tests or folder")
			}
			return nil
		},
		ValidArgsFunction: completeScripts(true),
		RunE: func(cmd *cobra.Command, args []string) error {
			files, err := targets(args, tests)
			if err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			paths := make([]string, len(files))
			for i, t := range files {
				if paths[i] = t.path; !isTest(t.path) {
					return &exit{code: engine.Broken, err: fmt.Errorf("%s is no file of tests: these are called NAME%s", t.path, engine.TestSuffix)}
				}
			}
			return c.tests(cmd.Context(), &flags, paths)
		},
	}
	flags.addRun(cmd)
	return cmd
}

// tests runs files of tests and tells what came of them.
func (c *console) tests(ctx context.Context, flags *scriptFlags, files []string) error {
	limits, err := flags.bounds()
	if err != nil {
		return err
	}
	run, end := c.sandbox("", limits, worker.Batch)
	defer end()
	c.paths = flags.paths()
	var all tested
	for _, path := range files {
		job := live.Job{Script: path, Shelf: flags.shelfFolder(), Build: run}
		res, err := job.Test(ctx)
		if ctx.Err() != nil {
			return interrupted("not every test was run")
		}
		if err != nil {
			res = engine.Result{Exit: engine.Broken, Findings: []*diag.Finding{diag.Scriptf(nil, "%v", err)}}
		}
		c.testResult(path, &res)
		all.add(&res)
	}
	if len(files) > 1 {
		c.say(fmt.Sprintf("%s in %s", all.String(), count(len(files), "file")))
	}
	return ended(all.worst)
}

// testResult tells of one file of tests.
func (c *console) testResult(path string, res *engine.Result) {
	c.prints(res.Prints)
	if res.Exit >= engine.Broken {
		c.findings(c.err, c.colourErr, path, res, res.Findings)
		if res.Stack != "" {
			c.prints(strings.Split(strings.TrimRight(strings.ReplaceAll(res.Stack, "\t", "    "), "\n"), "\n"))
		}
		c.say(path + ": no test was run")
		return
	}
	c.findings(c.out, c.colourOut, path, res, res.Findings)
	var one tested
	one.add(res)
	c.say(path + ": " + one.String())
}

// tested is what came of tests.
type tested struct {
	run, failed int
	worst       engine.Exit
}

func (t *tested) add(res *engine.Result) {
	t.worst = max(t.worst, res.Exit)
	for _, one := range res.Tests {
		if t.run++; one.Failed {
			t.failed++
		}
	}
}

func (t *tested) String() string {
	if t.failed > 0 {
		return fmt.Sprintf("%s, %d failed", count(t.run, "test"), t.failed)
	}
	return count(t.run, "test") + ", all well"
}
