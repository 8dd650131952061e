package build

import (
	"context"
	"fmt"
	"maps"
	"math/rand"
	"os"
	"slices"
	"testing"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/script"
	"github.com/creasewright/creasewright/runtime/source"
)

// sizeWords are the words of the language whose unnamed arguments are sizes,
// with the number of those that come first and are none.
var sizeWords = map[string]int{
	"rect": 0, "circle": 0, "oval": 0, "slot": 0, "regular": 1, "path": 0, "cylinder": 0,
	"line": 0, "by": 0, "arc": 0, "curve": 0, "shift": 0, "part": 0, "grow": 0, "tube": 0,
}

// sizeNames are the names of arguments that are sizes.
var sizeNames = []string{
	"depth", "inset", "round", "slide", "gap", "width", "height", "length", "radius", "inside", "outside", "clearance",
	"tuck_depth", "dust_depth", "seam_depth", "step", "relief",
}

// sizes lists the spans of a script's expressions that stand for one size: what
// a designer would put another number in place of.
func sizes(t *testing.T, name string, text []byte) []span {
	t.Helper()
	options := syntax.FileOptions{Set: true, TopLevelControl: true, GlobalReassign: true}
	file, err := options.Parse(name, text, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []span
	add := func(e syntax.Expr) { out = append(out, spansIn(e, text)...) }
	syntax.Walk(file, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.CallExpr:
			for i, arg := range n.Args {
				if named, ok := arg.(*syntax.BinaryExpr); ok && named.Op == syntax.EQ {
					if slices.Contains(sizeNames, named.X.(*syntax.Ident).Name) {
						add(named.Y)
					}
				} else if first, ok := sizeWords[wordOf(n.Fn)]; ok && i >= first {
					add(arg)
				} else if wordOf(n.Fn) == "param" && i == 1 {
					add(arg)
				} else if wordOf(n.Fn) == "contents" && i == 1 {
					add(arg)
				}
			}
		case *syntax.AssignStmt:
			if rhs, ok := n.RHS.(*syntax.BinaryExpr); ok && arithmetic(rhs) {
				add(rhs)
			}
		}
		return true
	})
	return out
}

// span is a stretch of a text, in bytes.
type span struct{ from, to int }

// spansIn is the span of an expression, or those of a tuple's items; none for
// what is no number.
func spansIn(e syntax.Expr, text []byte) []span {
	switch e := e.(type) {
	case *syntax.ParenExpr:
		return spansIn(e.X, text)
	case *syntax.TupleExpr:
		var out []span
		for _, item := range e.List {
			out = append(out, spansIn(item, text)...)
		}
		return out
	case *syntax.Literal:
		if e.Token == syntax.STRING {
			return nil
		}
	case *syntax.BinaryExpr:
		if !arithmetic(e) {
			return nil
		}
	case *syntax.CallExpr:
		if _, shape := sizeWords[wordOf(e.Fn)]; shape {
			return nil
		}
	case *syntax.Ident, *syntax.DotExpr, *syntax.UnaryExpr:
	default:
		return nil
	}
	from, to := e.Span()
	return []span{{offset(text, from), offset(text, to)}}
}

// arithmetic reports whether an expression works something out from numbers,
// as far as can be told.
func arithmetic(e *syntax.BinaryExpr) bool {
	if !slices.Contains([]syntax.Token{syntax.PLUS, syntax.MINUS, syntax.STAR, syntax.SLASH}, e.Op) {
		return false
	}
	for _, side := range []syntax.Expr{e.X, e.Y} {
		switch side := side.(type) {
		case *syntax.Literal:
			if side.Token == syntax.STRING {
				return false
			}
		case *syntax.ListExpr, *syntax.DictExpr, *syntax.Comprehension:
			return false
		case *syntax.BinaryExpr:
			if !arithmetic(side) {
				return false
			}
		}
	}
	return true
}

// wordOf is the last word of what is called.
func wordOf(fn syntax.Expr) string {
	switch fn := fn.(type) {
	case *syntax.Ident:
		return fn.Name
	case *syntax.DotExpr:
		return fn.Name.Name
	}
	return ""
}

// offset is the byte that a position points to; the examples are plain ASCII
// where it matters.
func offset(text []byte, at syntax.Position) int {
	line, i := int32(1), 0
	for ; line < at.Line; i++ {
		if text[i] == '\n' {
			line++
		}
	}
	return i + int(at.Col) - 1
}

// tried is what became of the mutants of one example: scripts that do not run,
// designs that are unsound and told so, designs that the checks alone find
// wrong, sound ones, and unsound ones that nothing is told of.
type tried struct{ broken, told, finer, sound, missed int }

// Every change of one size of an example by 1 to 10 mm either leaves a design
// that is still sound, by a measurement of its own, or is told as an error.
// With CREASEWRIGHT_READERS=1 there are 200 changes of each example.
func TestMutants(t *testing.T) {
	n := 15
	if os.Getenv("CREASEWRIGHT_READERS") == "1" {
		n = 200
	}
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		text, err := scriptsFolder(name)
		if err != nil {
			t.Fatal(err)
		}
		where := sizes(t, name, text)
		rng := rand.New(rand.NewSource(4))
		var count tried
		for range n {
			at := where[rng.Intn(len(where))]
			by := float64(10+rng.Intn(91)) / 10
			if rng.Intn(2) == 0 {
				by = -by
			}
			mutant := fmt.Sprintf("%s(%s + %g)%s", text[:at.from], text[at.from:at.to], by, text[at.to:])
			if why := count.judge(t, name, mutant); why != "" {
				line := 1
				for _, c := range text[:at.from] {
					if c == '\n' {
						line++
					}
				}
				t.Errorf("%s:%d: %s made %+g is not told: %s", name, line, text[at.from:at.to], by, why)
			}
		}
		t.Logf("%-20s %3d sizes, %3d changes: %3d do not run, %3d unsound and told, %3d told by the checks alone, %3d sound, %d missed",
			name, len(where), n, count.broken, count.told, count.finer, count.sound, count.missed)
	}
}

// judge builds a mutant and, where nothing is told, measures it; it gives what
// was missed.
func (c *tried) judge(t *testing.T, name, text string) string {
	t.Helper()
	read := func(label string) ([]byte, error) {
		if label == name {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	}
	res := Run(context.Background(), Request{Script: name, Read: read})
	if res.Exit == Crashed {
		t.Fatalf("%s\n%s", text, res.Stack)
	}
	if res.Exit == Broken {
		c.broken++
		return ""
	}
	design, _ := script.Run(context.Background(), source.NewStore(withLibrary(read)), name, script.Options{})
	why := unsound(t, design, res.Files[len(res.Files)-1].Bytes)
	switch told := res.Count(diag.Error) > 0; {
	case told && why != "":
		c.told++
	case told:
		c.finer++
	case why != "":
		c.missed++
		return why
	default:
		c.sound++
	}
	return ""
}
