package engine

import (
	"context"
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/source"
)

// tried is what became of the mutants of one example: scripts that do not run,
// designs that are unsound and told so, designs that the checks alone find
// wrong, sound ones, and unsound ones that nothing is told of.
type tried struct{ broken, told, finer, sound, missed int }

// Every change of one size of an example by 1 to 10 mm either leaves a design
// that is still sound, by a measurement of its own, or is told as an error.
// With CREASEWRIGHT_READERS=1 there are 200 changes of each example.
func TestMutants(t *testing.T) {
	n := outsidetest.Times(t, 10, 200)
	var all tried
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		text, err := scriptsFolder(name)
		if err != nil {
			t.Fatal(err)
		}
		where, err := scripttest.Sizes(name, text)
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewSource(4))
		var count tried
		for range n {
			at := where[rng.Intn(len(where))]
			by := float64(10+rng.Intn(91)) / 10
			if rng.Intn(2) == 0 {
				by = -by
			}
			mutant := fmt.Sprintf("%s(%s + %g)%s", text[:at.From], text[at.From:at.To], by, text[at.To:])
			if why := count.judge(t, name, mutant); why != "" {
				line := 1
				for _, c := range text[:at.From] {
					if c == '\n' {
						line++
					}
				}
				t.Errorf("%s:%d: %s made %+g is not told: %s", name, line, text[at.From:at.To], by, why)
			}
		}
		t.Logf("%-20s %3d sizes, %3d changes: %3d do not run, %3d unsound and told, %3d told by the checks alone, %3d sound, %d missed",
			name, len(where), n, count.broken, count.told, count.finer, count.sound, count.missed)
		all.told, all.finer = all.told+count.told, all.finer+count.finer
	}
	// A measurement that saw little would let everything pass.
	if all.finer*2 > all.told {
		t.Errorf("the measurement sees %d faults and not another %d", all.told, all.finer)
	}
}

// judge builds a mutant and, where nothing is told, measures it; it gives what
// was missed.
func (c *tried) judge(t *testing.T, name, text string) string {
	t.Helper()
	read := func(label string) ([]byte, error) {
		if label == name {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	}
	res := mustRun(Request{Script: name, Read: read})
	if res.Exit == Crashed {
		t.Fatalf("%s\n%s", text, res.Stack)
	}
	if res.Exit == Broken {
		c.broken++
		return ""
	}
	design, _ := script.Run(context.Background(), source.NewStore(withLibrary(read)), name, withClosed)
	why := unsound(t, design, res.Files[len(res.Files)-1].Bytes)
	switch told := res.Count(diag.Error) > 0; {
	case told && why != "":
		c.told++
	case told:
		c.finer++
	case why != "":
		c.missed++
		return why
	default:
		c.sound++
	}
	return ""
}
