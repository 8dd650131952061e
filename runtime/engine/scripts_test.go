package engine

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
)

// examples are the designs in scripts and the pieces each makes.
var examples = map[string]string{
	"soap-sleeve.star":   "sleeve",
	"tea-carton.star":    "tea carton",
	"seed-envelope.star": "seed envelope",
	"mug-carton.star":    "mug carton",
	"candle-box.star":    "candle box",
	"honey-tray.star":    "honey tray",
	"seed-packet.star":   "seed packet",
	"paper-lantern.star": "paper lantern",
}

// withClosed are the options of a script alone, one with cuts through several
// panels too.
var withClosed = script.Options{Closed: simulate.Closed}

// scriptsFolder reads the example designs and nothing else.
func scriptsFolder(label string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", filepath.FromSlash(label)))
	if os.IsNotExist(err) {
		return nil, source.ErrAbsent
	}
	return text, err
}

func makeExample(script string, params map[string]string) Result {
	return mustRun(Request{Script: script, Read: scriptsFolder, Params: params})
}

func TestEveryExampleIsKnown(t *testing.T) {
	found, err := filepath.Glob(filepath.Join("..", "..", "scripts", "*.star"))
	if err != nil || len(found) != len(examples) {
		t.Errorf("%d scripts, %d in the table; %v", len(found), len(examples), err)
	}
	for _, path := range found {
		if examples[filepath.Base(path)] == "" {
			t.Errorf("%s is not in the table", path)
		}
	}
}

// Examples are made without an error or a warning, with every file.
func TestExamplesAreClean(t *testing.T) {
	for name, piece := range examples {
		res := makeExample(name, nil)
		clean(t, name, res)
		want := fmt.Sprintf("%[1]s.cut.svg %[1]s.cut.dxf preview.svg report.json", piece)
		if got := names(res.Files); got != want {
			t.Errorf("%s makes %q, want %q", name, got, want)
		}
	}
}

func clean(t *testing.T, name string, res Result) {
	t.Helper()
	for _, f := range res.Findings {
		if f.Severity > diag.Note {
			t.Errorf("%s: %s: %s", name, f.Severity, f)
		}
	}
	if res.Exit != Clean {
		t.Errorf("%s: exit %d", name, res.Exit)
	}
}

// A designer sets any one size anywhere in its range and the example still
// works.
func TestExamplesHoldOverTheirRanges(t *testing.T) {
	for name := range examples {
		design, _ := script.Run(context.Background(), source.NewStore(scriptsFolder), name, withClosed)
		if design == nil || len(design.Params) < 3 {
			t.Fatalf("%s: a starting point wants parameters", name)
		}
		for _, p := range design.Params {
			if p.Min == nil || p.Max == nil || p.Doc == "" {
				t.Errorf("%s: parameter %s has no range or no words about it", name, p.Name)
				continue
			}
			for _, value := range []any{p.Min, p.Max} {
				set := map[string]string{p.Name: fmt.Sprint(value)}
				clean(t, fmt.Sprint(name, " with ", set), makeExample(name, set))
			}
		}
	}
}

// figures is what the report says of the first piece.
type figures struct {
	Width, Height, Area float64
	Lengths             map[string]float64
	Strokes             map[string]int
}

func figuresOf(t *testing.T, name string, params map[string]string) figures {
	t.Helper()
	var report struct {
		Pieces []struct{ Blank figures }
	}
	for _, f := range makeExample(name, params).Files {
		if f.Kind == emit.KindReport {
			if err := json.Unmarshal(f.Bytes, &report); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(report.Pieces) != 1 {
		t.Fatalf("%s: %d pieces in the report", name, len(report.Pieces))
	}
	return report.Pieces[0].Blank
}

// Sizes of the soap sleeve worked out by hand: caliper 14 thou = 0.3556 mm,
// bar 60 × 90 × 28, 1 mm of play, walls a caliper wider than the room inside and
// another one across, where the seam lies; the last wall 0.5 mm short, a 14 mm seam tapered by 15°.
func TestSoapSleeveByHand(t *testing.T) {
	got := figuresOf(t, "soap-sleeve.star", nil)
	const across, down, long = 61 + 2*0.3556, 29 + 0.3556, 90.0
	seam := 14 * (long - 14*math.Tan(15*math.Pi/180))
	// An ellipse of half axes 0.3·across and 0.225·long, and half a circle.
	windows := math.Pi*0.3*across*0.225*long + math.Pi*9*9/2
	for what, c := range map[string]struct{ got, want, tol float64 }{
		"width":  {got.Width, 2*across + 2*down - 0.5 + 14, 1e-6},
		"height": {got.Height, long, 1e-6},
		// The window is drawn with curves within 4e-6 of the ellipse.
		"area":  {got.Area, long*(2*across+2*down-0.5) + seam - windows, 0.05},
		"score": {got.Lengths["score"], 4 * long, 1e-6},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s is %.6f, want %.6f", what, c.got, c.want)
		}
	}
	// One closed outline with the thumb notch in it, one window, four creases.
	if got.Strokes["cut"] != 2 || got.Strokes["score"] != 4 {
		t.Errorf("strokes %v", got.Strokes)
	}
}

// The trade's facts (common practice, no source): the outer perimeter of every
// carton is one continuous path, and each window one more.
func TestExamplesAreCutInOneGo(t *testing.T) {
	for name, cuts := range map[string]int{
		"soap-sleeve.star":   2,
		"tea-carton.star":    1,
		"seed-envelope.star": 1,
		"mug-carton.star":    3,
		"candle-box.star":    1,
		"honey-tray.star":    1,
		"seed-packet.star":   1,
		"paper-lantern.star": 1,
	} {
		if got := figuresOf(t, name, nil).Strokes["cut"]; got != cuts {
			t.Errorf("%s is cut in %d strokes, want %d", name, got, cuts)
		}
	}
}
