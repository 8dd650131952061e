package worker

import (
	"bytes"

	"github.com/creasewright/creasewright/runtime/engine"
)

// heads is how files of each kind begin.
var heads = map[engine.FileKind][]byte{
	engine.Preview: []byte(`<?xml version="1.0" encoding="UTF-8"?>` + "\n<svg "),
	engine.CutSVG:  []byte(`<?xml version="1.0" encoding="UTF-8"?>` + "\n<svg "),
	engine.CutDXF:  []byte("  0\nSECTION\n"),
	engine.Report:  []byte("{\n"),
}

// looksRight reports whether a file is of its kind, as far as matters to who
// opens it: a picture holds nothing that a browser would run or fetch.
func looksRight(kind engine.FileKind, text []byte) bool {
	head, ok := heads[kind]
	if !ok || !bytes.HasPrefix(text, head) {
		return false
	}
	return kind != engine.Preview && kind != engine.CutSVG || drawsOnly(text[bytes.IndexByte(text, '\n'):])
}

// elements are all that our pictures are made of.
var elements = map[string]bool{
	"svg": true, "title": true, "defs": true, "pattern": true,
	"g": true, "path": true, "rect": true, "circle": true, "text": true, "tspan": true,
}

// drawsOnly reports whether a picture has no element but those, and no
// attribute that refers to something or acts. It knows just so much of XML as
// our writers use, and takes nothing else: values stand between double quotes
// right behind their equals signs, and no tag holds a > before its end.
func drawsOnly(text []byte) bool {
	for {
		i := bytes.IndexByte(text, '<')
		if i < 0 {
			return true
		}
		text = text[i+1:]
		end := bytes.IndexByte(text, '>')
		if end < 0 {
			return false
		}
		tag := bytes.TrimPrefix(text[:end], []byte("/"))
		text = text[end+1:]
		name, rest, _ := bytes.Cut(bytes.TrimSuffix(tag, []byte("/")), []byte(" "))
		if !elements[string(name)] || bytes.Count(rest, []byte(`"`))%2 > 0 || bytes.Count(tag, []byte("\n")) > bytes.Count(tag, []byte("\nM")) {
			return false
		}
		for _, odd := range oddities {
			if bytes.Contains(tag, odd) {
				return false
			}
		}
	}
}

// oddities are what no tag of ours holds. Lines are broken within one only
// before a stroke of a path, so that a name is told by the space before it.
var oddities = [][]byte{
	[]byte(" on"), []byte("href"), []byte(" style"), []byte("='"), []byte(" ="), []byte("= "), []byte("\r"), []byte("\t"), []byte("<"),
}
