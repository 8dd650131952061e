package main

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/format"
)

// onShelfOf carries out a command on the shelf in a folder.
func onShelfOf(dir string, args ...string) ran {
	return cli(append([]string{"shelf", args[0], "--shelf", dir}, args[1:]...)...)
}

// A new module is in style, is documented, can be tried and listed, and its tests
// pass; nothing is ever written over.
func TestShelfNew(t *testing.T) {
	t.Chdir(t.TempDir())
	onShelfOf("s", "list").wants(t, engine.Clean, "", "the shelf s is empty; creasewright shelf new NAME begins a module")
	onShelfOf("s", "test").wants(t, engine.Broken, "", "there is no shelf s yet")
	onShelfOf("s", "new", "hook-flap").wants(t, engine.Clean, "", "wrote s/hook-flap.star and its tests, hook-flap_test.star", "next: creasewright shelf try hook-flap --watch")
	onShelfOf("s", "new", "hook-flap.star").wants(t, engine.Broken, "", "is there already and stays as it is")
	for _, name := range []string{"hook-flap.star", "hook-flap_test.star"} {
		text, err := os.ReadFile(filepath.Join("s", name))
		if tidy, faults := format.Text(name, text); err != nil || faults != nil || string(tidy) != string(text) {
			t.Errorf("%s is not in style: %v %v", name, err, faults)
		}
	}
	onShelfOf("s", "list").wants(t, engine.Clean, "hook-flap.star: Flaps with round corners: say in a sentence what your parts are for. (hook_flap)\n")
	onShelfOf("s", "test").wants(t, engine.Clean, "", "hook-flap_test.star: 2 tests, all well")
	onShelfOf("s", "try", "hook-flap").wants(t, engine.Clean, "", "trial of hook-flap.star: 1 piece, nothing to mend", "in hook-flap-trial")
	for _, name := range []string{"hook-flap", "hook-flap.star", "@shelf//hook-flap.star", "hook_flap"} {
		onShelfOf("s", "show", name).wants(t, engine.Clean, "hook_flap(name, on, card, depth=20, round=6)")
	}
	if found := mustFind(t, "hook-flap-trial"); !strings.Contains(found, "hook-flap.cut.svg") {
		t.Errorf("the trial made %s", found)
	}
	onShelfOf("s", "add", "s/hook-flap.star").wants(t, engine.Broken, "", "s/hook-flap.star is on the shelf already")
}

// mustFind lists the files of a folder.
func mustFind(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return strings.Join(names, " ")
}

// Names that a module cannot have or that are not there are refused.
func TestShelfNames(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, said := range map[string]string{
		"flap": "flap is a word of the language already", "a b": "cannot be the name of a module", "../x": "cannot be the name of a module",
		"": "cannot be the name of a module", "9x": "cannot be the name of a module", "x_test": "is the name of a file of tests",
		strings.Repeat("x", 51): "cannot be the name of a module",
	} {
		onShelfOf("s", "new", name).wants(t, engine.Broken, "", said)
	}
	onShelfOf("s", "try", "hook").wants(t, engine.Broken, "", "there is no hook.star on the shelf s; it is empty")
	onShelfOf("s", "new", "hook_flap")
	onShelfOf("s", "show", "hook").wants(t, engine.Broken, "", "there is no hook.star on the shelf s; it has hook_flap")
	onShelfOf("s", "show").wants(t, engine.Broken, "", "shelf show takes the name of one module")
	cli("shelf", "lost").wants(t, engine.Broken, "", `unknown command "lost"`)
}

const notch = `"""Notches for the thumb."""

def thumb(on, size = 20):
    """Cuts a notch."""
    return on.cut(circle(size).shift(30, 40))
`

// A file is taken in with its tests, and one in its place only when that is asked for.
func TestShelfAdd(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "notch.star", notch)
	onShelfOf("s", "add", "notch.star").wants(t, engine.Clean, "", `wrote s/notch.star`, `scripts take it by load("@shelf//notch.star", …)`)
	holds(t, "s/notch.star", notch)
	other := strings.ReplaceAll(notch, "size", "across") + "\ndef finger(on):\n    \"\"\"Cuts another.\"\"\"\n"
	put(t, "notch.star", other)
	put(t, "notch_test.star", passing)
	onShelfOf("s", "add", "notch.star").wants(t, engine.Broken, "", "--replace puts this one in its place: other arguments for thumb; new: finger")
	holds(t, "s/notch.star", notch)
	onShelfOf("s", "add", "--replace", "notch.star").wants(t, engine.Clean, "", "replaces notch.star: other arguments for thumb; new: finger", "and its tests, notch_test.star")
	holds(t, "s/notch.star", other)
	holds(t, "s/notch_test.star", passing)
	put(t, "notch.star", notch)
	onShelfOf("s", "add", "notch.star").wants(t, engine.Broken, "", "without finger; other arguments for thumb")
}

// What speaks against a file is told, and the shelf stays as it is.
func TestShelfAddRefuses(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "notch.star", notch)
	onShelfOf("s", "add", "notch.star")
	for _, c := range []struct{ name, text, said string }{
		{"a.star", "x = foo\n", "a.star:1:5: error: there is nothing called foo"},
		{"a.star", "load(\"b.star\", \"c\")\n", `there is no file "b.star"`},
		{"a.star", tray, "a.star makes a piece and is a script"},
		{"a.star", "def lid():\n    \"\"\"Lids.\"\"\"\n", "a.star: it does not begin with a text that says what it is for"},
		{"a.star", "\"\"\"Lids.\"\"\"\n\ndef lid():\n    pass\n", "a.star: lid does not begin with a text that says what it does"},
		{"a.star", "\"\"\"Lids.\"\"\"\n", "a.star: it defines no function for scripts to load"},
		{"a.star", "\"\"\"Lids.\"\"\"\n\ndef flap():\n    \"\"\"Lids.\"\"\"\n", "a.star: flap is a word of the language"},
		{"a.star", "\"\"\"Lids.\"\"\"\n\ndef thumb():\n    \"\"\"Lids.\"\"\"\n", "a.star: thumb is a function of notch.star on the shelf"},
		{"a.star", "\"\"\"Lids.\"\"\"\n\ndef tuck_end():\n    \"\"\"Lids.\"\"\"\n", "a.star: tuck_end is a function of the standard library, in //closures.star"},
		{"a b.star", notch, `"a b" cannot be the name of a module`},
		{"a_test.star", notch, "a_test.star is the name of a file of tests"},
		{"a.txt", notch, "a.txt does not end in .star"},
	} {
		put(t, c.name, c.text)
		onShelfOf("s", "add", c.name).wants(t, engine.Broken, "", c.said)
	}
	onShelfOf("s", "add", "none.star").wants(t, engine.Broken, "", `there is no file "none.star"`)
	if found := mustFind(t, "s"); found != "notch.star" {
		t.Errorf("on the shelf: %s", found)
	}
}

// A trial may give a panel alone; what else it gives is told, at lines that are there.
func TestShelfTry(t *testing.T) {
	t.Chdir(t.TempDir())
	trial := func(gives string) string {
		return notch + "\ndef trial():\n    base = panel(\"base\", rect(90, 80))\n    thumb(base)\n    return " + gives + "\n"
	}
	onShelfOf("s", "new", "other")
	for gives, said := range map[string]string{
		"base": "1 piece, nothing to mend", `(base, board("thin", caliper = 0.2))`: "1 piece, nothing to mend",
	} {
		put(t, "s/notch.star", trial(gives))
		onShelfOf("s", "try", "-o", "out", "notch").wants(t, engine.Clean, "", said)
	}
	put(t, "s/notch.star", trial("3"))
	onShelfOf("s", "try", "notch").wants(t, engine.Broken, "", "trial of notch.star:8:5: error: trial() gives something else than the panel")
	put(t, "s/notch.star", trial("panel(\"lid\", rect(-1, 5))"))
	onShelfOf("s", "try", "notch").wants(t, engine.Broken, "", "s/notch.star:10:25: inside this")
	put(t, "s/notch.star", notch)
	onShelfOf("s", "try", "notch").wants(t, engine.Broken, "", "notch.star has no function trial()")
}

// The sheet of pictures is one SVG file that has a picture of every trial in it, as a
// file of its own, and the names as texts.
func TestShelfPictures(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, name := range []string{"one", "two", "three", "four"} {
		onShelfOf("s", "new", name)
	}
	put(t, "s/plain.star", notch)
	onShelfOf("s", "list", "--pictures", "parts.svg").wants(t, engine.Clean, "four.star: ", "plain.star: has no trial(), so there is no picture of it", "wrote parts.svg: 4 pictures")
	text, err := os.ReadFile("parts.svg")
	if err != nil {
		t.Fatal(err)
	}
	images, names := 0, ""
	for d := xml.NewDecoder(strings.NewReader(string(text))); ; {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if tok.Name.Local == "image" {
				images++
			}
		case xml.CharData:
			names += string(tok)
		}
	}
	if images != 4 || !strings.Contains(names, "three") {
		t.Errorf("%d images, texts %q", images, names)
	}
	put(t, "s/one.star", strings.Replace(notch, "thumb(on", "trial(on", 1))
	onShelfOf("s", "list", "--pictures", "parts.svg").wants(t, engine.Broken, "one.star: ", "one.star: its trial does not run, so there is no picture of it", "wrote parts.svg: 3 pictures")
}
