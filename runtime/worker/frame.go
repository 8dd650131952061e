package worker

import (
	"encoding/binary"
	"io"
	"sync"
)

// A frame is one message on a pipe: what it is, how long it is, and its bytes.
type frame struct {
	kind byte
	body []byte
}

// What a frame is. The parent sends one question and its picture, then a text
// for every label it is asked for. The child sends labels, the number of
// panels, and in the end its answer and the files in it, or a last word.
const (
	aQuestion byte = 'Q' // JSON
	aPicture  byte = 'P' // the last preview, bytes
	aLabel    byte = 'L' // of a text that is wanted
	aText     byte = 'T' // bytes
	anAbsence byte = 'N' // instead of a text
	anError   byte = 'E' // instead of a text: why it cannot be had
	aCount    byte = 'C' // 4 bytes: panels that will be worked on
	anAnswer  byte = 'A' // JSON
	aFile     byte = 'F' // bytes of one file of the answer
	aLastWord byte = 'W' // 1 byte, a limit; then the place where it was passed
)

const headSize = 5

// writeFrame writes one frame.
func writeFrame(w io.Writer, kind byte, body []byte) error {
	head := make([]byte, headSize, headSize+min(len(body), 4096))
	putHead(head, kind, len(body))
	if len(body) <= 4096 { // in one go
		_, err := w.Write(append(head, body...))
		return err
	}
	if _, err := w.Write(head); err != nil {
		return err
	}
	_, err := w.Write(body)
	return err
}

// putHead writes the head of a frame with so long a body.
func putHead(b []byte, kind byte, size int) {
	b[0] = kind
	binary.LittleEndian.PutUint32(b[1:], uint32(size))
}

// readFrame reads one frame of at most so many bytes.
func readFrame(r io.Reader, most int64) (frame, error) {
	var head [headSize]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return frame{}, err
	}
	f := frame{kind: head[0]}
	size := int64(binary.LittleEndian.Uint32(head[1:]))
	if size > most {
		return f, errSenseless("it says more than it may")
	}
	var err error
	f.body, err = readExactly(r, int(size))
	return f, err
}

// readExactly grows with what comes, so that a false length takes no memory.
func readExactly(r io.Reader, n int) ([]byte, error) {
	const piece = 1 << 20
	body := make([]byte, min(n, piece))
	for have := 0; ; {
		got, err := io.ReadFull(r, body[have:])
		if have += got; err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		if err != nil || have == n {
			return body, err
		}
		body = append(body, make([]byte, min(n-have, len(body)))...)
	}
}

// sender writes frames from more than one goroutine.
type sender struct {
	mu  sync.Mutex
	out io.Writer
}

func (s *sender) send(kind byte, body []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return writeFrame(s.out, kind, body)
}

// sendNow writes a frame, head and all, unless another one is on its way.
func (s *sender) sendNow(whole []byte) {
	if s.mu.TryLock() {
		_, _ = s.out.Write(whole)
		s.mu.Unlock()
	}
}
