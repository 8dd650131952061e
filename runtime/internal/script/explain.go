package script

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Reasons for which a running script is stopped from outside.
const (
	cancelled      = "cancelled"
	tooManySteps   = "too many steps"
	tooMuchPrinted = "too much printed"
)

// explain turns whatever ended a run into findings. The innermost cause tells
// what went wrong; the layers round it tell where it was asked for.
// There is at least one finding. Only the resolver gives several; all others end a run
// at the first fault. A finding of a word's own is kept as it is: it knows more than
// any wording made from the error around it.
func (h *host) explain(err error) []*diag.Finding {
	var site source.Site
	var eval *starlark.EvalError
	for e := err; e != nil; e = errors.Unwrap(e) {
		switch e := e.(type) {
		case *diag.Finding:
			return []*diag.Finding{h.placed(e, eval)}
		case *loadError:
			site = e.site
		case *starlark.EvalError:
			eval = e
		case syntax.Error:
			return []*diag.Finding{h.syntaxFault(site, e)}
		case resolve.ErrorList:
			return h.nameFaults(site, e)
		}
	}
	if eval == nil {
		return []*diag.Finding{diag.Scriptf(wholeFile(h.main), "%v", err)}
	}
	return []*diag.Finding{h.runFault(eval)}
}

// placed gives a finding made where no site was known the place that was
// running, or the whole script when it had ended.
func (h *host) placed(f *diag.Finding, eval *starlark.EvalError) *diag.Finding {
	if len(f.Site) > 0 {
		return f
	}
	g := *f
	g.Site = wholeFile(h.main)
	if eval != nil {
		g.Site = h.siteOf(eval.CallStack)
	}
	return &g
}

// nameFaults explains the resolver's errors: names without a value and
// statements out of place. Each unknown name is told once, where it first stands.
// They come in the order of their places. errs is sorted for that, where it is.
func (h *host) nameFaults(site source.Site, errs resolve.ErrorList) []*diag.Finding {
	sort.SliceStable(errs, func(i, j int) bool {
		a, b := errs[i].Pos, errs[j].Pos
		return a.Line < b.Line || a.Line == b.Line && a.Col < b.Col
	})
	var out []*diag.Finding
	seen, defined := map[string]bool{}, map[string]bool{}
	for _, name := range h.globals {
		defined[name] = true
	}
	for _, e := range errs {
		if seen[e.Msg] {
			continue
		}
		seen[e.Msg] = true
		f := h.nameFault(e.Msg, defined, len(out) < mostSuggestions)
		f.Site = extend(site, h.wordAt(e.Pos))
		t, i := h.tokenAt(e.Pos)
		ts := h.tokensOf(e.Pos.Filename())
		if n, ok := commaNumber(ts, i); ok {
			// depth = 12,5 among arguments: the 5 has no name.
			f.WithHint("numbers have a decimal point: %s", n)
		}
		if i > 1 && ts[i-1].text == ts[i-2].text && (ts[i-1].text == "/" || ts[i-1].text == "-") && ts[i-2].end == ts[i-1].start {
			f.WithHint("comments begin with #")
		}
		if i+2 < len(ts) && (i == 0 || ts[i-1].kind == newlineToken) && ts[i+1].text == "=" && ts[i+2].text == "=" {
			f.WithHint("give a name its value with one equals sign: %s = …", t.text)
		}
		if name, ok := strings.CutPrefix(e.Msg, undefined); ok {
			if near, line, ok := loadedAs(ts, name); ok {
				f.WithHint("did you mean %s, which line %d loads? If the slip is there, mend it there", near, line)
			}
		}
		out = append(out, f)
	}
	return out
}

// loadedAs is a name spelt nearly like one that is missing, which a load statement takes from a file, and
// the line where it does.
func loadedAs(ts []token, missing string) (near string, line int32, ok bool) {
	lines := map[string]int32{}
	loading := false
	for i, t := range ts {
		switch {
		case t.kind == wordToken && t.text == "load" && (i == 0 || ts[i-1].kind == newlineToken):
			loading = true
		case t.kind == closeToken:
			loading = false
		case loading && t.kind == stringToken && ts[i-1].kind != openToken && ts[i-1].text != "=": // neither the file nor under another name
			lines[strings.Trim(t.text, `"'`)] = t.start.line
		}
	}
	near, ok = model.Nearest(missing, slices.Sorted(maps.Keys(lines)))
	return near, lines[near], ok
}

// undefined begins the resolver's message about a name that has no value.
const undefined = "undefined: "

// mostSuggestions is how many unknown names of a file are compared with all the
// known ones: each takes time in proportion to their number.
const mostSuggestions = 50

// nameFault explains one error of the resolver. The file defines some names,
// though perhaps further down. Another name is proposed only if suggest says so.
// Hints are tried from the surest to the vaguest: a name known from elsewhere, the
// library's own, one spelt nearly so, a method of some value, and general advice. The
// finding has no site yet.
func (h *host) nameFault(msg string, defined map[string]bool, suggest bool) *diag.Finding {
	name, ok := strings.CutPrefix(msg, undefined)
	if !ok {
		message, hint := apply(resolveRewordings, msg)
		return diag.Scriptf(nil, "%s", message).WithHint("%s", hint)
	}
	if defined[name] {
		return diag.Scriptf(nil, "%s is used before it is given a value", name).WithHint("move the line that gives it one further up")
	}
	f := diag.Scriptf(nil, "there is nothing called %s", name)
	var known []string
	if suggest {
		known = slices.Concat(h.words.Keys(), h.globals, starlark.Universe.Keys(), slices.Sorted(maps.Keys(h.library())))
		if h.test != nil {
			known = append(known, h.predeclared(true).Keys()...)
		}
	}
	if w := h.table.byName[name]; w != nil && w.Group == groupTests && w.Kind == Function {
		return f.WithHint("%s is a word of tests: they stand in files called NAME%s, and creasewright test runs them", name, TestSuffix)
	}
	if instead, ok := nameHints[name]; ok {
		f.Hint = instead
		if label, ok := h.library()[name]; ok {
			f.Hint += "; the standard library has one too: " + loadLine(label, name)
		}
	} else if label, ok := h.library()[name]; ok {
		f.Hint = "the standard library has it; put this line near the top: " + loadLine(label, name)
	} else if near, ok := model.Nearest(name, known); ok {
		f.Hint = "did you mean " + near + "?"
		if label, ok := h.library()[near]; ok && !h.words.Has(near) && !slices.Contains(h.globals, near) {
			f.Hint += " The standard library has it: " + loadLine(label, near)
		}
	} else if owner := h.table.ownerOf(name); owner != "" {
		f.Hint = name + " is written after " + aOrAn(owner) + " and a dot"
	} else {
		f.Hint = "give it a value further up, as in " + name + " = …; put it in quotes if it is a text; or look for the word: creasewright words " + name
	}
	return f
}

// loadLine is the line of a script that takes a function from a module.
func loadLine(label, name string) string { return fmt.Sprintf("load(%q, %q)", label, name) }

// runFault explains an error that Starlark itself raised while running.
func (h *host) runFault(e *starlark.EvalError) *diag.Finding {
	stack := e.CallStack
	var arguments string
	if got, ok := scan(unknownArgument, e.Msg); ok && len(stack) > 0 {
		arguments = h.argumentHint(stack.At(0).Pos.Filename(), got[0], got[1])
	}
	if fits(calleeFaults, e.Msg) && len(stack) > 1 {
		// The callee never began; the fault is its caller's.
		stack = stack[:len(stack)-1]
	}
	message, hint := h.plainRun(diag.Short(e.Msg))
	hint = cmp.Or(arguments, hint)
	site := h.siteOf(stack)
	if fits("unhandled index operation «panel|board|outline|edge|path»[string]", e.Msg) {
		if dotted := h.dotted(site[len(site)-1]); dotted != "" {
			hint = "write " + dotted
		}
	}
	return diag.Scriptf(site, "%s", message).WithHint("%s", hint)
}

// argumentHint is the hint for an argument that a function of some file does not have: what the function
// takes, or which of these may be meant. It is "" where the function is not found.
func (h *host) argumentHint(label, function, missing string) string {
	ts := h.tokensOf(label)
	at := 1
	for ; at < len(ts) && (ts[at].text != function || ts[at-1].text != "def"); at++ {
	}
	var names []string
	depth := 0
	for k := at + 1; k < len(ts) && (depth > 0 || k == at+1); k++ {
		switch t := ts[k]; {
		case t.kind == openToken:
			depth++
		case t.kind == closeToken:
			depth--
		case depth == 1 && t.kind == wordToken && (ts[k-1].kind == openToken || ts[k-1].text == ","):
			names = append(names, t.text)
		}
	}
	if near, ok := model.Nearest(missing, names); ok {
		return "did you mean " + near + "?"
	}
	if len(names) == 0 {
		return ""
	}
	return function + " takes " + list(names, "and")
}

// dotted is base.top for an expression base["top"] at a span; "" where a name in quotes
// does not follow a name.
func (h *host) dotted(at source.Span) string {
	ts := h.tokensOf(at.File)
	end := place{int32(at.EndLine), int32(at.EndColumn)}
	i := sort.Search(len(ts), func(i int) bool { return !ts[i].end.before(end) })
	if i < 3 || i >= len(ts) || ts[i].text != "]" || ts[i-1].kind != stringToken || ts[i-2].text != "[" || ts[i-3].kind != wordToken {
		return ""
	}
	name := strings.Trim(ts[i-1].text, `"'`)
	if name == "" || strings.ContainsFunc(name, func(r rune) bool { return !isWordRune(r) }) {
		return ""
	}
	return ts[i-3].text + "." + name
}

// extend adds a span to a site without touching the site's own array.
func extend(site source.Site, s source.Span) source.Site {
	return append(site[:len(site):len(site)], s)
}

// titleOf is the first line of a script's docstring.
// It is "" without one; the blank space round it is left out.
func titleOf(f *syntax.File) string {
	if len(f.Stmts) == 0 {
		return ""
	}
	text, _ := docstring(f.Stmts[0])
	first, _, _ := strings.Cut(strings.TrimSpace(text), "\n")
	return strings.TrimSpace(first)
}

// definedNames lists the names a file defines anywhere, for suggestions.
func definedNames(f *syntax.File) []string {
	var names []string
	syntax.Walk(f, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.AssignStmt:
			names = append(names, boundNames(n.LHS)...)
		case *syntax.DefStmt:
			names = append(names, n.Name.Name)
			for _, p := range n.Params {
				names = append(names, boundNames(p)...)
			}
		case *syntax.ForStmt:
			names = append(names, boundNames(n.Vars)...)
		case *syntax.ForClause:
			names = append(names, boundNames(n.Vars)...)
		case *syntax.LoadStmt:
			for _, id := range n.From {
				names = append(names, id.Name)
			}
		}
		return true
	})
	return names
}

// boundNames lists the names that an assignment's left side or a parameter
// binds.
// Those of a list pattern, [a, b] = …, are left out; items and fields bind no name.
func boundNames(e syntax.Expr) []string {
	switch e := e.(type) {
	case *syntax.Ident:
		return []string{e.Name}
	case *syntax.BinaryExpr: // name = default
		return boundNames(e.X)
	case *syntax.ParenExpr:
		return boundNames(e.X)
	case *syntax.TupleExpr:
		var names []string
		for _, x := range e.List {
			names = append(names, boundNames(x)...)
		}
		return names
	}
	return nil
}

// atReader are the parser's messages whose position is where it has read to,
// just past the sign it stumbled on; the others stand at the sign.
const atReader = "got «», want «»\nnot an identifier\nkeyword argument must «»\nfirst operand «»\nload operand «»\nload statement «»\noriginal name «»"

// wantsBracket are those that may come of a bracket left open further up.
const wantsBracket = "got «», want '«,|)|]|}»'\ngot «», want end of file\ngot end of file«»"

// syntaxFault explains what the parser could not read.
// What the text around the spot shows goes before what the parser says, as it often
// stumbles far behind the slip: a bracket left open, then a character without meaning,
// then a slip of another notation, then the reworded message.
func (h *host) syntaxFault(site source.Site, e syntax.Error) *diag.Finding {
	find := h.tokenAt
	if fits(atReader, e.Msg) && !strings.HasSuffix(e.Msg, "primary expression") {
		find = h.tokenBefore
	}
	at, i := find(e.Pos)
	label := e.Pos.Filename()
	if bracket, ok := h.openBracketFor(e, at, i); ok {
		return diag.Scriptf(extend(site, bracket.span(label)), "this %s is never closed", bracket.text).
			WithHint("write %s where what belongs in it ends, before the lines that follow", closing[bracket.text])
	}
	message, hint := apply(syntaxRewordings, e.Msg)
	if holes, ok := scan(noMeaning, e.Msg); ok {
		message, hint = charFault(holes[0])
	} else if said, instead, ok := slip(h.tokensOf(label), i); ok {
		message, hint = said, instead
	}
	if ts := h.tokensOf(label); i > 0 && at.kind != newlineToken && fits("got «», want newline", e.Msg) && !declares[ts[i-1].text] {
		before := ts[i-1]
		if w := h.table.byName[before.text]; before.kind == wordToken && (w != nil && w.Kind == Function || starlark.Universe.Has(before.text)) {
			hint = "put what " + before.text + " takes in brackets: " + before.text + "(…)"
		}
	}
	if n, ok := commaNumber(h.tokensOf(label), i-1); ok {
		hint = "numbers have a decimal point: " + n
	}
	if h.isUnit(at.text) {
		hint = "write the unit first, as in " + at.text + "(" + numberBefore(h.tokensOf(label), i) + ")"
	}
	return diag.Scriptf(extend(site, at.span(label)), "%s", message).WithHint("%s", hint)
}

// closing is the bracket that closes each.
var closing = map[string]string{"(": ")", "[": "]", "{": "}"}

// openBracketFor is the bracket that nothing closes, when that is what the
// parser ran into: at the end of the file, or at a line that begins at the left
// margin, as no line within brackets does. The parser stumbled on the i-th token.
func (h *host) openBracketFor(e syntax.Error, at token, i int) (bracket token, ok bool) {
	ts := h.tokensOf(e.Pos.Filename())
	atEnd := strings.HasPrefix(e.Msg, "got end of file")
	if !fits(wantsBracket, e.Msg) || !atEnd && at.start.column != 1 {
		return token{}, false
	}
	if !atEnd {
		ts = ts[:i]
	}
	return openBracket(ts)
}

// numberBefore is the number right before the i-th token, with a decimal point,
// or an ordinary size. A comma within it is taken for the decimal sign.
func numberBefore(ts []token, i int) string {
	if i < 1 || ts[i-1].kind != numberToken {
		return "60"
	}
	if n, ok := commaNumber(ts, i-1); ok {
		return n
	}
	return ts[i-1].text
}

// lastNumber is the number at the end of a text, its decimal sign a point or a
// comma; "" when there is none.
func lastNumber(text string) string {
	const digits = "0123456789"
	start := len(strings.TrimRight(text, digits))
	if start == len(text) {
		return ""
	}
	if whole := strings.TrimRight(text[:max(start-1, 0)], digits); start > 0 && strings.ContainsRune(".,", rune(text[start-1])) && len(whole) < start-1 {
		start = len(whole)
	}
	return text[start:]
}

// isUnit reports whether a name is a word that turns a unit into millimetres.
func (h *host) isUnit(name string) bool {
	w := h.table.byName[name]
	return w != nil && w.Group == groupUnits
}
