package source

import (
	"errors"
	"fmt"
	"testing"
)

func TestSpanString(t *testing.T) {
	for want, s := range map[string]Span{
		"":                {},
		"a.star":          {File: "a.star"},
		"//b.star:3:7":    {File: "//b.star", Line: 3, Column: 7},
		"@shelf//c.star":  {File: "@shelf//c.star", Column: 2},
		"tea.star:12:140": {File: "tea.star", Line: 12, Column: 140, EndLine: 13},
	} {
		if got := s.String(); got != want {
			t.Errorf("%+v reads %q, want %q", s, got, want)
		}
		if s.Known() != (s.Line > 0) {
			t.Errorf("%+v: known is %v", s, s.Known())
		}
	}
}

func TestSite(t *testing.T) {
	main, lib, deep := Span{File: "m", Line: 1}, Span{File: "l", Line: 2}, Span{File: "d", Line: 3}
	s := Site{main, lib, deep}
	if s.First() != main || len(s.Inner()) != 2 || s.Inner()[1] != deep {
		t.Errorf("first %v, inner %v", s.First(), s.Inner())
	}
	if (Site{}).First().Known() || (Site{main}).Inner() != nil {
		t.Error("an empty site has a place, or a plain one a call behind it")
	}
}

// Law: a run sees one version of every text, however often it asks, and the
// record names each label once, in order, absences as such.
func TestStoreReadsOnce(t *testing.T) {
	asked := map[string]int{}
	broken := errors.New("broken disk")
	s := NewStore(func(label string) ([]byte, error) {
		asked[label]++
		switch label {
		case "gone.star":
			return nil, fmt.Errorf("looking for it: %w", ErrAbsent)
		case "bad.star":
			return nil, broken
		}
		return []byte(fmt.Sprintf("%s, version %d", label, asked[label])), nil
	})
	for range 3 {
		if text, err := s.Text("b.star"); err != nil || string(text) != "b.star, version 1" {
			t.Errorf("%q, %v", text, err)
		}
		if _, err := s.Text("gone.star"); !errors.Is(err, ErrAbsent) {
			t.Errorf("an absent text gives %v", err)
		}
		if _, err := s.Text("bad.star"); !errors.Is(err, broken) {
			t.Errorf("a broken one gives %v", err)
		}
	}
	if _, err := s.Text("a.star"); err != nil {
		t.Error(err)
	}
	for label, n := range asked {
		if n != 1 {
			t.Errorf("%s was read %d times", label, n)
		}
	}
	want := []Read{{"a.star", false}, {"b.star", false}, {"bad.star", false}, {"gone.star", true}}
	if got := s.Reads(); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("reads %v, want %v", got, want)
	}
}

// A store without a reader has no text, and says so.
func TestNoReader(t *testing.T) {
	s := NewStore(nil)
	if _, err := s.Text("a.star"); !errors.Is(err, ErrNoReader) || errors.Is(err, ErrAbsent) {
		t.Error(err)
	}
	if got := s.Reads(); len(got) != 1 || got[0] != (Read{"a.star", false}) {
		t.Errorf("reads %v", got)
	}
}

// Lines are quoted as people see them: no byte-order mark, no line end of any
// kind, and nothing beyond the text.
func TestStoreLine(t *testing.T) {
	s := NewStore(func(string) ([]byte, error) { return []byte("\ufeffone\r\ntwo\n\nfour"), nil })
	if got := s.Line("x", 1); got != "" {
		t.Errorf("a text never read gives %q", got)
	}
	if _, err := s.Text("x"); err != nil {
		t.Fatal(err)
	}
	for line, want := range map[int]string{-1: "", 0: "", 1: "one", 2: "two", 3: "", 4: "four", 5: "", 99: ""} {
		if got := s.Line("x", line); got != want {
			t.Errorf("line %d is %q, want %q", line, got, want)
		}
	}
}

// The three ways to end a line count the same, alone and mixed.
func TestLineEnds(t *testing.T) {
	for _, text := range []string{"a\nb\n\nc", "a\r\nb\r\n\r\nc", "a\rb\r\rc", "a\r\nb\n\rc", "\ufeffa\rb\n\nc\r"} {
		s := NewStore(func(string) ([]byte, error) { return []byte(text), nil })
		if _, err := s.Text("x"); err != nil {
			t.Fatal(err)
		}
		for line, want := range map[int]string{0: "", 1: "a", 2: "b", 3: "", 4: "c", 5: "", 6: ""} {
			if got := s.Line("x", line); got != want {
				t.Errorf("%q, line %d: %q, want %q", text, line, got, want)
			}
		}
	}
}
