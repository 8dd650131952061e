package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// checkOutputs checks that every file of a run parses as what it is and holds
// nothing that a reader would obey.
func checkOutputs(t *testing.T, dir string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if errors.Is(err, os.ErrNotExist) {
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		switch filepath.Ext(e.Name()) {
		case ".svg":
			checkSVG(t, e.Name(), text)
		case ".json":
			checkJSON(t, e.Name(), text)
		case ".dxf":
			checkDXF(t, e.Name(), text)
		default:
			t.Errorf("a file called %q", e.Name())
		}
	}
}

// svgElements are the elements that the project's pictures are made of.
var svgElements = map[string]bool{
	"svg": true, "g": true, "path": true, "rect": true, "circle": true, "line": true, "text": true, "tspan": true,
	"title": true, "desc": true, "style": true, "defs": true, "pattern": true, "clipPath": true, "use": true, "polyline": true, "polygon": true,
}

func checkSVG(t *testing.T, name string, text []byte) {
	t.Helper()
	if !utf8.Valid(text) {
		t.Errorf("%s is not UTF-8", name)
	}
	d := xml.NewDecoder(bytes.NewReader(text))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		switch token := token.(type) {
		case xml.StartElement:
			if !svgElements[token.Name.Local] {
				t.Errorf("%s has an element <%s>", name, token.Name.Local)
			}
			for _, a := range token.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || strings.Contains(strings.ToLower(a.Value), "javascript:") {
					t.Errorf("%s has an attribute %s=%q", name, a.Name.Local, a.Value)
				}
				checkShown(t, name, a.Value)
			}
		case xml.CharData:
			checkShown(t, name, string(token))
		case xml.Comment:
			t.Errorf("%s has a comment %q", name, token)
		case xml.Directive:
			t.Errorf("%s has a directive %q", name, token)
		}
	}
}

// checkShown checks text that is shown: nothing in it turns writing round or
// cannot be shown.
func checkShown(t *testing.T, name, text string) {
	t.Helper()
	for _, r := range text {
		if r != '\n' && unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%s shows %U in %.80q", name, r, text)
			return
		}
	}
}

// checkJSON checks that a report is sound JSON in which nothing but letters
// stands for itself where it could be taken for something else.
func checkJSON(t *testing.T, name string, text []byte) {
	t.Helper()
	if !json.Valid(text) || !utf8.Valid(text) {
		t.Errorf("%s is no JSON", name)
	}
	for _, r := range string(text) {
		if r != '\n' && unicode.Is(unicode.Cc, r) {
			t.Errorf("%s holds %U as it stands", name, r)
			return
		}
	}
}

// checkDXF checks that a drawing is pairs of a code and a value to its end.
func checkDXF(t *testing.T, name string, text []byte) {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	if len(lines)%2 != 0 || lines[len(lines)-1] != "EOF" {
		t.Errorf("%s has %d lines and ends in %q", name, len(lines), lines[len(lines)-1])
	}
	for i := 0; i < len(lines); i += 2 {
		if strings.TrimSpace(lines[i]) == "" || strings.Trim(strings.TrimSpace(lines[i]), "0123456789") != "" {
			t.Errorf("%s, line %d: %q is no code", name, i+1, lines[i])
			return
		}
	}
	checkShown(t, name, strings.ReplaceAll(string(text), "\n", ""))
}
