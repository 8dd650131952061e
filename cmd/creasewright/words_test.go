package main

import (
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

func TestWordsListsTheVocabulary(t *testing.T) {
	got := cli("words")
	got.wants(t, engine.Clean, "panel(name, outline, on=None")
	for _, w := range engine.Words() {
		if !strings.Contains(got.out, "  "+w.Signature+"\n") {
			t.Errorf("%s is not listed", w.Name)
		}
		if !strings.Contains("\n"+got.out, "\n"+w.Group+"\n") {
			t.Errorf("%s: its group %q is not listed", w.Name, w.Group)
		}
	}
	fits(t, got.out)
}

// fits checks that running text stays within the width; signatures and
// examples may not be broken.
func fits(t *testing.T, text string) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if len([]rune(line)) > textWidth && strings.HasPrefix(line, "      ") {
			t.Errorf("too wide: %q", line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("ends in spaces: %q", line)
		}
	}
}

// Every word has a page with its signature, units and an example.
func TestEveryWordHasAPage(t *testing.T) {
	for _, w := range engine.Words() {
		got := cli("words", w.Name)
		got.wants(t, engine.Clean, w.Signature+"\n")
		for _, part := range []string{w.Doc, w.Units, w.Example} {
			if strings.TrimSpace(part) == "" {
				t.Errorf("%s lacks a doc, units or an example", w.Name)
			}
		}
		flat := strings.Join(strings.Fields(got.out), " ")
		for _, part := range []string{w.Doc, "Units: " + w.Units, w.Example} {
			if !strings.Contains(flat, strings.Join(strings.Fields(part), " ")) {
				t.Errorf("the page of %s does not hold %q", w.Name, part)
			}
		}
	}
}

func TestAShortNameFindsEveryValue(t *testing.T) {
	got := cli("words", "length")
	got.wants(t, engine.Clean, "outline.length")
	if !strings.Contains(got.out, "edge.length") {
		t.Errorf("edge.length is not found:\n%s", got.out)
	}
}

func TestFirstSentence(t *testing.T) {
	for text, want := range map[string]string{
		"One. Two.":                  "One.",
		"10.5 mm is half.\nMore.":    "10.5 mm is half.",
		"No end":                     "No end",
		"Split\nover lines. And so.": "Split over lines.",
	} {
		if got := firstSentence(text); got != want {
			t.Errorf("%q gives %q", text, got)
		}
	}
}

// The name of an argument leads to the words that take it.
func TestWordsByArgument(t *testing.T) {
	cli("words", "bent").wants(t, engine.Clean, "bent is an argument of\n\npanel(name, outline, ")
	several := cli("words", "inset")
	several.wants(t, engine.Clean, "inset is an argument of\n\n  flap(name, on, depth")
	several.wants(t, engine.Clean, "\n  tab(name, on, depth")
	for _, w := range engine.Words() {
		_, args, _ := strings.Cut(strings.TrimSuffix(w.Signature, ")"), "(")
		for _, arg := range strings.Split(args, ", ") {
			name, _, _ := strings.Cut(arg, "=")
			if found := engine.WordsTaking(name); name != "" && !strings.ContainsAny(name, "*()[]\"…") && !slices.ContainsFunc(found, func(f engine.Word) bool { return f.Name == w.Name }) {
				t.Errorf("%s is not found by its argument %q", w.Name, name)
			}
		}
	}
}
