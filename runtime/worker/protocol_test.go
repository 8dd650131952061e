package worker

import (
	"bytes"
	"io"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// Law: frames of any size come through in order, and the stream ends cleanly
// after the last.
func TestFramesComeThrough(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	var sent []frame
	var pipe bytes.Buffer
	for _, size := range []int{0, 1, 4095, 4096, 4097, 1 << 20, 1<<20 + 1, 3<<20 + 7} {
		f := frame{byte(r.Intn(256)), make([]byte, size)}
		r.Read(f.body)
		sent = append(sent, f)
		if err := writeFrame(&pipe, f.kind, f.body); err != nil {
			t.Fatal(err)
		}
	}
	for i, want := range sent {
		got, err := readFrame(&pipe, 4<<20)
		if err != nil || got.kind != want.kind || !bytes.Equal(got.body, want.body) {
			t.Fatalf("frame %d: kind %q, %d bytes, %v", i, got.kind, len(got.body), err)
		}
	}
	if _, err := readFrame(&pipe, 4<<20); err != io.EOF {
		t.Errorf("after the last: %v", err)
	}
}

// A length that promises gigabytes takes no memory for them.
func TestFalseLengths(t *testing.T) {
	for name, said := range map[string][]byte{
		"too long": {'A', 0, 0, 0, 0x7f},
		"cut off":  {'A', 0, 0, 0, 0x03, 1, 2, 3},
		"half":     {'A', 0, 0},
	} {
		f, err := readFrame(bytes.NewReader(said), 1<<30)
		if err == nil || cap(f.body) > 4<<20 {
			t.Errorf("%s: %v, %d bytes", name, err, cap(f.body))
		}
	}
}

// Law: a place comes back as it was set, cut to what there is room for; any
// bytes are read without harm.
func TestPlaces(t *testing.T) {
	p, sent := &position{memory: make([]byte, positionSize)}, make([]byte, positionSize)
	main := source.Span{File: "box.star", Line: 7, Column: 3, EndLine: 7, EndColumn: 20}
	part := source.Span{File: "@shelf//ends.star", Line: 1, Column: 1, EndLine: 2, EndColumn: 1}
	long := source.Span{File: string(bytes.Repeat([]byte("x"), 3000)), Line: 1}
	for _, at := range []source.Site{nil, {main}, {main, part}, {part}} {
		p.set(at)
		p.copyTo(sent)
		got := readPosition(sent)
		if len(got) != len(at) {
			t.Fatalf("%v came back as %v", at, got)
		}
		for i := range at {
			if got[i] != at[i] {
				t.Errorf("%v came back as %v", at[i], got[i])
			}
		}
	}
	p.set(source.Site{long, long, main})
	p.copyTo(sent)
	if got := readPosition(sent); len(got) != 2 || len(got[0].File) != maxPositionLabel {
		t.Errorf("a long label came back as %d spans", len(got))
	}
	r := rand.New(rand.NewSource(5))
	for range 10_000 {
		noise := make([]byte, r.Intn(100))
		r.Read(noise)
		if got := readPosition(noise); len(got) > maxPositionSpans {
			t.Errorf("%v gave %v", noise, got)
		}
	}
}
