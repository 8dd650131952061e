package script

import (
	"context"
	"strings"
	"testing"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// Every error case gives the findings marked in it, each at its line, and no
// other.
func TestErrorCases(t *testing.T) {
	scripttest.Check(t, "../../../testdata/errors/*.star", func(c *scripttest.Case) []*diag.Finding {
		_, findings := Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, Options{Params: c.Params, Reached: func(source.Site) {}, Closed: givenFolds})
		return findings
	})
}

// A module opens with a docstring, and each function it offers says what it
// takes and gives back: all its arguments, by name.
func TestModulesAreDocumented(t *testing.T) {
	for _, label := range stdlib.Labels() {
		text, ok := stdlib.Text(label)
		if !ok {
			t.Fatalf("%s is listed and not there", label)
		}
		file, err := dialect.Parse(label, text, 0)
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
		file, err := dialect.Parse(label, text, 0)
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

// Every slip is told at its line, with words on what to write instead.
func TestSlips(t *testing.T) {
	told := 0
	scripttest.Check(t, "../../../testdata/slips/*.star", func(c *scripttest.Case) []*diag.Finding {
		_, findings := Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, Options{Params: c.Params, Reached: func(source.Site) {}, Closed: givenFolds})
		if len(findings) == 0 {
			t.Errorf("%s: silent", c.Name)
		}
		for _, f := range findings {
			if f.Hint == "" {
				t.Errorf("%s: %q gives no cure", c.Name, f.Message)
			}
		}
		told++
		return findings
	})
	if told < 150 {
		t.Errorf("%d slips, and 150 are the least", told)
	}
}
