package main

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
)

// wordsCommand is words: the vocabulary, the pages of a name, or the rules. A name
// is looked for among words and rules and, if it is neither, among arguments.
// Pages go to standard output. A name that is none of these is exit code 2, with
// the nearest word or rule named on standard error. No script is run.
func wordsCommand(c *console) *cobra.Command {
	var rules bool
	cmd := &cobra.Command{
		Use:   "words [NAME]",
		Short: "The words a script may use, with units and an example each, and the rules it is held to",
		Args:  oneName,
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case rules && len(args) == 0:
				c.result([]byte(ruleList(engine.Rules())))
				return nil
			case len(args) == 0:
				c.result([]byte(wordList(engine.Words())))
				return nil
			}
			pages, nearest := pagesNamed(args[0], rules)
			if pages == nil && !rules {
				pages = argumentPages(args[0])
			}
			if pages == nil {
				return noSuchWord(args[0], nearest)
			}
			c.result([]byte(strings.Join(pages, "\n")))
			return nil
		},
	}
	cmd.Flags().BoolVar(&rules, "rules", false, "list the rules of the checks instead of the words")
	return cmd
}

// pagesNamed is what there is to say about a name, as a word and as a rule.
func pagesNamed(name string, rulesOnly bool) (pages []string, nearest string) {
	if !rulesOnly {
		var found []engine.Word
		found, nearest = engine.WordsNamed(name)
		for _, w := range found {
			pages = append(pages, wordPage(w))
		}
	}
	if nearest == "" {
		nearest = nearestRule(name)
	}
	return append(pages, rulePages(name)...), nearest
}

// argumentPages is what there is to say about a name that is an argument's: the
// page of the word that takes it, or a list if there are several.
func argumentPages(name string) []string {
	words := engine.WordsTaking(name)
	switch len(words) {
	case 0:
		return nil
	case 1:
		return []string{fmt.Sprintf("%s is an argument of\n", name), wordPage(words[0])}
	}
	page := fmt.Sprintf("%s is an argument of\n\n", name)
	for _, w := range words {
		page += "  " + w.Signature + "\n"
	}
	return []string{page}
}

// noSuchWord is the error for an unknown name, with the nearest one if any is near.
func noSuchWord(name, nearest string) error {
	text := fmt.Sprintf("there is no word and no rule %q", name)
	if nearest != "" {
		text += fmt.Sprintf("; did you mean %q?", nearest)
	}
	return &exit{code: engine.Broken, err: errors.New(text)}
}

// textWidth is how wide running text is set.
const textWidth = 78

// wordList is the whole vocabulary by group: each word's signature and the
// first sentence about it.
func wordList(words []engine.Word) string {
	var out strings.Builder
	group := ""
	for _, w := range words {
		if w.Group != group {
			if group != "" {
				out.WriteByte('\n')
			}
			group = w.Group
			fmt.Fprintf(&out, "%s\n", group)
		}
		fmt.Fprintf(&out, "  %s\n%s", w.Signature, wrapped(firstSentence(w.Doc), "      "))
	}
	return out.String()
}

// wordPage is all there is to say about one word.
func wordPage(w engine.Word) string {
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n\n%s\n", w.Signature, asParagraphs(w.Doc, "  "))
	fmt.Fprintf(&out, "%s\n  Example:\n\n", wrapped("Units: "+w.Units, "  "))
	for _, line := range strings.Split(strings.Trim(w.Example, "\n"), "\n") {
		out.WriteString(strings.TrimRight("    "+line, " ") + "\n")
	}
	return out.String()
}

// asParagraphs sets a paragraph, and each line of a list after it on lines of its own.
func asParagraphs(text, indent string) string {
	var out strings.Builder
	for _, line := range strings.Split(text, "\n") {
		set := wrapped(line, indent)
		if strings.HasPrefix(line, "- ") {
			set = indent + wrapped(line, indent+"  ")[len(indent)+2:]
		}
		out.WriteString(set)
	}
	return out.String()
}

// firstSentence ends at the first full stop that ends a sentence.
func firstSentence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if i := strings.Index(text, ". "); i >= 0 {
		return text[:i+1]
	}
	return text
}

// wrapped sets text in lines of textWidth, each behind the indent.
// Width is counted in code points. A word longer than a line stands on one of its
// own, too wide.
func wrapped(text, indent string) string {
	var out strings.Builder
	line := indent
	for _, w := range strings.Fields(text) {
		if utf8.RuneCountInString(line+w) > textWidth && line != indent {
			out.WriteString(strings.TrimRight(line, " ") + "\n")
			line = indent
		}
		line += w + " "
	}
	out.WriteString(strings.TrimRight(line, " ") + "\n")
	return out.String()
}
