package pdftest

import (
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Check has programs that are not ours read a file, which all must do without a word of
// complaint: qpdf its syntax, poppler and MuPDF all that is drawn (-N, since some builds
// have no colour management, and say so). Whoever calls it has made sure that they are
// there.
func Check(t testing.TB, file string) {
	t.Helper()
	dir := t.TempDir()
	for _, args := range [][]string{
		{"qpdf", "--check", file},
		{"pdftocairo", "-png", "-r", "20", file, filepath.Join(dir, "poppler")},
		{"mutool", "draw", "-q", "-N", "-r", "20", "-o", filepath.Join(dir, "mupdf-%d.png"), file},
	} {
		out, err := exec.Command(args[0], args[1:]...).CombinedOutput()
		said := string(out)
		if args[0] == "qpdf" && strings.Contains(said, "No syntax or stream encoding errors found") {
			said = "" // it says which version it is, and this
		}
		if err != nil || said != "" {
			t.Errorf("%v: %v\n%s", args, err, out)
		}
	}
}

// Apart is how far samples of some curves lie from the nearest of others, at most, in mm.
func Apart(a, b []geom.Curve) float64 {
	worst := 0.0
	for _, c := range a {
		for i := range 33 {
			p, best := c.At(float64(i)/32), math.Inf(1)
			for _, d := range b {
				_, dist := d.Nearest(p)
				best = min(best, dist)
			}
			worst = max(worst, best)
		}
	}
	return worst
}
