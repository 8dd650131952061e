package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/worker"
)

// shells are those for which completion is written.
var shells = []string{"bash", "zsh", "fish", "powershell"}

// completionCommand is completion: the shell's script on standard output. What
// there is to complete the shell asks this program for each time, so the script
// need not be written again when words or options are added.
func completionCommand(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "completion bash|zsh|fish|powershell",
		Short: "Completion for bash, zsh, fish and PowerShell",
		Long: "Gives the text that lets a shell complete commands, options, scripts, parameters of a script and words.\n\n" +
			"  bash        creasewright completion bash > ~/.local/share/bash-completion/completions/creasewright\n" +
			"  zsh         creasewright completion zsh > \"${fpath[1]}/_creasewright\"\n" +
			"  fish        creasewright completion fish > ~/.config/fish/completions/creasewright.fish\n" +
			"  PowerShell  creasewright completion powershell >> $PROFILE\n\n" +
			"It is there in the next shell that is started. bash needs the package bash-completion, zsh a line\n" +
			"\"autoload -U compinit; compinit\" in ~/.zshrc.",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || !slices.Contains(shells, args[0]) {
				return fmt.Errorf("completion takes one of %s", strings.Join(shells, ", "))
			}
			return nil
		},
		ValidArgs:             shells,
		DisableFlagsInUseLine: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			root := cmd.Root()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(c.out, true)
			case "zsh":
				return root.GenZshCompletion(c.out)
			case "fish":
				return root.GenFishCompletion(c.out, true)
			}
			return root.GenPowerShellCompletionWithDesc(c.out)
		},
	}
}

// completion is what cobra asks for what may stand at a place of the command line.
type completion = func(cmd *cobra.Command, args []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective)

// complete says how a flag's value is completed.
func complete(cmd *cobra.Command, flag string, how completion) {
	if err := cmd.RegisterFlagCompletionFunc(flag, how); err != nil {
		panic(err) // the flag was just defined
	}
}

// fixed completes one of some words.
func fixed(words ...string) completion {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

// completeScripts completes scripts and folders, one or, with many, any number.
func completeScripts(many bool) completion {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 && !many {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return []cobra.Completion{"star"}, cobra.ShellCompDirectiveFilterFileExt
	}
}

// completeFolders completes folders.
func completeFolders(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// completeWords completes the names of pages and, after a module, of its functions,
// for the reader that the flags on the command line make.
func completeWords(of func() reader) completion {
	return func(_ *cobra.Command, args []string, _ string) (out []cobra.Completion, _ cobra.ShellCompDirective) {
		r := of()
		for _, p := range r.ofRules(r.Pages()) {
			if len(args) == 0 || p.Kind == manual.Function && p.Group == args[0] {
				out = append(out, cobra.CompletionWithDesc(p.Name, p.Brief))
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp
	}
}

// completeLimits completes the names of limits, what they are now beside each.
func completeLimits(*cobra.Command, []string, string) (out []cobra.Completion, _ cobra.ShellCompDirective) {
	defaults := limit.Defaults()
	for _, l := range limit.Limits() {
		out = append(out, cobra.CompletionWithDesc(l.String()+"=", fmt.Sprintf("%s (%s)", l.Doc(), defaults.Amount(l))))
	}
	return out, cobra.ShellCompDirectiveNoSpace | cobra.ShellCompDirectiveNoFileComp
}

// completeParams completes the parameters of the scripts on the command line, the
// default beside each. The scripts are run for it, within the limits of any run.
func (c *console) completeParams(flags *scriptFlags) completion {
	return func(cmd *cobra.Command, args []string, _ string) (out []cobra.Completion, _ cobra.ShellCompDirective) {
		run, end := c.sandbox("", limit.Defaults(), worker.Batch)
		defer end()
		for _, script := range args {
			for name, value := range paramsOf(cmd.Context(), run, script, flags.shelfFolder()) {
				out = append(out, cobra.CompletionWithDesc(name+"=", fmt.Sprintf("%v in %s", value, filepath.Base(script))))
			}
		}
		slices.Sort(out)
		return out, cobra.ShellCompDirectiveNoSpace | cobra.ShellCompDirectiveNoFileComp
	}
}

// paramsOf is the values that a script's parameters have by default, by name; none
// where the script gives no design.
func paramsOf(ctx context.Context, run runner, script, shelf string) map[string]any {
	job := live.Job{Script: script, Shelf: shelf, Build: run, Formats: engine.Formats().Only([]emit.Kind{emit.KindReport})}
	res, err := job.Check(ctx)
	if err != nil {
		return nil
	}
	return reportOf(&res).Params
}

// report is what the commands read of a run's report.
type report struct {
	Params map[string]any
	Pieces []pieceReport
}

// pieceReport is a piece's size in mm, flat, and how many panels it has.
type pieceReport struct {
	Name   string
	Blank  struct{ Width, Height float64 }
	Panels []struct{}
}

// reportOf reads the report among a run's files; it is empty where there is none.
func reportOf(res *engine.Result) (r report) {
	for _, f := range res.Files {
		if f.Kind == emit.KindReport && json.Unmarshal(f.Bytes, &r) != nil {
			return report{}
		}
	}
	return r
}
