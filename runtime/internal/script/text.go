package script

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// MaxText is the largest script or module that is run, in bytes: the parser's
// worst cases grow faster than the text, and no script a person wrote comes
// near.
const MaxText = 256 << 10

const byteOrderMark = "\ufeff"

// readText gives the text behind a label ready for the parser: without its
// byte-order mark, its lines ended by LF, and known to be UTF-8 without NUL,
// which would end the parser's reading without a word.
func readText(store *source.Store, label string) ([]byte, *diag.Finding) {
	text, err := store.Text(label)
	if err != nil {
		return nil, absent(store, label, err)
	}
	if len(text) > MaxText {
		return nil, diag.Scriptf(wholeFile(label), "%s is %d KB long; a script may be %d KB",
			quote(label), (len(text)+1023)>>10, MaxText>>10)
	}
	text = withLineFeeds(bytes.TrimPrefix(text, []byte(byteOrderMark)))
	if i := badByte(text); i >= 0 {
		return nil, badByteFinding(label, text, i)
	}
	return text, nil
}

// badByte is the place of the first byte that may not stand in a script, or −1.
func badByte(text []byte) int {
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		if r == 0 || r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

func badByteFinding(label string, text []byte, i int) *diag.Finding {
	site := siteAt(label, text, i)
	if text[i] == 0 {
		return diag.Scriptf(site, "there is a NUL character here").
			WithHint("delete it; a script is plain text")
	}
	return diag.Scriptf(site, "the byte 0x%02X here is not UTF-8 text", text[i]).
		WithHint("save the script as UTF-8")
}

// withLineFeeds is the text with every line ended by LF, as the parser reads it:
// CR LF and a lone CR end a line too.
func withLineFeeds(text []byte) []byte {
	if bytes.IndexByte(text, '\r') < 0 {
		return text
	}
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}

// siteAt marks the one character at a byte of a text.
func siteAt(label string, text []byte, i int) source.Site {
	line := 1 + bytes.Count(text[:i], []byte("\n"))
	start := bytes.LastIndexByte(text[:i], '\n') + 1
	column := 1 + utf8.RuneCount(text[start:i])
	return source.Site{{File: label, Line: line, Column: column, EndLine: line, EndColumn: column + 1}}
}

func wholeFile(label string) source.Site { return source.Site{{File: label}} }

// quote puts a text in double quotes for a message, cut short when it is long.
func quote(s string) string {
	const most = 60
	s = s[:min(len(s), (most+1)*utf8.UTFMax)]
	if r := []rune(s); len(r) > most {
		s = string(r[:most-1]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// mostListed is how many words a list names before it counts the rest.
const mostListed = 20

// list joins words the way a sentence does: a, b and c.
func list(words []string, last string) string {
	if n := len(words) - mostListed; n > 1 {
		words = append(words[:mostListed:mostListed], fmt.Sprintf("%d others", n))
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}
