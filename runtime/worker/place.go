package worker

import (
	"encoding/binary"
	"sync"

	"github.com/creasewright/creasewright/runtime/source"
)

// place keeps where a run has come to. On Linux its memory is shared with the
// parent, which can read it when the process has died without a word.
type place struct {
	mu     sync.Mutex
	memory []byte
}

const (
	placeSize = 4096
	mostSpans = 2    // the designer's own line and the library's
	mostLabel = 1000 // bytes
)

// set takes in the place; what of it does not fit is left out.
func (p *place) set(at source.Site) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.memory) < placeSize {
		return
	}
	at = at[:min(len(at), mostSpans)]
	out := append(p.memory[:0], byte(len(at)))
	for _, s := range at {
		label := s.File[:min(len(s.File), mostLabel)]
		for _, n := range [...]int{s.Line, s.Column, s.EndLine, s.EndColumn, len(label)} {
			out = binary.LittleEndian.AppendUint32(out, uint32(n))
		}
		out = append(out, label...)
	}
}

// copyTo gives the place as it is sent.
func (p *place) copyTo(b []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	copy(b, p.memory)
}

// readPlace reads a place's memory, which need not make sense.
func readPlace(memory []byte) (at source.Site) {
	if len(memory) == 0 {
		return nil
	}
	n, rest := int(memory[0]), memory[1:]
	for range min(n, mostSpans) {
		var f [5]int
		for i := range f {
			if len(rest) < 4 {
				return at
			}
			f[i], rest = int(int32(binary.LittleEndian.Uint32(rest))), rest[4:]
		}
		if f[4] < 0 || f[4] > len(rest) {
			return at
		}
		at = append(at, source.Span{File: string(rest[:f[4]]), Line: f[0], Column: f[1], EndLine: f[2], EndColumn: f[3]})
		rest = rest[f[4]:]
	}
	return at
}
