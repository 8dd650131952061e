package engine

import (
	"regexp"

	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/script"
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
