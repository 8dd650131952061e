// Package format puts scripts into the one style that the project's own are
// written in: four spaces a block, spaces round the equals sign of an argument,
// two blank lines nowhere, a call that goes over several lines with one argument
// on each. It changes how a script looks and nothing else: names, values, comments
// and their order stay, and what would not stay is refused.
//
// The printing is done by the formatter library of the language,
// github.com/bazelbuild/buildtools. Its rewritings, which sort loads and lists, are
// left out, but for the one that indents docstrings.
//
// The package is not stable yet.
package format

import (
	"bytes"
	"slices"
	"strings"

	"github.com/bazelbuild/buildtools/build"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/source"
)

// MaxText is the largest script that is formatted, in bytes.
const MaxText = script.MaxText

// Text gives the script of that name in the one style. Findings say why a text
// that is no script has none; a text that is in style already is given as it is.
func Text(name string, text []byte) (formatted []byte, findings []*diag.Finding) {
	before, findings := parsed(name, text)
	if findings != nil {
		return nil, findings
	}
	file, err := build.ParseDefault(name, withoutTabs(plain(text), before))
	if err != nil {
		site := source.Site{{File: name}}
		if p, ok := err.(build.ParseError); ok {
			at := source.Span{File: name, Line: p.Pos.Line, Column: p.Pos.LineRune, EndLine: p.Pos.Line, EndColumn: p.Pos.LineRune + 1}
			site = source.Site{at}
		}
		return nil, refused(site)
	}
	out := build.FormatWithRewriter(&build.Rewriter{RewriteSet: []string{"formatdocstrings"}}, file)
	if after, faults := parsed(name, out); faults != nil || !slices.Equal(meaning(before), meaning(after)) {
		return nil, refused(source.Site{{File: name}})
	}
	return out, nil
}

// refused is the fault of a script that runs and cannot be put into style.
func refused(site source.Site) []*diag.Finding {
	f := diag.Scriptf(site, "this is written in a way that the formatter does not know").
		WithHint("nothing is changed")
	return []*diag.Finding{f}
}

// parsed is the tree of a text, with its comments.
func parsed(name string, text []byte) (*syntax.File, []*diag.Finding) {
	return script.Parse(source.NewStore(func(string) ([]byte, error) { return text, nil }), name)
}

// plain is the text as the parser of the language reads it: without its byte-order
// mark, and every line ended by a line feed.
func plain(text []byte) []byte {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}

// tab is how far apart tab stops are for the parser of the language.
const tab = 8

// withoutTabs is the text indented by spaces, which is all that the formatter
// reads. Lines that begin within a text in quotes are left alone.
func withoutTabs(text []byte, file *syntax.File) []byte {
	within := map[int]bool{} // lines, counted from 1
	syntax.Walk(file, func(n syntax.Node) bool {
		if l, ok := n.(*syntax.Literal); ok {
			for i := range strings.Count(l.Raw, "\n") {
				within[int(l.TokenPos.Line)+1+i] = true
			}
		}
		return true
	})
	lines := strings.Split(string(text), "\n")
	for i, line := range lines {
		rest := strings.TrimLeft(line, " \t")
		indent := line[:len(line)-len(rest)]
		if !within[i+1] && strings.Contains(indent, "\t") {
			lines[i] = strings.Repeat(" ", width(indent)) + rest
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// width is how many columns blanks take up.
func width(blanks string) int {
	n := 0
	for _, c := range blanks {
		if n++; c == '\t' {
			n = (n + tab - 1) / tab * tab
		}
	}
	return n
}
