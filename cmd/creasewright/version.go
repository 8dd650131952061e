package main

import (
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// versionCommand is version: one line on standard output, exit code 0.
func versionCommand(c *console) *cobra.Command {
	return &cobra.Command{
		Use:                   "version",
		Short:                 "The version of this program",
		Args:                  cobra.NoArgs,
		DisableFlagsInUseLine: true,
		Run:                   func(*cobra.Command, []string) { c.result([]byte(version())) },
	}
}

// version is the program's name and version in a line.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = nil
	}
	return versionLine(info)
}

// versionLine gives what the build recorded: the module's version ("devel" for
// a build of a working copy without one), the revision, and the version of Go.
func versionLine(info *debug.BuildInfo) string {
	name, details := "devel", []string{}
	if info != nil {
		if v := info.Main.Version; v != "" && v != "(devel)" {
			name = v
		}
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				details = append(details, s.Value)
			case s.Key == "vcs.modified" && s.Value == "true":
				details = append(details, "with changes")
			}
		}
		details = append(details, info.GoVersion)
	}
	line := "creasewright " + name
	if len(details) > 0 {
		line += " (" + strings.Join(details, ", ") + ")"
	}
	return line + "\n"
}
