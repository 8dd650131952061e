package manual

import (
	"fmt"
	"strings"

	"go.starlark.net/syntax"
)

// ModulePages are the pages of a file of functions: one for the file, and one for
// each function that others may load, in the file's order. The text is that of the
// label, "//tubes.star"; it is parsed and not run.
func ModulePages(label string, text []byte) ([]Page, error) {
	file, err := dialect.Parse(label, text, 0)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", label, err)
	}
	module := Page{Name: label, Kind: Module, Group: label, Title: label}
	doc := docstring(file.Stmts)
	module.Brief = FirstSentence(doc)
	var out strings.Builder
	fmt.Fprintf(&out, "# %s\n\n%s\n\n", label, doc)
	pages := []Page{module}
	lines := strings.Split(string(text), "\n")
	for _, stmt := range file.Stmts {
		def, ok := stmt.(*syntax.DefStmt)
		if !ok || strings.HasPrefix(def.Name.Name, "_") {
			continue
		}
		p := functionPage(label, def, lines)
		fmt.Fprintf(&out, "- `%s`: %s\n", p.Title, p.Brief)
		pages = append(pages, p)
	}
	pages[0].Text = out.String()
	return pages, nil
}

// dialect is how modules are written; it is that of package script.
var dialect = &syntax.FileOptions{Set: true, TopLevelControl: true, GlobalReassign: true}

// functionPage is the page of one function of a module.
func functionPage(label string, def *syntax.DefStmt, lines []string) Page {
	name := def.Name.Name
	title := name + "(" + parameters(def.Params, lines) + ")"
	doc := docstring(def.Body)
	var out strings.Builder
	fmt.Fprintf(&out, "# %s\n\n", title)
	example := writeDoc(&out, doc)
	fmt.Fprintf(&out, "**To use it**\n\n```text\nload(%q, %q)\n```\n\n", label, name)
	script := ""
	if example != "" {
		writeExample(&out, example)
		script = example + "\n"
	}
	return Page{Name: name, Kind: Function, Group: label, Title: title, Brief: FirstSentence(doc), Text: out.String(), Script: script,
		Structure: strings.Contains(doc, "\nReturns:\n  root")}
}

// writeDoc adds a docstring to a page, its sections headed like those of other
// pages, and gives the script of its example, "" without one.
func writeDoc(out *strings.Builder, doc string) (example string) {
	section := ""
	for block := range strings.SplitSeq(doc, "\n") {
		switch {
		case block == "Args:" || block == "Returns:" || block == "Example:":
			section = strings.TrimSuffix(block, ":")
			if section == "Args" {
				out.WriteString("**Arguments**\n\n")
			}
		case section == "Example":
			example += strings.TrimPrefix(block, "  ") + "\n"
		case section == "Returns" && block != "":
			if !strings.HasSuffix(out.String(), "\n\n") {
				out.WriteString(block + "\n")
			} else {
				out.WriteString("**Gives.** " + strings.TrimSpace(block) + "\n")
			}
		case section == "Args" && strings.HasPrefix(block, "  ") && !strings.HasPrefix(block, "   "):
			name, what, _ := strings.Cut(strings.TrimSpace(block), ": ")
			fmt.Fprintf(out, "- `%s`: %s\n", name, what)
		default:
			out.WriteString(block + "\n")
		}
	}
	if !strings.HasSuffix(out.String(), "\n\n") {
		out.WriteString("\n")
	}
	return strings.Trim(example, "\n")
}

// parameters is what a function takes, as the file has it but in one line and with
// defaults set as in the signatures of words.
func parameters(params []syntax.Expr, lines []string) string {
	var out []string
	for _, p := range params {
		from, to := p.Span()
		text := strings.Join(strings.Fields(between(lines, from, to)), " ")
		out = append(out, strings.Replace(text, " = ", "=", 1))
	}
	return strings.Join(out, ", ")
}

// between is the text from one place of a file to another. Columns count code
// points from 1.
func between(lines []string, from, to syntax.Position) string {
	var out strings.Builder
	for n := from.Line; n <= to.Line && int(n) <= len(lines); n++ {
		line := []rune(lines[n-1])
		end := len(line)
		if n == to.Line {
			end = min(end, int(to.Col)-1)
		}
		start := 0
		if n == from.Line {
			start = min(end, int(from.Col)-1)
		}
		out.WriteString(string(line[start:end]) + " ")
	}
	return out.String()
}

// docstring is the text that a file or function opens with, its indent taken away.
func docstring(body []syntax.Stmt) string {
	if len(body) == 0 {
		return ""
	}
	expr, ok := body[0].(*syntax.ExprStmt)
	if !ok {
		return ""
	}
	lit, ok := expr.X.(*syntax.Literal)
	if !ok || lit.Token != syntax.STRING {
		return ""
	}
	lines := strings.Split(strings.TrimSpace(lit.Value.(string)), "\n")
	common := -1
	for _, line := range lines[1:] {
		if text := strings.TrimLeft(line, " "); text != "" && (common < 0 || len(line)-len(text) < common) {
			common = len(line) - len(text)
		}
	}
	for i, line := range lines[1:] {
		lines[i+1] = strings.TrimRight(line[min(max(common, 0), len(line)):], " ")
	}
	return strings.Join(lines, "\n")
}
