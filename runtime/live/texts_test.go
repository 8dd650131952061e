package live

import (
	"bytes"
	"errors"
	"fmt"
	"runtime"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/source"
)

// Two texts that begin alike and have the same length are told apart; an error
// is no text, and not another error.
func TestCompare(t *testing.T) {
	gives := func(text string, err error) source.Reader {
		return func(string) ([]byte, error) {
			if err != nil {
				return nil, err
			}
			return []byte(text), nil
		}
	}
	locked := errors.New("permission denied")
	for name, c := range map[string]struct {
		was, now      source.Reader
		same, partial bool
	}{
		"as it was":         {gives("size = 50", nil), gives("size = 50", nil), true, false},
		"as long":           {gives("size = 50", nil), gives("size = 51", nil), false, false},
		"longer":            {gives("size = 50", nil), gives("size = 500", nil), false, false},
		"emptied":           {gives("size = 50", nil), gives("", nil), false, true},
		"gone":              {gives("size = 50", nil), gives("", source.ErrAbsent), false, true},
		"empty before":      {gives("", nil), gives("", source.ErrAbsent), false, false},
		"still gone":        {gives("", source.ErrAbsent), gives("", source.ErrAbsent), true, false},
		"locked, not gone":  {gives("", source.ErrAbsent), gives("", locked), false, false},
		"back":              {gives("", locked), gives("size = 50", nil), false, false},
		"back and yet bare": {gives("", locked), gives("", nil), false, false},
	} {
		seen := &texts{}
		_, _ = seen.recording(c.was)("parts.star") // the error is what is seen
		if same, partial := seen.compare(c.now); same != c.same || partial != c.partial {
			t.Errorf("%s: same %v, partial %v", name, same, partial)
		}
	}
}

// Law: the texts of a run are known again without being held, however large
// they are.
func TestTextsAreNotHeld(t *testing.T) {
	const loads = 200
	big := func(label string) ([]byte, error) {
		return bytes.Repeat([]byte(label[:1]), read.MaxSize), nil
	}
	before := heap()
	seen := &texts{}
	record := seen.recording(big)
	for i := range loads {
		if _, err := record(fmt.Sprintf("%d.star", i)); err != nil {
			t.Fatal(err)
		}
	}
	if held := heap() - before; held > loads*read.MaxSize/20 {
		t.Errorf("%d texts of %d KB hold %d KB", loads, read.MaxSize>>10, held>>10)
	}
	if same, _ := seen.compare(big); !same || len(seen.labels()) != loads {
		t.Errorf("%d texts, the same: %v", len(seen.labels()), same)
	}
}

// heap is how many bytes are in use.
func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
