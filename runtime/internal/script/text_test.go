package script

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

const onePiece = `piece("card", panel("card", rect(60, 90)), board = board("card", caliper = 0.4))` + "\n"

// How a text is stored makes no difference to what it says: with a byte-order
// mark, with the line ends of any system.
func TestTextsOfAnySystem(t *testing.T) {
	unix := "# one\n\n" + onePiece
	for name, text := range map[string]string{
		"LF":              unix,
		"CR LF":           strings.ReplaceAll(unix, "\n", "\r\n"),
		"byte-order mark": "\ufeff" + unix,
		"no last line":    strings.TrimSuffix(unix, "\n"),
	} {
		d, fs := runText(text)
		for _, f := range fs {
			t.Errorf("%s: %v", name, f)
		}
		if d == nil {
			continue
		}
		want := source.Span{File: "main.star", Line: 3, Column: 15, EndLine: 3, EndColumn: 42}
		if got := d.Panels[0].Site.First(); got != want {
			t.Errorf("%s: the panel is at %+v", name, got)
		}
	}
}

// What is no text is told with its line and column, in code points.
func TestBadBytes(t *testing.T) {
	for _, c := range []struct {
		text, place, message string
	}{
		{"a = 1\n# é\x00\n", "main.star:2:4", "there is a NUL character here"},
		{"\x00", "main.star:1:1", "there is a NUL character here"},
		{"a = 1\r\nb = \"caf\xe9\"\r\n", "main.star:2:9", "the byte 0xE9 here is not UTF-8 text"},
		{"\ufeff\xff", "main.star:1:1", "the byte 0xFF here is not UTF-8 text"},
		{"a\rb\xed\xa0\x80", "main.star:2:2", "the byte 0xED here is not UTF-8 text"}, // half of a surrogate pair
	} {
		_, fs := runText(c.text)
		if len(fs) != 1 || fs[0].Message != c.message || fs[0].Site.First().String() != c.place {
			t.Errorf("%q: %v", c.text, fs)
		}
	}
	// U+FFFD itself is a character like any other.
	if _, fs := runText("# \ufffd\n" + onePiece); len(fs) > 0 {
		t.Error(fs[0])
	}
}

func TestTextsThatCannotBeHad(t *testing.T) {
	long := "#" + strings.Repeat("x", MaxText)
	for want, read := range map[string]source.Reader{
		`"main.star" is 257 KB long; a script may be 256 KB`: func(string) ([]byte, error) { return []byte(long), nil },
		`"main.star" cannot be read: the disk is on fire`:    func(string) ([]byte, error) { return nil, errors.New("the disk is on fire") },
		`there is no file "main.star"`:                       func(string) ([]byte, error) { return nil, fmt.Errorf("x: %w", source.ErrAbsent) },
	} {
		_, fs := Run(context.Background(), source.NewStore(read), "main.star", Options{})
		if len(fs) != 1 || fs[0].Message != want || fs[0].Site.First() != (source.Span{File: "main.star"}) {
			t.Errorf("want %s, got %v", want, fs)
		}
	}
}

func TestQuoteAndList(t *testing.T) {
	if got := quote(strings.Repeat("é", 100)); got != `"`+strings.Repeat("é", 59)+`…"` {
		t.Error(got)
	}
	for want, words := range map[string][]string{"": nil, "a": {"a"}, "a and b": {"a", "b"}, "a, b and c": {"a", "b", "c"}} {
		if got := list(words, "and"); got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}
