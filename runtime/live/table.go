package live

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/internal/table"
	"github.com/creasewright/creasewright/runtime/source"
)

// Rows are the rows of a table of parameters that are to be made.
type Rows struct {
	Path        string // of the table
	Part, Parts int    // of the rows, 1 of 1 for all
	// Done, if there is one, is called after each row with how many are done and how
	// many there are, by one goroutine at a time.
	Done func(done, of int, row RowOutcome)
}

// RowOutcome is what became of one row: an Outcome without its files, and where the
// row did not fail without what only explains it: excerpts and printed lines.
type RowOutcome struct {
	Name string // of the row and its folder
	Line int    // of the table
	Dir  string // its folder
	Outcome
}

// TableOutcome is what became of a table.
type TableOutcome struct {
	// Faults are what is wrong with the table, or with the script whatever the row is;
	// then no row was run and no file written. Lines quotes the texts they point into.
	Faults []*diag.Finding
	Lines  func(file string, line int) string

	Rows []RowOutcome // in the order of the table
	Name string       // of the table of results
	Err  error        // it could not be written
}

// Exit is the worst ending of a row.
func (o *TableOutcome) Exit() engine.Exit {
	worst := engine.Clean
	for _, f := range o.Faults {
		if worst = max(worst, engine.Broken); f.Rule == engine.RuleCrash {
			worst = engine.Crashed
		}
	}
	for _, row := range o.Rows {
		if worst = max(worst, row.Exit); row.Err != nil {
			worst = engine.Crashed
		}
	}
	if o.Err != nil {
		worst = engine.Crashed
	}
	return worst
}

// Table runs the job once for each row of a table, the row's parameters over the
// job's, on all processors, and writes each row's files into a folder in Dir and
// what was made of all of them into a table there. All rows are made from the same
// texts, whatever is saved meanwhile. A row that fails stops no other. The error
// says that the table cannot be read, that the script's place on disk makes no
// sense or that there can be no output folder, or is the context's; no table is
// written then.
func (j Job) Table(ctx context.Context, rows Rows) (TableOutcome, error) {
	text, err := readTable(rows.Path)
	if err != nil {
		return TableOutcome{}, err
	}
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return TableOutcome{}, err
	}
	j.reader = remembering(folder.Text)
	t, faults := table.Read(rows.Path, text)
	out := TableOutcome{Faults: faults, Lines: t.Line, Name: table.OutName(rows.Part, rows.Parts)}
	if len(faults) > 0 {
		return out, nil
	}
	r := tableRun{job: j, table: t, rows: rows, part: t.Part(rows.Part, rows.Parts)}
	if err := r.probe(ctx, &out); err != nil || len(out.Faults) > 0 {
		return out, err
	}
	output := publish.Folder{Path: j.Dir, Script: filepath.Base(rows.Path), Derived: j.Derived}
	if err := output.Make(); err != nil {
		return out, err
	}
	if sameFile(rows.Path, filepath.Join(j.Dir, out.Name)) {
		return out, fmt.Errorf("%s is also the table that would be written; give another output folder", rows.Path)
	}
	made, err := r.make(ctx, &out)
	if err != nil {
		return out, err
	}
	o := publish.New(output)
	o.Begin()
	file := engine.File{Name: out.Name, Traits: emit.Traits{Kind: "table", From: emit.FromDesign}, Bytes: table.Write(made)}
	_, out.Err = o.Files(ctx, []engine.File{file}, false)
	if late := o.Close(); out.Err == nil {
		out.Err = late
	}
	return out, nil
}

// readTable reads the table's file.
func readTable(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %q", path)
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file", path)
	case info.Size() > table.MaxSize:
		return nil, fmt.Errorf("%s is larger than %d MB", path, table.MaxSize>>20)
	}
	return os.ReadFile(path)
}

// sameFile reports whether both paths lead to one file that is there.
func sameFile(a, b string) bool {
	first, errFirst := os.Stat(a)
	second, errSecond := os.Stat(b)
	return errFirst == nil && errSecond == nil && os.SameFile(first, second)
}

// remembering reads each text once, for several goroutines.
func remembering(next source.Reader) source.Reader {
	var mu sync.Mutex
	store := source.NewStore(next)
	return func(label string) ([]byte, error) {
		mu.Lock()
		defer mu.Unlock()
		return store.Text(label)
	}
}

// tableRun is one table under way.
type tableRun struct {
	job   Job
	table *table.Table
	rows  Rows
	part  []table.Row
	known map[string]any // the script's parameters, as far as they are known
}

// probe finds out the script's parameters before anything is made, from a run
// without a row, and whether the table has columns that are none. A parameter may be
// declared only with certain values of others: a column counts as unknown when the
// first row that fills it does not bring it out either. A script that ends alike
// without a row, with the first and with the last is at fault itself, and fills no
// folder for each row.
func (r *tableRun) probe(ctx context.Context, out *TableOutcome) error {
	all := r.table.Rows
	first, found, err := r.params(ctx, r.job.Params)
	r.known = found
	alike := found == nil
	for _, row := range []table.Row{all[0], all[len(all)-1]} {
		if err != nil || !alike || r.known != nil {
			break
		}
		var res engine.Result
		res, r.known, err = r.params(ctx, r.table.Params(row, r.job.Params, nil))
		alike = r.known == nil && res.Findings[0].Error() == first.Findings[0].Error()
	}
	switch {
	case err != nil:
		return err
	case alike:
		out.Faults, out.Lines = first.Findings, first.Lines()
	case r.known != nil:
		return r.columns(ctx, out)
	}
	return nil
}

// columns looks at the columns that the script has no parameters for so far.
func (r *tableRun) columns(ctx context.Context, out *TableOutcome) error {
	for _, i := range r.table.Unknown(r.known) {
		for _, row := range r.table.Rows {
			if row.Cells[i].Text == "" {
				continue
			}
			_, found, err := r.params(ctx, r.table.Params(row, r.job.Params, r.known))
			if err != nil {
				return err
			}
			for name, value := range found {
				r.known[name] = value
			}
			break
		}
	}
	for _, i := range r.table.Unknown(r.known) {
		out.Faults = append(out.Faults, r.table.UnknownColumn(i, r.known))
	}
	return nil
}

// params is a run for the script's parameters alone, nil where it gives no design.
func (r *tableRun) params(ctx context.Context, values map[string]string) (engine.Result, map[string]any, error) {
	j := r.job
	j.Params, j.Formats, j.Also = values, engine.Formats().Only([]emit.Kind{emit.KindReport}), nil
	j.For = nil // what a machine has no room for says nothing of parameters
	res, err := j.Check(ctx)
	if err != nil || res.Exit > engine.Faulty {
		return res, nil, err
	}
	report, err := reportOf(res.Files)
	return res, report.Params.Known(), err
}

// reportOf reads the report among files; it is empty where there is none.
func reportOf(files []engine.File) (table.Report, error) {
	for _, f := range files {
		if f.Kind == emit.KindReport {
			return table.ReadReport(f.Bytes)
		}
	}
	return table.Report{}, nil
}

// rowsAhead is how many rows for each processor are under way: while the files of
// one are written and synced, another is run.
const rowsAhead = 2

// make makes the rows. As many run at a time as there are processors.
func (r *tableRun) make(ctx context.Context, out *TableOutcome) ([]table.Made, error) {
	processors := runtime.GOMAXPROCS(0)
	build, running := r.job, make(chan struct{}, processors)
	r.job.Build = func(ctx context.Context, req engine.Request) (engine.Result, error) {
		running <- struct{}{}
		defer func() { <-running }()
		return build.run(ctx, req)
	}
	out.Rows = make([]RowOutcome, len(r.part))
	made := make([]table.Made, len(r.part))
	next := make(chan int)
	var all sync.WaitGroup
	var telling sync.Mutex
	done := 0
	for range rowsAhead * processors {
		all.Go(func() {
			for i := range next {
				var err error
				if out.Rows[i], made[i], err = r.one(ctx, r.part[i]); err != nil {
					continue // the context ended
				}
				telling.Lock()
				if done++; r.rows.Done != nil {
					r.rows.Done(done, len(r.part), out.Rows[i])
				}
				telling.Unlock()
			}
		})
	}
	for i := 0; i < len(r.part) && ctx.Err() == nil; i++ {
		next <- i
	}
	close(next)
	all.Wait()
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return made, nil
}

// one makes one row. Its folder must be none that is a link, as one that nobody chose.
func (r *tableRun) one(ctx context.Context, row table.Row) (RowOutcome, table.Made, error) {
	j := r.job
	j.Params = r.table.Params(row, r.job.Params, r.known)
	j.Dir, j.Derived = filepath.Join(r.job.Dir, row.Name), true
	out, err := j.Once(ctx)
	if err != nil && ctx.Err() != nil {
		return RowOutcome{}, table.Made{}, err
	}
	if err != nil { // the script's place, which has changed
		out.Exit, out.Err = engine.Crashed, err
	}
	made := table.Made{
		Row: row, Params: j.Params, Worst: table.Worst(out.Findings),
		Errors: out.Count(diag.Error), Warnings: out.Count(diag.Warning),
	}
	if made.Report, err = reportOf(out.Files); err != nil && out.Err == nil {
		out.Err = fmt.Errorf("the report cannot be read: %w", err)
	}
	if out.Err != nil {
		made.Worst = "error: not every file was written"
	}
	out.Files, out.Reads = nil, nil
	if out.Exit == engine.Clean { // there may be many
		out.Excerpts, out.Prints = nil, nil
	}
	return RowOutcome{Name: row.Name, Line: row.Line, Dir: j.Dir, Outcome: out}, made, nil
}
