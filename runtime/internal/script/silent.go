package script

import (
	"strings"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// What is here the language would take without a word: statements that do nothing,
// or something else than what is meant.

// silentFault is the first of these in a file, nil when there is none.
func (h *host) silentFault(label string, file *syntax.File) (fault *diag.Finding) {
	tell := func(n syntax.Node, message string) *diag.Finding {
		start, end := n.Span()
		fault = diag.Scriptf(source.Site{spanBetween(label, start, end)}, "%s", message)
		return fault
	}
	calls, loops := map[string]int{}, 0
	countCalls(file, calls, 1)
	var body func(stmts []syntax.Stmt, global bool)
	body = func(stmts []syntax.Stmt, global bool) {
		for _, s := range stmts {
			if fault != nil {
				return
			}
			switch s := s.(type) {
			case *syntax.DefStmt:
				body(s.Body, false)
				continue
			case *syntax.ForStmt:
				if global {
					h.wordTaken(s.Vars, calls, tell)
				}
				loops++
				body(s.Body, global)
				loops--
				continue
			case *syntax.IfStmt:
				body(s.True, global)
				body(s.False, global)
				continue
			case *syntax.ExprStmt:
				if idle(s.X) {
					tell(s.X, "this line does nothing").WithHint("%s", idleHint(s.X, global))
				}
			case *syntax.AssignStmt:
				if global && s.Op == syntax.EQ {
					if loops == 0 { // board = board(…) works, once
						countCalls(s.RHS, calls, -1)
					}
					h.wordTaken(s.LHS, calls, tell)
					if loops == 0 {
						countCalls(s.RHS, calls, 1)
					}
				}
				if fault == nil {
					fault = h.commaSize(label, s)
				}
			}
			if fault == nil {
				powerSign(s, tell)
			}
		}
	}
	body(file.Stmts, true)
	return fault
}

// countCalls adds to the number of calls of each name, by times each.
func countCalls(n syntax.Node, calls map[string]int, times int) {
	syntax.Walk(n, func(n syntax.Node) bool {
		if c, ok := n.(*syntax.CallExpr); ok {
			if id, ok := c.Fn.(*syntax.Ident); ok {
				calls[id.Name] += times
			}
		}
		return true
	})
}

// wordTaken tells of a word of the language that a file gives a value of its own and
// calls as well: from the top of the file on, the word is no longer to be had in it.
// A word that the file does without may be a name; one for a unit may not.
func (h *host) wordTaken(left syntax.Expr, calls map[string]int, tell func(syntax.Node, string) *diag.Finding) {
	for _, name := range boundNames(left) {
		w := h.table.byName[name]
		if w == nil || w.Kind != Function || w.Group == groupTests || calls[name] == 0 && w.Group != groupUnits {
			continue
		}
		tell(left, name+" is a word of the language, and no name for a value of the script's own").
			WithHint("choose another name for the value, such as my_%s", name)
		return
	}
}

// idle reports whether an expression that stands alone does nothing: no call is made
// in it, and it is no text, with which some write comments.
func idle(x syntax.Expr) bool {
	if lit, ok := x.(*syntax.Literal); ok && lit.Token != syntax.INT && lit.Token != syntax.FLOAT {
		return false
	}
	if _, ok := x.(*syntax.LambdaExpr); ok {
		return true
	}
	calls := false
	syntax.Walk(x, func(n syntax.Node) bool {
		_, call := n.(*syntax.CallExpr)
		calls = calls || call
		return !calls
	})
	return !calls
}

// idleHint says what may be meant by an expression that stands alone, in a function or
// outside of all.
func idleHint(x syntax.Expr, global bool) string {
	const back = "write return in front of it if the function is to give it back, or leave the line out"
	switch x := x.(type) {
	case *syntax.Ident:
		if !global {
			return back
		}
		return "give the name a value, as in " + x.Name + " = …; or put brackets behind a function: " + x.Name + "(…)"
	case *syntax.DotExpr:
		return "put what it takes in brackets behind it: ." + x.Name.Name + "(…); or give its value a name: size = …"
	case *syntax.BinaryExpr:
		if id, ok := x.X.(*syntax.Ident); ok && x.Op == syntax.EQL {
			return "give a name its value with one equals sign: " + id.Name + " = …"
		}
	case *syntax.LambdaExpr:
		return "give the function a name: double = lambda x: 2 * x"
	}
	if !global {
		return back
	}
	return "give it a name, as in size = …, or leave the line out"
}

// powerSign tells of a ^ beside a number: it is a sum without carry of the numbers'
// bits, and no power.
func powerSign(s syntax.Stmt, tell func(syntax.Node, string) *diag.Finding) {
	told := false
	syntax.Walk(s, func(n syntax.Node) bool {
		b, ok := n.(*syntax.BinaryExpr)
		if told || !ok || b.Op != syntax.CIRCUMFLEX || !isNumberLiteral(b.X) && !isNumberLiteral(b.Y) {
			return !told
		}
		told = true
		tell(b, "^ makes no power of a number").WithHint("%s", powerHint)
		return false
	})
}

// powerHint says how powers are written.
const powerHint = "multiply: 10 * 10 is the square of 10"

func isNumberLiteral(x syntax.Expr) bool {
	lit, ok := x.(*syntax.Literal)
	return ok && (lit.Token == syntax.INT || lit.Token == syntax.FLOAT)
}

// commaSize is the fault of a line that gives a name one number with a decimal comma,
// depth = 12,5: to the language it is a pair of two, and would be told where the name
// is used or nowhere. A pair that is meant has a blank after its comma, or brackets.
func (h *host) commaSize(label string, a *syntax.AssignStmt) *diag.Finding {
	pair, ok := a.RHS.(*syntax.TupleExpr)
	if _, one := a.LHS.(*syntax.Ident); !ok || !one || pair.Lparen.IsValid() || len(pair.List) != 2 {
		return nil
	}
	whole, ok := pair.List[0].(*syntax.Literal)
	if !ok {
		return nil
	}
	_, end := pair.Span()
	t, i := h.tokenBefore(end)
	number, comma := commaNumber(h.tokensOf(label), i)
	if !comma {
		return nil
	}
	from, _ := h.tokenAt(whole.TokenPos)
	span := from.span(label)
	span.EndLine, span.EndColumn = int(t.end.line), int(t.end.column)
	return diag.Scriptf(source.Site{span}, "%s,%s is two numbers", from.text, t.text).
		WithHint("numbers have a decimal point: %s; a pair stands in brackets", number)
}

// commaNumber is the number that ends with the i-th token, if it is written with a
// comma, as it should be written: 12,5 is 12.5, and so are 1.000,5 and 1,000.5 1000.5.
// Where the comma may part thousands as well, both are offered.
func commaNumber(ts []token, i int) (number string, ok bool) {
	if i < 2 || i >= len(ts) {
		return "", false
	}
	whole, comma, part := ts[i-2], ts[i-1], ts[i]
	if whole.kind != numberToken || comma.text != "," || part.kind != numberToken || whole.end != comma.start || comma.end != part.start {
		return "", false
	}
	left, dots, pointed := strings.Cut(whole.text, ".")
	right, _, tail := strings.Cut(part.text, ".")
	switch {
	case pointed && len(dots) == 3 && !tail: // 1.000,5
		return left + dots + "." + right, true
	case pointed:
		return "", false
	case tail && len(right) == 3: // 1,000.5
		return left + part.text, true
	case tail:
		return "", false
	case len(right) == 3: // 1,200
		return left + "." + right + ", or " + left + right + " without a sign for thousands", true
	}
	return left + "." + right, true
}
