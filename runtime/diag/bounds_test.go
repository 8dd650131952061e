package diag

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// Law: escaped JSON holds the same values as before, and nothing that turns
// writing round or steers a terminal stands for itself.
func TestEscapedJSONIsTheSameJSON(t *testing.T) {
	var texts []string
	for r := rune(0); r < 0x2100; r++ {
		texts = append(texts, "a"+string(r)+"b")
	}
	texts = append(texts, "\U000e0041", "\U0010ffff", "\ue000", "𝔅👩‍👩", "é\u0301", "\\u202e", `"<b>&`)
	plain, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	escaped := EscapeJSON(plain)
	var back []string
	if err := json.Unmarshal(escaped, &back); err != nil {
		t.Fatal(err)
	}
	for i, text := range texts {
		if back[i] != text {
			t.Errorf("%q came back as %q", text, back[i])
		}
	}
	for _, r := range string(escaped) {
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Co) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%U stands for itself", r)
		}
	}
	if got := EscapeJSON([]byte("\u202e")); string(got) != `\u202e` {
		t.Errorf("a lone mark became %q", got)
	}
	if got := EscapeJSON([]byte("[\n \"plain é\"\n]")); string(got) != "[\n \"plain é\"\n]" {
		t.Errorf("plain text became %q", got)
	}
}

// Law: a cut text is short, sound and the beginning of the whole.
func TestLongMessagesAreCut(t *testing.T) {
	for _, c := range []string{"a", "é", "猫", "👩"} {
		for n := range 4 {
			whole := strings.Repeat("x", n) + strings.Repeat(c, 10_000)
			f := Scriptf(nil, "%s", whole).WithHint("%s", whole)
			for _, s := range []string{f.Message, f.Hint} {
				if len(s) > MostText || len(s) < MostText-8 || !utf8.ValidString(s) || !strings.HasPrefix(whole, strings.TrimSuffix(s, "…")) {
					t.Errorf("%s: %d bytes, valid %v", c, len(s), utf8.ValidString(s))
				}
			}
		}
	}
	if s := Short(strings.Repeat("\x80", 2*MostText)); s != "…" { // no rune begins anywhere
		t.Errorf("bytes that are no text are cut to %d", len(s))
	}
	if s := strings.Repeat("x", MostText); Short(s) != s {
		t.Error("a text that is just short enough was cut")
	}
}
