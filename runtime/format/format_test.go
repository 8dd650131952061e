package format

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// formatted is a text in style; the test ends where it has none.
func formatted(t *testing.T, text string) string {
	t.Helper()
	out, findings := Text("box.star", []byte(text))
	if findings != nil {
		t.Fatalf("%v\n%s", findings[0], text)
	}
	return string(out)
}

// What the style is, by text before and after.
func TestStyle(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"spaces", "base=panel('base',rect(60 ,40),on=lid.top)\n", "base = panel(\"base\", rect(60, 40), on = lid.top)\n"},
		{"blocks", "for i in range(3):\n  if i: x = i\n", "for i in range(3):\n    if i:\n        x = i\n"},
		{"several lines", "a = f(1,\n      b = 2)\n", "a = f(\n    1,\n    b = 2,\n)\n"},
		{"comments", "x=1   # one\n# two\n\n\n\ny=2 # three\n", "x = 1  # one\n# two\n\ny = 2  # three\n"},
		{"tabs", "def f(a):\n\tif a:\n\t    return '''x\n\ty'''\n", "def f(a):\n    if a:\n        return \"\"\"x\n\\ty\"\"\"\n"},
		{"line ends", "\ufeffx=1\r\ny=2\r\n", "x = 1\ny = 2\n"},
		{"the last line", "x = 1", "x = 1\n"},
		{"order stays", "load(\"b.star\", \"d\", \"c\")\nload(\"a.star\", \"e\")\nx = [3, 1]\n", "load(\"b.star\", \"d\", \"c\")\nload(\"a.star\", \"e\")\n\nx = [3, 1]\n"},
		{"docstrings", "def f():\n  \"\"\"Does.\n\n  Args:\n    a: b\n  \"\"\"\n", "def f():\n    \"\"\"Does.\n\n    Args:\n      a: b\n    \"\"\"\n"},
		{"nothing", "", ""},
	} {
		if got := formatted(t, c.text); got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
}

// What cannot be formatted says why, and where.
func TestFaults(t *testing.T) {
	for text, want := range map[string]string{
		"x = 1\ny = (2\n":      "box.star:2:5: this ( is never closed",
		"x = 1\ny = b\"ab\"\n": "box.star:2:10: this is written in a way that the formatter does not know",
		"x = \"\xff\"\n":       "box.star:1:6: the byte 0xFF here is not UTF-8 text",
	} {
		out, findings := Text("box.star", []byte(text))
		if out != nil || len(findings) == 0 || !strings.HasPrefix(findings[0].Error(), want) {
			t.Errorf("%q: %q, %v, want %q", text, out, findings, want)
		}
	}
}

// examples are the scripts that the project shows, by name.
func examples(t *testing.T) map[string]string {
	t.Helper()
	root := filepath.Join("..", "..")
	out := map[string]string{}
	for _, folder := range []string{"scripts", "stdlib", "testdata/structures", "testdata/words"} {
		names, err := filepath.Glob(filepath.Join(root, folder, "*.star"))
		if err != nil || len(names) == 0 {
			t.Fatalf("%s has no scripts: %v", folder, err)
		}
		for _, name := range names {
			out[folder+"/"+filepath.Base(name)] = read(t, name)
		}
	}
	for _, w := range engine.Words() {
		if w.Example != "" {
			out["words "+w.Name] = w.Example + "\n"
		}
	}
	pages, err := filepath.Glob(filepath.Join(root, "runtime", "internal", "check", "pages", "*.md"))
	if err != nil || len(pages) == 0 {
		t.Fatalf("there are no pages of rules: %v", err)
	}
	topics, err := filepath.Glob(filepath.Join(root, "runtime", "manual", "pages", "*.md"))
	if err != nil || len(topics) == 0 {
		t.Fatalf("the manual has no pages: %v", err)
	}
	for _, page := range append(append(pages, topics...), filepath.Join(root, "README.md")) {
		for _, m := range regexp.MustCompile("(?ms)^```(?:python|starlark)\n(.*?)^```$").FindAllStringSubmatch(read(t, page), -1) {
			out[filepath.Base(page)+": "+m[1][:min(len(m[1]), 40)]] = m[1]
		}
	}
	return out
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Every script that the project shows is in the one style. "creasewright fmt" puts
// those in files there.
func TestExamplesAreInStyle(t *testing.T) {
	for name, text := range examples(t) {
		if got := formatted(t, text); got != text {
			t.Errorf("%s is not in style:\n%s", name, got)
		}
	}
}

// Law: blanks that the language does not look at make no difference, and what has
// been formatted stays as it is. Blanks are put between the signs of the examples,
// before their line ends and inside their brackets, at random.
func TestBlanksMakeNoDifference(t *testing.T) {
	draw := rand.New(rand.NewPCG(12, 10))
	sign := regexp.MustCompile(` (=|\+|\*|==|-) `)
	for name, text := range examples(t) {
		lines := strings.Split(text, "\n")
		quotes := 0 // three in a row, so far
		for i, line := range lines {
			quotes += strings.Count(line, `"""`)
			if quotes%2 == 1 || strings.ContainsAny(line, "#") || strings.Count(line, `"`) > 0 && sign.MatchString(quoted.FindString(line)) {
				continue
			}
			lines[i] = sign.ReplaceAllStringFunc(line, func(s string) string {
				return strings.Repeat(" ", draw.IntN(3)) + strings.TrimSpace(s) + strings.Repeat(" ", draw.IntN(3))
			})
			if lines[i] != "" {
				lines[i] += strings.Repeat(" ", draw.IntN(3))
			}
		}
		want := formatted(t, text)
		if got := formatted(t, strings.Join(lines, "\n")); got != want {
			t.Errorf("%s, with other blanks:\n%s", name, got)
		}
		if got := formatted(t, want); got != want {
			t.Errorf("%s changes when it is formatted twice:\n%s", name, got)
		}
	}
}

var quoted = regexp.MustCompile(`".*"`)

// The guard on what a script says sees what a formatter could do to it.
func TestMeaning(t *testing.T) {
	const text = "\"\"\"Doc.\"\"\"\nload(\"a.star\", \"f\", g = \"h\")\nx = 1 + 2 * 3  # one\n# two\ny = f(x, a = \"b\")[1:]\nfor i in [1, 2]:\n    break\n"
	before, _ := parsed("box.star", []byte(text))
	for from, to := range map[string]string{
		"2 * 3": "2 * 4", "1 + 2": "1 - 2", "(1 + 2 * 3)": "", "# one": "# won", "# two\n": "", `"b"`: `"c"`, "a = ": "c = ",
		"[1:]": "[:1]", "break": "continue", `"h"`: `"i"`, "[1, 2]": "(1, 2)", "Doc.": "Docs.", "x = 1 + 2 * 3": "x = (1 + 2) * 3",
	} {
		changed := strings.Replace(text, from, to, 1)
		after, faults := parsed("box.star", []byte(changed))
		if faults != nil {
			t.Fatalf("%v\n%s", faults, changed)
		}
		if changed != text && slices.Equal(meaning(before), meaning(after)) {
			t.Errorf("nothing is seen of %q for %q", to, from)
		}
	}
	grouped, _ := parsed("box.star", []byte(strings.Replace(text, "2 * 3", "(2 * (3))", 1)))
	if !slices.Equal(meaning(before), meaning(grouped)) {
		t.Error("brackets that only group are seen")
	}
}

// A file is put into style in place, keeps its permissions, and is left alone when
// there is nothing to do, when it is only looked at, or when it is no script.
func TestFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "box.star")
	put := func(text string) {
		if err := os.WriteFile(path, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name, text, want string
		write, differs   bool
		faults           int
	}{
		{"only looked at", "x=1\n", "x=1\n", false, true, 0},
		{"written", "x=1\n", "x = 1\n", true, true, 0},
		{"in style", "x = 1\n", "x = 1\n", true, false, 0},
		{"no script", "x=(\n", "x=(\n", true, false, 1},
	} {
		put(c.text)
		res, err := File(path, c.write)
		if err != nil || res.Differs != c.differs || len(res.Findings) != c.faults || read(t, path) != c.want {
			t.Errorf("%s: %+v, %v; the file holds %q", c.name, res, err, read(t, path))
		}
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("permissions are %v, %v", info.Mode(), err)
	}
	if names, _ := filepath.Glob(filepath.Join(dir, ".*")); names != nil {
		t.Errorf("left behind: %q", names)
	}
	for _, none := range []string{filepath.Join(dir, "none.star"), dir} {
		if _, err := File(none, true); err == nil {
			t.Errorf("%s is formatted", none)
		}
	}
}

// A link is followed to the file that it names, and stays a link.
func TestFileBehindALink(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "box.star"), filepath.Join(dir, "link.star")
	if err := os.WriteFile(path, []byte("x=1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("box.star", link); err != nil {
		t.Skip(err)
	}
	if _, err := File(link, true); err != nil || read(t, path) != "x = 1\n" {
		t.Errorf("%v; the file holds %q", err, read(t, path))
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is %v, %v", info.Mode(), err)
	}
}

// A text quoted beside a finding is the line it points to.
func TestLine(t *testing.T) {
	if got := Line([]byte("one\ntwo\n"))("box.star", 2); got != "two" || bytes.ContainsRune([]byte(got), '\n') {
		t.Errorf("line 2 is %q", got)
	}
}
