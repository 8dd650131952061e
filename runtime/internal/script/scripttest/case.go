// Package scripttest reads error cases: scripts in the language itself, each
// with the messages it must give written on the lines they belong to. It is
// for tests, of this package's parent and of everything that runs scripts.
//
// A file holds many cases, parted by lines that begin with ---. A line
// "--- name.star" begins another file of the same case, which the script can
// load. Marks stand in comments at the ends of lines:
//
//	panel("lid", rect(0, 9))  #! rect: the width is … #? make it wider
//
// #! gives the whole message, with the rule and a colon in front unless the
// rule is "script", and #? the whole hint, which is not compared when left
// out. #> marks a line that led to a fault elsewhere: the call of a function,
// the load of a file. A line of nothing but #! expects a finding about the file
// as a whole, and #= name=value sets a parameter from outside.
package scripttest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// Main is the label under which a case's script is found.
const Main = "case.star"

// Case is one script, what is said to it and what it must say. Every file
// keeps the line numbers it has in the file of cases.
type Case struct {
	Name   string // file and line of the case
	Files  map[string]string
	Params map[string]string
	wants  []want
}

// want is one marked line.
type want struct {
	label   string
	line    int // 0 for the file as a whole
	message string
	hint    string
	way     bool // the line leads to a fault elsewhere
}

// Read reads all cases of a file.
func Read(path string) ([]*Case, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var cases []*Case
	label := ""
	for i, line := range strings.Split(string(text), "\n") {
		name, divides := strings.CutPrefix(line, "---")
		name = strings.TrimSpace(name)
		if len(cases) == 0 || divides && name == "" {
			cases = append(cases, newCase(fmt.Sprintf("%s:%d", filepath.Base(path), i+1)))
			label = Main
		}
		c := cases[len(cases)-1]
		if name != "" && divides {
			label = name
		}
		if divides {
			// Blank lines keep the numbers of what follows.
			c.Files[label] = strings.Repeat("\n", i+1)
			continue
		}
		c.add(label, i+1, line)
	}
	return cases, nil
}

func newCase(name string) *Case {
	return &Case{Name: name, Files: map[string]string{}, Params: map[string]string{}}
}

// mark matches one mark and its text, up to the next mark.
var mark = regexp.MustCompile(`#([!?>=])\s*(.*?)\s*(?:$|(#[!?>].*))`)

// add takes one line of a file and the marks on it.
func (c *Case) add(label string, number int, line string) {
	c.Files[label] += line + "\n"
	at := number
	if strings.HasPrefix(line, "#") {
		at = 0
	}
	for rest := line; ; {
		m := mark.FindStringSubmatch(rest)
		if m == nil {
			return
		}
		switch sign, text := m[1], m[2]; sign {
		case "=":
			name, value, _ := strings.Cut(text, "=")
			c.Params[name] = value
		case "?":
			c.wants[len(c.wants)-1].hint = text
		default:
			c.wants = append(c.wants, want{label: label, line: at, message: text, way: sign == ">"})
		}
		rest = m[3]
	}
}

// Check runs every case of the files that match a pattern, and fails the test
// for each mismatch, and where there is no case.
func Check(t *testing.T, pattern string, run func(c *Case) []*diag.Finding) {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("no error cases in %s: %v", pattern, err)
	}
	for _, path := range paths {
		cases, err := Read(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			for _, m := range c.Mismatches(run(c)) {
				t.Errorf("%s: %s", c.Name, m)
			}
		}
	}
}

// Store holds the case's files, and those that more gives for other labels.
func (c *Case) Store(more func(label string) ([]byte, bool)) *source.Store {
	return source.NewStore(func(label string) ([]byte, error) {
		if text, ok := c.Files[label]; ok {
			return []byte(text), nil
		}
		if text, ok := more(label); ok {
			return text, nil
		}
		return nil, source.ErrAbsent
	})
}

// Mismatches compares what was found with what is marked: every finding must
// be expected at its own line, every mark be met, and every line that led
// there be marked so.
func (c *Case) Mismatches(findings []*diag.Finding) []string {
	var out []string
	met := make([]bool, len(c.wants))
	for _, f := range findings {
		for _, w := range wantsOf(f) {
			if i := c.meet(w); i >= 0 {
				met[i] = true
			} else {
				out = append(out, "unexpected: "+w.String())
			}
		}
	}
	for i, w := range c.wants {
		if !met[i] {
			out = append(out, "missing: "+w.String())
		}
	}
	return out
}

// wantsOf are the marks that a finding calls for.
func wantsOf(f *diag.Finding) []want {
	var ws []want
	for _, s := range f.Site[:max(0, len(f.Site)-1)] {
		ws = append(ws, want{label: s.File, line: s.Line, way: true})
	}
	own := want{message: f.Message, hint: f.Hint}
	if f.Rule != diag.RuleScript {
		own.message = f.Rule + ": " + f.Message
	}
	if n := len(f.Site); n > 0 {
		own.label, own.line = f.Site[n-1].File, f.Site[n-1].Line
	}
	return append(ws, own)
}

// meet finds the mark that a call for one is met by, or −1.
func (c *Case) meet(found want) int {
	for i, w := range c.wants {
		if w.hint == "" {
			w.hint = found.hint
		}
		if w == found {
			return i
		}
	}
	return -1
}

func (w want) String() string {
	s := fmt.Sprintf("%s:%d: ", w.label, w.line)
	if w.way {
		return s + "#>"
	}
	s += "#! " + w.message
	if w.hint != "" {
		s += " #? " + w.hint
	}
	return s
}
