package emit

import (
	"bytes"
	"context"
	"errors"
)

// How every SVG file that a run makes begins and ends.
const (
	svgHead = `<?xml version="1.0" encoding="UTF-8"?>` + "\n<svg "
	svgTail = "</svg>\n"
)

// drawingElements are all that an SVG file may be made of: nothing that runs,
// fetches, animates or holds another language.
var drawingElements = map[string]bool{
	"svg": true, "title": true, "desc": true, "defs": true, "pattern": true, "marker": true, "symbol": true, "clipPath": true,
	"g": true, "path": true, "rect": true, "circle": true, "ellipse": true, "line": true, "polyline": true, "polygon": true,
	"text": true, "tspan": true, "style": true,
}

// styleWords are all words of a picture's style sheet: of sizes and places for the
// page and the window, none that fetches, animates or takes a text.
var styleWords = map[string]bool{
	"page": true, "size": true, "mm": true, "margin": true, "media": true, "screen": true, "and": true, "max": true, "width": true,
	"aspect": true, "ratio": true, "px": true, "vw": true, "svg": true, "root": true, "height": true, "auto": true, "background": true,
	"white": true, "cell": true, "column": true, "nth": true, "of": true, "type": true, "transform": true, "translate": true, "scale": true,
}

// onlyPlaces reports whether a style sheet holds no other word, and no sign by which a
// word could be written in another way or a text be given.
func onlyPlaces(sheet []byte) bool {
	for len(sheet) > 0 {
		n := 0
		for n < len(sheet) && 'a' <= sheet[n] && sheet[n] <= 'z' {
			n++
		}
		if n > 0 && !styleWords[string(sheet[:n])] || n == 0 && bytes.IndexByte([]byte("0123456789 .,:;%(){}@-/"), sheet[0]) < 0 {
			return false
		}
		sheet = sheet[max(n, 1):]
	}
	return true
}

// forbidden is what no tag of an SVG file of a run holds: attributes that act
// (on…), refer (href, style) or change what names mean (a prefix), values that
// are not between double quotes right behind their equals sign, and a second
// tag. A fill may refer to a pattern of the file's own alone. A line breaks within a
// tag only before a stroke of a path.
var forbidden = [][]byte{
	[]byte(" on"), []byte("href"), []byte(" style"), []byte("xmlns:"), []byte("='"), []byte(" ="), []byte("= "), []byte("\r"), []byte("\t"), []byte("<"),
}

// checkSVG finds fault with an SVG file, which a browser may be given to open,
// that does more than draw. It is one pass over the tags and knows just so much
// of XML as our writers use: what is written in any other way is refused with
// what could do harm. Text between tags may say anything.
// It is no parser: a text that passes need not be sound XML.
func checkSVG(ctx context.Context, text []byte) error {
	text = text[bytes.IndexByte(text, '\n')+1:] // behind the XML declaration
	for {
		i := bytes.IndexByte(text, '<')
		if i < 0 {
			return nil
		}
		text = text[i+1:]
		end := bytes.IndexByte(text, '>')
		if end < 0 {
			return errors.New("a tag in it does not end")
		}
		tag, closes := bytes.CutPrefix(text[:end], []byte("/"))
		text = text[end+1:]
		name, rest, _ := bytes.Cut(bytes.TrimSuffix(tag, []byte("/")), []byte(" "))
		if !drawingElements[string(name)] || bytes.Count(rest, []byte(`"`))%2 > 0 ||
			bytes.Count(tag, []byte("\n")) > bytes.Count(tag, []byte("\nM")) ||
			bytes.Count(tag, []byte("url(")) > bytes.Count(tag, []byte("url(#")) {
			return errors.New("it does more than draw")
		}
		for _, f := range forbidden {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			if bytes.Contains(tag, f) {
				return errors.New("it does more than draw")
			}
		}
		if string(name) == "style" && !closes {
			sheet, _, _ := bytes.Cut(text, []byte("<"))
			if len(tag) > len(name) || !onlyPlaces(sheet) {
				return errors.New("its style sheet does more than place")
			}
		}
	}
}
