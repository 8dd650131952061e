package emittest

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// RunHP2XX has GNU hp2xx plot an HP-GL file on a bed: what it draws, arcs by chords as a
// plotter does, one cut to a line from where it takes the pen up. An instruction that it does
// not know fails the test.
func RunHP2XX(t testing.TB, text []byte, bed [2]float64) Work {
	t.Helper()
	outsidetest.Need(t, "hp2xx of Debian")
	in, plotted := filepath.Join(t.TempDir(), "in.hpgl"), filepath.Join(t.TempDir(), "out.hpgl")
	if err := os.WriteFile(in, text, 0o600); err != nil {
		t.Fatal(err)
	}
	whole := func(mm float64) string { return strconv.Itoa(int(mm * unitsPerMM)) }
	said, err := exec.Command("hp2xx", "-t", "-m", "hpgl", "-x", "0", "-X", whole(bed[0]), "-y", "0", "-Y", whole(bed[1]), "-f", plotted, in).CombinedOutput()
	if err != nil || !regexp.MustCompile(`command\(s\) ignored: *0\nUnexpected event\(s\): *0\n`).Match(said) {
		t.Fatalf("hp2xx: %v\n%s", err, said)
	}
	out, err := os.ReadFile(plotted)
	if err != nil {
		t.Fatal(err)
	}
	work, err := plottedWork(string(out))
	if err != nil {
		t.Fatal(err)
	}
	return work
}

// plottedWork reads the lines that hp2xx writes: SP, PA, PU and PD with a place each.
func plottedWork(text string) (Work, error) {
	w := Work{Box: geom.EmptyBox()}
	var at geom.Point
	pen, up := 0, true
	for _, s := range strings.Split(strings.Join(strings.Fields(text), ""), ";") {
		if len(s) < 2 || s == "PA" {
			continue
		}
		if s[:2] == "SP" {
			pen, _ = strconv.Atoi(s[2:])
			continue
		}
		var to geom.Point
		if n, err := fmt.Sscanf(s[2:], "%f,%f", &to.X, &to.Y); n != 2 || err != nil {
			return w, fmt.Errorf("hp2xx wrote %q: %w", s, err)
		}
		to = to.Mul(1.0 / unitsPerMM)
		if s[:2] == "PD" && to != at {
			if up {
				w.begin(Cut{Tool: pen})
			}
			w.add(geom.LineFrom(at, to))
		}
		at, up = to, s[:2] == "PU"
	}
	return w, nil
}

// RunRS274 has the interpreter of LinuxCNC read a G-code file: the canonical moves that it
// gives, arcs as arcs. A fault that it finds fails the test.
func RunRS274(t testing.TB, text []byte) Work {
	t.Helper()
	out, fault := rs274(t, text)
	if fault != "" {
		t.Fatalf("rs274: %s", fault)
	}
	work, err := canonicalWork(out)
	if err != nil {
		t.Fatal(err)
	}
	return work
}

// RS274Refuses is the fault that the interpreter finds in a G-code file, "" if it finds none.
func RS274Refuses(t testing.TB, text []byte) string {
	t.Helper()
	_, fault := rs274(t, text)
	return fault
}

func rs274(t testing.TB, text []byte) (moves, fault string) {
	t.Helper()
	outsidetest.Need(t, "rs274 of Debian's linuxcnc-uspace")
	dir := t.TempDir()
	tools := ""
	for n := 1; n < 100; n++ {
		tools += fmt.Sprintf("T%d P%d Z0 D0\n", n, n)
	}
	for name, text := range map[string]string{"in.ngc": string(text), "tools.tbl": tools, "vars.var": ""} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("rs274", "-t", "tools.tbl", "-v", "vars.var", "-g", "in.ngc")
	cmd.Dir = dir
	var faults bytes.Buffer
	cmd.Stderr = &faults
	out, err := cmd.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return "", fmt.Sprintf("%v: %s", err, faults.Bytes())
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(out), ""
}

// canonical is a line of rs274: a number, a place in the file, a function of the canonical
// machine with its arguments.
var canonical = regexp.MustCompile(`^\s*[0-9]+\s+N\S+\s+([A-Z0-9_]+)\((.*)\)$`)

// canonicalWork gathers the moves of the canonical machine (NIST IR 6556, 4.3: STRAIGHT_TRAVERSE,
// STRAIGHT_FEED with places, ARC_FEED with end, centre, turn and height).
func canonicalWork(text string) (Work, error) {
	w := Work{Box: geom.EmptyBox()}
	var at geom.Point
	cut, fresh, ended := Cut{}, true, false
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		m := canonical.FindStringSubmatch(line)
		if m == nil {
			return w, fmt.Errorf("rs274 wrote %q", line)
		}
		var v []float64
		for _, word := range strings.Split(m[2], ",") {
			f, _ := strconv.ParseFloat(strings.TrimSpace(word), 64)
			v = append(v, f)
		}
		curve, z := geom.Curve{}, 0.0
		switch m[1] {
		case "STRAIGHT_TRAVERSE":
			at, fresh = geom.Pt(v[0], v[1]), true
		case "SET_FEED_RATE":
			cut.Feed = v[0] / 60
		case "CHANGE_TOOL":
			cut.Tool = int(v[0])
		case "SET_SPINDLE_SPEED":
			cut.Power = v[1]
		case "STRAIGHT_FEED":
			curve, z = geom.LineFrom(at, geom.Pt(v[0], v[1])), v[2]
		case "ARC_FEED":
			to, centre := geom.Pt(v[0], v[1]), geom.Pt(v[2], v[3])
			c := controller{at: at}
			arc, err := c.arc(to, centre.Sub(at), v[4] == 1)
			if err != nil {
				return w, err
			}
			curve, z = arc, v[5]
		case "PROGRAM_END":
			ended = true
		}
		if curve.P == curve.Q {
			continue
		}
		if fresh {
			w.begin(cut)
			fresh = false
		}
		w.add(curve)
		last := &w.Cuts[len(w.Cuts)-1]
		last.Z = append(last.Z, z)
		at = curve.Q
	}
	if !ended {
		return w, fmt.Errorf("rs274 found no end")
	}
	return w, nil
}
