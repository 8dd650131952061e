// Command mutate changes one operator, condition or number of a package at a
// time and sees whether a test fails. What lives is printed as it is found: a test is missing
// there, or the code is not needed, or the change makes no difference. The count so far
// goes to standard error.
//
//	go run .ci/mutate.go [-n 20] [-seed 1] [-then ./runtime/engine] ./runtime/geom ...
//
// The tree is not touched: changed files reach the compiler as an overlay. A
// mutant that passes its own package's tests is tried on the packages of -then.
package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"log"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

// mutant is one change of one file.
type mutant struct {
	dir, file string
	place     token.Position
	what      string // "< to <="
	text      []byte // of the whole changed file
}

// swaps are the operators that are changed, each into its nearest neighbours.
var swaps = map[token.Token][]token.Token{
	token.LSS: {token.LEQ, token.GTR}, token.LEQ: {token.LSS, token.GTR},
	token.GTR: {token.GEQ, token.LSS}, token.GEQ: {token.GTR, token.LSS},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL},
	token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
}

// hang is how long one test run may take: a mutant may never end.
const hang = 4 * time.Minute

func main() {
	log.SetFlags(0)
	n := flag.Int("n", 20, "mutants of each package")
	seed := flag.Int64("seed", 1, "which ones")
	then := flag.String("then", "", "packages whose tests see what lives, separated by commas")
	side := flag.Int("p", max(1, runtime.NumCPU()), "test runs side by side")
	flag.Parse()
	var all []mutant
	for _, dir := range flag.Args() {
		found, err := mutants(dir)
		if err != nil {
			log.Fatal(err)
		}
		rng := rand.New(rand.NewSource(*seed))
		rng.Shuffle(len(found), func(i, j int) { found[i], found[j] = found[j], found[i] })
		all = append(all, found[:min(*n, len(found))]...)
	}
	count := map[string]int{}
	var mu sync.Mutex // guards count and the order of what is printed
	var wait sync.WaitGroup
	slots := make(chan bool, *side)
	for _, m := range all {
		wait.Go(func() {
			slots <- true
			verdict := judge(m, *then)
			<-slots
			mu.Lock()
			defer mu.Unlock()
			count[verdict]++
			if verdict != "killed" {
				fmt.Printf("%-9s %s:%d:%d: %s\n", verdict, m.file, m.place.Line, m.place.Column, m.what)
			}
			fmt.Fprintf(os.Stderr, "%d of %d mutants: %s\n", count["killed"]+count["no build"]+count["lives"], len(all), tally(count))
		})
	}
	wait.Wait()
	fmt.Printf("%d mutants: %s\n", len(all), tally(count))
}

func tally(count map[string]int) string {
	return fmt.Sprintf("%d killed, %d do not compile, %d live", count["killed"], count["no build"], count["lives"])
}

// judge runs the tests over a mutant: "killed", "lives" or "no build".
func judge(m mutant, then string) string {
	work, err := os.MkdirTemp("", "mutant")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(work)
	changed, overlay := filepath.Join(work, "changed.go"), filepath.Join(work, "overlay.json")
	path, err := filepath.Abs(m.file)
	if err != nil {
		log.Fatal(err)
	}
	table, err := json.Marshal(map[string]any{"Replace": map[string]string{path: changed}})
	if err = cmp.Or(err, os.WriteFile(changed, m.text, 0o600), os.WriteFile(overlay, table, 0o600)); err != nil {
		log.Fatal(err)
	}
	if err := run("build", "-overlay", overlay, m.dir); err != nil {
		return "no build"
	}
	packages := []string{m.dir}
	if then != "" {
		packages = append(packages, strings.Split(then, ",")...)
	}
	for _, p := range packages {
		if err := run("test", "-overlay", overlay, "-failfast", "-vet=off", p); err != nil {
			return "killed"
		}
	}
	return "lives"
}

// run runs the go command; one that hangs has failed.
func run(args ...string) error {
	ctx, stop := context.WithTimeout(context.Background(), hang)
	defer stop()
	return exec.CommandContext(ctx, "go", args...).Run()
}

// mutants lists all changes of a package's files, tests left out.
func mutants(dir string) ([]mutant, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	paths = slices.DeleteFunc(paths, func(p string) bool { return strings.HasSuffix(p, "_test.go") })
	var out []mutant
	for _, path := range paths {
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		if err != nil {
			return nil, err
		}
		try := func(at token.Pos, what string, change, back func()) {
			change()
			var text bytes.Buffer
			if err := printer.Fprint(&text, files, file); err == nil {
				out = append(out, mutant{dir, path, files.Position(at), what, text.Bytes()})
			}
			back()
		}
		ast.Inspect(file, func(n ast.Node) bool { visit(n, try); return true })
	}
	return out, nil
}

// visit tries every change of one node.
func visit(n ast.Node, try func(at token.Pos, what string, change, back func())) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		was := n.Op
		for _, to := range swaps[was] {
			try(n.OpPos, fmt.Sprintf("%s to %s", was, to), func() { n.Op = to }, func() { n.Op = was })
		}
	case *ast.IfStmt:
		was := n.Cond
		negated := &ast.UnaryExpr{Op: token.NOT, X: &ast.ParenExpr{X: was}}
		try(was.Pos(), "condition negated", func() { n.Cond = negated }, func() { n.Cond = was })
	case *ast.UnaryExpr:
		if n.Op == token.SUB {
			try(n.OpPos, "- to +", func() { n.Op = token.ADD }, func() { n.Op = token.SUB })
		}
	case *ast.BasicLit:
		if n.Kind == token.FLOAT && strings.ContainsAny(n.Value, "123456789") { // a multiple of 0.0 is no change
			was := n.Value
			for _, by := range []string{"10", "0.1"} {
				try(n.Pos(), was+" times "+by, func() { n.Value = "(" + was + "*" + by + ")" }, func() { n.Value = was })
			}
		}
	case *ast.BlockStmt:
		for i, s := range n.List {
			if _, call := s.(*ast.ExprStmt); call {
				n, i, s := n, i, s
				try(s.Pos(), "call taken away", func() { n.List[i] = &ast.EmptyStmt{} }, func() { n.List[i] = s })
			}
		}
	}
}
