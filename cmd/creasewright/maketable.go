package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

// tableFlags are what make takes to run a script for each row of a table.
type tableFlags struct{ path, part string }

func (f *tableFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.path, "table", "", "run the script once for each row of a CSV `file`: parameters from the columns, a folder for each row")
	cmd.Flags().StringVar(&f.part, "part", "", "with --table, make only the k-th of n parts of the rows, as `k/n`")
	complete(cmd, "table", func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return []cobra.Completion{"csv", "tsv", "txt"}, cobra.ShellCompDirectiveFilterFileExt
	})
}

// tableHelp is what the help of make says of tables.
const tableHelp = `

With --table, the first line of a CSV file names parameters of the script, and each further line is a row
that is made into a folder of its own in the output folder, called as the column "name" says or by the
row's number. An empty cell leaves a parameter at its --set value or default. Cells are parted by commas,
or by semicolons or tabs, and then numbers may have a decimal comma. Rows are made on all processors; one
that fails stops no other. table.csv in the output folder lists, for each row and piece, parameters, blank
size, area, mass, lengths by line kind and the worst finding. --part 2/5 makes the second fifth of the
rows, for one of five machines, and writes table-2-of-5.csv. Folders of rows that are gone stay.`

// rows is what the flags ask for.
func (f *tableFlags) rows() (live.Rows, error) {
	r := live.Rows{Path: f.path, Part: 1, Parts: 1}
	if f.part == "" {
		return r, nil
	}
	k, n, _ := strings.Cut(f.part, "/")
	var bad [2]error
	r.Part, bad[0] = strconv.Atoi(k)
	r.Parts, bad[1] = strconv.Atoi(n)
	if errors.Join(bad[:]...) != nil || r.Part < 1 || r.Part > r.Parts {
		return r, &exit{code: engine.Broken, err: fmt.Errorf("--part %q is not of the form k/n with k from 1 to n, such as 2/5", f.part)}
	}
	return r, nil
}

// makeTable makes the rows of a table. The exit code is that of the worst row.
func (c *console) makeTable(ctx context.Context, job live.Job, flags *tableFlags) error {
	rows, err := flags.rows()
	if err != nil {
		return err
	}
	p := c.progress()
	rows.Done = p.row
	out, err := job.Table(ctx, rows)
	p.clear()
	switch {
	case err != nil && ctx.Err() != nil:
		return interrupted(fmt.Sprintf("%s made, and no table of them written", count(p.done, "row")))
	case err != nil:
		return &exit{code: engine.Broken, err: err}
	}
	if len(out.Faults) > 0 {
		c.faults(job.Script, flags.path, &out)
		return ended(out.Exit())
	}
	c.rowFailures(job, flags.path, out.Rows)
	if out.Err != nil {
		c.failed(out.Err)
	}
	c.say(tableSummary(job, &out))
	for _, row := range out.Rows {
		c.cautions(row.Cautions)
	}
	return ended(out.Exit())
}

// faults shows what is wrong with the table or, whatever the row is, with the script.
func (c *console) faults(script, path string, out *live.TableOutcome) {
	shown := c.paths.shown(script)
	style := diag.Style{Line: out.Lines, Colour: c.colourErr, Path: func(label string) string {
		if label == path {
			return path
		}
		return shown(label)
	}}
	_, _ = c.err.Write(style.Text(out.Faults))
	c.say(path + ": no row was made")
}

// mostOfRow is how many errors of one row are shown; the report has them all.
const mostOfRow = 3

// rowFailures lists the rows that failed. Those that failed in the same way are told
// together.
func (c *console) rowFailures(job live.Job, path string, rows []live.RowOutcome) {
	var order []string
	alike := map[string][]live.RowOutcome{}
	for _, row := range rows {
		if exitOf(row.Outcome) == engine.Clean {
			continue
		}
		text := c.rowFailure(job, &row)
		if alike[text] == nil {
			order = append(order, text)
		}
		alike[text] = append(alike[text], row)
	}
	for _, text := range order {
		for _, row := range alike[text] {
			c.say(fmt.Sprintf("%s:%d: row %q failed:", path, row.Line, row.Name))
			if row.Exit != engine.Clean {
				c.interrupted(row.Dir, row.Outcome)
			}
		}
		c.prints(alike[text][0].Prints)
		_, _ = c.err.Write([]byte(text + "\n"))
	}
}

// rowFailure is how a row failed.
func (c *console) rowFailure(job live.Job, row *live.RowOutcome) string {
	var found []*diag.Finding
	for _, f := range row.Findings {
		if f.Severity == diag.Error {
			found = append(found, f)
		}
	}
	style := diag.Style{Line: row.Lines(), Path: c.paths.shown(job.Script), Colour: c.colourErr}
	text := string(style.Text(diag.AtMost(mostOfRow, found)))
	if row.Err != nil {
		text += diag.Printable("creasewright: "+row.Err.Error()) + "\n"
	}
	return text
}

// tableSummary is a table in one line.
func tableSummary(job live.Job, out *live.TableOutcome) string {
	made, warned := 0, 0
	for _, row := range out.Rows {
		if exitOf(row.Outcome) == engine.Clean {
			made++
		}
		if row.Count(diag.Warning) > 0 {
			warned++
		}
	}
	parts := []string{count(made, "row") + " made"}
	if failed := len(out.Rows) - made; failed > 0 {
		parts = append(parts, fmt.Sprintf("%d failed", failed))
	}
	if warned > 0 {
		parts = append(parts, fmt.Sprintf("%d with warnings", warned))
	}
	deed := out.Name + " lists them in " + job.Dir
	if out.Err != nil {
		deed = out.Name + " was not written"
	}
	return fmt.Sprintf("%s: %s; %s", filepath.Base(job.Script), strings.Join(parts, ", "), deed)
}

// progress shows on a terminal how many rows are done, on one line that it writes
// over and over.
type progress struct {
	*console
	shows        bool
	last         time.Time // that it was written
	done, failed int
}

// progressInterval is how long a line of progress stands at the least.
const progressInterval = 100 * time.Millisecond

func (c *console) progress() *progress { return &progress{console: c, shows: c.rewrites} }

// row takes in a row.
func (p *progress) row(done, of int, row live.RowOutcome) {
	p.done = done
	if exitOf(row.Outcome) != engine.Clean {
		p.failed++
	}
	if !p.shows || time.Since(p.last) < progressInterval {
		return
	}
	p.last = time.Now()
	line := fmt.Sprintf("%d of %s", done, count(of, "row"))
	if p.failed > 0 {
		line += fmt.Sprintf(", %d failed", p.failed)
	}
	fmt.Fprint(p.err, clearLine+line)
}

// clearLine goes to the beginning of a line and clears it (ECMA-48, EL).
const clearLine = "\r\x1b[K"

// clear takes the line away.
func (p *progress) clear() {
	if !p.last.IsZero() {
		fmt.Fprint(p.err, clearLine)
	}
}
