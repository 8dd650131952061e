package scripttest

import (
	"slices"

	"go.starlark.net/syntax"
)

// sizeWords are the words of the language whose unnamed arguments are sizes,
// with the number of those that come first and are none.
var sizeWords = map[string]int{
	"rect": 0, "circle": 0, "oval": 0, "slot": 0, "regular": 1, "path": 0, "cylinder": 0,
	"line": 0, "by": 0, "arc": 0, "curve": 0, "shift": 0, "part": 0, "grow": 0, "tube": 0,
}

// sizeNames are the names of arguments that are sizes.
var sizeNames = []string{
	"depth", "inset", "round", "slide", "gap", "width", "height", "length", "radius", "inside", "outside", "clearance",
	"tuck_depth", "dust_depth", "seam_depth", "step", "relief",
}

// Stretch is a part of a text, in bytes.
type Stretch struct{ From, To int }

// Sizes lists the expressions of a script that stand for one size: what a
// designer would put another number in place of.
func Sizes(name string, text []byte) ([]Stretch, error) {
	options := syntax.FileOptions{Set: true, TopLevelControl: true, GlobalReassign: true}
	file, err := options.Parse(name, text, 0)
	if err != nil {
		return nil, err
	}
	var out []Stretch
	add := func(e syntax.Expr) { out = append(out, stretches(e, text)...) }
	syntax.Walk(file, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.CallExpr:
			for i, arg := range n.Args {
				if named, ok := arg.(*syntax.BinaryExpr); ok && named.Op == syntax.EQ {
					if slices.Contains(sizeNames, named.X.(*syntax.Ident).Name) {
						add(named.Y)
					}
				} else if takesSize(wordOf(n.Fn), i) {
					add(arg)
				}
			}
		case *syntax.AssignStmt:
			if rhs, ok := n.RHS.(*syntax.BinaryExpr); ok && arithmetic(rhs) {
				add(rhs)
			}
		}
		return true
	})
	return out, nil
}

// stretches is where an expression stands, or the items of a tuple; none for
// what is no number.
func stretches(e syntax.Expr, text []byte) []Stretch {
	switch e := e.(type) {
	case *syntax.ParenExpr:
		return stretches(e.X, text)
	case *syntax.TupleExpr:
		var out []Stretch
		for _, item := range e.List {
			out = append(out, stretches(item, text)...)
		}
		return out
	case *syntax.Literal:
		if e.Token == syntax.STRING {
			return nil
		}
	case *syntax.BinaryExpr:
		if !arithmetic(e) {
			return nil
		}
	case *syntax.CallExpr:
		if _, shape := sizeWords[wordOf(e.Fn)]; shape {
			return nil
		}
	case *syntax.Ident, *syntax.DotExpr, *syntax.UnaryExpr:
	default:
		return nil
	}
	from, to := e.Span()
	return []Stretch{{offset(text, from), offset(text, to)}}
}

// takesSize reports whether a word's unnamed argument is a size.
func takesSize(word string, i int) bool {
	if word == "param" || word == "contents" {
		return i == 1
	}
	first, ok := sizeWords[word]
	return ok && i >= first
}

// arithmetic reports whether an expression works something out from numbers,
// as far as can be told.
func arithmetic(e *syntax.BinaryExpr) bool {
	if !slices.Contains([]syntax.Token{syntax.PLUS, syntax.MINUS, syntax.STAR, syntax.SLASH}, e.Op) {
		return false
	}
	for _, side := range []syntax.Expr{e.X, e.Y} {
		switch side := side.(type) {
		case *syntax.Literal:
			if side.Token == syntax.STRING {
				return false
			}
		case *syntax.ListExpr, *syntax.DictExpr, *syntax.Comprehension:
			return false
		case *syntax.BinaryExpr:
			if !arithmetic(side) {
				return false
			}
		}
	}
	return true
}

// wordOf is the last word of what is called.
func wordOf(fn syntax.Expr) string {
	switch fn := fn.(type) {
	case *syntax.Ident:
		return fn.Name
	case *syntax.DotExpr:
		return fn.Name.Name
	}
	return ""
}

// offset is the byte that a position points to; the examples are plain ASCII
// where it matters.
func offset(text []byte, at syntax.Position) int {
	line, i := int32(1), 0
	for ; line < at.Line; i++ {
		if text[i] == '\n' {
			line++
		}
	}
	return i + int(at.Col) - 1
}
