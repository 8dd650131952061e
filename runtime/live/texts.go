package live

import (
	"github.com/creasewright/creasewright/runtime/read"
	"github.com/creasewright/creasewright/runtime/source"
)

// texts is what a run saw behind each label: the text, or why there was none.
type texts map[string]look

type look struct{ text, err string }

func lookAt(read source.Reader, label string) (look, []byte, error) {
	text, err := read(label)
	if err != nil {
		return look{err: err.Error()}, nil, err
	}
	return look{text: string(text)}, text, nil
}

// recording reads as next does and notes what came back.
func (t texts) recording(next source.Reader) source.Reader {
	return func(label string) ([]byte, error) {
		seen, text, err := lookAt(next, label)
		t[label] = seen
		return text, err
	}
}

// again looks at the same labels anew.
func (t texts) again(read source.Reader) texts {
	now := make(texts, len(t))
	for label := range t {
		now[label], _, _ = lookAt(read, label)
	}
	return now
}

// torn reports whether a text that was there is now gone or empty: an editor
// may be in the middle of a save.
func (t texts) torn(now texts) bool {
	for label, was := range t {
		if was.text != "" && now[label].text == "" {
			return true
		}
	}
	return false
}

// paths lists where the labels lie or would lie on disk.
func (t texts) paths(folder *read.Folder) []string {
	var out []string
	for label := range t {
		if p, ok := folder.Path(label); ok {
			out = append(out, p)
		}
	}
	return out
}
