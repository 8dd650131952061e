package script

import (
	"maps"
	"slices"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/source"
)

// spanTable gives, for the token that Starlark names as a position, the
// stretch of text a person would mark: Starlark says a call is at its open
// bracket and a sum at its plus sign.
type spanTable map[place]source.Span

// spansOf reads the table off a syntax tree, in time that grows with its nodes. Of two
// nodes at one position the one further in, which is walked later, is kept.
func spansOf(label string, f *syntax.File) spanTable {
	t := spanTable{}
	syntax.Walk(f, func(n syntax.Node) bool {
		if n != nil { // nil ends a node's children
			if at, start, end, ok := marked(n); ok {
				t[place{at.Line, at.Col}] = spanBetween(label, start, end)
			}
		}
		return true
	})
	return t
}

// marked is where Starlark says a node is, and the stretch to mark for it; ok is false
// for nodes at which no error is told. Ends are just past the last character, as in
// source.Span.
func marked(n syntax.Node) (at, start, end syntax.Position, ok bool) {
	if _, file := n.(*syntax.File); file {
		return // one without statements has no span
	}
	start, end = n.Span()
	switch n := n.(type) {
	case *syntax.CallExpr:
		return n.Lparen, callStart(n), end, true
	case *syntax.DotExpr:
		return n.Dot, syntax.Start(n.Name), end, true
	case *syntax.BinaryExpr:
		return n.OpPos, start, end, true
	case *syntax.UnaryExpr:
		return n.OpPos, start, end, true
	case *syntax.IndexExpr:
		return n.Lbrack, start, past(n.Rbrack), true
	case *syntax.AssignStmt:
		return n.OpPos, start, end, true
	case *syntax.DictEntry:
		return n.Colon, start, end, true
	case *syntax.ForStmt:
		return n.For, start, syntax.End(n.X), true
	case *syntax.ForClause:
		return n.For, start, end, true
	case *syntax.Ident:
		return n.NamePos, start, end, true
	case *syntax.LoadStmt:
		return n.Load, syntax.Start(n.Module), syntax.End(n.Module), true
	}
	return at, start, end, false
}

// past is the place just past a bracket.
func past(bracket syntax.Position) syntax.Position {
	bracket.Col++
	return bracket
}

// callStart is where the marking of a call begins: at its callee, or at the
// method's name in a chain of calls, whose earlier links are not at fault.
func callStart(c *syntax.CallExpr) syntax.Position {
	if dot, ok := c.Fn.(*syntax.DotExpr); ok {
		if _, chained := dot.X.(*syntax.CallExpr); chained {
			return syntax.Start(dot.Name)
		}
	}
	return syntax.Start(c.Fn)
}

// spanBetween is the stretch between two positions of the parser's.
func spanBetween(label string, start, end syntax.Position) source.Span {
	return source.Span{
		File: label,
		Line: int(start.Line), Column: int(start.Col),
		EndLine: int(end.Line), EndColumn: int(end.Col),
	}
}

// spanAt is the stretch to mark for a position of Starlark's: that of the table, or the
// one token there when the node is none that is marked or there is no tree.
func (h *host) spanAt(pos syntax.Position) source.Span {
	if s, ok := h.spans[pos.Filename()][place{pos.Line, pos.Col}]; ok {
		return s
	}
	return h.wordAt(pos)
}

// wordAt marks the one token at a place, for faults found before there is a
// syntax tree. A position without a line is the file as
// a whole.
func (h *host) wordAt(pos syntax.Position) source.Span {
	if pos.Line < 1 {
		return source.Span{File: pos.Filename()}
	}
	t, _ := h.tokenAt(pos)
	return t.span(pos.Filename())
}

// mostCalls is how many calls of a stack a site holds: what a screen shows.
const mostCalls = 20

// siteOf turns a call stack into a site: the designer's own line first, then
// the library lines it led to. Calls of built-in words have no text of their
// own. Of a deep stack the outermost and the innermost calls are kept.
func (h *host) siteOf(stack starlark.CallStack) source.Site {
	var site source.Site
	for _, frame := range stack {
		if _, ok := h.spans[frame.Pos.Filename()]; ok {
			site = append(site, h.spanAt(frame.Pos))
		}
	}
	if len(site) > mostCalls {
		site = slices.Delete(site, mostCalls/2, len(site)-mostCalls/2)
	}
	return site
}

// probeName is the word that is called before each statement of a file that is
// instrumented. No script can write the name.
const probeName = "(reached)"

// probes instruments a file with calls of probeName, numbered by statement.
// Starlark itself cannot be asked from outside what it is doing, nor does it tell
// which line it is about to begin, and a line that brings the process down leaves
// nobody to ask afterwards.
type probes struct {
	label string
	spans []source.Span
}

// list is the statements of a body, each with a probe before it; bodies within are
// changed in place.
func (p *probes) list(stmts []syntax.Stmt) []syntax.Stmt {
	out := make([]syntax.Stmt, 0, 2*len(stmts))
	for i, s := range stmts {
		// A docstring has to stay the first statement of its body.
		if _, doc := docstring(s); i > 0 || !doc {
			out = append(out, p.call(s))
		}
		switch s := s.(type) {
		case *syntax.DefStmt:
			s.Body = p.list(s.Body)
		case *syntax.ForStmt:
			s.Body = p.list(s.Body)
		case *syntax.IfStmt:
			s.True, s.False = p.list(s.True), p.list(s.False)
		}
		out = append(out, s)
	}
	return out
}

// docstring is the text of a statement that is nothing but a text.
func docstring(s syntax.Stmt) (text string, ok bool) {
	e, ok := s.(*syntax.ExprStmt)
	if !ok {
		return "", false
	}
	l, ok := e.X.(*syntax.Literal)
	if !ok || l.Token != syntax.STRING {
		return "", false
	}
	return l.Value.(string), true
}

// call is the call that goes before a statement. Of a statement with a body only the
// head is marked, since the body has probes of its own. Positions are those of the
// statement, so that a stack trace through a probe shows that.
func (p *probes) call(s syntax.Stmt) syntax.Stmt {
	start, end := s.Span()
	switch s := s.(type) {
	case *syntax.DefStmt:
		end = syntax.End(s.Name)
	case *syntax.ForStmt:
		end = syntax.End(s.X)
	case *syntax.IfStmt:
		end = syntax.End(s.Cond)
	}
	number := int64(len(p.spans))
	p.spans = append(p.spans, spanBetween(p.label, start, end))
	return &syntax.ExprStmt{X: &syntax.CallExpr{
		Fn:     &syntax.Ident{NamePos: start, Name: probeName},
		Lparen: start,
		Args:   []syntax.Expr{&syntax.Literal{Token: syntax.INT, TokenPos: start, Value: number}},
		Rparen: start,
	}}
}

// instrument puts the probes into a file, if anyone wants to know, and gives the
// words the file may use: those of the host and, instrumented, the probe besides. The
// host's own table is shared by all files and stays as it is.
func (h *host) instrument(label string, file *syntax.File) starlark.StringDict {
	own := h.words
	if h.test != nil && (label == h.main || IsTest(label)) {
		own = maps.Clone(own)
		maps.Copy(own, h.predeclared(true))
	}
	if h.reached == nil {
		return own
	}
	p := &probes{label: label}
	file.Stmts = p.list(file.Stmts)
	words := maps.Clone(own)
	words[probeName] = starlark.NewBuiltin(probeName, func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		i, _ := args[0].(starlark.Int).Int64()
		h.arrive(p.spans[i])
		return starlark.None, nil
	})
	return words
}

// arrive tells that the run has come to a place: the designer's own line and,
// when that is elsewhere, the line of the library behind it.
func (h *host) arrive(at source.Span) {
	if h.reached == nil {
		return
	}
	if at.File == h.main {
		h.at = append(h.at[:0], at)
	} else {
		h.at = append(h.at[:min(1, len(h.at))], at)
	}
	h.reached(h.at)
}
