package stdlib_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/build"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

const tests = "../testdata/stdlib"

// read gives the test scripts, which load one another and the library.
func read(label string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join(tests, filepath.Base(label)))
	if os.IsNotExist(err) {
		return nil, source.ErrAbsent
	}
	return text, err
}

// Every module has a test in the script language, whose requirements all hold
// and whose pieces come out without an error.
func TestModules(t *testing.T) {
	for _, label := range stdlib.Labels() {
		name := strings.TrimPrefix(label, "//")
		res := build.Run(context.Background(), build.Request{Script: name, Read: read})
		for _, f := range res.Findings {
			if f.Severity > diag.Note {
				t.Errorf("%v %s", f, f.Hint)
			}
		}
		if !slices.ContainsFunc(res.Reads, func(r source.Read) bool { return r.Label == label && !r.Absent }) {
			t.Errorf("%s does not load %s", name, label)
		}
	}
}

// A module opens with a docstring, and each function it offers says what it
// takes and gives back: all its arguments, by name.
func TestModulesAreDocumented(t *testing.T) {
	for _, label := range stdlib.Labels() {
		text, ok := stdlib.Text(label)
		if !ok {
			t.Fatalf("%s is listed and not there", label)
		}
		file, err := (&syntax.FileOptions{}).Parse(label, text, 0)
		if err != nil {
			t.Fatal(err)
		}
		if docOf(file.Stmts) == "" {
			t.Errorf("%s has no docstring", label)
		}
		for _, stmt := range file.Stmts {
			if def, ok := stmt.(*syntax.DefStmt); ok && def.Name.Name[0] != '_' {
				checkDoc(t, label, def)
			}
		}
	}
}

func docOf(body []syntax.Stmt) string {
	if stmt, ok := body[0].(*syntax.ExprStmt); ok {
		if lit, ok := stmt.X.(*syntax.Literal); ok && lit.Token == syntax.STRING {
			return lit.Value.(string)
		}
	}
	return ""
}

func checkDoc(t *testing.T, label string, def *syntax.DefStmt) {
	doc := docOf(def.Body)
	for _, section := range []string{"Args:", "Returns:"} {
		if !strings.Contains(doc, section) {
			t.Errorf("%s: %s has no %s", label, def.Name.Name, section)
		}
	}
	for _, p := range def.Params {
		id, ok := p.(*syntax.Ident)
		if !ok {
			id = p.(*syntax.BinaryExpr).X.(*syntax.Ident)
		}
		if !strings.Contains(doc, "\n      "+id.Name+": ") {
			t.Errorf("%s: %s does not say what %s is", label, def.Name.Name, id.Name)
		}
	}
}

// A module holds its docstring, loads and functions, and does nothing while it
// is loaded.
func TestModulesOnlyDefine(t *testing.T) {
	for _, label := range stdlib.Labels() {
		text, _ := stdlib.Text(label)
		file, err := (&syntax.FileOptions{}).Parse(label, text, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, stmt := range file.Stmts[1:] {
			switch stmt.(type) {
			case *syntax.DefStmt, *syntax.LoadStmt:
			default:
				t.Errorf("%v: a module only defines functions", syntax.Start(stmt))
			}
		}
	}
}

func TestText(t *testing.T) {
	for _, label := range []string{"closures.star", "//none.star", "//../go.mod", "//", "@shelf//closures.star"} {
		if _, ok := stdlib.Text(label); ok {
			t.Errorf("%s is there", label)
		}
	}
}
