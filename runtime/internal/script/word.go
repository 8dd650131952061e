package script

import (
	"fmt"
	"strings"
	"sync"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// Word is one entry of the vocabulary as people read it.
type Word struct {
	Name      string // "panel", or "edge.part" for what belongs to a value
	Kind      WordKind
	Group     string   // heading to show it under
	Signature string   // rect(width, height, round=0)
	Keywords  []string // arguments that are given by name only
	Units     string   // what the numbers mean
	Doc       string   // one paragraph, and a list of lines that begin with a dash
	Example   string   // a script that runs as it stands
}

// WordKind tells how a word is used.
type WordKind string

// The kinds of words.
const (
	Function  WordKind = "function"
	Method    WordKind = "method"
	Attribute WordKind = "attribute"
	Constant  WordKind = "value"
	Statement WordKind = "statement"
)

// Words lists the vocabulary in the order in which it is best read. It is the
// very table the words are registered from.
func Words() []Word {
	words := vocabulary().words
	out := make([]Word, len(words))
	for i, w := range words {
		out[i] = w.Word
	}
	return out
}

// word is one entry of the table. Args is the argument list as it is written
// in the signature, and what calls are bound by. What follows a star in it is given
// by name only: so that the rest of a size with a decimal comma is not taken for the
// argument that comes next.
type word struct {
	Word
	Args    string
	Open    bool // a method or attribute of outlines that unclosed paths have too
	ByName  bool // every argument must be given by name
	AnyName bool // it takes arguments of any name, which call.named holds
	run     func(*call) (starlark.Value, error)
	get     func(h *host, self starlark.Value) starlark.Value
	value   starlark.Value
	params  func() []parameter // Args, read when the word is first used
	// unnamed is how many of params may be given without their names.
	unnamed func() int
}

// parameter is one argument a word takes. Default is nil where the argument
// must be given, and for the rare default that is not a plain value.
type parameter struct {
	name     string
	dflt     starlark.Value
	required bool
}

// table is the vocabulary ready for use.
type table struct {
	words  []*word
	byName map[string]*word
}

// vocabulary builds the table once.
var vocabulary = sync.OnceValue(func() *table {
	t := &table{byName: map[string]*word{}}
	for _, group := range [][]word{
		numberWords(), paramWords(), structWords(), boardWords(), outlineWords(), pathWords(), shapeWords(), panelWords(),
		edgeWords(), workWords(), flapWords(), foldWords(), joinWords(), contentsWords(), pieceWords(), limitWords(), machineWords(), factWords(),
	} {
		for i := range group {
			t.add(&group[i])
		}
	}
	return t
})

// add puts a word into the table and completes what people read of it.
func (t *table) add(w *word) {
	w.params = sync.OnceValue(w.parameters)
	w.unnamed = sync.OnceValue(func() int {
		if before, _, starred := strings.Cut(w.Args, byName); starred {
			return strings.Count(before, ", ")
		}
		return len(w.params())
	})
	w.Signature = w.signature()
	w.Keywords = w.keywords()
	if w.Open {
		w.Doc += " A path that is not closed has it too."
	}
	t.words = append(t.words, w)
	t.byName[w.Name] = w
}

// byName stands in an argument list before what is given by name only.
const byName = "*, "

// signature is how the word is written with all it takes.
func (w *word) signature() string {
	switch w.Kind {
	case Function, Method, Statement:
		return w.Name + "(" + w.args() + ")"
	}
	return w.Name
}

// keywords lists the arguments that calls must name.
func (w *word) keywords() []string {
	list := w.Args
	if _, after, starred := strings.Cut(list, byName); starred {
		list = after
	} else if !w.ByName {
		return nil
	}
	names := strings.Split(list, ", ")
	for i, arg := range names {
		names[i], _, _ = strings.Cut(arg, "=")
	}
	return names
}

// args is the argument list as people read it.
func (w *word) args() string { return strings.Replace(w.Args, byName, "", 1) }

// parameters reads the argument list. The list is the program's own text, so a
// mistake in it is a mistake of ours and stops at once.
func (w *word) parameters() (params []parameter) {
	expr, err := dialect.ParseExpr(w.Name, "f("+w.args()+")", 0)
	if err != nil {
		panic(fmt.Sprintf("the argument list of %s: %v", w.Name, err))
	}
	for i, arg := range expr.(*syntax.CallExpr).Args {
		switch arg := arg.(type) {
		case *syntax.Ident:
			params = append(params, parameter{name: arg.Name, required: true})
		case *syntax.UnaryExpr: // **values, which bindArgs leaves to the word
		case *syntax.BinaryExpr:
			name := arg.X.(*syntax.Ident).Name
			params = append(params, parameter{name: name, dflt: plainDefault(arg.Y)})
		default:
			panic(fmt.Sprintf("the argument list of %s: argument %d", w.Name, i+1))
		}
	}
	return params
}

// plainDefault is the value of a literal default, nil for any other.
func plainDefault(e syntax.Expr) starlark.Value {
	switch e := e.(type) {
	case *syntax.Literal:
		switch v := e.Value.(type) {
		case string:
			return starlark.String(v)
		case int64:
			return starlark.MakeInt64(v)
		case float64:
			return starlark.Float(v)
		}
	case *syntax.Ident:
		return starlark.Universe[e.Name]
	}
	return nil
}

// nameIndex is the place of a parameter, or −1.
func (w *word) nameIndex(name string) int {
	for i, p := range w.params() {
		if p.name == name {
			return i
		}
	}
	return -1
}

// paramNames lists the names of the word's parameters in order.
func (w *word) paramNames() []string {
	names := make([]string, len(w.params()))
	for i, p := range w.params() {
		names[i] = p.name
	}
	return names
}

// short is the word without the value it belongs to.
func (w *word) short() string { return w.Name[strings.IndexByte(w.Name, '.')+1:] }

// member finds a method or attribute of a type of value.
func (t *table) member(typ, name string) *word {
	if w := t.byName[typ+"."+name]; w != nil {
		return w
	}
	if w := t.byName["outline."+name]; typ == "path" && w != nil && w.Open {
		return w
	}
	return nil
}

// members lists what a type of value has, in the table's order.
func (t *table) members(typ string) []string {
	var names []string
	for _, w := range t.words {
		if w.Kind == Method || w.Kind == Attribute {
			if name := w.short(); t.member(typ, name) == w {
				names = append(names, name)
			}
		}
	}
	return names
}

// ownerOf is the type of value that has a method or attribute of that name.
func (t *table) ownerOf(name string) string {
	for _, w := range t.words {
		if owner, short, ok := strings.Cut(w.Name, "."); ok && short == name {
			return owner
		}
	}
	return ""
}

// predeclared are the words a file may use without loading them: those of tests, or
// the others.
func (h *host) predeclared(tests bool) starlark.StringDict {
	d := starlark.StringDict{}
	for _, w := range h.table.words {
		if (w.Group == groupTests) != tests {
			continue
		}
		switch w.Kind {
		case Function:
			d[w.Name] = h.bound(w, nil)
		case Constant:
			d[w.Name] = w.value
		}
	}
	return d
}
