package script

import (
	"bytes"
	"errors"
	"math/big"
	"runtime"
	"runtime/debug"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// maxRange is how many numbers a range may have: more than any script can count
// through, and few enough that the sizes the language works out from them stay
// within what an int holds and an allocation may ask for.
const maxRange = 1 << 40

// valueSize is what one value in a list takes, in bytes.
const valueSize = 16

// gathering are the functions of the language that hold every item of a sequence
// at once, most of them in room that they make before they look at the first.
var gathering = [...]string{"bytes", "dict", "enumerate", "list", "reversed", "set", "sorted", "tuple", "zip"}

// guardUniverse puts functions of the language that first look at how much they
// are asked for in the place of its own.
func (h *host) guardUniverse(words starlark.StringDict) {
	for _, name := range gathering {
		words[name] = h.guarded(name, h.tooManyItems)
	}
	words["range"] = h.guarded("range", tooLongRange)
}

// guarded is the language's own function of that name, called unless check
// refuses the arguments.
func (h *host) guarded(name string, check func(name string, args starlark.Tuple) *diag.Finding) *starlark.Builtin {
	inner := starlark.Universe[name].(*starlark.Builtin)
	return starlark.NewBuiltin(name, func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		if f := check(name, args); f != nil {
			f.Site = h.siteOf(thread.CallStack())
			return nil, f
		}
		return inner.CallInternal(thread, args, kwargs)
	})
}

// tooManyItems refuses sequences whose items alone would take all the memory
// that a run may have.
func (h *host) tooManyItems(name string, args starlark.Tuple) *diag.Finding {
	most := h.limits[limit.Memory] / valueSize
	for _, arg := range args {
		if n := starlark.Len(arg); int64(n) > most {
			return diag.Scriptf(nil, "%s: %d items need more than %s of memory", name, n, h.limits.Amount(limit.Memory)).
				WithHint("a list or a text may be far longer than meant; %s", h.limits.Raise(limit.Memory))
		}
	}
	return nil
}

// tooLongRange refuses a range of more than maxRange numbers. Arguments that are
// none of a range's are left to the language to complain about.
func tooLongRange(_ string, args starlark.Tuple) *diag.Finding {
	bounds := [3]*big.Int{new(big.Int), new(big.Int), big.NewInt(1)} // start, stop, step
	into := bounds[:]
	if len(args) == 1 {
		into = bounds[1:2]
	}
	if len(args) > len(into) {
		return nil
	}
	for i, arg := range args {
		n, ok := arg.(starlark.Int)
		if !ok {
			return nil
		}
		into[i].Set(n.BigInt())
	}
	start, stop, step := bounds[0], bounds[1], bounds[2]
	length := new(big.Int).Sub(stop, start)
	if step.Sign() == 0 || length.Sign() != step.Sign() {
		return nil // the language's own complaint, or an empty range
	}
	length.Sub(length, big.NewInt(int64(step.Sign()))) // from the first number to the last one possible
	length.Quo(length, step)
	if length.Add(length, big.NewInt(1)); length.IsInt64() && length.Int64() <= maxRange {
		return nil
	}
	return diag.Scriptf(nil, "range: %s numbers are more than can be counted through", length).
		WithHint("one of the numbers in the brackets may be far larger than meant")
}

// Panic is a failure of the program's own while a script ran, on its way to
// whoever recovers from it.
type Panic struct {
	Fault any
	Site  source.Site // the place in the script that was being run
	Stack []byte
}

// passOn recovers from a panic in a word of ours and raises it again with its
// place.
func (c *call) passOn() {
	if fault := recover(); fault != nil {
		panic(&Panic{Fault: fault, Site: c.site, Stack: debug.Stack()})
	}
}

// panicked explains a panic in the language itself. Where it was asked for more
// than there can be that is the script's fault; any other is passed on.
func (h *host) panicked(fault any) []*diag.Finding {
	if _, ours := fault.(*Panic); ours {
		panic(fault)
	}
	site := h.at
	if len(site) == 0 {
		site = wholeFile(h.main)
	}
	if !beyondBounds(fault) {
		panic(&Panic{Fault: fault, Site: site, Stack: debug.Stack()})
	}
	return []*diag.Finding{diag.Scriptf(site, "this asks for more than the language can hold").
		WithHint("a number may be far larger than meant")}
}

// beyondBounds reports whether a panic is one of those by which Go and the
// language refuse sizes that cannot be.
func beyondBounds(fault any) bool {
	switch fault := fault.(type) {
	case runtime.Error:
		text := fault.Error()
		return strings.Contains(text, "makeslice") || strings.Contains(text, "growslice") || strings.Contains(text, "slice bounds out of range")
	case error:
		return errors.Is(fault, bytes.ErrTooLarge) || strings.HasPrefix(fault.Error(), "strings: ")
	case string:
		return strings.HasPrefix(fault, "strings: ") || fault == "rangeLen: zero step"
	}
	return false
}
