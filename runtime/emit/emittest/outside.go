package emittest

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

//go:embed readers
var readers embed.FS

// python is Debian's own interpreter: only there do its python3-* packages
// live.
const python = "/usr/bin/python3"

// NeedReaders skips a test that runs programs from outside unless
// CREASEWRIGHT_READERS is 1.
func NeedReaders(t testing.TB) {
	t.Helper()
	outsidetest.Need(t, "python3-ezdxf, python3-svgelements, librsvg2-bin, qpdf, mupdf-tools, poppler-utils and chromium of Debian")
}

// Outside is a cut file as a program that is not ours read it.
type Outside struct {
	Drawing
	Faults []string               // what the reader's own audit found
	Facts  map[string]any         // of the file as a whole
	Length map[blank.Kind]float64 // by the reader's own reckoning; SVG only
}

// ReadDXF has ezdxf read and audit the files.
func ReadDXF(t testing.TB, files ...[]byte) []Outside { return readOutside(t, "dxf", files) }

// ReadSVG has svgelements read the files.
func ReadSVG(t testing.TB, files ...[]byte) []Outside { return readOutside(t, "svg", files) }

func readOutside(t testing.TB, format string, files [][]byte) []Outside {
	t.Helper()
	NeedReaders(t)
	dir := t.TempDir()
	script, err := readers.ReadFile("readers/" + format + ".py")
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"-c", string(script)}
	for i, data := range files {
		name := filepath.Join(dir, fmt.Sprintf("%d.%s", i, format))
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
	}
	out, err := decodeOutside(run(t, python, args...))
	if err != nil || len(out) != len(files) {
		t.Fatalf("%d of %d files read: %v", len(out), len(files), err)
	}
	return out
}

func run(t testing.TB, program string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(program, args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, stderr.Bytes())
	}
	return out
}

// outsideFile is the line of JSON a reader prints for a file.
type outsideFile struct {
	Faults   []string
	Facts    map[string]any
	Size     [2]float64
	Layers   []string
	Entities []struct {
		Layer  string
		Closed bool
		Curves []outsideCurve
	}
}

type outsideCurve struct {
	Kind   string
	Points [][2]float64
	Centre [2]float64
	Radius float64
	Left   bool
	Length float64
}

func decodeOutside(lines []byte) ([]Outside, error) {
	var out []Outside
	for dec := json.NewDecoder(bytes.NewReader(lines)); ; {
		var f outsideFile
		if err := dec.Decode(&f); errors.Is(err, io.EOF) {
			return out, nil
		} else if err != nil {
			return out, err
		}
		o, err := f.outside()
		if err != nil {
			return out, err
		}
		out = append(out, o)
	}
}

// outside sorts the entities by layer; layers without any, which every DXF
// has, are left out.
func (f outsideFile) outside() (Outside, error) {
	o := Outside{Faults: f.Faults, Facts: f.Facts, Length: map[blank.Kind]float64{}}
	o.Width, o.Height = f.Size[0], f.Size[1]
	for _, name := range f.Layers {
		l := blank.Layer{Kind: blank.Kind(name)}
		for _, e := range f.Entities {
			if e.Layer != name {
				continue
			}
			s := blank.Stroke{Closed: e.Closed}
			for _, c := range e.Curves {
				curve, err := c.curve()
				if err != nil {
					return o, err
				}
				s.Curves = append(s.Curves, curve)
				o.Length[l.Kind] += c.Length
			}
			l.Strokes = append(l.Strokes, s)
		}
		if len(l.Strokes) > 0 {
			o.Layers = append(o.Layers, l)
		}
	}
	return o, nil
}

func (c outsideCurve) curve() (geom.Curve, error) {
	var p []geom.Point
	for _, q := range c.Points {
		p = append(p, geom.Pt(q[0], q[1]))
	}
	centre := geom.Pt(c.Centre[0], c.Centre[1])
	switch {
	case c.Kind == "line" && len(p) == 2:
		return geom.LineFrom(p[0], p[1]), nil
	case c.Kind == "curve" && len(p) == 4:
		return geom.CubicFrom(p[0], p[1], p[2], p[3]), nil
	case c.Kind == "arc" && len(p) == 2:
		sweep := p[1].Sub(centre).Angle().Sub(p[0].Sub(centre).Angle()).Normalize()
		if (sweep.Radians() > 0) != c.Left {
			return geom.Curve{}, fmt.Errorf("arc %+v turns the other way", c)
		}
		arc := geom.ArcBetween(p[0], p[1], centre, sweep)
		arc.R = c.Radius
		return arc, nil
	}
	return geom.Curve{}, fmt.Errorf("curve %+v is none of ours", c)
}
