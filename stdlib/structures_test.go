package stdlib_test

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"hash/fnv"
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/manual"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// sweepRuns is how many sets of sizes each function is tried with on each board.
var sweepRuns = flag.Int("sweep", 1, "sets of sizes to try of each structure on each board")

// An example is the script in the docstring of a library function, under "Example:".
type example struct {
	module, function string
	text             string
}

// examples are those of all modules, in order.
func examples(t *testing.T) []example {
	t.Helper()
	var all []example
	for _, label := range stdlib.Labels() {
		text, _ := stdlib.Text(label)
		pages, err := manual.ModulePages(label, text)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pages {
			if p.Script != "" {
				all = append(all, example{label, p.Name, p.Script})
			}
		}
	}
	return all
}

// stocks are the boards that every structure is tried on, from thin paper to
// double-wall corrugated.
var stocks = []string{
	`board("paper", kind = "paper", caliper = 0.1)`,
	`board("card", caliper = 0.3)`,
	`board("coated board", kind = "coated", caliper = 0.6)`,
	`board("E flute", kind = "corrugated", caliper = 1.6)`,
	`board("BC flute", kind = "corrugated", caliper = 7)`,
}

// boardCall is the board of an example, for which each of the stocks is put.
var boardCall = regexp.MustCompile(`(?m)^card = board\(.*\)$`)

// Law: every structure of the library, at any sizes within the ranges of its example
// and on any board, gives neither an error nor a warning, or its own require() says
// that it is not for this board; contents of exactly the inside sizes fit, and
// contents a caliper larger in a direction that is not open do not.
func TestStructures(t *testing.T) {
	for _, ex := range examples(t) {
		t.Run(strings.TrimSuffix(ex.module[2:], ".star")+"/"+ex.function, func(t *testing.T) {
			t.Parallel()
			if f := worst(run(t, ex.text, nil)); f != nil {
				t.Fatalf("the example as it stands: %s: %s (%s)", f.Severity, f.Message, f.Hint)
			}
			if !boardCall.MatchString(ex.text) {
				t.Fatal("the example has no line card = board(…)")
			}
			sweep(t, ex)
		})
	}
}

// The example designs that use the library hold as its own examples do, and show how
// short a script is that does.
func TestLibraryDesigns(t *testing.T) {
	paths, err := filepath.Glob("../scripts/library/*.star")
	if err != nil || len(paths) < 10 {
		t.Fatal(paths, err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(string(text), "\n"); n >= 25 {
				t.Errorf("%d lines", n)
			}
			if f := worst(run(t, string(text), nil)); f != nil {
				t.Fatalf("%s: %s (%s)", f.Severity, f.Message, f.Hint)
			}
			sweep(t, example{path, filepath.Base(path), string(text)})
		})
	}
}

func sweep(t *testing.T, ex example) {
	params := paramsOf(t, ex)
	seed := fnv.New64()
	seed.Write([]byte(ex.function))
	rng := rand.New(rand.NewSource(int64(seed.Sum64())))
	made, tight := 0, 0
	for _, stock := range stocks {
		for range *sweepRuns {
			set := map[string]string{}
			for _, p := range params {
				set[p.name] = p.choose(rng)
			}
			text := boardCall.ReplaceAllLiteralString(ex.text, "card = "+stock)
			res := run(t, text, set)
			if slices.ContainsFunc(res.Findings, func(f *diag.Finding) bool { return f.Rule == "require" }) {
				continue
			}
			if f := worst(res); f != nil {
				t.Errorf("%s, %v: %s: %s %s (%s)", stock, set, f.Severity, f.Message, f.Hint, f.Rule)
				if testing.Verbose() {
					t.Log("\n" + text)
				}
				continue
			}
			made++
			tight += tooLarge(t, text, stock, set, free(t, res))
		}
	}
	if made*2 < *sweepRuns {
		t.Errorf("only %d designs of %d are not refused", made, *sweepRuns*len(stocks))
	}
	if tight == 0 && strings.Contains(ex.text, "contents(") {
		t.Error("the contents are free in every direction")
	}
}

// contentsCall finds the sizes of the contents in an example.
var contentsCall = regexp.MustCompile(`(contents\("[^"]*"(?: % \w+)?, )(\(([^()]*), ([^()]*), ([^()]*)\)|cylinder\(([^()]*), ([^()]*)\))`)

// tooLarge runs a design with contents a caliper larger in each direction that is not
// free, and reports in how many it was held.
func tooLarge(t *testing.T, text, stock string, set map[string]string, free map[string]*float64) (held int) {
	m := contentsCall.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	// What lies in a flat pocket is held by its folds, which are not in its room.
	pocket := len(free) == 0 || !slices.ContainsFunc([]string{"x-", "x+", "y-", "y+", "z"}, func(w string) bool { return free[w] != nil })
	bound := func(ways ...string) bool {
		if pocket {
			return ways[0] != "z"
		}
		return !slices.ContainsFunc(ways, func(w string) bool { return free[w] == nil })
	}
	more := func(s string) string { return s + " + card.caliper" }
	var larger []string
	if m[6] != "" {
		if bound("x-", "x+", "y-", "y+") {
			larger = append(larger, fmt.Sprintf("cylinder(%s, %s)", more(m[6]), m[7]))
		}
		if bound("z") {
			larger = append(larger, fmt.Sprintf("cylinder(%s, %s)", m[6], more(m[7])))
		}
	} else {
		for i, ways := range [][]string{{"x-", "x+"}, {"y-", "y+"}, {"z"}} {
			if !bound(ways...) {
				continue
			}
			size := slices.Clone(m[3:6])
			size[i] = more(size[i])
			larger = append(larger, "("+strings.Join(size, ", ")+")")
		}
	}
	for _, size := range larger {
		res := run(t, contentsCall.ReplaceAllLiteralString(text, m[1]+size), set)
		if f := worst(res); f == nil || f.Severity < diag.Error || !strings.HasPrefix(f.Rule, "contents") {
			t.Errorf("%s, %v: contents of %s go in too: %v", stock, set, size, f)
		}
	}
	return len(larger)
}

// run runs a script that loads the library and gives its report, but no pictures.
func run(t *testing.T, text string, set map[string]string) engine.Result {
	t.Helper()
	formats := slices.DeleteFunc(slices.Clone(engine.Formats()), func(f emit.Format) bool { return f.Kind != emit.KindReport })
	res, err := engine.Run(context.Background(), engine.Request{
		Script: "example.star", Params: set, Formats: formats,
		Read: func(label string) ([]byte, error) {
			if label == "example.star" {
				return []byte(text), nil
			}
			return nil, source.ErrAbsent
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// worst is the first of a run's findings of the highest severity above a note.
func worst(res engine.Result) *diag.Finding {
	var worst *diag.Finding
	for _, f := range res.Findings {
		if f.Severity > diag.Note && (worst == nil || f.Severity > worst.Severity) {
			worst = f
		}
	}
	return worst
}

// report is what the tests read of a report.
type report struct {
	Pieces []struct {
		Blank    struct{ Width, Height float64 }
		Contents []struct{ Free map[string]*float64 }
	}
}

func reportOf(t *testing.T, res engine.Result) (r report) {
	t.Helper()
	for _, f := range res.Files {
		if err := json.Unmarshal(f.Bytes, &r); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// free is how far the first contents can move, from the report; nil where a way is
// open or nothing is known.
func free(t *testing.T, res engine.Result) map[string]*float64 {
	for _, p := range reportOf(t, res).Pieces {
		for _, c := range p.Contents {
			return c.Free
		}
	}
	return nil
}

// A size is a parameter of an example with its range.
type size struct {
	name    string
	lo, hi  float64
	digits  int
	choices []string
}

// choose picks a value as it is typed; of a range, an end half of the time.
func (s size) choose(rng *rand.Rand) string {
	if len(s.choices) > 0 {
		return s.choices[rng.Intn(len(s.choices))]
	}
	v := s.lo + (s.hi-s.lo)*rng.Float64()
	switch rng.Intn(4) {
	case 0:
		v = s.lo
	case 1:
		v = s.hi
	}
	return strconv.FormatFloat(v, 'f', s.digits, 64)
}

// paramsOf reads the parameters of an example, all of which must have a range or choices.
func paramsOf(t *testing.T, ex example) []size {
	t.Helper()
	file, err := (&syntax.FileOptions{}).Parse("example.star", ex.text, 0)
	if err != nil {
		t.Fatal(err)
	}
	var sizes []size
	syntax.Walk(file, func(n syntax.Node) bool {
		call, ok := n.(*syntax.CallExpr)
		if !ok {
			return true
		}
		if fn, ok := call.Fn.(*syntax.Ident); !ok || fn.Name != "param" {
			return true
		}
		s := size{name: call.Args[0].(*syntax.Literal).Value.(string), digits: 1}
		if dflt, ok := call.Args[1].(*syntax.Ident); ok && (dflt.Name == "True" || dflt.Name == "False") {
			s.choices = []string{"True", "False"}
		}
		if strings.HasPrefix(s.name, "number") { // of cells, pleats and the like
			s.digits = 0
		}
		for _, arg := range call.Args[2:] {
			named, ok := arg.(*syntax.BinaryExpr)
			if !ok {
				continue
			}
			switch named.X.(*syntax.Ident).Name {
			case "min":
				s.lo = number(named.Y)
			case "max":
				s.hi = number(named.Y)
			case "choices":
				for _, c := range named.Y.(*syntax.ListExpr).List {
					s.choices = append(s.choices, fmt.Sprint(c.(*syntax.Literal).Value))
				}
			}
		}
		if s.hi <= s.lo && s.choices == nil {
			t.Fatalf("the example's %s has no range", s.name)
		}
		sizes = append(sizes, s)
		return true
	})
	return sizes
}

func number(e syntax.Expr) float64 {
	v, _ := strconv.ParseFloat(fmt.Sprint(e.(*syntax.Literal).Value), 64)
	return v
}
