package worker

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"io"
	"slices"
	"sync"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// A frame is one message on a pipe: what it is, how long it is, and its bytes.
type frame struct {
	kind byte
	body []byte
}

// What a frame is. The parent sends one question and its picture, then a text
// for every label it is asked for. The child sends labels, the number of
// panels, the stages if they are wanted, and in the end the parts of its answer and the files in it, or the
// limit that it passed.
const (
	frameQuestion byte = 'Q' // JSON of a question
	framePicture  byte = 'P' // the last preview, bytes
	frameLabel    byte = 'L' // of a text that is wanted
	frameText     byte = 'T' // bytes
	frameAbsent   byte = 'N' // instead of a text
	frameError    byte = 'E' // instead of a text: why it cannot be had
	framePanels   byte = 'C' // 4 bytes: how many panels will be worked on
	frameStage    byte = 'S' // 1 byte: the number of the stage that has begun
	frameAnswer   byte = 'A' // JSON of a part of the answer
	frameFile     byte = 'F' // bytes of one file of the answer
	frameLimit    byte = 'W' // 1 byte, the limit that was passed; then the position where
)

const headerSize = 5

// writeFrame writes one frame.
func writeFrame(w io.Writer, kind byte, body []byte) error {
	head := make([]byte, headerSize, headerSize+min(len(body), 4096))
	putHeader(head, kind, len(body))
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

// putHeader writes the header of a frame with a body of size bytes.
func putHeader(b []byte, kind byte, size int) {
	b[0] = kind
	binary.LittleEndian.PutUint32(b[1:], uint32(size))
}

// readFrame reads one frame of at most so many bytes.
func readFrame(r io.Reader, most int64) (frame, error) {
	var head [headerSize]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return frame{}, err
	}
	f := frame{kind: head[0]}
	size := int64(binary.LittleEndian.Uint32(head[1:]))
	if size > most {
		return f, protocolError("it says more than it may")
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

// question is what a process is to do: run a script or, with a fault, draw it.
type question struct {
	Script  string
	Params  map[string]string
	Formats []emit.Kind // of the child's table
	Also    []emit.Kind
	For     []string
	Paper   engine.Paper
	Tests   bool
	Only    string
	Motion  *engine.MotionRequest
	Layout  *engine.LayoutRequest
	Stages  bool // are to be told
	Limits  limit.Set
	Fault   *finding
}

// finding is a diag.Finding whose every field goes through JSON; the JSON of
// its own is for reports.
type finding diag.Finding

// answer is an engine.Result whose files' bytes come after it, or a part of one:
// the lists of all parts make up the whole.
type answer struct {
	Exit     engine.Exit
	Files    []fileHeader
	Findings []*finding
	Excerpts []engine.Excerpt
	Reads    []source.Read
	Prints   []string
	Pieces   []string
	Targets  []emit.Target
	Tests    []engine.Test
	Cautions []string
	Stack    string
	More     bool // another part follows
}

// fileHeader is a file without its bytes.
type fileHeader struct {
	Name string
	Kind emit.Kind
}

// Bounds of an answer. The child keeps within them whatever it has found; the
// parent refuses what does not.
const (
	maxPart         = 8 << 20  // bytes of one part, as JSON
	maxItems        = 20       // of each list in one part
	maxFindingBytes = 16 << 20 // bytes of parts beyond which findings are left out
	maxOverhead     = 64 << 20 // bytes of parts, labels and counts, names and printed text apart
	maxNames        = 1 << 10  // bytes of the names of a piece and of its files
	maxSpans        = 50       // places of a finding, of each sort
)

// maxAnswer is how many bytes a run for the request may say within its limits, files and
// all; those that are not written, where they are asked for, may be as large again. A
// printed byte takes up to six as JSON, and a piece has at least one panel.
func maxAnswer(req engine.Request) int64 {
	l := req.Limits
	output := l[limit.Output]
	if slices.ContainsFunc(req.Files(engine.Clean, nil, nil), func(f emit.File) bool { return f.Format.Unwritten }) {
		output *= 2
	}
	return output + 6*l[limit.Prints] + maxNames*l[limit.Panels] + maxOverhead
}

// sendResult writes the answer, part by part, and then its files.
func sendResult(s *sender, res engine.Result) error {
	a := answerOf(res)
	for room := maxFindingBytes; a.More; {
		part, err := a.takePart(&room)
		if err == nil {
			err = s.send(frameAnswer, part)
		}
		if err != nil {
			return err
		}
	}
	for _, f := range res.Files {
		if err := s.send(frameFile, f.Bytes); err != nil {
			return err
		}
	}
	return nil
}

// answerOf is the result as it is sent, with nothing in it that is too long.
func answerOf(res engine.Result) *answer {
	a := &answer{
		Exit: res.Exit, Excerpts: res.Excerpts, Reads: res.Reads, Prints: res.Prints,
		Pieces: res.Pieces, Targets: res.Targets, Tests: res.Tests, Cautions: res.Cautions, Stack: diag.Short(res.Stack), More: true,
	}
	for _, f := range res.Files {
		a.Files = append(a.Files, fileHeader{f.Name, f.Kind})
	}
	for _, f := range res.Findings {
		g := finding(*f)
		if g.At != nil && !g.At.Finite() {
			g.At = nil
		}
		for _, s := range []*string{&g.Message, &g.Hint, &g.Piece, &g.Panel, &g.Pose} {
			*s = diag.Short(*s)
		}
		g.Site = g.Site[:min(len(g.Site), maxSpans)]
		g.Related = append([]diag.Related(nil), g.Related[:min(len(g.Related), maxSpans)]...)
		for i := range g.Related {
			g.Related[i].Message = diag.Short(g.Related[i].Message)
		}
		a.Findings = append(a.Findings, &g)
	}
	return a
}

// takePart takes the next part from an answer, as JSON. Where there is no more
// room, which only a script can bring about that is meant to, findings and all
// that is not needed to make sense of the files is left out.
func (a *answer) takePart(room *int) ([]byte, error) {
	part := answer{
		Exit: a.Exit, Stack: a.Stack,
		Files: takeItems(&a.Files), Findings: takeItems(&a.Findings), Excerpts: takeItems(&a.Excerpts), Reads: takeItems(&a.Reads),
		Prints: takeItems(&a.Prints), Pieces: takeItems(&a.Pieces), Targets: takeItems(&a.Targets), Tests: takeItems(&a.Tests), Cautions: takeItems(&a.Cautions),
	}
	a.More = len(a.Files)+len(a.Findings)+len(a.Excerpts)+len(a.Reads)+len(a.Prints)+len(a.Pieces)+len(a.Targets)+len(a.Tests)+len(a.Cautions) > 0
	part.More = a.More
	text, err := marshal(part)
	if *room -= len(text); *room >= 0 || err != nil {
		return text, err
	}
	part.Findings, part.Excerpts, part.Reads, part.Cautions = nil, nil, nil, nil
	return marshal(part)
}

// takeItems takes the next few items of a list.
func takeItems[T any](from *[]T) []T {
	n := min(len(*from), maxItems)
	out := (*from)[:n]
	*from = (*from)[n:]
	return out
}

func marshal(v any) ([]byte, error) {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return text.Bytes(), err
}

// add appends a part to what has come of an answer.
func (a *answer) add(part *answer) {
	a.Exit, a.Stack, a.More = part.Exit, part.Stack, part.More
	a.Files = append(a.Files, part.Files...)
	a.Findings = append(a.Findings, part.Findings...)
	a.Excerpts = append(a.Excerpts, part.Excerpts...)
	a.Reads = append(a.Reads, part.Reads...)
	a.Prints = append(a.Prints, part.Prints...)
	a.Pieces = append(a.Pieces, part.Pieces...)
	a.Targets = append(a.Targets, part.Targets...)
	a.Tests = append(a.Tests, part.Tests...)
	a.Cautions = append(a.Cautions, part.Cautions...)
}

// result is the answer as a build gives it, with the files that it lists and
// their bytes in order.
func (a *answer) result(files []emit.File, texts [][]byte) engine.Result {
	res := engine.Result{
		Exit: a.Exit, Excerpts: a.Excerpts, Reads: a.Reads, Prints: a.Prints,
		Pieces: a.Pieces, Targets: a.Targets, Tests: a.Tests, Cautions: a.Cautions, Stack: a.Stack,
	}
	for i, f := range files {
		res.Files = append(res.Files, engine.File{Name: f.Name, Traits: f.Format.Traits, Bytes: texts[i]})
	}
	for _, f := range a.Findings {
		res.Findings = append(res.Findings, (*diag.Finding)(f))
	}
	return res
}

// position keeps where a run has come to. On Linux its memory is shared with the
// parent, which can read it when the process has died without a word.
type position struct {
	mu     sync.Mutex
	memory []byte
}

const (
	positionSize     = 4096
	maxPositionSpans = 2    // the designer's own line and the library's
	maxPositionLabel = 1000 // bytes
)

// set takes in the position; what of it does not fit is left out.
func (p *position) set(at source.Site) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.memory) < positionSize {
		return
	}
	at = at[:min(len(at), maxPositionSpans)]
	out := append(p.memory[:0], byte(len(at)))
	for _, s := range at {
		label := s.File[:min(len(s.File), maxPositionLabel)]
		for _, n := range [...]int{s.Line, s.Column, s.EndLine, s.EndColumn, len(label)} {
			out = binary.LittleEndian.AppendUint32(out, uint32(n))
		}
		out = append(out, label...)
	}
}

// copyTo gives the position as it is sent.
func (p *position) copyTo(b []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	copy(b, p.memory)
}

// readPosition reads a position's memory, which need not make sense.
func readPosition(memory []byte) (at source.Site) {
	if len(memory) == 0 {
		return nil
	}
	n, rest := int(memory[0]), memory[1:]
	for range min(n, maxPositionSpans) {
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
