package script

import (
	"context"
	"fmt"
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// reaching runs texts and gives the places it came to.
func reaching(f files) (places []string) {
	Run(context.Background(), f.store(), "main.star", Options{Reached: func(at source.Site) {
		var all []string
		for _, s := range at {
			all = append(all, s.String())
		}
		places = append(places, strings.Join(all, " > "))
	}})
	return places
}

func TestEveryStatementIsReached(t *testing.T) {
	got := reaching(files{
		"main.star": `"""Title"""
load("part.star", "double")

def two(x):
    """Says what it does."""
    return double(x)

for i in range(2):
    if i == 0:
        pass
    else:
        two(i)
`,
		"part.star": "def double(x):\n    y = x\n    return y + y\n",
	})
	want := []string{
		"main.star", "main.star:2:6", // the file itself, then what to load
		"main.star:2:6 > part.star", "main.star:2:6 > part.star:1:1",
		"main.star:4:1", "main.star:8:1",
		"main.star:9:5", "main.star:10:9",
		"main.star:9:5", "main.star:12:9", "main.star:6:5",
		"main.star:6:5 > part.star:2:5", "main.star:6:5 > part.star:3:5",
	}
	for i := range want {
		want[i] = strings.Replace(want[i], "main.star:2:6", "main.star:2:1", 1)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Law: whether anyone watches makes no difference to what comes of a script.
func TestWatchingChangesNothing(t *testing.T) {
	r := rand.New(rand.NewSource(23))
	texts := []string{sleeveScript}
	for _, w := range Words() {
		texts = append(texts, w.Example+wrapping)
	}
	sound := 0
	for i := range 1000 {
		text := texts[i%len(texts)]
		if i >= len(texts) {
			text = spoil(r, text)
		}
		// Marks are steps too, so the runaway loops among them are left out.
		plain, alone := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{Limits: steps(1_000_000)})
		seen := 0
		watched, told := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{
			Limits: steps(4_000_000), Reached: func(source.Site) { seen++ },
		})
		if fmt.Sprint(alone) != fmt.Sprint(told) || (plain == nil) != (watched == nil) {
			t.Fatalf("%q: %v, watched %v", text, alone, told)
		}
		if plain != nil {
			sound++
			if !reflect.DeepEqual(plain.Panels, watched.Panels) || !reflect.DeepEqual(plain.Pieces, watched.Pieces) {
				t.Errorf("%q: another design when watched", text)
			}
			if seen < 2 {
				t.Errorf("%q: only %d places were reached", text, seen)
			}
		}
	}
	if sound < 100 {
		t.Errorf("only %d sound scripts", sound)
	}
}
