package main

import (
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

func TestWordsListsTheRules(t *testing.T) {
	got := cli("words", "--rules")
	got.wants(t, engine.Clean, "web-thin (warning)\n")
	for _, r := range engine.Rules() {
		if !strings.Contains("\n"+got.out, "\n"+r.ID+" (") {
			t.Errorf("%s is not listed", r.ID)
		}
	}
	fits(t, got.out)
}

func TestWordsExplainsEveryRule(t *testing.T) {
	for _, r := range engine.Rules() {
		cli("words", r.ID).wants(t, engine.Clean, r.Page())
		cli("words", "--rules", r.ID).wants(t, engine.Clean, "# "+r.ID+"\n")
	}
}

// A name that is a word and a rule is explained as both.
func TestAWordMayBeARuleToo(t *testing.T) {
	got := cli("words", "require")
	got.wants(t, engine.Clean, "require(condition, message)")
	got.wants(t, engine.Clean, "# require\n")
}

func TestNoSuchRule(t *testing.T) {
	cli("words", "web-thick").wants(t, engine.Broken, "", `there is no word and no rule "web-thick"; did you mean "web-thin"?`)
	cli("words", "--rules", "web-thinn").wants(t, engine.Broken, "", `did you mean "web-thin"?`)
}
