package live

import "github.com/creasewright/creasewright/runtime/source"

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

// nowhere is what is seen while the script's path makes no sense: under a label
// that no text has.
func nowhere(err error) texts { return texts{"": {err: err.Error()}} }
