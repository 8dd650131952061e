package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "github.com/creasewright/creasewright/"

// place is one package's row and the outside modules it may import.
type place struct {
	row     int
	outside []string
}

// levels is the architecture: a package imports only packages in a lower row,
// and only the outside modules named beside it. Rows that wait for their
// package are here already, so that it arrives in its place.
var levels = map[string]place{
	"runtime/geom":              {row: 0},
	"runtime/source":            {row: 0},
	"runtime/internal/unit":     {row: 0},
	"runtime/internal/decimal":  {row: 0},
	"runtime/limit":             {row: 0},
	"runtime/internal/safefile": {row: 0},
	"stdlib":                    {row: 0, outside: []string{"go.starlark.net"}}, // the latter in its tests

	"runtime/diag/diagtest":       {row: 1},                                           // for tests
	"runtime/internal/canceltest": {row: 0},                                           // for tests
	"runtime/internal/golden":     {row: 0},                                           // for tests
	"runtime/outsidetest":         {row: 0},                                           // for tests
	"runtime/geom/geomtest":       {row: 1},                                           // for tests
	"runtime/page/browsertest":    {row: 1, outside: []string{"github.com/chromedp"}}, // for tests

	"runtime/diag":              {row: 1, outside: []string{"github.com/rivo/uniseg"}},
	"runtime/internal/region":   {row: 1},
	"runtime/internal/disjoint": {row: 0},
	"runtime/internal/parallel": {row: 0},
	"runtime/internal/polygon":  {row: 1},
	"runtime/internal/tour":     {row: 1},
	"runtime/board":             {row: 1},
	"runtime/internal/pdf":      {row: 1},

	"runtime/internal/pdf/pdftest": {row: 1}, // for tests

	"runtime/model":             {row: 2},
	"runtime/internal/jsontext": {row: 2},
	"runtime/internal/nest":     {row: 2},

	"runtime/model/modeltest": {row: 3}, // for tests

	"runtime/internal/script": {row: 3, outside: []string{"go.starlark.net"}},
	"runtime/blank":           {row: 3},

	"runtime/internal/script/scripttest": {row: 4, outside: []string{"go.starlark.net"}}, // for tests

	"runtime/internal/look": {row: 4},
	"runtime/internal/fold": {row: 4, outside: []string{"gonum.org/v1/gonum"}},

	"runtime/toolpath":          {row: 5},
	"runtime/internal/contact":  {row: 5},
	"runtime/internal/linework": {row: 5},
	"runtime/internal/scene":    {row: 5},

	"runtime/simulate":       {row: 6},
	"runtime/internal/check": {row: 7},

	"runtime/emit":             {row: 7},
	"runtime/emit/emittest":    {row: 8}, // for tests
	"runtime/internal/preview": {row: 7},
	"runtime/internal/display": {row: 7},
	"runtime/internal/solid":   {row: 7},

	"runtime/internal/solid/solidtest": {row: 1}, // for tests

	// Writes a table of preview's.
	"runtime/internal/preview/widths": {row: 8, outside: []string{"github.com/tdewolff/canvas", "github.com/go-fonts"}},

	"runtime/engine":            {row: 8},
	"runtime/internal/jobsheet": {row: 8},

	"runtime/manual":           {row: 9, outside: []string{"go.starlark.net"}},
	"runtime/worker":           {row: 9, outside: []string{"golang.org/x/sys"}},
	"runtime/internal/read":    {row: 9},
	"runtime/internal/table":   {row: 9},
	"runtime/internal/publish": {row: 9, outside: []string{"golang.org/x/sys"}},
	"runtime/internal/watch":   {row: 9, outside: []string{"github.com/fsnotify/fsnotify"}},

	"runtime/printer": {row: 9, outside: []string{"github.com/tdewolff/canvas", "github.com/tdewolff/font", "github.com/go-fonts"}},

	"runtime/page": {row: 9},

	"runtime/live": {row: 10},
	// The formatter keeps trees of the language's own parser and of its own printer apart.
	"runtime/format": {row: 10, outside: []string{"go.starlark.net", "github.com/bazelbuild/buildtools"}},

	"cmd/creasewright-print": {row: 11},

	"cmd/creasewright": {row: 11, outside: []string{"github.com/spf13/cobra", "golang.org/x/term"}},
}

// listed is what `go list -json` says of one package.
type listed struct {
	ImportPath   string
	Imports      []string
	TestImports  []string
	XTestImports []string
}

func listPackages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = filepath.Join("..", "..")
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %v\n%s", err, exit.Stderr)
		}
		t.Fatal(err)
	}
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestImportsPointDownward(t *testing.T) {
	packages := listPackages(t)
	if len(packages) < 15 {
		t.Fatalf("go list found only %d packages", len(packages))
	}
	for _, p := range packages {
		for _, fault := range faults(p) {
			t.Error(fault)
		}
	}
}

// Tests of the check itself: each kind of breach is seen.
func TestLevelBreachesAreSeen(t *testing.T) {
	for _, c := range []struct {
		name string
		p    listed
		want string
	}{
		{"upward", listed{ImportPath: module + "runtime/geom", Imports: []string{module + "runtime/model"}}, "row 2"},
		{"same row", listed{ImportPath: module + "runtime/blank", Imports: []string{module + "runtime/internal/script"}}, "row 3"},
		{"outside", listed{ImportPath: module + "runtime/model", Imports: []string{"go.starlark.net/starlark"}}, "go.starlark.net"},
		{"outside in a test", listed{ImportPath: module + "runtime/model", XTestImports: []string{"go.starlark.net/starlark"}}, "go.starlark.net"},
		{"no row", listed{ImportPath: module + "runtime/novel"}, "no row"},
		{"runtime itself", listed{ImportPath: strings.TrimSuffix(module, "/") + "/runtime"}, "no row"},
	} {
		got := strings.Join(faults(c.p), "\n")
		if !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want something with %q", c.name, got, c.want)
		}
	}
	fine := listed{
		ImportPath: module + "runtime/internal/script",
		Imports:    []string{"fmt", "go.starlark.net/starlark", module + "runtime/model"},
	}
	if got := faults(fine); len(got) > 0 {
		t.Errorf("a rightful package is refused: %q", got)
	}
}

// faults lists what is wrong with one package's imports. Tests may look
// sideways and upward, but bring in no outside module of their own.
func faults(p listed) []string {
	name := strings.TrimPrefix(p.ImportPath, module)
	at, ok := levels[name]
	if !ok {
		return []string{p.ImportPath + ": the package has no row in the table of levels"}
	}
	var out []string
	for _, imp := range p.Imports {
		other, ours := strings.CutPrefix(imp, module)
		if !ours {
			continue
		}
		if to, ok := levels[other]; !ok {
			out = append(out, name+" imports "+other+", which has no row")
		} else if to.row >= at.row {
			out = append(out, name+" imports "+other+" of row "+strconv.Itoa(to.row)+", which is not below it")
		}
	}
	for _, imp := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
		if isOutside(imp) && !slices.ContainsFunc(at.outside, func(m string) bool { return within(imp, m) }) {
			out = append(out, name+" imports the outside package "+imp)
		}
	}
	return out
}

// isOutside tells modules from the web apart from Go's own packages, whose
// first element has no dot.
func isOutside(imp string) bool {
	first, _, _ := strings.Cut(imp, "/")
	return strings.Contains(first, ".") && !within(imp, strings.TrimSuffix(module, "/"))
}

// within reports whether the package imp lies in the module or folder at root.
func within(imp, root string) bool { return imp == root || strings.HasPrefix(imp, root+"/") }

// No package compiles a regular expression when the program starts: both
// processes of a run would pay for it.
func TestNothingIsCompiledAtStart(t *testing.T) {
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") || strings.HasSuffix(filepath.Dir(path), "test") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, d := range file.Decls {
			if v, ok := d.(*ast.GenDecl); ok && v.Tok == token.VAR && compiles(v) {
				t.Errorf("%s compiles a regular expression at package level", path)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// compiles reports whether a declaration calls regexp.MustCompile outside a
// function.
func compiles(n ast.Node) (found bool) {
	ast.Inspect(n, func(n ast.Node) bool {
		if _, ok := n.(*ast.FuncLit); ok {
			return false
		}
		if s, ok := n.(*ast.SelectorExpr); ok && s.Sel.Name == "MustCompile" {
			found = true
		}
		return true
	})
	return found
}
