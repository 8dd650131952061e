package jsontext

import (
	"bytes"
	"encoding/json"
	"math/rand"
	"testing"
)

func TestIndent(t *testing.T) {
	for _, c := range [][2]string{
		{`3`, "3\n"},
		{`{}`, "{}\n"},
		{`[1,"a,b",null]`, "[1, \"a,b\", null]\n"},
		{`{"a":1,"b\"]":-2.5}`, "{\"a\": 1, \"b\\\"]\": -2.5}\n"},
		{`{"a":{"b":[1,2]},"c":[]}`, "{\n \"a\": {\n  \"b\": [1, 2]\n },\n \"c\": []\n}\n"},
		{`[[1],{"k":"}"}]`, "[\n [1],\n {\"k\": \"}\"}\n]\n"},
	} {
		if got := string(Indent([]byte(c[0]))); got != c[1] {
			t.Errorf("%s becomes\n%swant\n%s", c[0], got, c[1])
		}
	}
}

// Law: laying out changes no value: compacted again, the text is what it was.
func TestIndentKeepsTheValue(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	for range 500 {
		compact, err := json.Marshal(randomJSON(rnd, 4))
		if err != nil {
			t.Fatal(err)
		}
		var back bytes.Buffer
		if err := json.Compact(&back, Indent(compact)); err != nil || !bytes.Equal(back.Bytes(), compact) {
			t.Fatalf("%s comes back as %s (%v)", compact, back.Bytes(), err)
		}
	}
}

func randomJSON(rnd *rand.Rand, depth int) any {
	k := rnd.Intn(6)
	if depth == 0 {
		k %= 4
	}
	switch k {
	case 0:
		return nil
	case 1:
		return rnd.NormFloat64()
	case 2:
		return []string{`\`, `"`, `]},:`, "", "é🎁"}[rnd.Intn(5)]
	case 3:
		return rnd.Intn(2) == 0
	case 4:
		list := make([]any, rnd.Intn(4))
		for i := range list {
			list[i] = randomJSON(rnd, depth-1)
		}
		return list
	}
	return map[string]any{"a": randomJSON(rnd, depth-1), `b"}`: randomJSON(rnd, depth-1)}
}
