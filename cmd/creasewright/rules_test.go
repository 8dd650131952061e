package main

import (
	"os"
	"path/filepath"
	"regexp"
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

// What users read names a standard, a handbook or a kind of adviser for its
// figures, never a firm's domain. The project's own pages and the standard library
// are read by users too.
func TestNoTextNamesADomain(t *testing.T) {
	domain := regexp.MustCompile(`\b[\w-]+\.(com|net|org|info|biz|de|eu|cz|co\.uk)\b`)
	texts := map[string]string{"the list of words": wordList(engine.Words()), "the list of rules": ruleList(engine.Rules())}
	for _, r := range engine.Rules() {
		texts[r.ID] = r.Page()
	}
	for _, w := range engine.Words() {
		texts[w.Name] += wordPage(w)
	}
	for _, folder := range []string{"scripts", "stdlib"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", folder, "*.star"))
		if err != nil || len(paths) == 0 {
			t.Fatal(paths, err)
		}
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			texts[path] = string(text)
		}
	}
	for name, text := range texts {
		if found := domain.FindString(text); found != "" {
			t.Errorf("%s names %s", name, found)
		}
	}
	if !domain.MatchString("advice (boards.com)") {
		t.Error("a domain is not seen")
	}
}
