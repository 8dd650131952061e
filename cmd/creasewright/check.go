package main

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/build"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/read"
)

// formats are the ways findings can be given.
var formats = []string{"text", "json", "sarif"}

func checkCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var format string
	cmd := &cobra.Command{
		Use:   "check SCRIPT...",
		Short: "Give a script's findings and write nothing",
		Long: "Runs the scripts and gives what was found on standard output: as text, as a JSON array or as a SARIF\n" +
			"2.1.0 log. Writes no file. The exit code is that of the worst script.",
		Args: someScripts,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(formats, format) {
				return &exit{code: build.Broken, err: fmt.Errorf("--format %q is none of text, json, sarif", format)}
			}
			params, err := parseSet(flags.set)
			if err != nil {
				return err
			}
			c.notes = flags.notes
			var found []*diag.Finding
			worst := build.Clean
			for _, path := range args {
				res := checkOne(cmd.Context(), path, flags.shelfFolder(), params)
				worst = max(worst, res.Exit)
				found = append(found, res.Findings...)
				c.prints(res.Prints)
				if format == "text" {
					c.checked(path, &res)
				}
			}
			switch format {
			case "json":
				c.result(diag.JSON(found))
			case "sarif":
				c.result(diag.SARIF(found))
			}
			return ended(worst)
		},
	}
	flags.add(cmd)
	cmd.Flags().StringVar(&format, "format", "text", "how to give the findings: text, json or sarif")
	return cmd
}

// checkOne runs one script. A path that makes no sense is a finding like any
// other, so that it shows in every format.
func checkOne(ctx context.Context, path, shelf string, params map[string]string) build.Result {
	folder, err := read.Beside(path, shelf)
	if err != nil {
		return build.Result{Exit: build.Broken, Findings: []*diag.Finding{diag.Scriptf(nil, "%v", err)}}
	}
	return build.Run(ctx, build.Request{Script: folder.Script(), Read: folder.Text, Params: params})
}
