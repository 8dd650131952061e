package live

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/worker"
)

const sized = `"""Box"""
load("parts.star", "size")
width = param("width", 60, max = 200)
lidded = param("lidded", False)
card = board("card", caliper = 0.4, gsm = 300)
base = panel("base", rect(width, size))
if lidded:
    panel("lid", rect(width, param("reach", 10)), on = base.top)
require(width != 99, "not 99")
piece("box", base, board = card)
`

// tableJob makes a folder with a script, a module and a table.
func tableJob(t *testing.T, script, sizes string) (dir string, job Job, rows Rows) {
	t.Helper()
	dir = t.TempDir()
	save(t, script, dir, "box.star")
	save(t, "size = 40\n", dir, "parts.star")
	save(t, sizes, dir, "sizes.csv")
	return dir, Job{Script: filepath.Join(dir, "box.star"), Dir: filepath.Join(dir, "box"), Derived: true},
		Rows{Path: filepath.Join(dir, "sizes.csv"), Part: 1, Parts: 1}
}

func mustMake(t *testing.T, job Job, rows Rows) TableOutcome {
	t.Helper()
	out, err := job.Table(t.Context(), rows)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// tree is the files below a folder, hidden ones left out, by path.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err == nil && e.Type().IsRegular() && !strings.HasPrefix(e.Name(), ".") {
			var text []byte
			text, err = os.ReadFile(path)
			rel, _ := filepath.Rel(dir, path)
			files[filepath.ToSlash(rel)] = string(text)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

const mixed = "name,width,lidded,reach\na,50,,\nb,99,,\nc,300,,\nd,,true,12\ne,,,5\n"

// Rows that fail stop no other, and the table of results has all of them in order.
func TestTable(t *testing.T) {
	dir, job, rows := tableJob(t, sized, mixed)
	var told []string
	rows.Done = func(done, of int, row RowOutcome) {
		if told = append(told, row.Name); done != len(told) || of != 5 {
			t.Errorf("%d of %d are done, and %d were told", done, of, len(told))
		}
	}
	out := mustMake(t, job, rows)
	var exits []engine.Exit
	for _, row := range out.Rows {
		exits = append(exits, row.Exit)
	}
	want := []engine.Exit{engine.Clean, engine.Faulty, engine.Broken, engine.Clean, engine.Broken}
	if !reflect.DeepEqual(exits, want) || out.Exit() != engine.Broken || out.Err != nil || len(told) != 5 {
		t.Errorf("exits %v, %v, %d told", exits, out.Err, len(told))
	}
	files := tree(t, filepath.Join(dir, "box"))
	for name, wanted := range map[string]bool{
		"a/box.cut.svg": true, "b/box.cut.svg": false, "b/report.json": true, "c/preview.svg": true,
		"c/report.json": false, "d/box.cut.dxf": true, "table.csv": true,
	} {
		if _, there := files[name]; there != wanted {
			t.Errorf("%s: there is one: %v", name, there)
		}
	}
	lines := strings.Split(files["table.csv"], "\r\n")
	for i, want := range []string{
		"name,width,lidded,reach,piece,blank_width_mm,blank_height_mm,area_mm2,mass_g,cut_mm,score_mm,errors,warnings,worst",
		`a,50,false,,box,50,40,2000,0.6,180,,0,0,`,
		`b,99,false,,box,99,40,3960,1.188,278,,1,0,error require: not 99`,
		`c,300,,,,,,,,,,1,0,"error: param ""width"": 300 is more than max = 200"`,
		`d,60,true,12,box,60,52,3120,0.936,224,60,0,0,`,
		`e,,,5,,,,,,,,1,0,`,
	} {
		if !strings.HasPrefix(lines[i], want) {
			t.Errorf("line %d: %s, want %s", i+1, lines[i], want)
		}
	}
}

// Law: parts made by several machines are the files of the whole, and their tables
// its lines; and a row's files are those of a run with its values.
func TestPartsOfATable(t *testing.T) {
	sizes := "width\n50\n60\n70\n80\n90\n"
	dir, job, rows := tableJob(t, sized, sizes)
	mustMake(t, job, rows)
	whole := tree(t, job.Dir)
	job.Dir, rows.Parts = filepath.Join(dir, "parts"), 2
	var lines string
	for rows.Part = 1; rows.Part <= 2; rows.Part++ {
		out := mustMake(t, job, rows)
		text := tree(t, job.Dir)[out.Name]
		if _, after, _ := strings.Cut(text, "\r\n"); rows.Part > 1 {
			text = after
		}
		lines += text
	}
	parts := tree(t, job.Dir)
	parts["table.csv"] = lines
	delete(parts, "table-1-of-2.csv")
	delete(parts, "table-2-of-2.csv")
	if !reflect.DeepEqual(parts, whole) {
		t.Errorf("the parts are not the whole: %d and %d files", len(parts), len(whole))
	}
	job.Dir, job.Params = filepath.Join(dir, "one"), map[string]string{"width": "70"}
	if _, err := job.Once(t.Context()); err != nil {
		t.Fatal(err)
	}
	for name, text := range tree(t, job.Dir) {
		if whole["3/"+name] != text {
			t.Errorf("%s is another one in the row", name)
		}
	}
}

// All rows are made from the texts that the first one read.
func TestRowsShareTheirTexts(t *testing.T) {
	dir, job, rows := tableJob(t, sized, "width\n"+strings.Repeat("50\n", 30))
	rows.Done = func(int, int, RowOutcome) { save(t, "size = 77\n", dir, "parts.star") }
	out := mustMake(t, job, rows)
	text := tree(t, job.Dir)["table.csv"]
	if out.Exit() != engine.Clean || strings.Count(text, ",50,40,2000,") != 30 {
		t.Errorf("exit %d\n%s", out.Exit(), text)
	}
}

// A table at fault, or a script that is whatever the row, makes no folder at all.
func TestTablesAtFault(t *testing.T) {
	for _, c := range []struct{ script, sizes, want string }{
		{sized, "width\n\"60\n", "sizes.csv:2:1: the quotes"},
		{sized, "wdith\n60\n", `sizes.csv:1:1: the script has no parameter "wdith"`},
		{sized, "width,zz\n60,\n", `sizes.csv:1:7: the script has no parameter "zz"`},
		{sized + "(\n", "width\n60\n70\n", "box.star:11:1: "},
		{"x = 1\n", "width\n60\n70\n", "box.star:"},
	} {
		dir, job, rows := tableJob(t, c.script, c.sizes)
		out := mustMake(t, job, rows)
		if out.Exit() != engine.Broken || len(out.Faults) == 0 || len(out.Rows) > 0 || !strings.Contains(out.Faults[0].Error(), c.want) {
			t.Errorf("%q: exit %d, %v, want %s", c.sizes, out.Exit(), out.Faults, c.want)
		}
		if _, err := os.Stat(filepath.Join(dir, "box")); err == nil {
			t.Errorf("%q: there is a folder", c.sizes)
		}
	}
	dir, job, rows := tableJob(t, sized, "width\n60\n")
	rows.Path = dir
	if _, err := job.Table(t.Context(), rows); err == nil || !strings.Contains(err.Error(), "is no file") {
		t.Errorf("a folder for a table: %v", err)
	}
	rows.Path = filepath.Join(dir, "none.csv")
	if _, err := job.Table(t.Context(), rows); err == nil || !strings.Contains(err.Error(), "there is no file") {
		t.Errorf("no table: %v", err)
	}
}

// The table that is read is never written over.
func TestATableIsNotWrittenOver(t *testing.T) {
	dir, job, rows := tableJob(t, sized, "width\n60\n")
	rows.Path, job.Dir, job.Derived = filepath.Join(dir, "table.csv"), dir, false
	save(t, "width\n60\n", rows.Path)
	if _, err := job.Table(t.Context(), rows); err == nil || tree(t, dir)["table.csv"] != "width\n60\n" || len(tree(t, dir)) != 4 {
		t.Errorf("%v, %d files", err, len(tree(t, dir)))
	}
}

// Nobody can send a folder whose links lead the files of a row elsewhere.
func TestRowsIntoLinks(t *testing.T) {
	dir, job, rows := tableJob(t, sized, "name\na\nb\n")
	elsewhere := t.TempDir()
	if err := os.Mkdir(job.Dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, filepath.Join(job.Dir, "a")); err != nil {
		t.Skip(err)
	}
	out := mustMake(t, job, rows)
	if len(tree(t, elsewhere)) > 0 || out.Exit() != engine.Crashed || out.Rows[0].Err == nil || out.Rows[1].Err != nil {
		t.Errorf("%v, %v", out.Rows[0].Err, out.Rows[1].Err)
	}
	if !strings.Contains(tree(t, job.Dir)["table.csv"], "not every file was written") {
		t.Error("the table does not say so")
	}
	if err := os.RemoveAll(job.Dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, filepath.Join(dir, "box")); err != nil {
		t.Fatal(err)
	}
	if _, err := job.Table(t.Context(), rows); err == nil || len(tree(t, elsewhere)) > 0 {
		t.Errorf("a link for the whole: %v", err)
	}
}

// A table that is given up ends with its cause, and writes no table.
func TestATableGivenUp(t *testing.T) {
	_, job, rows := tableJob(t, sized, "width\n"+strings.Repeat("50\n", 100))
	ctx, cancel := context.WithCancelCause(t.Context())
	enough := errors.New("enough")
	rows.Done = func(int, int, RowOutcome) { cancel(enough) }
	if _, err := job.Table(ctx, rows); err != enough {
		t.Error(err)
	}
	if _, there := tree(t, job.Dir)["table.csv"]; there {
		t.Error("there is a table")
	}
}

// In processes of its own, a row that passes a limit harms no other row.
func TestRowsInProcesses(t *testing.T) {
	const script = `card = board("card", caliper = 0.4)
n = param("n", 1)
x = max(range(n))
piece("box", panel("base", rect(60, 40)), board = card)
`
	_, job, rows := tableJob(t, script, "n\n"+strings.Repeat("1\n17179869184\n2\n", 2))
	limits := limit.Defaults()
	limits[limit.Time] = 500
	pool := worker.New(limits, worker.Batch)
	defer pool.Close()
	job.Build = pool.Run
	out := mustMake(t, job, rows)
	for i, row := range out.Rows {
		if want := []engine.Exit{engine.Clean, engine.Broken, engine.Clean}[i%3]; row.Exit != want {
			t.Errorf("row %d: exit %d, %v", i, row.Exit, row.Findings)
		}
	}
}
