// Package geomtest has programs that are not ours answer questions of geometry,
// for tests of everything that computes with outlines.
package geomtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"

	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// python is Debian's own interpreter: only there do its python3-* packages
// live.
const python = "/usr/bin/python3"

// Shapely puts questions as JSON to a script that uses Shapely, and decodes
// its answers. Where Shapely is missing the test is skipped, unless
// CREASEWRIGHT_READERS=1 says that it must be there.
func Shapely(t testing.TB, script string, questions, answers any) {
	t.Helper()
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		outsidetest.Missing(t, fmt.Errorf("python3-shapely of Debian is not there: %w", err))
	}
	in, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, script)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, answers); err != nil {
		t.Fatal(err)
	}
}

// Polygon is an outline as the points of a polygon within tol mm of it, on a
// grid of 1e-6 mm, as GEOS likes them: it can report a full overlap for two
// polygons whose common edge differs in the last bit.
func Polygon(p geom.Path, tol float64) [][2]float64 {
	var out [][2]float64
	for _, q := range p.Flatten(tol) {
		out = append(out, [2]float64{math.Round(q.X*1e6) / 1e6, math.Round(q.Y*1e6) / 1e6})
	}
	return out
}
