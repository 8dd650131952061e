// Package pdf writes PDF 1.7 (ISO 32000-1): drawings of lines, arcs and cubics in
// millimetres on pages of true size, in layers (optional-content groups) and in spot
// colours that overprint. It embeds no font by itself; who has one adds its objects.
//
// # Why not a library
//
// What files for print need is what the libraries that write PDF leave out: entries of
// one's own in the dictionary of a layer (ISO 19593-1), the state in which a layer prints,
// Separation colour spaces with overprint, and the page's boxes. And every run must write
// the same bytes, with no time in them.
//
// # Bytes
//
// Objects stand in the order of their numbers, one after the other, behind a head of two
// lines; the table of their places follows. Streams are not compressed, since what a
// compressor makes of a text may change from one of its versions to the next. The file's
// identifier is taken from its bytes, not from a clock. Strings are hexadecimal wherever
// they hold anything but letters, digits and a few signs, so that no text can be taken for
// syntax.
//
// # Geometry
//
// A page's content is scaled once, by 72/25.4 points to a millimetre, and written in
// millimetres with four decimals, y up, from the page's lower left corner. An arc of
// sweep φ in n parts becomes n cubics with the arc's ends and tangents, whose handles are
// 4/3·tan(φ/4n) radii long. Such a cubic strays from the arc by
// 2/27·sin⁶(φ/4n)/cos²(φ/4n) of the radius (value from memory; TestArcs samples it), which
// arcParts holds below arcError. TestStrokesReadBack compares pages, as another parser
// reads them, with the curves that were drawn.
package pdf

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf16"
)

// Head and Tail are how every file begins and ends. The second line is a comment of bytes
// over 127, by which programs that transfer files take it for binary (7.5.2).
const (
	Head = "%PDF-1.7\n%Ŧǟċơ\n"
	Tail = "\n%%EOF\n"
)

// Ref is the number of an indirect object, from 1.
type Ref int

// String is the object as others name it.
func (r Ref) String() string { return fmt.Sprintf("%d 0 R", int(r)) }

// objects are the bodies of the indirect objects by their numbers less one.
type objects [][]byte

// Reserve gives a number to an object that is set later.
func (o *objects) Reserve() Ref {
	*o = append(*o, nil)
	return Ref(len(*o))
}

// Set gives a reserved object its body.
func (o *objects) Set(r Ref, body string) { (*o)[r-1] = []byte(body) }

// Add adds an object.
func (o *objects) Add(body string) Ref {
	r := o.Reserve()
	o.Set(r, body)
	return r
}

// Stream adds a stream. dict is what its dictionary holds besides the length, as in
// "/Subtype/Image"; it may hold no strings.
func (o *objects) Stream(dict string, data []byte) Ref {
	r := o.Reserve()
	body := fmt.Appendf(nil, "<<%s/Length %d>>stream\n", dict, len(data))
	(*o)[r-1] = append(append(body, data...), "\nendstream"...)
	return r
}

// file lays the objects out as a file whose catalogue is root (7.5).
func (o objects) file(root, info Ref) []byte {
	out := []byte(Head)
	table := fmt.Appendf(nil, "xref\n0 %d\n0000000000 65535 f \n", len(o)+1)
	for i, body := range o {
		table = fmt.Appendf(table, "%010d 00000 n \n", len(out))
		out = fmt.Appendf(out, "%d 0 obj\n%s\nendobj\n", i+1, body)
	}
	sum := sha256.Sum256(out)
	id := strings.ToUpper(hex.EncodeToString(sum[:16]))
	at := len(out)
	out = append(out, table...)
	out = fmt.Appendf(out, "trailer\n<</Size %d/Root %s/Info %s/ID[<%s><%s>]>>\n", len(o)+1, root, info, id, id)
	return fmt.Appendf(out, "startxref\n%d%s", at, Tail)
}

// Text is a text string (7.9.2.2): in brackets where it is plain, else as the
// hexadecimal digits of its UTF-16.
func Text(s string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune(" .,-", r)
	}
	if strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return "(" + s + ")"
	}
	return "<FEFF" + UTF16(s) + ">"
}

// UTF16 is a text as the hexadecimal digits of its UTF-16, the higher byte first.
func UTF16(s string) string {
	out := []byte{}
	for _, u := range utf16.Encode([]rune(s)) {
		out = fmt.Appendf(out, "%04X", u)
	}
	return string(out)
}

// isName reports whether s can stand behind a slash as it is: ASCII letters first, then
// digits and hyphens too.
func isName(s string) bool {
	for i, r := range s {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
		if !letter && (i == 0 || r != '-' && (r < '0' || r > '9')) {
			return false
		}
	}
	return s != ""
}
