package engine

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"maps"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/source"
)

// drawsEach is how many random settings of each example are compared, drawsForMachines
// how many of them with files for machines, which take longer.
const drawsEach, drawsForMachines = 30, 5

// layoutLooks is how many places are looked at to lay one more copy on a sheet: few, since one of the
// processors is imitated.
const layoutLooks = 5000

// Same script, same parameters, same bytes on every processor, which some
// break by fusing a product and a sum into one rounding. A test binary cannot
// look across processors, so this one writes what it makes of some hundreds of
// designs to the file that CREASEWRIGHT_DIGESTS names, a line for every file
// and finding, and .ci/run compares the files of binaries for amd64, for amd64
// with fused operations and for arm64.
func TestDigestsForOtherProcessors(t *testing.T) {
	path := os.Getenv("CREASEWRIGHT_DIGESTS")
	if path == "" {
		t.Skip("CREASEWRIGHT_DIGESTS=FILE writes digests to be compared between processors, as .ci/run does")
	}
	var out bytes.Buffer
	designs := 0
	digest := func(name string, req Request) {
		designs++
		res, err := Run(t.Context(), req)
		if err != nil {
			t.Fatal(name, err)
		}
		fmt.Fprintf(&out, "%s: exit %d\n", name, res.Exit)
		for _, f := range res.Files {
			fmt.Fprintf(&out, "%s: %s %x\n", name, f.Name, sha256.Sum256(f.Bytes))
		}
		for _, f := range res.Findings {
			fmt.Fprintf(&out, "%s: %s %s %s (%s)\n", name, f.Severity, f.Rule, f, f.Hint)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		for i, params := range randomSettings(t, name, drawsEach) {
			req := Request{Script: name, Read: scriptsFolder, Params: params, Also: []emit.Kind{emit.KindGLB, emit.KindSTL}}
			if i < drawsForMachines {
				req.For, req.Read = []string{"cutter", "laser", "plotter"}, withMachines
			}
			digest(fmt.Sprint(name, " ", i, " ", params), req)
		}
	}
	for i, name := range slices.Sorted(maps.Keys(examples)) {
		digest(name+" laid out", Request{Script: name, Read: scriptsFolder, Layout: &LayoutRequest{
			Width: 1000, Height: 700, Gap: float64(i % 2 * 3), Margin: 10, Looks: layoutLooks}})
	}
	for _, folder := range []string{"faults", "errors/engine"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", filepath.FromSlash(folder), "*.star"))
		if err != nil || len(paths) == 0 {
			t.Fatalf("no cases in %s: %v", folder, err)
		}
		for _, path := range paths {
			cases, err := scripttest.Read(path)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range cases {
				digest(c.Name, Request{Script: scripttest.Main, Read: from(c.Files), Params: c.Params})
			}
		}
	}
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d designs, %d lines", designs, bytes.Count(out.Bytes(), []byte("\n")))
}

// digestMachines stands after an example: machines of the three sorts of tool, on
// which lines are led and begun in every way there is, and cubics become arcs and chords.
const digestMachines = `
_knife = knife(offset = 0.25, overcut = 0.5, depth = 0.6, feed = 20, lead = 2, compensate = True)
_beam = beam(kerf = 0.2, power = 60, feed = 20, passes = 2, lead = 2, compensate = True)
machine("cutter", bed = (1500, 1500), margin = 12, format = "hpgl", tools = {"score": wheel(), "cut": _knife}, nicks = nicks(0.4, count = 3))
machine("laser", bed = (1500, 1500), margin = 12, format = "gcode", tools = {"score": beam(power = 15, feed = 60), "cut": _beam})
machine("plotter", bed = (1500, 1500), margin = 12, format = "gcode", tools = {"score": wheel(depth = 0.2, feed = 60), "perforated": _knife, "cut": _knife})
`

// withMachines is scriptsFolder, with digestMachines after every example.
func withMachines(label string) ([]byte, error) {
	text, err := scriptsFolder(label)
	if _, ok := examples[label]; ok {
		text = append(text, digestMachines...)
	}
	return text, err
}

// randomSettings draws values for an example's parameters within their ranges,
// the same on every run; the first setting is that of the script.
func randomSettings(t *testing.T, name string, n int) []map[string]string {
	t.Helper()
	design, _ := script.Run(t.Context(), source.NewStore(scriptsFolder), name, withClosed)
	if design == nil {
		t.Fatalf("%s does not run", name)
	}
	number := func(v any) (float64, bool) {
		var f float64
		_, err := fmt.Sscan(fmt.Sprint(v), &f)
		return f, err == nil
	}
	rng := rand.New(rand.NewSource(int64(len(name))))
	out := []map[string]string{nil}
	for len(out) < n {
		params := map[string]string{}
		for _, p := range design.Params {
			low, okLow := number(p.Min)
			high, okHigh := number(p.Max)
			if !okLow || !okHigh || rng.Intn(2) == 0 {
				continue
			}
			format := "%.2f"
			if !strings.Contains(fmt.Sprint(p.Min, p.Max, p.Value), ".") {
				format = "%.0f" // a whole number
			}
			params[p.Name] = fmt.Sprintf(format, low+(high-low)*rng.Float64())
		}
		out = append(out, params)
	}
	return out
}
