package script

import (
	"bytes"
	"errors"
	"math/big"
	"math/rand"
	"strings"
	"testing"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/source"
)

// panics is what a run with a word that fails panics with.
func panics(t *testing.T, opts Options, fault any) (p *Panic) {
	t.Helper()
	h := newHost(files{"main.star": "a = 1\nboom(2)\n"}.store(), "main.star", opts)
	w := &word{Word: Word{Name: "boom", Kind: Function}, Args: "x", run: func(*call) (starlark.Value, error) { panic(fault) }}
	h.table = &table{byName: map[string]*word{}}
	h.table.add(w)
	h.words = h.predeclared(false)
	defer func() { p, _ = recover().(*Panic) }()
	_, err := h.exec(h.thread(opts), "main.star")
	t.Errorf("no panic but %v", err)
	return nil
}

// A failure of a word's own is passed on with the line that used it, whatever
// it panicked with.
func TestPanicsKnowTheirPlace(t *testing.T) {
	for _, fault := range []any{"boom", errors.New("boom"), bytes.ErrTooLarge} {
		p := panics(t, Options{}, fault)
		if p == nil || p.Fault != fault || p.Site.First().String() != "main.star:2:1" || !strings.Contains(string(p.Stack), "TestPanicsKnowTheirPlace") {
			t.Errorf("%v: %+v", fault, p)
		}
	}
}

// A failure of the language's own is the script's fault where a size is beyond
// all bounds, and the program's elsewhere.
func TestPanicsOfTheLanguage(t *testing.T) {
	h := newHost(files{}.store(), "main.star", Options{})
	h.at = source.Site{{File: "main.star", Line: 3}}
	n := -1
	tooLong := func() (fault any) {
		defer func() { fault = recover() }()
		return make([]int, n)
	}()
	for _, fault := range []any{tooLong, bytes.ErrTooLarge, "strings: negative Repeat count", errors.New("strings: Repeat output length overflow"), "rangeLen: zero step"} {
		if fs := h.panicked(fault); len(fs) != 1 || fs[0].Site.First().Line != 3 {
			t.Errorf("%v: %v", fault, fs)
		}
	}
	for _, fault := range []any{"unreachable", errors.New("internal error"), 5} {
		func() {
			defer func() {
				if p, ok := recover().(*Panic); !ok || p.Fault != fault || p.Site.First().Line != 3 {
					t.Errorf("%v is passed on as %v", fault, p)
				}
			}()
			t.Errorf("%v is told as %v", fault, h.panicked(fault))
		}()
	}
}

// Law: a range is refused just when it has more than maxRange numbers, counted
// here with numbers of any size.
func TestRangesAreRefusedByLength(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	number := func() *big.Int {
		n := big.NewInt(r.Int63() >> r.Intn(63))
		if r.Intn(2) == 0 {
			n.Neg(n)
		}
		return n
	}
	refused := 0
	for range 20_000 {
		start, stop, step := number(), number(), number()
		args := starlark.Tuple{starlark.MakeBigInt(start), starlark.MakeBigInt(stop), starlark.MakeBigInt(step)}
		switch r.Intn(3) {
		case 0:
			start, step, args = new(big.Int), big.NewInt(1), args[1:2]
		case 1:
			step, args = big.NewInt(1), args[:2]
		}
		length := new(big.Int)
		if step.Sign() != 0 && new(big.Int).Sub(stop, start).Sign() == step.Sign() {
			// Numbers from start up to the last before stop.
			length.Sub(stop, start)
			length.Sub(length, big.NewInt(int64(step.Sign())))
			length.Quo(length, step)
			length.Add(length, big.NewInt(1))
		}
		long := length.Cmp(big.NewInt(maxRange)) > 0
		if long {
			refused++
		}
		if f := tooLongRange("range", args); (f != nil) != long {
			t.Fatalf("%v has %v numbers: %v", args, length, f)
		}
	}
	if refused < 1000 || refused > 19_000 {
		t.Errorf("%d of 20,000 refused", refused)
	}
}

// A site of a deep stack keeps its two ends.
func TestDeepSitesAreCut(t *testing.T) {
	var script strings.Builder
	script.WriteString("def f0():\n    fail(\"deep\")\n")
	for i := 1; i <= 50; i++ {
		script.WriteString("def f" + big.NewInt(int64(i)).String() + "():\n    f" + big.NewInt(int64(i-1)).String() + "()\n")
	}
	script.WriteString("f50()\n")
	_, fs := runText(script.String())
	if len(fs) != 1 || fs[0].Message != "deep" || len(fs[0].Site) != mostCalls {
		t.Fatal(fs)
	}
	site := fs[0].Site
	if site[0].Line != 103 || site[1].Line != 102 || site[mostCalls-1].Line != 2 || site[mostCalls-2].Line != 4 {
		t.Errorf("%+v", site)
	}
}
