package live

import (
	"crypto/sha256"
	"slices"
	"sync"

	"github.com/creasewright/creasewright/runtime/source"
)

// texts is what a run saw behind each label. It is kept for as long as the
// watch goes on, and a run may load thousands of texts: so it knows them again
// and does not hold them. The zero value has seen nothing; it is safe for use by
// several goroutines.
type texts struct {
	mu   sync.Mutex
	seen map[string]fingerprint
}

// fingerprint is a text by its length and digest, or why there was none.
type fingerprint struct {
	length int
	digest [sha256.Size]byte
	err    string
}

func fingerprintOf(read source.Reader, label string) (fingerprint, []byte, error) {
	text, err := read(label)
	if err != nil {
		return fingerprint{err: err.Error()}, nil, err
	}
	return fingerprint{length: len(text), digest: sha256.Sum256(text)}, text, nil
}

// note takes in what was seen behind a label.
func (t *texts) note(label string, seen fingerprint) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.seen == nil {
		t.seen = map[string]fingerprint{}
	}
	t.seen[label] = seen
}

// recording reads as next does and notes what came back.
func (t *texts) recording(next source.Reader) source.Reader {
	return func(label string) ([]byte, error) {
		seen, text, err := fingerprintOf(next, label)
		t.note(label, seen)
		return text, err
	}
}

// labels are sorted.
func (t *texts) labels() []string {
	t.mu.Lock()
	defer t.mu.Unlock()
	all := make([]string, 0, len(t.seen))
	for label := range t.seen {
		all = append(all, label)
	}
	slices.Sort(all)
	return all
}

// compare looks at the same labels anew: whether all is as it was, and whether
// a text that was there is now gone or empty, so that an editor may be in the
// middle of a save.
func (t *texts) compare(read source.Reader) (same, partial bool) {
	same = true
	for _, label := range t.labels() {
		t.mu.Lock()
		was := t.seen[label]
		t.mu.Unlock()
		now, _, _ := fingerprintOf(read, label)
		same = same && now == was
		partial = partial || was.length > 0 && now.length == 0
	}
	return same, partial
}

// unseen is what has seen a text of such a label, which nobody has read.
func unseen(label string) *texts {
	t := &texts{}
	t.note(label, fingerprint{})
	return t
}

// nowhere is what is seen while the script's path makes no sense: under a label
// that no text has.
func nowhere(err error) *texts {
	t := &texts{}
	t.note("", fingerprint{err: err.Error()})
	return t
}
