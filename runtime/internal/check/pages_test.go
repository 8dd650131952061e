package check

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/stdlib"
)

// Every rule has an id, a title, a page and cases, and what explains it stands
// before it; no page and no file of cases is left without a rule.
func TestTableIsWhole(t *testing.T) {
	var pages, cases []string
	for i, r := range table {
		if !regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`).MatchString(r.ID) || slices.Index(ids(), r.ID) != i {
			t.Errorf("rule %d has the id %q", i, r.ID)
		}
		if r.Title == "" || (r.find == nil) == (r.pairs == nil) {
			t.Errorf("%s has no title or no function", r.ID)
		}
		for _, cause := range r.after {
			if at := slices.Index(ids(), cause); at < 0 || at >= i {
				t.Errorf("%s comes after %q, which does not stand before it", r.ID, cause)
			}
		}
		pages = append(pages, r.ID+".md")
		cases = append(cases, r.ID+".star")
	}
	for folder, want := range map[string][]string{"pages": pages, faultsFolder: cases} {
		found, err := filepath.Glob(folder + "/*")
		if err != nil {
			t.Fatal(err)
		}
		for i := range found {
			found[i] = filepath.Base(found[i])
		}
		slices.Sort(want)
		if !slices.Equal(found, want) {
			t.Errorf("%s holds %q, want %q", folder, found, want)
		}
	}
}

// page is one rule's page, taken apart.
type page struct {
	title, severity string
	fails, passes   string
}

var pageShape = regexp.MustCompile("(?s)^# ([a-z-]+)\n\n\\*(note|warning|error)\\*: (.+?)\n\n.+\\*\\*Limits\\.\\*\\*.+" +
	"\\*\\*Fails\\*\\*\n\n```starlark\n(.+?)```\n\n\\*\\*Passes\\*\\*\n\n```starlark\n(.+?)```\n$")

func readPage(t *testing.T, r *Rule) page {
	t.Helper()
	m := pageShape.FindStringSubmatch(r.Page())
	if m == nil {
		t.Fatalf("the page of %s is not in the shape of a page", r.ID)
	}
	if m[1] != r.ID {
		t.Errorf("the page of %s is headed %q", r.ID, m[1])
	}
	return page{severity: m[2], title: m[3], fails: m[4], passes: m[5]}
}

// A page says what the table says, its failing script fails just as marked in
// it, and its passing script passes.
func TestPages(t *testing.T) {
	for _, r := range table {
		p := readPage(t, r)
		if p.title != r.Title || p.severity != r.Severity.String() {
			t.Errorf("%s: page and table differ: %q %q", r.ID, p.severity, p.title)
		}
		for what, text := range map[string]string{"fails": p.fails, "passes": p.passes} {
			file := filepath.Join(t.TempDir(), r.ID+" "+what)
			if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			if (what == "fails") != strings.Contains(text, "#! "+r.ID+":") {
				t.Errorf("%s: the script that %s is marked otherwise", r.ID, what)
			}
			expect(t, r, file)
		}
	}
}

// faultsFolder holds cases for each rule: small designs with what is to be
// found in them marked at its line.
const faultsFolder = "../../../testdata/faults"

// Each case gives just the findings marked in it.
func TestFaults(t *testing.T) {
	for _, r := range table {
		expect(t, r, fmt.Sprintf("%s/%s.star", faultsFolder, r.ID))
	}
}

// expect runs the cases of a file and compares what is found with the marks.
// Notes of other rules are left aside.
func expect(t *testing.T, r *Rule, file string) {
	t.Helper()
	cases, err := scripttest.Read(file)
	if err != nil {
		t.Error(err)
		return
	}
	for _, c := range cases {
		found, _ := examine(c.Store(stdlib.Text), scripttest.Main)
		found = slices.DeleteFunc(found, func(f *diag.Finding) bool { return f.Severity == diag.Note && f.Rule != r.ID })
		for _, m := range c.Mismatches(found) {
			t.Errorf("%s: %s", c.Name, m)
		}
	}
}
