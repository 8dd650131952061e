package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/manual"
)

// flat is a text in one line, its words parted by one space.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// The list holds every page but the rules, each under its group.
func TestWordsListsTheManual(t *testing.T) {
	got := cli("words")
	got.wants(t, engine.Clean, "  panel(name, outline, on=None")
	for _, p := range manual.New().Pages() {
		if p.Kind == manual.Rule {
			continue
		}
		if !strings.Contains("\n"+got.out, "\n"+p.Group+"\n") || p.Kind != manual.Module && !strings.Contains(flat(got.out), flat(p.Title+" "+p.Brief)) {
			t.Errorf("%s, in group %q, is not listed", p.Name, p.Group)
		}
	}
	fits(t, got.out)
}

// fits checks that running text stays within the width; examples may not be broken.
func fits(t *testing.T, text string) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if len([]rune(line)) > manual.Width && strings.HasPrefix(line, "      ") {
			t.Errorf("too wide: %q", line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("ends in spaces: %q", line)
		}
	}
}

// Every page is printed by its name, those that share one together.
func TestWordsPrintsEveryPage(t *testing.T) {
	for _, p := range manual.New().Pages() {
		cli("words", p.Name).wants(t, engine.Clean, p.String())
	}
}

// The page of a word has its signature, units and example.
func TestEveryWordHasAPage(t *testing.T) {
	for _, w := range engine.Words() {
		got := cli("words", w.Name)
		for _, part := range []string{w.Signature, w.Doc, "Units: " + w.Units, w.Example} {
			if !strings.Contains(flat(got.out), flat(part)) {
				t.Errorf("the page of %s does not hold %q", w.Name, part)
			}
		}
	}
}

// A name that is also used for other things leads to these as well.
func TestWordsNamesFurtherPages(t *testing.T) {
	got := cli("words", "window")
	got.wants(t, engine.Clean, "window(on, margin")
	got.wants(t, engine.Clean, "\n  See also: panel.cut, opening.edge, circle")
	got = cli("words", "round")
	if strings.Contains(got.out, "outline.round, ") {
		t.Errorf("what is printed is told again:\n%s", got.out)
	}
}

func TestAShortNameFindsEveryValue(t *testing.T) {
	got := cli("words", "length")
	got.wants(t, engine.Clean, "outline.length")
	if !strings.Contains(got.out, "edge.length") {
		t.Errorf("edge.length is not found:\n%s", got.out)
	}
}

func TestWordsListsTheRules(t *testing.T) {
	got := cli("words", "--rules")
	got.wants(t, engine.Clean, "\nRules\n  require\n")
	for _, r := range engine.Rules() {
		if !strings.Contains(flat(got.out), flat(r.ID+" "+r.Title+" ("+r.Severity.String()+")")) {
			t.Errorf("%s is not listed", r.ID)
		}
	}
	fits(t, got.out)
}

// A name that is a word and a rule is explained as both, unless rules alone are
// asked for.
func TestAWordMayBeARuleToo(t *testing.T) {
	got := cli("words", "require")
	got.wants(t, engine.Clean, "require(condition, message)\n")
	got.wants(t, engine.Clean, "\nrequire\n\n  error: ")
	if got := cli("words", "--rules", "require"); !strings.HasPrefix(got.out, "require\n") {
		t.Errorf("%s", got.out)
	}
}

// The name of an argument leads to the words that take it.
func TestWordsByArgument(t *testing.T) {
	cli("words", "bent").wants(t, engine.Clean, "bent is an argument of\n\npanel(name, outline, ")
	several := cli("words", "inset")
	several.wants(t, engine.Clean, "inset is an argument of\n  flap(name, on, depth")
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

// What is no name is searched for, and so are several words and what --search says.
func TestWordsSearches(t *testing.T) {
	cli("words", "crease").wants(t, engine.Clean, "About crease\n  panel.score\n")
	cli("words", "tear", "strip").wants(t, engine.Clean, "About tear strip\n  panel.perforate\n")
	cli("words", "--search", "score").wants(t, engine.Clean, "About score\n  panel.score\n")
	cli("words", "--rules", "grain").wants(t, engine.Clean, "About grain\n  creases-across-grain\n")
	got := cli("words", "--search", "panel")
	got.wants(t, engine.Clean, " more, less near\n")
	if n := strings.Count(got.out, "\n  ") - strings.Count(got.out, "\n   "); n != mostFound {
		t.Errorf("%d pages are listed", n)
	}
	cli("words", "zzzz").wants(t, engine.Broken, "", `the manual has nothing about "zzzz"`)
	cli("words", "pannel").wants(t, engine.Broken, "", `the manual has nothing about "pannel"; did you mean "panel"?`)
	cli("words", "--rules", "web-thinn").wants(t, engine.Broken, "", `did you mean "web-thin"?`)
}

// A module is shown by the name it is loaded by, from the library, the shelf and
// beside where the command runs.
func TestWordsShowsModules(t *testing.T) {
	cli("words", "//closures.star").wants(t, engine.Clean, "//closures.star\n\n  Closures for the ends")
	one := cli("words", "//closures.star", "tuck_end")
	one.wants(t, engine.Clean, "tuck_end(name, on, into")
	if whole := cli("words", "tuck_end"); whole.out != one.out {
		t.Errorf("%s", whole.out)
	}
	cli("words", "//closures.star", "tuck").wants(t, engine.Broken, "", `//closures.star has no function "tuck"`)
	cli("words", "//none.star").wants(t, engine.Broken, "", `the standard library has no file "none.star"`)

	shelf := t.TempDir()
	if err := os.WriteFile(filepath.Join(shelf, "mine.star"), []byte("def window(on):\n    \"\"\"Cuts a window.\"\"\"\n    on.cut(circle(9))\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	cli("words", "--shelf", shelf, "@shelf//mine.star").wants(t, engine.Clean, "- `window(on)`: Cuts a window.\n")
	cli("words", "--shelf", shelf, "@shelf//mine.star", "window").wants(t, engine.Clean, "window(on)\n\n  Cuts a window.\n\n  To use it:\n\n    load(\"@shelf//mine.star\", \"window\")\n")
	cli("words", "--shelf", shelf, "window").wants(t, engine.Clean, "To use it:\n\n    load(\"@shelf//mine.star\", \"window\")\n")
	cli("words", "--shelf", shelf).wants(t, engine.Clean, "\n@shelf//mine.star\n  window(on)\n      Cuts a window.\n")
	cli("words", "--shelf", shelf, "--search", "window").wants(t, engine.Clean, "  window, @shelf//mine.star\n")
	cli("words", "--shelf", shelf, "@shelf//other.star").wants(t, engine.Broken, "", "there is no file")
	cli("words", "--shelf", shelf, "@shelf//../mine.star").wants(t, engine.Broken, "", "leads out of the shelf")
	cli("words", filepath.Join(shelf, "mine.star"), "window").wants(t, engine.Clean, "window(on)\n")
}

// What users read names a standard, a handbook or a kind of adviser for its
// figures, never a firm's domain. The project's own pages and the standard library
// are read by users too.
func TestNoTextNamesADomain(t *testing.T) {
	domain := regexp.MustCompile(`\b[\w-]+\.(com|net|org|info|biz|de|eu|cz|co\.uk)\b`)
	texts := map[string]string{"the list of pages": cli("words").out, "the list of rules": cli("words", "--rules").out}
	for _, p := range manual.New().Pages() {
		texts[p.Name] += p.Text
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
