package script

import (
	"fmt"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// call is one use of a word: its arguments by parameter, and the first fault
// met while reading them, so that a word's function reads as a list of what it
// takes and asks once whether all of it was right.
type call struct {
	*host
	thread *starlark.Thread
	word   *word
	self   starlark.Value // the value a method belongs to; nil for a function
	site   source.Site
	given  []starlark.Value // by parameter; nil where left out
	named  []starlark.Tuple // name and value of what a word of AnyName was given
	fault  *diag.Finding
	// mistaken says that a number or a tuple stands where something else is taken.
	mistaken bool
}

// bound makes the Starlark value that runs a word.
// A fault of the arguments comes before what the word's function gives or fails with:
// that has worked with zeros in place of what could not be read.
func (h *host) bound(w *word, self starlark.Value) *starlark.Builtin {
	return starlark.NewBuiltin(w.short(), func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		c := &call{host: h, thread: thread, word: w, self: self, site: h.siteOf(thread.CallStack()), given: make([]starlark.Value, len(w.params()))}
		defer c.passOn()
		c.bindArgs(args, kwargs)
		if c.fault != nil {
			c.commaFault(c.fault)
			return nil, c.fault
		}
		v, err := w.run(c)
		if c.fault != nil {
			if c.mistaken {
				c.commaFault(c.fault)
			}
			return nil, c.fault
		}
		return v, err
	})
}

// commaFault gives a fault of the call's arguments the hint that is meant, where a
// number in the call is written with a decimal comma: two numbers and a comma between
// them, without a blank. Calls among its arguments are not looked into.
func (c *call) commaFault(f *diag.Finding) {
	at := c.site.First()
	if !at.Known() {
		return
	}
	from, to := place{int32(at.Line), int32(at.Column)}, place{int32(at.EndLine), int32(at.EndColumn)}
	ts := c.tokensOf(at.File)
	// A token belongs to the call itself when just one call's brackets are open: tuples
	// and lists in between do not count.
	var open []bool // of the brackets round a token: whether it is a call's
	calls := 0
	for i, t := range ts {
		if t.start.before(from) || to.before(t.end) {
			continue
		}
		switch {
		case t.kind == openToken:
			call := i > 0 && t.text == "(" && (ts[i-1].kind == wordToken || ts[i-1].kind == closeToken)
			if open = append(open, call); call {
				calls++
			}
		case t.kind == closeToken && len(open) > 0:
			if open[len(open)-1] {
				calls--
			}
			open = open[:len(open)-1]
		case calls == 1:
			if n, ok := commaNumber(ts, i); ok {
				f.WithHint("numbers have a decimal point: %s", n)
			}
		}
	}
}

// bindArgs puts each argument into its parameter's place.
// All faults are looked for and the first is kept: unknown or doubled names, then too
// many without a name, then what is missing. Given more unnamed values than parameters,
// copy drops the rest, which is a fault by the count.
func (c *call) bindArgs(args starlark.Tuple, kwargs []starlark.Tuple) {
	w := c.word
	copy(c.given, args)
	if w.AnyName {
		c.named, kwargs = kwargs, nil
	}
	for _, pair := range kwargs {
		name := string(pair[0].(starlark.String))
		switch i := w.nameIndex(name); {
		case i < 0:
			c.unknownArg(name, pair[1])
		case c.given[i] != nil:
			c.failf("%s is given twice", name)
		default:
			c.given[i] = pair[1]
		}
	}
	if w.ByName && len(args) > 0 {
		c.failf("its argument has no name").WithHint("write name = value; %s", c.takes())
	}
	switch {
	case w.AnyName && len(args) > 0:
		c.failf("%s given without a name", count(len(args), "value")).WithHint("%s", c.takes())
	case len(args) > len(w.params()):
		c.failf("%s given, and it takes %s", count(len(args), "argument"), atMost(len(w.params()))).
			WithHint("%s", c.takes())
	case len(args) > w.unnamed():
		next := w.params()[w.unnamed()].name
		c.failf("%s given without a name, and it takes %s so", count(len(args), "argument"), atMost(w.unnamed())).
			WithHint("name what follows, as in %s = …; %s", next, c.takes())
	}
	for i, p := range w.params() {
		if c.given[i] == nil && p.required {
			c.failf("%s is missing", p.name).WithHint("%s", c.takes())
		}
	}
}

// unknownArg records an argument that the word does not have, and the one that
// may have been meant.
func (c *call) unknownArg(name string, v starlark.Value) {
	f := c.failf("there is no argument called %s", name).WithHint("%s", c.takes())
	if near, ok := model.Nearest(name, c.word.paramNames()); ok {
		f.WithHint("did you mean %s?", near)
	} else if _, edge := v.(edgeValue); edge && c.word.nameIndex("on") >= 0 && c.given[c.word.nameIndex("on")] == nil {
		f.WithHint("the edge it hangs on is on = …")
	} else if name == "at" && c.word.nameIndex("slide") >= 0 {
		f.WithHint("slide = … moves it along the edge, in mm")
	}
}

// takes reminds of how the word is written.
func (c *call) takes() string {
	if c.word.AnyName {
		return c.word.short() + " takes (name = value, …)"
	}
	if len(c.word.params()) == 0 {
		return c.word.short() + " takes nothing in its brackets"
	}
	return c.word.short() + " takes (" + c.word.args() + ")"
}

// atMost says how many arguments a word takes.
func atMost(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprintf("at most %d", n)
}

// count says a number of things, with the verb that follows.
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what + " is"
	}
	return fmt.Sprintf("%d %ss are", n, what)
}

// do has the builder do something of which the script gets no value, unless the
// arguments were wrong already.
func (c *call) do(build func() error) (starlark.Value, error) {
	if c.fault != nil {
		return nil, c.fault
	}
	return starlark.None, build()
}

// failf records a fault of the call unless there is one already. It gives the new one in
// either case, so that a hint may be added without asking which was kept.
func (c *call) failf(format string, args ...any) *diag.Finding {
	f := diag.Scriptf(c.site, "%s: %s", c.who(), fmt.Sprintf(format, args...))
	if c.fault == nil {
		c.fault = f
	}
	return f
}

// wrong records that an argument is not what its word takes. A number or a tuple in its
// place may come of a decimal comma, for which bound looks then.
func (c *call) wrong(name string, v starlark.Value, expected string) *diag.Finding {
	switch v.(type) {
	case starlark.Int, starlark.Float, starlark.Tuple:
		c.mistaken = c.mistaken || c.fault == nil
	}
	return c.failf("%s is %s; %s is expected", name, describe(v), expected).WithHint("%s", expectedHint(v, expected))
}

// who names what the call makes or works on, the way messages begin: panel
// "lid", or cut on panel "lid", or rect.
func (c *call) who() string {
	word := c.word.short()
	if c.self != nil {
		return word + " on " + subject(c.self)
	}
	if len(c.word.params()) > 0 && c.word.params()[0].name == "name" && len(c.given) > 0 {
		if name, ok := c.given[0].(starlark.String); ok {
			return word + " " + quote(string(name))
		}
	}
	return word
}

// subject names the value a method belongs to, at the head of a message.
func subject(v starlark.Value) string {
	switch v := v.(type) {
	case *outlineValue:
		return aOrAn(v.Type())
	case described:
		return strings.TrimPrefix(v.describe(), "the ")
	}
	return v.Type()
}

// describe says what a value is, the way a message reads aloud: a string,
// "90"; the number 12; the panel "lid".
func describe(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.NoneType:
		return "None"
	case starlark.Bool:
		return v.String()
	case starlark.Int, starlark.Float:
		f, _ := asFloat(v)
		return "the number " + geom.Num(f)
	case starlark.String:
		return "a string, " + quote(string(v))
	case starlark.Tuple:
		return itemCount("a tuple", v.Len())
	case *starlark.List:
		return itemCount("a list", v.Len())
	case *starlark.Dict:
		return "a dict"
	case *starlark.Function:
		return "the function " + v.Name()
	case *starlark.Builtin:
		return "the word " + v.Name() + " itself"
	case described:
		return v.describe()
	}
	return aOrAn(v.Type())
}

// aOrAn puts the article before a noun.
func aOrAn(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// described is a value of ours; describe names it.
type described interface{ describe() string }

// itemCount says what a value is and how many items it has.
func itemCount(what string, n int) string {
	if n == 1 {
		return what + " of 1 item"
	}
	return fmt.Sprintf("%s of %d items", what, n)
}
