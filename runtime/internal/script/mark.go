package script

import (
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/source"
)

// markWord is called before each statement of a file that is watched from
// outside. No script can write the name.
const markWord = "(reached)"

// marks puts calls of markWord into a file, numbered by statement. Starlark
// itself cannot be asked from outside what it is doing, nor tells it which line
// it is about to begin, and a line that brings the process down leaves nobody
// to ask afterwards.
type marks struct {
	label string
	spans []source.Span
}

func (m *marks) list(stmts []syntax.Stmt) []syntax.Stmt {
	out := make([]syntax.Stmt, 0, 2*len(stmts))
	for i, s := range stmts {
		if i > 0 || !isDocstring(s) {
			out = append(out, m.call(s))
		}
		switch s := s.(type) {
		case *syntax.DefStmt:
			s.Body = m.list(s.Body)
		case *syntax.ForStmt:
			s.Body = m.list(s.Body)
		case *syntax.IfStmt:
			s.True, s.False = m.list(s.True), m.list(s.False)
		}
		out = append(out, s)
	}
	return out
}

// isDocstring reports whether a statement is a text that stands by itself.
func isDocstring(s syntax.Stmt) bool {
	e, ok := s.(*syntax.ExprStmt)
	if !ok {
		return false
	}
	l, ok := e.X.(*syntax.Literal)
	return ok && l.Token == syntax.STRING
}

// call is the call that goes before a statement.
func (m *marks) call(s syntax.Stmt) syntax.Stmt {
	start, end := s.Span()
	switch s := s.(type) {
	case *syntax.DefStmt:
		end = syntax.End(s.Name)
	case *syntax.ForStmt:
		end = syntax.End(s.X)
	case *syntax.IfStmt:
		end = syntax.End(s.Cond)
	}
	number := int64(len(m.spans))
	m.spans = append(m.spans, spanBetween(m.label, start, end))
	return &syntax.ExprStmt{X: &syntax.CallExpr{
		Fn:     &syntax.Ident{NamePos: start, Name: markWord},
		Lparen: start,
		Args:   []syntax.Expr{&syntax.Literal{Token: syntax.INT, TokenPos: start, Value: number}},
		Rparen: start,
	}}
}

// mark puts the marks into a file, if anyone wants to know, and gives the words
// the file may use.
func (h *host) mark(label string, file *syntax.File) starlark.StringDict {
	if h.reached == nil {
		return h.words
	}
	m := &marks{label: label}
	file.Stmts = m.list(file.Stmts)
	words := make(starlark.StringDict, len(h.words)+1)
	for name, v := range h.words {
		words[name] = v
	}
	words[markWord] = starlark.NewBuiltin(markWord, func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		i, _ := args[0].(starlark.Int).Int64()
		h.arrive(m.spans[i])
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
