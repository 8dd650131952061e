package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/worker"
)

// sandbox runs scripts within limits in processes of a program, "" for this one.
// The end is to be called after the last run.
type sandbox func(program string, limits limit.Set, use worker.Use) (run runner, end func())

// runner runs one script.
// Faults of the script and failures of the process are in the result; the error is
// the cause of the context's end.
type runner func(context.Context, engine.Request) (engine.Result, error)

// workers runs each script in a process of its own or, in a batch, some one after
// another.
func workers(program string, limits limit.Set, use worker.Use) (runner, func()) {
	pool := worker.NewOf(program, limits, use)
	return pool.Run, pool.Close
}

// inProcess runs scripts in this process, within such limits as it can keep. It
// is for tests.
func inProcess(_ string, limits limit.Set, _ worker.Use) (runner, func()) {
	return func(ctx context.Context, req engine.Request) (engine.Result, error) {
		req.Limits = limits
		return engine.Run(ctx, req)
	}, func() {}
}

// limitsHelp lists the limits for the help of commands that run scripts.
func limitsHelp() string {
	var out strings.Builder
	out.WriteString("\n\nEach run has a process of its own, which opens no file, and these limits; --limit name=value changes one:\n\n")
	defaults := limit.Defaults()
	for _, l := range limit.Limits() {
		fmt.Fprintf(&out, "  %-8s %11s   %s\n", l, defaults.Amount(l), l.Doc())
	}
	out.WriteString("\nA design of many panels is given up to three times the time, and any run eight times as much by the clock.")
	if !worker.BoundsMemory() {
		out.WriteString(" This system bounds no process's memory: the run\n" +
			"only keeps watch over its own, so a script from a stranger may take more for a moment.")
	}
	return out.String()
}
