package manual

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/stdlib"
)

// whole is the manual of the program.
var whole = New()

// fence finds the scripts of a page that its reader may paste.
var fence = regexp.MustCompile("(?s)```starlark\n(.+?)```")

// Every script on every page but the failing ones of rules makes a piece as it
// stands, and nothing worse than a note is found in it.
func TestScriptsDraw(t *testing.T) {
	for _, p := range whole.Pages() {
		if p.Kind == Rule {
			continue // its page has one script that fails, and tests of its own
		}
		scripts := fence.FindAllStringSubmatch(p.Text, -1)
		for _, m := range scripts {
			draws(t, p.Name, m[1])
		}
		if len(scripts) == 0 && p.Kind != Module && !p.listing {
			t.Errorf("%s shows no script", p.Name)
		}
	}
}

func draws(t *testing.T, of, script string) {
	t.Helper()
	read := func(string) ([]byte, error) { return []byte(script), nil }
	tests := strings.Contains("\n"+script, "\ndef test_")
	res, err := engine.Run(context.Background(), engine.Request{Script: "box.star", Read: read, Tests: tests})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range res.Findings {
		if f.Severity != diag.Note {
			t.Errorf("%s: %v %s\n%s", of, f, f.Hint, script)
		}
	}
	if res.Exit != engine.Clean || len(res.Pieces)+len(res.Tests) == 0 {
		t.Errorf("%s: exit %v, pieces %q\n%s", of, res.Exit, res.Pieces, script)
	}
}

// Each page has a name, a title, a sentence and a text under its title; only a
// topic and a word, or a word and a rule, share a name.
func TestPagesAreWhole(t *testing.T) {
	seen := map[string]Kind{}
	for _, p := range whole.Pages() {
		if p.Name == "" || p.Kind == "" || p.Group == "" || p.Brief == "" || !strings.HasPrefix(p.Text, "# "+p.Title+"\n") {
			t.Errorf("%s: an entry is empty, or the title is missing: %.200q", p.Name, p.Text)
		}
		if before, twice := seen[p.Name]; twice && before == p.Kind {
			t.Errorf("%s is there twice", p.Name)
		}
		seen[p.Name] = p.Kind
		if named := whole.Named(p.Name); !slices.ContainsFunc(named, func(n Page) bool { return n.Kind == p.Kind && n.Name == p.Name }) {
			t.Errorf("%s is not found by its name", p.Name)
		}
	}
	for name, label := range stdlib.Functions() {
		if !slices.ContainsFunc(whole.Named(name), func(p Page) bool { return p.Kind == Function && p.Group == label }) {
			t.Errorf("%s of %s has no page", name, label)
		}
	}
}

// The pages on lines, files and limits tell of every line kind, file and limit.
func TestTopicsAreComplete(t *testing.T) {
	holds := func(page, what string) {
		t.Helper()
		if !strings.Contains(whole.Named(page)[0].Text, what) {
			t.Errorf("the page %s does not tell of %s", page, what)
		}
	}
	for _, k := range []model.LineKind{model.Score, model.BackScore, model.Perforated, model.PartCut, model.BackPartCut, model.Groove, model.PlainFold, "cut", "drawn"} {
		holds("lines", "`"+string(k)+"`")
	}
	for _, f := range emit.Formats() {
		if !f.Unwritten {
			holds("files", f.Name+"`")
		}
	}
	for _, l := range limit.Limits() {
		holds("limits", "`"+l.String()+"`")
	}
	for _, kind := range model.CautionKinds() {
		holds("cautions", "`"+kind+"`")
	}
	for _, word := range []string{"for", "def", "if", "elif", "range(", "{", "print", "str(", "%d", "%s"} {
		holds("language", word)
	}
}

// What pages set apart as commands of this program names pages.
func TestPagesReferToPages(t *testing.T) {
	refers := regexp.MustCompile(`creasewright\s+words ([a-z_.]+)`)
	for _, p := range whole.Pages() {
		for _, m := range refers.FindAllStringSubmatch(p.Text, -1) {
			if len(whole.Named(m[1])) == 0 {
				t.Errorf("%s refers to %s, which is no page", p.Name, m[1])
			}
		}
	}
}

// Law: running text stays within the width, no line ends in spaces, no Markdown of
// blocks is left, and all words of a page but the marks in its scripts are kept.
func TestLayout(t *testing.T) {
	for _, p := range whole.Pages() {
		set := p.String()
		for line := range strings.SplitSeq(set, "\n") {
			if strings.TrimRight(line, " ") != line || strings.HasPrefix(strings.TrimSpace(line), "**") || strings.HasPrefix(line, "#") || strings.Contains(line, "```") {
				t.Errorf("%s: %q", p.Name, line)
			}
			if !strings.HasPrefix(line, "    ") && len([]rune(line)) > Width {
				t.Errorf("%s: too wide: %q", p.Name, line)
			}
		}
		if strings.Contains(set, "\n\n\n") {
			t.Errorf("%s: two blank lines", p.Name)
		}
		if got, want := len(terms(set)), len(terms(p.Text)); got < want-strings.Count(p.Text, "```starlark")-strings.Count(p.Text, "```text") {
			t.Errorf("%s: %d words of %d", p.Name, got, want)
		}
	}
}

func TestLayoutOfAPage(t *testing.T) {
	const page = "# word(a)\n\n*note*: what it\nfinds\n\n## Part\n\nSome text.\n\n- one\n  goes on\n- two\n\n**Units.** mm\n\n**Fails**\n\n" +
		"```starlark\nx = 1  #! rule: message #? hint\ny = 2\n```\n"
	const want = "word(a)\n\n  note: what it finds\n\nPart\n\n  Some text.\n\n  - one goes on\n  - two\n\n  Units: mm\n\n  Fails:\n\n" +
		"    x = 1\n    y = 2\n\n  Found: rule: message; hint\n"
	if got := Layout(page); got != want {
		t.Errorf("%s", got)
	}
}

// What designers ask for leads to the page that answers.
func TestSearch(t *testing.T) {
	for asked, want := range map[string]string{
		"crease": "panel.score", "window": "panel.cut", "tongue": "tuck", "lock": "tuck", "seam": "tab", "windows": "panel.cut",
		"Crease": "panel.score", "square": "rect", "ellipse": "oval", "thickness": "board", "bottle": "contents", "loop": "language",
		"dxf": "files", "shelf": "shelf", "waive": "allow", "glue tab": "tab", "slit-lock": "tuck", "score": "panel.score",
		"preview": "files", "how do I make a window": "panel.cut", "thick board": "board", "hanger": "hang_hole", "for": "language", "grain": "board.grain", "tuck_end": "tuck_end", "lid": "tuck_end", "hexagon": "regular",
	} {
		found := whole.Search(asked)
		if !slices.ContainsFunc(found[:min(3, len(found))], func(p Page) bool { return p.Name == want }) {
			var names []string
			for _, p := range found[:min(6, len(found))] {
				names = append(names, p.Name)
			}
			t.Errorf("%s: %s is not among the first of %q", asked, want, names)
		}
	}
	for _, asked := range []string{"", "zzzz", "-"} {
		if found := whole.Search(asked); found != nil {
			t.Errorf("%q finds %v", asked, found[0].Name)
		}
	}
}

// Every synonym leads to pages that there are, and each page is the first answer to
// its own name.
func TestSynonyms(t *testing.T) {
	for word, names := range synonyms() {
		for _, name := range names {
			if len(whole.Named(name)) == 0 && len(whole.Named("//"+name+".star")) == 0 {
				t.Errorf("%s leads to %s, which is no page", word, name)
			}
		}
	}
	for _, p := range whole.Pages() {
		if found := whole.Search(p.Name); p.Kind != Module && (len(found) == 0 || found[0].Name != p.Name) {
			t.Errorf("%s is not the first found by its name", p.Name)
		}
	}
}

func TestNearest(t *testing.T) {
	for name, want := range map[string]string{"pannel": "panel", "web-thick": "web-thin", "creese": "crease", "tuck_edn": "tuck_end", "zzzzzzzzzzzz": ""} {
		if got := whole.Nearest(name); got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func TestFirstSentence(t *testing.T) {
	for text, want := range map[string]string{
		"One. Two.":                  "One.",
		"10.5 mm is half.\nMore.":    "10.5 mm is half.",
		"No end":                     "No end",
		"Split\nover lines. And so.": "Split over lines.",
	} {
		if got := FirstSentence(text); got != want {
			t.Errorf("%q gives %q", text, got)
		}
	}
}

const shelf = `"""Windows of all sorts. For fronts."""

def window(
        on,
        size = 18,
        name = "a (b"):
    """Cuts a round window.

    Where the panel is large enough.

    Args:
      on: the panel
      size: diameter,
        mm

    Returns:
      the opening
    """
    return on.cut(circle(size))

def _hidden():
    pass

def plain(x):
    return x
`

// Docstrings become pages like those of words.
func TestModulePages(t *testing.T) {
	pages, err := ModulePages("@shelf//windows.star", []byte(shelf))
	if err != nil || len(pages) != 3 {
		t.Fatal(pages, err)
	}
	if pages[0].Brief != "Windows of all sorts." || !strings.Contains(pages[0].Text, "`window(on, size=18, name=\"a (b\")`: Cuts a round window.\n") {
		t.Errorf("%s", pages[0].Text)
	}
	const want = "window(on, size=18, name=\"a (b\")\n\n  Cuts a round window.\n\n  Where the panel is large enough.\n\n  Arguments:\n\n" +
		"  - `on`: the panel\n  - `size`: diameter, mm\n\n  Gives: the opening\n\n  To use it:\n\n    load(\"@shelf//windows.star\", \"window\")\n"
	if got := pages[1].String(); got != want {
		t.Errorf("%s", got)
	}
	if pages[2].Title != "plain(x)" {
		t.Errorf("%+v", pages[2])
	}
	if _, err := ModulePages("x.star", []byte("def (")); err == nil {
		t.Error("no error for a text that is no script")
	}
}
