package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// manCommand is man: the manual page on standard output, made from the commands as
// their help is, so that it cannot fall behind.
func manCommand(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "man",
		Short: "The manual page of these commands, for man",
		Long: "Gives the manual page, in the format that man reads:\n\n" +
			"  creasewright man > ~/.local/share/man/man1/creasewright.1",
		Args:                  cobra.NoArgs,
		DisableFlagsInUseLine: true,
		Run:                   func(cmd *cobra.Command, _ []string) { c.result([]byte(manPage(cmd.Root()))) },
	}
}

// manPage is the whole tree of commands as one page of section 1, in the macros of
// man(7). It holds no date: the same program gives the same page.
func manPage(root *cobra.Command) string {
	var p roff
	version := strings.Fields(root.Version)
	fmt.Fprintf(&p, ".TH CREASEWRIGHT 1 \"\" %s \"\"\n", quoted(strings.Join(version[:min(2, len(version))], " ")))
	p.section("NAME")
	p.line(root.Name() + ` \- ` + escaped(lowerFirst(root.Short)))
	p.section("SYNOPSIS")
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() {
			fmt.Fprintf(&p, ".B %s\n.br\n", escaped(cmd.UseLine()))
		}
	}
	p.section("DESCRIPTION")
	p.text(root.Long)
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() {
			p.command(cmd)
		}
	}
	p.section("ENVIRONMENT")
	p.item("NO_COLOR", "When it holds anything, messages have no colour.")
	p.item("TERM", "When it is \"dumb\", messages have no colour.")
	p.section("SEE ALSO")
	p.text("\"creasewright words\" explains the words that a script may use and the rules it is held to.")
	return p.String()
}

// roff is a manual page as it is written.
type roff struct{ strings.Builder }

func (p *roff) line(text string)    { p.WriteString(text + "\n") }
func (p *roff) section(name string) { p.line(".SH " + quoted(name)) }

// item is a term with what there is to say of it.
func (p *roff) item(term, text string) {
	fmt.Fprintf(p, ".TP\n.B %s\n%s\n", escaped(term), escaped(text))
}

// text sets a help text: paragraphs are filled, and lines that begin with blanks stay
// as they stand.
func (p *roff) text(text string) {
	for i, part := range strings.Split(strings.Trim(text, "\n"), "\n\n") {
		if i > 0 {
			p.line(".PP")
		}
		literal := strings.HasPrefix(part, " ")
		if literal {
			p.line(".nf")
		}
		for _, l := range strings.Split(part, "\n") {
			p.line(escaped(l))
		}
		if literal {
			p.line(".fi")
		}
	}
}

// command is a section of its own: what it does, its options, examples.
func (p *roff) command(cmd *cobra.Command) {
	p.section(strings.ToUpper(cmd.Name()))
	p.line(".B " + escaped(cmd.UseLine()))
	p.line(".PP")
	about := cmd.Long
	if about == "" {
		about = cmd.Short + "."
	}
	p.text(about)
	if usages := flagUsages(cmd); len(usages) > 0 {
		p.line(".SS Options")
		for _, u := range usages {
			p.item(u[0], u[1])
		}
	}
	if cmd.Example != "" {
		p.line(".SS Examples")
		p.text(cmd.Example)
	}
}

// flagUsages is each option of a command with what it does, as the help has them,
// but for --help.
func flagUsages(cmd *cobra.Command) (out [][2]string) {
	for _, l := range strings.Split(strings.TrimRight(cmd.LocalFlags().FlagUsages(), "\n"), "\n") {
		l = strings.TrimSpace(l)
		name, about, ok := strings.Cut(l, "   ")
		if ok && !strings.Contains(name, "--help") {
			out = append(out, [2]string{name, strings.TrimSpace(about)})
		}
	}
	return out
}

// escaped is text that roff shows as it is: backslashes and hyphens are meant, other
// characters than ASCII have their code points, and a line that begins with a control
// character is no request.
func escaped(text string) string {
	var out strings.Builder
	for _, r := range strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text) {
		if r < utf8.RuneSelf {
			out.WriteRune(r)
		} else {
			fmt.Fprintf(&out, `\[u%04X]`, r)
		}
	}
	text = out.String()
	if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
		text = `\&` + text
	}
	return text
}

// quoted is text as one argument of a macro.
func quoted(text string) string {
	return `"` + strings.ReplaceAll(escaped(text), `"`, `\(dq`) + `"`
}

// lowerFirst is text that goes on in a line.
func lowerFirst(text string) string { return strings.ToLower(text[:1]) + text[1:] }
