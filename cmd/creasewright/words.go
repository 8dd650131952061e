package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/manual"
)

// wordsCommand is words: the manual. A name gives its pages; one that no page has is
// looked for among arguments and then searched for in all texts, and so are several
// words. Pages go to standard output. What nothing is found for is exit code 2, with
// the nearest name told on standard error. No script is run.
func wordsCommand(c *console) *cobra.Command {
	var rules, search bool
	var flags scriptFlags
	asking := func() reader {
		shelf := flags.shelfFolder()
		return reader{Manual: manual.New(shelfPages(shelf)...), shelf: shelf, rules: rules}
	}
	cmd := &cobra.Command{
		Use:   "words [NAME | MODULE [FUNCTION] | SEARCH…]",
		Short: "The manual: every word, rule and library function, with an example each, and a search",
		Long: `Without a name, lists all pages, words and library functions. With a name, prints its
page; a name that has none is searched for, and so are several words. A file of
functions is named as a script loads it: //tubes.star, @shelf//mine.star, mine.star.`,
		Example: `  creasewright words flap
  creasewright words language
  creasewright words crease
  creasewright words --search score
  creasewright words //closures.star tuck_end`,
		Args:              cobra.ArbitraryArgs,
		ValidArgsFunction: completeWords(asking),
		RunE: func(_ *cobra.Command, args []string) error {
			text, err := asking().answer(args, search)
			c.result([]byte(text))
			return err
		},
	}
	cmd.Flags().BoolVar(&rules, "rules", false, "list the rules of the checks, or look among them alone")
	cmd.Flags().BoolVar(&search, "search", false, "search all texts, also for what is the name of a page")
	flags.addShelf(cmd)
	return cmd
}

// reader is who asks the manual.
type reader struct {
	*manual.Manual
	shelf string // the folder of the user's modules
	rules bool   // only rules are asked for
}

// answer is what the manual says to the arguments.
func (r reader) answer(args []string, search bool) (string, error) {
	asked := strings.Join(args, " ")
	switch {
	case len(args) == 0:
		return r.list(), nil
	case strings.HasSuffix(args[0], ".star") && len(args) <= 2:
		return r.module(args)
	case search || len(args) > 1:
		return r.searched(asked, "")
	}
	pages := r.ofRules(r.Named(asked))
	if len(pages) == 0 {
		return r.searched(asked, r.argument(asked))
	}
	return joined(pages) + seeAlso(asked, pages), nil
}

// seeAlso names further pages on what is asked for, "" for none.
func seeAlso(asked string, pages []manual.Page) string {
	more := slices.DeleteFunc(manual.Related(asked), func(name string) bool {
		return slices.ContainsFunc(pages, func(p manual.Page) bool { return p.Name == name })
	})
	if len(more) == 0 {
		return ""
	}
	return "\n" + manual.Wrapped("See also: "+strings.Join(more, ", "), "  ")
}

// ofRules are the pages of rules among others, if only they are asked for.
func (r reader) ofRules(pages []manual.Page) []manual.Page {
	if !r.rules {
		return pages
	}
	var rules []manual.Page
	for _, p := range pages {
		if p.Kind == manual.Rule {
			rules = append(rules, p)
		}
	}
	return rules
}

// joined sets pages one after the other.
func joined(pages []manual.Page) string {
	texts := make([]string, len(pages))
	for i, p := range pages {
		texts[i] = p.String()
	}
	return strings.Join(texts, "\n")
}

// mostFound is how many pages a search lists before it counts the rest.
const mostFound = 12

// searched lists the pages that answer what is asked for, below what is known about
// it already; those that it names are left out.
func (r reader) searched(asked, known string) (string, error) {
	pages := r.ofRules(r.Search(asked))
	if len(pages) == 0 && known == "" {
		return "", r.notFound(asked)
	}
	var out strings.Builder
	out.WriteString(known)
	if len(pages) == 0 {
		return known, nil
	}
	if known != "" {
		out.WriteString("\n")
	}
	fmt.Fprintf(&out, "About %s\n", asked)
	for i, p := range pages {
		if i == mostFound {
			fmt.Fprintf(&out, "and %d more, less near\n", len(pages)-i)
			break
		}
		out.WriteString(entry(p))
	}
	out.WriteString("\ncreasewright words NAME prints the page of one.\n")
	return out.String(), nil
}

// entry is a page as a search lists it: its name and a sentence on it.
func entry(p manual.Page) string {
	name := p.Name
	if p.Kind == manual.Function {
		name += ", " + p.Group
	}
	return "  " + name + "\n" + manual.Wrapped(p.Brief, "      ")
}

// argument is what there is to say about a name that is an argument's: the
// page of the word that takes it, or a list if there are several.
func (r reader) argument(name string) string {
	words := engine.WordsTaking(name)
	if r.rules || len(words) == 0 {
		return ""
	}
	out := fmt.Sprintf("%s is an argument of\n", name)
	if len(words) == 1 {
		return out + "\n" + joined(r.Named(words[0].Name))
	}
	for _, w := range words {
		out += manual.Hanging(w.Signature, "  ", "          ")
	}
	return out
}

// notFound is the error for what nothing is found for, with the nearest name if any
// is near.
func (r reader) notFound(asked string) error {
	text := fmt.Sprintf("the manual has nothing about %q", asked)
	if near := r.Nearest(asked); near != "" {
		text += fmt.Sprintf("; did you mean %q?", near)
	}
	return &exit{code: engine.Broken, err: errors.New(text)}
}

// list is the manual by group, each page's title and a sentence: all but the rules,
// or the rules alone.
func (r reader) list() string {
	var out strings.Builder
	out.WriteString("creasewright words NAME prints the page of any of these; any other word is searched for.\n")
	group := ""
	for _, p := range r.Pages() {
		if (p.Kind == manual.Rule) != r.rules || p.Kind == manual.Module {
			continue
		}
		if p.Group != group {
			group = p.Group
			fmt.Fprintf(&out, "\n%s\n", group)
		}
		out.WriteString(manual.Hanging(p.Title, "  ", "          ") + manual.Wrapped(p.Brief, "      "))
	}
	return out.String()
}

// module is the page of a module, or of one function in it.
func (r reader) module(args []string) (string, error) {
	label := args[0]
	from := r.Manual
	if len(from.Named(label)) == 0 {
		text, err := moduleText(label, r.shelf)
		if err != nil {
			return "", &exit{code: engine.Broken, err: err}
		}
		pages, err := manual.ModulePages(label, text)
		if err != nil {
			return "", &exit{code: engine.Broken, err: err}
		}
		from = manual.New(pages...)
	}
	if len(args) == 1 {
		return joined(from.Named(label)), nil
	}
	for _, p := range from.Named(args[1]) {
		if p.Kind == manual.Function && p.Group == label {
			return p.String(), nil
		}
	}
	return "", &exit{code: engine.Broken, err: fmt.Errorf("%s has no function %q", label, args[1])}
}

// shelfPages are the pages of the modules on the shelf, in order of name. What cannot
// be read is left out: who asks for it by its name is told why.
func shelfPages(shelf string) []manual.Page {
	var all []manual.Page
	_ = walkScripts(shelf, designs, func(path string) {
		name, err := filepath.Rel(shelf, path)
		if err != nil {
			return
		}
		label := shelfLabel + filepath.ToSlash(name)
		if text, err := moduleText(label, shelf); err == nil {
			if pages, err := manual.ModulePages(label, text); err == nil {
				all = append(all, pages...)
			}
		}
	})
	return all
}

// shelfLabel opens the label of a module on the shelf.
const shelfLabel = "@shelf//"

// largestModule is how much of a module is read, in bytes; runs read no more.
const largestModule = 256 << 10

// moduleText is the text of a module on the shelf or beside where the command runs.
func moduleText(label, shelf string) ([]byte, error) {
	if strings.HasPrefix(label, "//") {
		return nil, fmt.Errorf("the standard library has no file %q", label[2:])
	}
	path := label
	if name, ok := strings.CutPrefix(label, shelfLabel); ok {
		if !filepath.IsLocal(name) {
			return nil, fmt.Errorf("%q leads out of the shelf", label)
		}
		path = filepath.Join(shelf, name)
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, noFile(path)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", path, cause(err))
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, largestModule))
}
