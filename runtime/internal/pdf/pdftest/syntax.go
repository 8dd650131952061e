package pdftest

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"regexp"
	"strconv"
	"unicode/utf16"
)

// Values of PDF: float64, bool, nil, name, text, reference, operator, []any, dict.
type (
	name      string
	text      []byte
	reference int
	operator  string
	dict      map[string]any
)

// stream is an object with data.
type stream struct {
	dict
	data []byte
}

// objects are a file's, by number, and which of them were asked for.
type objects struct {
	bodies []any
	asked  []bool
}

var tail = regexp.MustCompile(`trailer\n(<<.*>>)\nstartxref\n(\d+)\n%%EOF\n$`)

// readObjects reads the table, and every object at its place. Between the head and the
// table there is nothing else.
func readObjects(file []byte) (*objects, dict, error) {
	m := tail.FindSubmatchIndex(file)
	head := regexp.MustCompile(`^%PDF-1\.7\n%[^\n\r]*\n`).Find(file)
	if m == nil || head == nil {
		return nil, nil, fmt.Errorf("no head or no tail")
	}
	at, _ := strconv.Atoi(string(file[m[4]:m[5]]))
	if at > m[0] {
		return nil, nil, fmt.Errorf("the table is at %d", at)
	}
	rows := regexp.MustCompile(`^xref\n0 (\d+)\n0000000000 65535 f \n((?:\d{10} 00000 n \n)*)$`).FindSubmatch(file[at:m[0]])
	if rows == nil {
		return nil, nil, fmt.Errorf("the table is %q", file[at:m[0]])
	}
	o := &objects{}
	next := len(head)
	for row := range bytes.Lines(rows[2]) {
		offset, _ := strconv.Atoi(string(row[:10]))
		if offset != next || offset >= at {
			return nil, nil, fmt.Errorf("object %d is at %d, after %d", len(o.bodies)+1, offset, next)
		}
		body, n, err := readObject(file[offset:at], len(o.bodies)+1)
		if err != nil {
			return nil, nil, fmt.Errorf("object %d: %w", len(o.bodies)+1, err)
		}
		next = offset + n
		o.bodies = append(o.bodies, body)
	}
	if next != at || string(rows[1]) != strconv.Itoa(len(o.bodies)+1) {
		return nil, nil, fmt.Errorf("%d objects up to %d, and the table at %d", len(o.bodies), next, at)
	}
	o.asked = make([]bool, len(o.bodies))
	s := scanner{rest: file[m[2]:m[3]]}
	trailer, err := s.value()
	if err != nil {
		return nil, nil, err
	}
	d, _ := trailer.(dict)
	if d["Size"] != float64(len(o.bodies)+1) {
		return nil, nil, fmt.Errorf("the trailer has size %v", d["Size"])
	}
	return o, d, nil
}

// readObject reads one object and says how long it is.
func readObject(file []byte, number int) (any, int, error) {
	head := fmt.Sprintf("%d 0 obj\n", number)
	if !bytes.HasPrefix(file, []byte(head)) {
		return nil, 0, fmt.Errorf("%.20q is there", file)
	}
	s := scanner{rest: file[len(head):]}
	body, err := s.value()
	if err != nil {
		return nil, 0, err
	}
	if d, ok := body.(dict); ok && s.skip("stream\n") {
		length, _ := d["Length"].(float64)
		if int(length) >= len(s.rest) {
			return nil, 0, fmt.Errorf("a stream of %v bytes", length)
		}
		body = stream{d, s.rest[:int(length)]}
		s.rest = s.rest[int(length):]
		if !s.skip("\nendstream") {
			return nil, 0, fmt.Errorf("the stream does not end after %v bytes", length)
		}
	}
	if !s.skip("\nendobj\n") {
		return nil, 0, fmt.Errorf("no end at %.20q", s.rest)
	}
	return body, len(file) - len(s.rest), nil
}

// get follows a reference.
func (o *objects) get(v any) any {
	r, ok := v.(reference)
	if !ok {
		return v
	}
	if r < 1 || int(r) > len(o.bodies) {
		return nil
	}
	o.asked[r-1] = true
	return o.bodies[r-1]
}

func (o *objects) dict(v any) dict {
	switch v := o.get(v).(type) {
	case dict:
		return v
	case stream:
		return v.dict
	}
	return nil
}

func (o *objects) list(v any) []any {
	l, _ := o.get(v).([]any)
	return l
}

// scanner reads values from what is left of a text.
type scanner struct{ rest []byte }

// skip goes past a word if it is next.
func (s *scanner) skip(word string) bool {
	rest, ok := bytes.CutPrefix(s.rest, []byte(word))
	s.rest = rest
	return ok
}

func (s *scanner) space() { s.rest = bytes.TrimLeft(s.rest, " \n") }

var (
	numberForm    = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])?`)
	referenceForm = regexp.MustCompile(`^([1-9][0-9]*) 0 R`)
	nameForm      = regexp.MustCompile(`^/[A-Za-z_][A-Za-z0-9_+-]*`)
	hexForm       = regexp.MustCompile(`^<((?:[0-9A-F]{2})*)>`)
	textForm      = regexp.MustCompile(`^\(([ -'*-\[\]-~]*)\)`)
	wordForm      = regexp.MustCompile(`^[A-Za-z][A-Za-z*]*`)
)

// value reads one value or operator.
func (s *scanner) value() (any, error) {
	s.space()
	take := func(form *regexp.Regexp) [][]byte {
		m := form.FindSubmatch(s.rest)
		if m != nil {
			s.rest = s.rest[len(m[0]):]
		}
		return m
	}
	if s.skip("<<") {
		return s.dict()
	}
	if s.skip("[") {
		return s.list()
	}
	if m := take(referenceForm); m != nil {
		n, err := strconv.Atoi(string(m[1]))
		return reference(n), err
	}
	if m := take(numberForm); m != nil {
		return strconv.ParseFloat(string(m[0]), 64)
	}
	if m := take(nameForm); m != nil {
		return name(m[0][1:]), nil
	}
	if m := take(hexForm); m != nil {
		b, err := hex.DecodeString(string(m[1]))
		return text(b), err
	}
	if m := take(textForm); m != nil {
		return text(m[1]), nil
	}
	if m := take(wordForm); m != nil {
		switch w := string(m[0]); w {
		case "true", "false":
			return w == "true", nil
		case "null":
			return nil, nil
		default:
			return operator(w), nil
		}
	}
	return nil, fmt.Errorf("no value at %.20q", s.rest)
}

func (s *scanner) dict() (dict, error) {
	out := dict{}
	for {
		if s.space(); s.skip(">>") {
			return out, nil
		}
		key, err := s.value()
		if err != nil {
			return nil, err
		}
		k, ok := key.(name)
		if _, twice := out[string(k)]; !ok || twice {
			return nil, fmt.Errorf("the key %v", key)
		}
		if out[string(k)], err = s.value(); err != nil {
			return nil, err
		}
	}
}

func (s *scanner) list() ([]any, error) {
	out := []any{}
	for {
		if s.space(); s.skip("]") {
			return out, nil
		}
		v, err := s.value()
		if err != nil {
			return nil, err
		}
		if _, ok := v.(operator); ok {
			return nil, fmt.Errorf("the word %v in a list", v)
		}
		out = append(out, v)
	}
}

// words is a text string as Go has it.
func words(v any) string {
	t, _ := v.(text)
	b, ok := bytes.CutPrefix(t, []byte("\xFE\xFF"))
	if !ok {
		return string(t)
	}
	var units []uint16
	for i := 0; i+1 < len(b); i += 2 {
		units = append(units, uint16(b[i])<<8|uint16(b[i+1]))
	}
	return string(utf16.Decode(units))
}
