package contact

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// Contact on 2,000 random pairs agrees with GEOS (through Debian's
// python3-shapely), which cuts both boards with the line of their planes: every
// crossing that it sees is found, on the same stretch, unless it is no deeper
// than the tolerance; and nothing else is found.
func TestContactAgreesWithGEOS(t *testing.T) {
	outsidetest.Need(t, "python3-shapely of Debian")
	rng := rand.New(rand.NewSource(14))
	var pairs []*Posed
	var input bytes.Buffer
	for range 2000 {
		shapes := [][][]geom.Point{randomBoard(rng, 30), randomBoard(rng, 30)}
		frames := []geom.RigidTransform{randomMotion(rng, 18), randomMotion(rng, 18)}
		if rng.Intn(4) == 0 { // near to parallel
			frames[1] = geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1, Y: rng.NormFloat64()}, geom.Radians(0.02)).Then(frames[0])
		}
		pairs = append(pairs, loose(frames, shapes...))
		if err := json.NewEncoder(&input).Encode([]any{outsidePanel(shapes[0], frames[0]), outsidePanel(shapes[1], frames[1])}); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("/usr/bin/python3", filepath.Join("testdata", "sections.py"))
	cmd.Stdin, cmd.Stderr = &input, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	answers := json.NewDecoder(bytes.NewReader(out))
	crossed := 0
	for n, p := range pairs {
		var want [][3]float64
		if err := answers.Decode(&want); err != nil {
			t.Fatal(err)
		}
		if want != nil {
			crossed++
		}
		compareOutside(t, n, p, want)
	}
	if crossed < 500 || crossed > 1900 {
		t.Errorf("%d of %d pairs cross: too one-sided a sample", crossed, len(pairs))
	}
}

func outsidePanel(loops [][]geom.Point, m geom.RigidTransform) any {
	rings := make([][][2]float64, len(loops))
	for i, loop := range loops {
		for _, p := range loop {
			rings[i] = append(rings[i], [2]float64{p.X, p.Y})
		}
	}
	r := m.R
	return map[string]any{"rings": rings, "matrix": []float64{
		r[0], r[1], r[2], m.T.X, r[3], r[4], r[5], m.T.Y, r[6], r[7], r[8], m.T.Z,
	}}
}

// compareOutside holds one pair against the stretch that the reference found.
func compareOutside(t *testing.T, n int, p *Posed, want [][3]float64) {
	t.Helper()
	length := 0.0
	var from, to geom.Point3
	if want != nil {
		from = geom.Point3{X: want[0][0], Y: want[0][1], Z: want[0][2]}
		to = geom.Point3{X: want[1][0], Y: want[1][1], Z: want[1][2]}
		length = from.Dist(to)
	}
	if len(p.Penetrations) == 0 {
		if length > Shallowest && !shallowPair(p) {
			t.Errorf("pair %d: a crossing of %g mm is missed", n, length)
		}
		return
	}
	c := p.Penetrations[0]
	if length == 0 {
		t.Errorf("pair %d: a crossing at %+v that is none", n, c.At)
		return
	}
	x := cross(&p.plates[0], &p.plates[1])
	v := longest(common(x.onA, x.onB))
	near3(t, "the middle of the stretch", c.At, x.place(v.Mid()), 1e-9)
	begin, end := x.place(v.From), x.place(v.To)
	mine := v.Length()
	if math.Abs(mine-length) > 1e-6 {
		t.Errorf("pair %d: the longest stretch is %g, want %g", n, mine, length)
	}
	if d := math.Min(from.Dist(begin)+to.Dist(end), from.Dist(end)+to.Dist(begin)); d > 1e-5 {
		t.Errorf("pair %d: the stretch lies %g off", n, d)
	}
}

// shallowPair reports whether one panel reaches no deeper than the tolerance
// through the other's plane, so that a hair's pull parts the two.
func shallowPair(p *Posed) bool {
	a, b := &p.plates[0], &p.plates[1]
	lo, hi := a.heights(b.hull)
	lo2, hi2 := b.heights(a.hull)
	return math.Min(math.Min(-lo, hi), math.Min(-lo2, hi2)) <= Shallowest
}
