package script

import (
	"strings"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// To the parser a tab is 8 columns wide at the left margin and one less for each
// blank before it, whatever an editor shows, so that a line may belong to another
// block than the one it seems to stand in. A text is held to one kind of blank
// within each outermost block.

// mixedIndent is the fault of the first line whose indent mixes tabs and spaces, or
// has the other kind of blank than the lines above it in the same outermost block;
// nil when there is none. parsed is what the parser said of the text: a fault
// further up goes before it.
func (h *host) mixedIndent(label, text string, parsed error) *diag.Finding {
	if !strings.Contains(text, "\t") {
		return nil
	}
	lines := strings.Split(text, "\n")
	blanks := "" // those of the block: spaces or tabs
	depth, fresh := 0, true
	for _, t := range h.tokensOf(label) {
		switch {
		case t.kind == newlineToken:
			fresh = depth == 0
			continue
		case t.kind == openToken:
			depth++
		case t.kind == closeToken:
			depth = max(0, depth-1)
		}
		if !fresh {
			continue
		}
		fresh = false
		indent := lines[t.start.line-1][:t.start.column-1]
		if indent == "" {
			blanks = ""
			continue
		}
		tabs, spaces := strings.Contains(indent, "\t"), strings.Contains(indent, " ")
		if (tabs && spaces || blanks != "" && blanks != indent[:1]) && !faultBefore(parsed, t.start.line) {
			return indentFault(label, indent, t, parsed == nil)
		}
		blanks = indent[:1]
	}
	return nil
}

// faultBefore reports whether the parser stumbled above a line.
func faultBefore(parsed error, line int32) bool {
	fault, ok := parsed.(syntax.Error)
	return parsed != nil && (!ok || fault.Pos.Line < line)
}

// indentFault tells of the indent before a token, t, and whether the formatter, which
// needs a text that can be read, can put it right.
func indentFault(label, indent string, t token, readable bool) *diag.Finding {
	said := "the indent of this line mixes tabs and spaces"
	switch {
	case !strings.Contains(indent, "\t"):
		said = "this line is indented with spaces, and the lines above it with tabs"
	case !strings.Contains(indent, " "):
		said = "this line is indented with tabs, and the lines above it with spaces"
	}
	site := source.Site{{File: label, Line: int(t.start.line), Column: 1, EndLine: int(t.start.line), EndColumn: int(t.start.column)}}
	hint := "indent with spaces alone, four to a block"
	if readable && rootOf(label) == "" {
		hint += "; creasewright fmt " + label + " does it, with a tab taken for 8 spaces: look whether each line is in its block"
	}
	return diag.Scriptf(site, "%s", said).WithHint("%s", hint)
}
