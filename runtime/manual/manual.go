// Package manual is what the program says of itself when it is asked: the words of
// the script language, the rules of the checks, the functions of the standard
// library and of other modules, and pages on what belongs to no single word. All
// of these are pages of one shape, and can be searched. It is for Go users that
// show the manual elsewhere than in a terminal; Page is stable, the texts are not.
//
// # Where the texts come from
//
// A page about a word is made from the table that the word is registered from, one
// about a rule is the rule's own, one about a library function is made from its
// docstring. Only the pages in pages/ are written for this package.
package manual

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/stdlib"
)

// Kind says what a page is about.
type Kind string

// The kinds of pages.
const (
	Topic    Kind = "page"
	Word     Kind = "word"
	Rule     Kind = "rule"
	Module   Kind = "module"
	Function Kind = "function" // of a module
)

// Page is one page of the manual.
type Page struct {
	Name  string // by which it is asked for: "flap", "outline.round", "web-thin", "//tubes.star"
	Kind  Kind
	Group string // the heading it stands under in lists
	Title string // how the word is written, or the name
	Brief string // one sentence
	Text  string // the whole page in Markdown, headed by the title
	// Script is the example of a library function, which runs as it stands; "" for
	// other pages.
	Script string
	// Structure marks a function that makes a whole piece: it gives a root first.
	Structure bool

	listing bool // it lists other pages and says nothing else
}

// String is the page set for a terminal.
func (p Page) String() string { return Layout(p.Text) }

//go:embed pages/*.md
var files embed.FS

// topics are the pages of pages/, in the order in which they are best read.
var topics = []string{"language", "lines", "edges", "poses", "files", "machines", "compensation", "print", "layout", "job", "page", "limits", "cautions", "shelf", "tests"}

// Manual is a set of pages that can be asked.
type Manual struct {
	pages []Page
	index []entry // of the same pages
}

// New is the manual of the program, and further pages behind it: those of modules
// that are not part of the program.
func New(further ...Page) *Manual {
	m := &Manual{pages: slices.Concat(pages(), further)}
	for _, p := range m.pages {
		m.index = append(m.index, entryOf(p))
	}
	return m
}

// Pages lists the manual in the order in which it is best read: topics, words, the
// library, the rules, and what was added to them.
func (m *Manual) Pages() []Page { return slices.Clone(m.pages) }

// pages are those of the program.
var pages = sync.OnceValue(func() []Page {
	var all, library []Page
	for _, label := range stdlib.Labels() {
		text, _ := stdlib.Text(label)
		module, err := ModulePages(label, text)
		if err != nil {
			panic(fmt.Sprintf("module %s: %v", label, err)) // part of the program; a test reads it
		}
		library = append(library, module...)
	}
	for _, name := range topics {
		all = append(all, topicPage(name))
	}
	all = append(all, listPage("library", "the functions of the standard library, module by module", library))
	rules := rulePages()
	all = append(all, listPage("rules", "what the checks look at", rules))
	for _, w := range engine.Words() {
		all = append(all, wordPage(w))
	}
	return slices.Concat(all, library, rules)
})

// topicPage is one page of pages/.
func topicPage(name string) Page {
	text, err := files.ReadFile("pages/" + name + ".md")
	if err != nil {
		panic(err) // part of the program
	}
	p := Page{Name: name, Kind: Topic, Group: "Pages", Title: name, Text: string(text)}
	_, below, _ := strings.Cut(p.Text, "\n\n")
	first, _, _ := strings.Cut(below, "\n")
	_, p.Brief, _ = lead(first)
	if name == "limits" {
		p.Text += "\n" + runLimits()
	}
	return p
}

// runLimits lists the limits of a run with their defaults.
func runLimits() string {
	var out strings.Builder
	standard := limit.Defaults()
	for _, l := range limit.Limits() {
		fmt.Fprintf(&out, "- `%s`: %s, %s\n", l, l.Doc(), standard.Amount(l))
	}
	return out.String()
}

// listPage is a topic that lists other pages.
func listPage(name, brief string, pages []Page) Page {
	var out strings.Builder
	fmt.Fprintf(&out, "# %s\n\n*page*: %s\n", name, brief)
	for _, p := range pages {
		if p.Kind == Module {
			fmt.Fprintf(&out, "\n## %s\n\n%s\n\n", p.Name, p.Brief)
			continue
		}
		if p.Kind == Rule && p.Name == pages[0].Name {
			out.WriteString("\n")
		}
		fmt.Fprintf(&out, "- `%s`: %s\n", p.Name, p.Brief)
	}
	return Page{Name: name, Kind: Topic, Group: "Pages", Title: name, Brief: brief, Text: out.String(), listing: true}
}

// wordPage is the page of a word.
func wordPage(w engine.Word) Page {
	var out strings.Builder
	fmt.Fprintf(&out, "# %s\n\n%s\n\n", w.Signature, w.Doc)
	if owner, _, member := strings.Cut(w.Name, "."); member {
		fmt.Fprintf(&out, "Written after %s of yours and a dot: `%s` stands for it here.\n\n", aOrAn(owner), owner)
	}
	if len(w.Keywords) > 0 && strings.HasPrefix(w.Signature, w.Name+"("+w.Keywords[0]) {
		out.WriteString("**By name only.** All of them.\n\n")
	} else if len(w.Keywords) > 0 {
		fmt.Fprintf(&out, "**By name only.** %s.\n\n", strings.Join(w.Keywords, ", "))
	}
	fmt.Fprintf(&out, "**Units.** %s.\n\n", w.Units)
	writeExample(&out, w.Example)
	return Page{Name: w.Name, Kind: Word, Group: w.Group, Title: w.Signature, Brief: FirstSentence(w.Doc), Text: out.String()}
}

// writeExample adds a script to a page.
func writeExample(out *strings.Builder, script string) {
	fmt.Fprintf(out, "**Example**\n\n```starlark\n%s\n```\n", strings.Trim(script, "\n"))
}

// rulePages are the pages of the rules.
func rulePages() []Page {
	var pages []Page
	for _, r := range engine.Rules() {
		brief := fmt.Sprintf("%s (%s)", r.Title, r.Severity)
		pages = append(pages, Page{Name: r.ID, Kind: Rule, Group: "Rules", Title: r.ID, Brief: brief, Text: r.Page()})
	}
	return pages
}

// Structures are the functions that make a whole piece and show how in an example.
func (m *Manual) Structures() []Page {
	return slices.DeleteFunc(m.Pages(), func(p Page) bool { return !p.Structure || p.Script == "" })
}

// Named lists the pages of a name: those of just that name, else those that belong
// to a value and end in it, as "round" finds "outline.round".
func (m *Manual) Named(name string) []Page {
	var exact, short []Page
	for _, p := range m.pages {
		_, member, _ := strings.Cut(p.Name, ".")
		switch {
		case p.Name == name:
			exact = append(exact, p)
		case p.Kind == Word && member == name:
			short = append(short, p)
		}
	}
	if exact != nil {
		return exact
	}
	return short
}

// FirstSentence ends at the first full stop that ends a sentence.
func FirstSentence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if i := strings.Index(text, ". "); i >= 0 {
		return text[:i+1]
	}
	return text
}

// aOrAn puts the article before a noun.
func aOrAn(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}
