package engine

import (
	"regexp"
	"strings"

	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
)

// Word is one entry of the vocabulary.
type Word = script.Word

// Rule is one thing that a design is held to.
type Rule = check.Rule

// Rules lists every rule in the order in which they are looked at.
func Rules() []*Rule { return check.Rules() }

// RuleNamed finds a rule by its id.
func RuleNamed(id string) (r *Rule, ok bool) { return check.RuleNamed(id) }

// Words lists the vocabulary in the order in which it is best read.
func Words() []Word { return script.Words() }

// WordsNamed lists the words of a name: the one of just that name, or all that
// belong to a value and end in it, as "round" finds "outline.round". When there
// is none, nearest is a name that may have been meant, or "".
func WordsNamed(name string) (found []Word, nearest string) {
	var names []string
	for _, w := range Words() {
		if w.Name == name {
			return []Word{w}, ""
		}
		if short := afterDot(w.Name); short == name {
			found = append(found, w)
		} else {
			names = append(names, w.Name, short)
		}
	}
	if found == nil {
		nearest, _ = model.Nearest(name, names)
	}
	return found, nearest
}

// WordsTaking lists the words that have an argument of that name.
func WordsTaking(argument string) (found []Word) {
	in := regexp.MustCompile(`[(, ]` + regexp.QuoteMeta(argument) + `[=,)]`)
	for _, w := range Words() {
		if argument != "" && in.MatchString(w.Signature) {
			found = append(found, w)
		}
	}
	return found
}

// afterDot is a name without the value it belongs to.
func afterDot(name string) string { return name[strings.IndexByte(name, '.')+1:] }
