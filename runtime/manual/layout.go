package manual

import (
	"strings"
	"unicode/utf8"
)

// Width is how wide running text is set, in characters.
const Width = 78

// bodyIndent stands before all of a page but its title and headings; scripts stand
// twice as far in.
const bodyIndent = "  "

// Layout sets a page for a terminal. It knows what pages are made of: a title,
// headings, paragraphs, lists of one level and fenced scripts; other Markdown
// stays as it is. What a rule finds in a failing script is told below it.
func Layout(text string) string {
	l := &layout{}
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		l.line(line)
	}
	l.flush()
	return l.out.String()
}

// layout is a page being set.
type layout struct {
	out   strings.Builder
	block string   // the paragraph or item being gathered
	code  bool     // within a fence
	found []string // marks of the script that was last set
	item  bool     // the block is an item of a list
	after bool     // what stood last is an item
}

// line takes the next line of a page.
func (l *layout) line(line string) {
	switch {
	case strings.HasPrefix(line, "```"):
		l.fence()
	case l.code:
		l.script(line)
	case line == "":
		l.flush()
	case strings.HasPrefix(line, "#"):
		l.flush()
		l.begin(Hanging(strings.TrimLeft(line, "# "), "", "    "), false)
	case strings.HasPrefix(line, "- "):
		l.flush()
		l.item, l.block = true, line
	default:
		if l.block != "" {
			l.block += " "
		}
		l.block += line
	}
}

// begin puts set text down, with a blank line before it unless it goes on a list.
func (l *layout) begin(set string, item bool) {
	if l.out.Len() > 0 && !(item && l.after) {
		l.out.WriteString("\n")
	}
	l.out.WriteString(set)
	l.after = item
}

// flush ends the paragraph or item.
func (l *layout) flush() {
	text := l.block
	if text == "" {
		return
	}
	if label, rest, ok := strings.Cut(strings.TrimPrefix(text, "**"), "**"); ok && strings.HasPrefix(text, "**") {
		text = strings.TrimSuffix(label, ".") + ":" + rest
	} else if kind, title, ok := lead(text); ok {
		text = kind + ": " + title
	}
	hang := bodyIndent
	if l.item {
		hang += "  "
	}
	l.begin(Hanging(text, bodyIndent, hang), l.item)
	l.block, l.item = "", false
}

// fence begins a script or ends one.
func (l *layout) fence() {
	l.flush()
	l.code = !l.code
	if l.code {
		l.begin("", false)
		return
	}
	for _, what := range l.found {
		l.begin(Hanging("Found: "+what, bodyIndent, bodyIndent), false)
	}
	l.found = nil
}

// script sets one line of a script. What a rule's page expects to be found there,
// "#! rule: message #? hint", is kept for below.
func (l *layout) script(line string) {
	line, mark, marked := strings.Cut(line, "  #! ")
	if marked {
		l.found = append(l.found, strings.Replace(mark, " #? ", "; ", 1))
	}
	l.out.WriteString(strings.TrimRight(bodyIndent+bodyIndent+line, " ") + "\n")
}

// lead takes the line under a page's title apart, which says how much a rule weighs
// or that this is a page: "*warning*: a flap sticks out".
func lead(text string) (kind, title string, ok bool) {
	kind, title, ok = strings.Cut(strings.TrimPrefix(text, "*"), "*: ")
	return kind, title, ok && strings.HasPrefix(text, "*") && !strings.Contains(kind, " ")
}

// Wrapped sets text in lines of Width, each behind the indent. Width is counted in
// code points. A word longer than a line stands on one of its own, too wide.
func Wrapped(text, indent string) string { return Hanging(text, indent, indent) }

// Hanging is Wrapped with another indent from the second line on.
func Hanging(text, indent, hang string) string {
	var out strings.Builder
	line, begun := indent, false
	for _, w := range strings.Fields(text) {
		if begun && utf8.RuneCountInString(line+w) > Width {
			out.WriteString(strings.TrimRight(line, " ") + "\n")
			line = hang
		}
		line += w + " "
		begun = true
	}
	out.WriteString(strings.TrimRight(line, " ") + "\n")
	return out.String()
}
