package printer

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"sync"
)

// errTable says that canvas has written a PDF in another form than timeless reads.
var errTable = errors.New("the PDF's table is not where it was")

// timeless takes the time of day out of a PDF that canvas has written: out of
// its information dictionary and out of the fonts in it. Objects are copied one
// after the other and the table of their places (ISO 32000-1, 7.5.4) is made
// anew.
func timeless(file []byte) ([]byte, error) {
	table := bytes.LastIndex(file, []byte("\nxref\n0 ")) + 1
	trailer := bytes.LastIndex(file, []byte("trailer\n"))
	end := bytes.LastIndex(file, []byte("startxref\n"))
	rows := bytes.Split(file[max(table, 0):max(trailer, 0)], []byte("\n"))
	if table <= 0 || trailer < table || end < trailer || len(rows) < 4 {
		return nil, errTable
	}
	type object struct{ number, from int }
	var objects []object
	for i, row := range rows[3 : len(rows)-1] {
		from, err := strconv.Atoi(string(row[:min(10, len(row))]))
		if err != nil || from > table {
			return nil, errTable
		}
		objects = append(objects, object{i, from})
	}
	slices.SortFunc(objects, func(a, b object) int { return cmp.Compare(a.from, b.from) })
	out := slices.Clone(file[:objects[0].from])
	places := make([]int, len(objects))
	for i, o := range objects {
		to := table
		if i+1 < len(objects) {
			to = objects[i+1].from
		}
		body, err := timelessObject(file[o.from:to])
		if err != nil {
			return nil, err
		}
		places[o.number] = len(out)
		out = append(out, body...)
	}
	at := len(out)
	out = fmt.Appendf(out, "xref\n0 %d\n0000000000 65535 f \n", len(places)+1)
	for _, p := range places {
		out = fmt.Appendf(out, "%010d 00000 n \n", p)
	}
	return fmt.Appendf(append(out, file[trailer:end]...), "startxref\n%d\n%%%%EOF\n", at), nil
}

var (
	creationDate = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^2 0 obj\n<</CreationDate\([^)]*\)`)
	})
	flateStream = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`/Length (\d+)>>stream\n`) })
)

// timelessObject takes the time out of an object. The information dictionary is
// object 2, in which the time comes first.
func timelessObject(body []byte) ([]byte, error) {
	if creationDate().Match(body) {
		return creationDate().ReplaceAll(body, []byte("2 0 obj\n<<")), nil
	}
	m := flateStream().FindSubmatchIndex(body)
	if m == nil {
		return body, nil
	}
	length, err := strconv.Atoi(string(body[m[2]:m[3]]))
	if err != nil || m[1]+length > len(body) {
		return nil, errors.New("a stream of the PDF is cut short")
	}
	r, err := zlib.NewReader(bytes.NewReader(body[m[1] : m[1]+length]))
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(r)
	if err != nil || !bytes.HasPrefix(text, []byte("\x00\x01\x00\x00")) {
		return body, err // no TrueType font
	}
	if err := timelessFont(text); err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	w := zlib.NewWriter(&packed)
	_, _ = w.Write(text) // a bytes.Buffer takes everything
	_ = w.Close()
	out := fmt.Appendf(slices.Clone(body[:m[2]]), "%d>>stream\n", packed.Len())
	return append(append(out, packed.Bytes()...), body[m[1]+length:]...), nil
}

// timelessFont sets the time at which a font was changed, in its table "head",
// to 0, and makes the sums anew that depend on it (OpenType, "head" and "Table
// Directory": values from memory).
func timelessFont(font []byte) error {
	const (
		directory = 12 // and 16 bytes a table: tag, sum, place, length
		sumAt     = 8  // in head: the sum of the whole font
		changedAt = 28 // in head: 8 bytes
		headSize  = 54
		magicSum  = 0xB1B0AFBA
	)
	for at := directory; at+16 <= len(font) && at < directory+16*int(binary.BigEndian.Uint16(font[4:])); at += 16 {
		if string(font[at:at+4]) != "head" {
			continue
		}
		place := int(binary.BigEndian.Uint32(font[at+8:]))
		if place+headSize > len(font) {
			break
		}
		head := font[place : place+headSize]
		clear(head[sumAt : sumAt+4])
		clear(head[changedAt : changedAt+8])
		binary.BigEndian.PutUint32(font[at+4:], sum(head))
		binary.BigEndian.PutUint32(head[sumAt:], magicSum-sum(font))
		return nil
	}
	return errors.New("a font of the PDF has no table head")
}

// sum adds 32-bit words, the last one filled up with zeros.
func sum(b []byte) uint32 {
	var s uint32
	for ; len(b) >= 4; b = b[4:] {
		s += binary.BigEndian.Uint32(b)
	}
	var last [4]byte
	copy(last[:], b)
	return s + binary.BigEndian.Uint32(last[:])
}
