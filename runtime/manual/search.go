package manual

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/creasewright/creasewright/runtime/model"
)

//go:embed synonyms.txt
var synonymText string

// synonyms gives, for what people may ask for, the names of the pages that answer.
var synonyms = sync.OnceValue(func() map[string][]string {
	all := map[string][]string{}
	for line := range strings.SplitSeq(synonymText, "\n") {
		asked, names, ok := strings.Cut(line, ":")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		for _, word := range strings.Fields(asked) {
			for _, name := range strings.Fields(names) {
				if !slices.Contains(all[word], name) {
					all[word] = append(all[word], name)
				}
			}
		}
	}
	return all
})

// How well a page answers a word that is asked for. A name beats what the name
// contains, that beats the page's one sentence, that its text; of several pages for
// one synonym the one named first is best.
const (
	byName     = 100
	bySynonym  = 80 // less one for each page named before it
	inName     = 70
	inTitle    = 30
	inBrief    = 20
	inText     = 5
	mostNamed  = 10 // pages whose rank among the synonyms still counts
	shortQuery = 3  // letters from which on a word is found by its beginning
)

// Search lists the pages that answer the words asked for, the best first; pages
// that answer as well stand in the manual's order. All words must be found in a
// page or lead to it; if there is none such, some, but never only a part of a name
// such as web-thin.
func (m *Manual) Search(asked string) []Page {
	words := m.queries(asked)
	if len(words) == 0 {
		return nil
	}
	type hit struct {
		page         Page
		found, score int
	}
	var hits []hit
	most := 1
	if len(strings.Fields(asked)) == 1 {
		most = len(words)
	}
	for _, e := range m.index {
		h := hit{page: e.page}
		for _, w := range words {
			if s := e.answers(w); s > 0 {
				h.found++
				h.score += s
			}
		}
		if h.found > 0 {
			hits = append(hits, h)
			most = max(most, h.found)
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return b.score - a.score })
	var pages []Page
	for _, h := range hits {
		if h.found == most {
			pages = append(pages, h.page)
		}
	}
	return pages
}

// Related names the pages that a synonym leads to, and that answer to another name:
// panel.cut for window.
func Related(asked string) []string {
	var names []string
	for _, name := range synonyms()[strings.ToLower(asked)] {
		if name != asked {
			names = append(names, name)
		}
	}
	return names
}

// Nearest is a name or a word of the synonyms that may have been meant, "" for
// none.
func (m *Manual) Nearest(name string) string {
	var known []string
	for _, p := range m.pages {
		_, member, _ := strings.Cut(p.Name, ".")
		known = append(known, p.Name, member)
	}
	known = append(known, slices.Sorted(func(yield func(string) bool) {
		for word := range synonyms() {
			if !yield(word) {
				return
			}
		}
	})...)
	near, _ := model.Nearest(name, known)
	return near
}

// entry is a page and its words, as they are searched.
type entry struct {
	page               Page
	name               []string
	title, brief, text []string
}

// entryOf takes a page apart.
func entryOf(p Page) entry {
	text := running(p.Text)
	if p.listing {
		text = "" // what it lists answers for itself
	}
	return entry{p, terms(p.Name), terms(p.Title), terms(p.Brief), terms(text)}
}

// running is a page without its scripts, which show more than what it is about.
func running(text string) string {
	var out strings.Builder
	for i, part := range strings.Split(text, "```") {
		if i%2 == 0 {
			out.WriteString(part)
		}
	}
	return out.String()
}

// answers is how well a page answers one word, 0 for not at all.
func (e *entry) answers(word string) int {
	score := 0
	for form := range forms(word) {
		for rank, name := range synonyms()[form] {
			if name == e.page.Name {
				score = max(score, bySynonym-min(rank, mostNamed))
			}
		}
		switch {
		case e.page.Name == form:
			score = byName
		case slices.Contains(e.name, form):
			score = max(score, inName)
		case begins(e.title, form):
			score = max(score, inTitle)
		case begins(e.brief, form):
			score = max(score, inBrief)
		case begins(e.text, form):
			score = max(score, inText)
		}
	}
	return score
}

// forms are a word and what it may be the plural of.
func forms(word string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		if !yield(word) {
			return
		}
		for _, ending := range []string{"s", "es"} {
			if one, ok := strings.CutSuffix(word, ending); ok && len(one) >= shortQuery && !yield(one) {
				return
			}
		}
	}
}

// begins reports whether one of the words is, or from shortQuery letters on begins
// with, what is asked for.
func begins(words []string, asked string) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		return w == asked || len(asked) >= shortQuery && strings.HasPrefix(w, asked)
	})
}

// terms are the words of a text in small letters; what is joined by other signs,
// as in glue-tab-narrow or tuck_end, is several.
func terms(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// queries are the words that are asked for. One that is joined by other signs stays
// whole where it is known, as slit-lock is.
func (m *Manual) queries(asked string) []string {
	var out []string
	for _, word := range strings.Fields(strings.ToLower(asked)) {
		if _, known := synonyms()[word]; known || len(m.Named(word)) > 0 {
			out = append(out, word)
		} else {
			out = append(out, terms(word)...)
		}
	}
	if content := slices.DeleteFunc(slices.Clone(out), func(word string) bool { return slices.Contains(small, word) }); len(content) > 0 {
		return content
	}
	return out
}

// small are words of questions that say nothing of what is asked for.
var small = strings.Fields("a an and are at can do does for from how i in into is it make my of on or the there this to what where which with")
