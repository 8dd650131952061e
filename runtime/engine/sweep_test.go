package engine

import (
	"context"
	"flag"
	"fmt"
	"hash/fnv"
	"math/rand"
	"regexp"
	"strconv"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

var sweepRuns = flag.Int("sweep", 8, "choices of sizes and board to try of each example")

// counts are the parameters that are whole numbers of things.
var counts = map[string]bool{"rings": true, "pleats": true}

// boardCall is the board of an example, by its name, for which another is put.
var boardCall = regexp.MustCompile(`board\(("[^"]*").*?caliper = \w+\([\d.]+\)[^)]*\)`)

// Law: every example holds over the whole declared ranges of its sizes, all of
// them at once, on any board from 0.2 to 1.2 mm: it gives neither errors nor
// warnings, or its own require() says what does not go together. Half of the
// sizes stand at an end of their range, where designs fail first.
func TestExamplesHoldOnEveryBoard(t *testing.T) {
	for name := range examples {
		t.Run(name, func(t *testing.T) {
			text, err := scriptsFolder(name)
			if err != nil {
				t.Fatal(err)
			}
			design, _ := script.Run(context.Background(), source.NewStore(scriptsFolder), name, withClosed)
			seed := fnv.New64()
			seed.Write([]byte(name))
			rng := rand.New(rand.NewSource(int64(seed.Sum64())))
			refused := 0
			for range *sweepRuns {
				if sweepOnce(t, rng, name, text, design.Params) {
					refused++
				}
			}
			if refused == *sweepRuns {
				t.Errorf("all of %d are refused", refused)
			}
		})
	}
}

// sweepOnce runs an example at one choice of sizes and caliper and reports whether
// it refused them. The board has no grammage or kind, which would be unlikely at
// another caliper than its own.
func sweepOnce(t *testing.T, rng *rand.Rand, name string, text []byte, params []model.Param) (refused bool) {
	t.Helper()
	caliper := between(rng, 0.2, 1.2, 2)
	swept := boardCall.ReplaceAllString(string(text), `board($1, caliper = mm(`+caliper+`), grain = 0)`)
	if swept == string(text) {
		t.Fatal("no board found")
	}
	set := map[string]string{}
	for _, p := range params {
		lo, err := strconv.ParseFloat(fmt.Sprint(p.Min), 64)
		hi, err2 := strconv.ParseFloat(fmt.Sprint(p.Max), 64)
		if err != nil || err2 != nil {
			t.Fatalf("%s: no range: %v, %v", p.Name, p.Min, p.Max)
		}
		digits := 1
		if counts[p.Name] {
			digits = 0
		}
		set[p.Name] = between(rng, lo, hi, digits)
	}
	res := mustRun(Request{Script: name, Read: from(map[string]string{name: swept}), Params: set, Formats: emit.Table{}})
	for _, f := range res.Findings {
		if f.Rule == "require" {
			return true
		}
	}
	for _, f := range res.Findings {
		if f.Severity > diag.Note {
			t.Errorf("caliper %s, %v: %s: %s (%s)", caliper, set, f.Severity, f.Message, f.Rule)
		}
	}
	return false
}

// between picks a number of a range, as it is typed: an end half of the time.
func between(rng *rand.Rand, lo, hi float64, digits int) string {
	v := lo + (hi-lo)*rng.Float64()
	switch rng.Intn(4) {
	case 0:
		v = lo
	case 1:
		v = hi
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}
