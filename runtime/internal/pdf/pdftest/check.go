package pdftest

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
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
