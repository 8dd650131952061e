package printer

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/internal/jobsheet"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// job is a run with its job sheet.
type job struct {
	file, drawing []byte // sheet.pdf and the drawing sheet alone as PDF
	made          engine.Made
}

// jobOf runs a script for its job sheet.
func jobOf(t *testing.T, text string, paper engine.Paper, machines ...string) job {
	t.Helper()
	var out job
	engine.Register(emit.KindSheet, func(ctx context.Context, m engine.Made) ([]byte, error) {
		out.made = m
		return JobSheet(ctx, m)
	})
	defer engine.Register(emit.KindSheet, JobSheet)
	res, err := engine.Run(context.Background(), engine.Request{
		Script: "job.star", Read: func(string) ([]byte, error) { return []byte(text), nil },
		Also: []emit.Kind{emit.KindSheet, emit.KindPDF}, For: machines, Paper: paper,
	})
	if err != nil || res.Exit > engine.Faulty {
		t.Fatal(err, res.Findings)
	}
	for _, f := range res.Files {
		switch f.Kind {
		case emit.KindSheet:
			out.file = f.Bytes
		case emit.KindPDF:
			out.drawing = f.Bytes
		}
	}
	return out
}

// tables are the pages of tables of a job, as they are drawn.
func (j job) tables(t *testing.T) []*preview.Sheet {
	t.Helper()
	pieces, err := jobsheet.Of(context.Background(), j.made.Run)
	if err != nil {
		t.Fatal(err)
	}
	return jobTables(j.made, pieces)
}

// scribe is a preview.Surface that takes texts down, a line of the page to a line.
type scribe struct{ texts []preview.Text }

func (*scribe) Open(preview.Paint, geom.Point)             {}
func (*scribe) Close()                                     {}
func (*scribe) Curves([]blank.Stroke, preview.Paint)       {}
func (*scribe) Points([][]geom.Point, bool, preview.Paint) {}
func (*scribe) Rect(geom.Box, preview.Paint)               {}
func (*scribe) Circle(geom.Point, float64, preview.Paint)  {}
func (s *scribe) Text(t preview.Text)                      { s.texts = append(s.texts, t) }
func (s *scribe) words() (out []string) {
	for _, t := range s.texts {
		out = append(out, strings.Fields(t.Text)...)
	}
	return out
}

// lines are the texts in the order they were drawn in, those at one height on one line.
func (s *scribe) lines() string {
	var out strings.Builder
	for i, t := range s.texts {
		switch {
		case i == 0:
		case s.texts[i-1].At.Y == t.At.Y:
			out.WriteString(" | ")
		default:
			out.WriteString("\n")
		}
		out.WriteString(t.Text)
	}
	return out.String() + "\n"
}

// written takes down the texts of pages.
func written(t *testing.T, pages []*preview.Sheet) *scribe {
	t.Helper()
	s := &scribe{}
	for _, p := range pages {
		if err := p.Draw(context.Background(), s); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

const smallJob = `"""A sleeve and its card"""
sheet(customer = "Saltmarsh", job = "T-1", revision = "B", drawn_by = "EM", date = "2026-11-29")
machine("press", bed = (700, 500), margin = 10)
machine("cutter", bed = (300, 600), margin = 5, format = "hpgl", tools = {"cut": knife(offset = 0.25, compensate = True), "score": wheel()})
stock = board("sleeve board", caliper = 0.5, gsm = 320, grain = 90)
front = panel("front", rect(80, 60))
side = panel("side", rect(30, 60), on = front.right, line = "perforated")
back = panel("back", rect(80, 60), on = side.right)
last = panel("last", rect(30, 60), on = back.right)
tab("seam", on = front.left, depth = 12, taper = 15, to = last.right)
front.cut(circle(20).shift(40, 30))
front.cut(rect(30, 6, round = 2).shift(25, 6))
front.cut(path(10, 50).line(17, 50))
piece("sleeve", front, board = stock, copies = 250)
label = panel("label", rect(70, 50, round = 4))
label.draw(path(10, 10).line(60, 10))
piece("label", label, board = board("label", caliper = 0.2), copies = 3, caution = ["food"])
allow("lines-unmade", on = label, reason = "the line is a guide for the eye")
`

// The words of a small job, looked at by eye.
func TestJobSheetWords(t *testing.T) {
	j := jobOf(t, smallJob, engine.A4, "cutter")
	golden.In(t, "testdata", ".txt").Check("jobsheet.txt", []byte(written(t, j.tables(t)).lines()))
}

// Laws: the file is the same bytes on every run and in any year, is recognised, and has the
// fonts of the sheet once each, however many pages there are.
func TestJobSheetFile(t *testing.T) {
	first := jobOf(t, smallJob, engine.A4).file
	if !bytes.Equal(first, jobOf(t, smallJob, engine.A4).file) {
		t.Error("two runs differ")
	}
	synctest.Test(t, func(t *testing.T) {
		if !bytes.Equal(first, jobOf(t, smallJob, engine.A4).file) {
			t.Error("at another time the file differs")
		}
	})
	if f, _ := emit.Formats().Of(emit.KindSheet); f.Check(context.Background(), first) != nil {
		t.Error("the file is not recognised")
	}
	if n := bytes.Count(first, []byte("/FontFile2")); n != 2 {
		t.Errorf("%d fonts", n)
	}
}

// manyPieces is a job of n pieces, each with radii of its own.
func manyPieces(n int) string {
	out := strings.Builder{}
	out.WriteString("\"\"\"Many labels\"\"\"\ncard = board(\"card\", caliper = 0.4, gsm = 250)\nmachine(\"press\", bed = (1000, 700), margin = 10)\n")
	for i := range n {
		fmt.Fprintf(&out, "p%[1]d = panel(\"label %[1]d\", rect(%[2]d, 40, round = %[3]g))\np%[1]d.cut(circle(%[4]g).shift(20, 20))\npiece(\"label %[1]d\", p%[1]d, board = card)\n", i, 60+i, 3+float64(i)/4, 6+float64(i)/2)
	}
	return out.String()
}

// Law: each piece of many has its block, with its flat size, over as many pages as it takes,
// which are numbered behind the drawing.
func TestJobSheetPages(t *testing.T) {
	j := jobOf(t, manyPieces(20), engine.Letter)
	pages := j.tables(t)
	if len(pages) < 4 {
		t.Fatalf("%d pages", len(pages))
	}
	lines := strings.Split(written(t, pages).lines(), "\n")
	for i := range 20 {
		at := slices.Index(lines, fmt.Sprintf("label %d", i))
		if at < 0 || !slices.Contains(lines[at:at+3], fmt.Sprintf("flat size | %d × 40 mm", 60+i)) {
			t.Errorf("no block of label %d", i)
		}
	}
	for i, p := range pages {
		if text := written(t, pages[i:i+1]).lines(); p.Size != geom.Pt(engine.Letter.Size()) || !strings.Contains(text, fmt.Sprintf("page %d of %d", i+2, len(pages)+1)) {
			t.Errorf("page %d is %v", i+2, p.Size)
		}
	}
}

// Laws, by readers that are not ours: qpdf finds nothing; poppler finds as many pages as
// there are, of their sizes; the first says what the drawing sheet alone says, and the
// others have the words of the tables, and no others.
func TestJobSheetReaders(t *testing.T) {
	outsidetest.Need(t, "poppler-utils and qpdf of Debian")
	for name, j := range map[string]job{"small": jobOf(t, smallJob, engine.A4, "cutter"), "many": jobOf(t, manyPieces(20), engine.Letter)} {
		file, drawing := filepath.Join(t.TempDir(), "sheet.pdf"), filepath.Join(t.TempDir(), "drawing.pdf")
		for path, text := range map[string][]byte{file: j.file, drawing: j.drawing} {
			if err := os.WriteFile(path, text, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if out, err := exec.CommandContext(t.Context(), "qpdf", "--check", file).CombinedOutput(); err != nil {
			t.Errorf("%s: %s", name, out)
		}
		if got, want := poppler(t, "pdftotext", "-raw", "-l", "1", file, "-"), poppler(t, "pdftotext", "-raw", drawing, "-"); got != want {
			t.Errorf("%s: page 1 says %q, the drawing sheet %q", name, got, want)
		}
		tables := j.tables(t)
		text := poppler(t, "pdftotext", "-raw", "-f", "2", file, "-")
		if n := strings.Count(text, "\f"); n != len(tables) {
			t.Errorf("%s: %d pages of tables, not %d", name, n, len(tables))
		}
		got, want := strings.Fields(text), written(t, tables).words()
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: the PDF says\n%q\nand the pages\n%q", name, got, want)
		}
		sizes := pageSizes(t, file)
		if len(sizes) != 1+len(tables) || sizes[0] != pageSizes(t, drawing)[0] {
			t.Fatalf("%s: pages of %v mm", name, sizes)
		}
		for i, p := range tables {
			if sizes[i+1].Dist(p.Size) > 0.01 {
				t.Errorf("%s: page %d is %v mm, not %v", name, i+2, sizes[i+1], p.Size)
			}
		}
	}
}

// poppler is what one of its programs prints.
func poppler(t *testing.T, program string, args ...string) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), program, args...).Output()
	if err != nil {
		t.Fatal(program, err)
	}
	return string(out)
}

// pageSizes are the sizes of a file's pages in mm.
func pageSizes(t *testing.T, file string) []geom.Point {
	t.Helper()
	var out []geom.Point
	for _, m := range regexp.MustCompile(`Page +\d+ size: +([0-9.]+) x ([0-9.]+) pts`).FindAllStringSubmatch(poppler(t, "pdfinfo", "-l", "99", file), -1) {
		var x, y float64
		if _, err := fmt.Sscan(m[1]+" "+m[2], &x, &y); err != nil {
			t.Fatal(err)
		}
		out = append(out, geom.Pt(x, y).Mul(25.4/72))
	}
	return out
}
