package format

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/syntax"
)

// meaning is what a script says, whatever it looks like: the nodes of its tree in
// order, with names, values and signs, and then its comments in theirs. Brackets
// that only group are left out, since the tree shows what they group, and so are
// the blanks of docstrings, which are indented anew.
func meaning(file *syntax.File) []string {
	var said []string
	var comments []syntax.Comment
	var groups []bool // of the nodes round the present one: whether they are such brackets
	docs := docstrings(file)
	syntax.Walk(file, func(n syntax.Node) bool {
		if n == nil {
			last := len(groups) - 1
			if !groups[last] {
				said = append(said, "end")
			}
			groups = groups[:last]
			return true
		}
		if c := n.Comments(); c != nil {
			comments = slices.Concat(comments, c.Before, c.Suffix, c.After)
		}
		_, group := n.(*syntax.ParenExpr)
		if groups = append(groups, group); !group {
			said = append(said, fmt.Sprintf("%T %s", n, detail(n, docs)))
		}
		return true
	})
	slices.SortStableFunc(comments, func(a, b syntax.Comment) int {
		return cmp.Or(cmp.Compare(a.Start.Line, b.Start.Line), cmp.Compare(a.Start.Col, b.Start.Col))
	})
	for _, c := range comments {
		said = append(said, strings.TrimSpace(c.Text))
	}
	return said
}

// detail is what a node says besides its kind and its children.
func detail(n syntax.Node, docs map[*syntax.Literal]bool) string {
	switch n := n.(type) {
	case *syntax.Ident:
		return n.Name
	case *syntax.Literal:
		if docs[n] {
			return strings.Join(strings.Fields(n.Value.(string)), " ")
		}
		return fmt.Sprintf("%s %v", n.Token, n.Value)
	case *syntax.AssignStmt:
		return n.Op.String()
	case *syntax.BinaryExpr:
		return n.Op.String()
	case *syntax.UnaryExpr:
		return n.Op.String()
	case *syntax.BranchStmt:
		return n.Token.String()
	case *syntax.Comprehension:
		return fmt.Sprint(n.Curly)
	case *syntax.SliceExpr: // which of its bounds are left out
		return fmt.Sprint(n.Lo != nil, n.Hi != nil, n.Step != nil)
	}
	return ""
}

// docstrings are the texts that stand first in a file or in a function.
func docstrings(file *syntax.File) map[*syntax.Literal]bool {
	docs := map[*syntax.Literal]bool{}
	first := func(body []syntax.Stmt) {
		if len(body) == 0 {
			return
		}
		if e, ok := body[0].(*syntax.ExprStmt); ok {
			if l, ok := e.X.(*syntax.Literal); ok && l.Token == syntax.STRING {
				docs[l] = true
			}
		}
	}
	first(file.Stmts)
	syntax.Walk(file, func(n syntax.Node) bool {
		if d, ok := n.(*syntax.DefStmt); ok {
			first(d.Body)
		}
		return true
	})
	return docs
}
