package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// layoutTime is the processor time in ms that a layout may take unless --limit says
// otherwise: it is counted work of a few seconds on a slow machine.
const layoutTime = 60_000

// layoutFlags are what layout takes besides a script.
type layoutFlags struct {
	sheet, machine, gap, margin, grain string
	pieces                             []string
	count                              int
}

// layoutCommand is layout. Exit codes are those of make; a design with errors is not
// laid.
func layoutCommand(c *console) *cobra.Command {
	var flags scriptFlags
	var layout layoutFlags
	var dir string
	cmd := &cobra.Command{
		Use:   "layout SCRIPT",
		Short: "Lay a script's pieces on a sheet of board",
		Long: "Runs the script and lays its pieces on a sheet, as many as fit: true shapes, turned by half turns or,\n" +
			"where no grain forbids it, by quarter turns. Several pieces are laid in whole sets, each as often as it\n" +
			"has copies. Writes layout.cut.svg and layout.cut.dxf for the machine, layout.svg to look at and\n" +
			"layout.json; with --for also that machine's own file of the sheet, as make --for writes that of a piece.\n" +
			"Without a gap, cuts that two pieces have in common are made once.\n" +
			"The grain of a sheet runs along its longer side unless --grain says otherwise." + limitsHelp(),
		Example: "  creasewright layout tea.star --sheet 700x1000\n  creasewright layout tea.star --sheet 20inx28in --gap 3 --margin 10 --grain x\n" +
			"  creasewright layout tea.star --for \"desktop cutter\" --gap 0",
		Args:              oneLaid,
		ValidArgsFunction: completeScripts(false),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := misspelt(args[0]); err != nil {
				return err
			}
			job, limits, err := flags.job(args[0], dir)
			if err != nil {
				return err
			}
			if job.Layout, err = layout.request(cmd); err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			if limits[limit.Time] == limit.Defaults()[limit.Time] {
				limits[limit.Time] = layoutTime
			}
			run, end := c.sandbox("", limits, worker.Once)
			defer end()
			job.Build = run
			out, err := job.Once(cmd.Context())
			if err != nil && cmd.Context().Err() != nil {
				return interrupted("no files written")
			}
			if err != nil {
				return &exit{code: engine.Broken, err: err}
			}
			c.notes, c.paths = flags.notes, flags.paths()
			c.outcome(job, out, c.laid(job, out))
			return ended(exitOf(out))
		},
	}
	flags.add(c, cmd)
	addDir(cmd, &dir)
	layout.add(cmd)
	return cmd
}

// add defines them for a command.
func (f *layoutFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.sheet, "sheet", "", "`WIDTHxHEIGHT` of the sheet, in mm or with units: 700x1000, 20inx28in")
	flags.StringVar(&f.machine, "for", "", "lay on the bed of a `machine` of the script, by its name, instead of a sheet, and write its file")
	flags.StringVar(&f.gap, "gap", "3", "`distance` between pieces; with 0 they share cuts")
	flags.StringVar(&f.margin, "margin", "10", "`distance` from the sheet's sides; on a machine's bed, its own at least")
	flags.StringVar(&f.grain, "grain", "", "`direction` of the sheet's grain: x, y or any (default: along its longer side)")
	flags.StringArrayVar(&f.pieces, "piece", nil, "lay this `piece` only, by its name (may be given again)")
	flags.IntVar(&f.count, "count", 0, "`number` of sets at most (default: as many as fit)")
	complete(cmd, "grain", fixed("x", "y", "any"))
}

// oneLaid is oneScript, and tells of a sheet whose sizes were written apart.
func oneLaid(cmd *cobra.Command, args []string) error {
	sheet := cmd.Flags().Lookup("sheet").Value.String()
	if _, err := engine.Length(sheet); err == nil {
		for _, arg := range args {
			if _, err := engine.Length(arg); err == nil {
				return fmt.Errorf("--sheet takes both sizes in one word: --sheet %sx%s", sheet, arg)
			}
		}
	}
	return oneScript(cmd, args)
}

// request is what the flags ask for.
func (f *layoutFlags) request(cmd *cobra.Command) (*engine.LayoutRequest, error) {
	q := &engine.LayoutRequest{Machine: f.machine, Grain: engine.Grain(f.grain), Pieces: f.pieces, Most: f.count}
	switch {
	case f.sheet == "" && f.machine == "":
		return nil, errors.New("say what the pieces are laid on: --sheet 700x1000, or --for MACHINE")
	case f.sheet != "" && f.machine != "":
		return nil, errors.New("--sheet and --for both say what the pieces are laid on")
	case f.count < 0 || f.count == 0 && cmd.Flags().Changed("count"):
		return nil, fmt.Errorf("--count %d is no number of sets", f.count)
	}
	if f.sheet != "" {
		width, height, ok := strings.Cut(strings.ReplaceAll(strings.ToLower(f.sheet), "×", "x"), "x")
		var err error
		if q.Width, err = engine.Length(width); !ok || err != nil {
			return nil, fmt.Errorf("--sheet takes WIDTHxHEIGHT as in 700x1000, not %q", f.sheet)
		}
		if q.Height, err = engine.Length(height); err != nil {
			return nil, fmt.Errorf("--sheet takes WIDTHxHEIGHT as in 700x1000, not %q", f.sheet)
		}
	}
	for _, v := range [...]struct {
		name, text string
		to         *float64
	}{{"gap", f.gap, &q.Gap}, {"margin", f.margin, &q.Margin}} {
		mm, err := engine.Length(v.text)
		if err != nil || !(mm >= 0) {
			return nil, fmt.Errorf("--%s takes a distance as in 3 or 2.5mm, not %q", v.name, v.text)
		}
		*v.to = mm
	}
	if f.machine != "" && !cmd.Flags().Changed("margin") {
		q.Margin = 0 // the machine's own
	}
	switch q.Grain {
	case engine.LongGrain, engine.GrainX, engine.GrainY, engine.AnyGrain:
		return q, nil
	}
	return nil, fmt.Errorf("--grain takes x, y or any, not %q", f.grain)
}

// laid is a layout in one line: what lies on a sheet, its yield, and what was written
// where.
func (c *console) laid(job live.Job, out live.Outcome) string {
	line := filepath.Base(job.Script) + ": "
	var l struct {
		Sets   int
		Yield  float64
		Boxes  struct{ Yield float64 }
		Pieces []struct {
			Name   string
			Places []any
		}
	}
	for _, f := range out.Files {
		if f.Kind == emit.KindLayoutJSON && json.Unmarshal(f.Bytes, &l) == nil {
			var names []string
			for _, p := range l.Pieces {
				names = append(names, fmt.Sprintf("%d × %s", len(p.Places), p.Name))
			}
			percent := func(v float64) string { return geom.Num(math.Round(1000*v)/10) + " %" }
			boxes := percent(l.Boxes.Yield)
			if l.Boxes.Yield == 0 {
				boxes = "none would fit"
			}
			line += fmt.Sprintf("%s on a sheet, yield %s (%s as bounding boxes)", strings.Join(names, ", "), percent(l.Yield), boxes)
			if job.Layout.Most > l.Sets {
				line += fmt.Sprintf("; %s for %s", count((job.Layout.Most+l.Sets-1)/l.Sets, "sheet"), count(job.Layout.Most, "set"))
			}
			return line + "; " + deeds(job, out)
		}
	}
	line += c.tally(&out.Result)
	if out.Err != nil {
		return line + "; not every file was written"
	}
	return line + "; no layout written"
}
