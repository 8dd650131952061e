package emit_test

import (
	"cmp"
	"context"
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// laid lays out random hinge trees of bricks and of patches with arcs and
// cubics for edges, turned and mirrored at random.
func laid(t *testing.T, seed int64) *blank.Blank {
	t.Helper()
	rnd := rand.New(rand.NewSource(seed))
	m := geom.Rotation(geom.Radians(rnd.Float64()*7), geom.Pt(50, -20))
	if seed%3 == 0 {
		m = m.Then(geom.FlipX())
	}
	known := modeltest.Tree(rnd, 2+rnd.Intn(60), m)
	b, faults, _ := blank.Lay(context.Background(), known.Design.Pieces[0], known.Design.Poses)
	if len(faults) > 0 {
		t.Fatalf("seed %d: %v", seed, faults[0])
	}
	return b
}

// Laws, on blanks of random hinge trees: both files read back as the blank,
// which starts at 0, 0 and fills the size told; and ends that meet in the
// blank, of one stroke or of several, meet in the file to the digit.
func TestFilesHoldLaidBlanks(t *testing.T) {
	for seed := range int64(60) {
		b := laid(t, seed)
		inside := seed%5 == 0
		svg, dxf := readBoth(t, b, inside)
		want := emittest.Expected(b, inside)
		for _, got := range []emittest.Drawing{svg, dxf} {
			if err := emittest.Same(want, got, readBack); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if err := sameEndsMeet(want, got); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			box := geom.EmptyBox()
			for _, l := range got.Layers {
				for _, c := range emittest.Curves(l) {
					box = box.Union(c.Bounds())
				}
			}
			if box.Min.Len() > 1e-4 || box.Max.Dist(geom.Pt(got.Width, got.Height)) > 2e-4 {
				t.Fatalf("seed %d: line work fills %v of %v × %v", seed, box, got.Width, got.Height)
			}
		}
	}
}

// end is one end of a curve, in the model and in a file.
type end struct{ model, file geom.Point }

// sameEndsMeet looks at all ends that lie within a nanometre in the model.
func sameEndsMeet(model, file emittest.Drawing) error {
	var ends []end
	for i, l := range model.Layers {
		got := emittest.Curves(file.Layers[i])
		for j, c := range emittest.Curves(l) {
			ends = append(ends, end{c.P, got[j].P}, end{c.Q, got[j].Q})
		}
	}
	slices.SortFunc(ends, func(a, b end) int { return cmp.Compare(a.model.X, b.model.X) })
	for i, a := range ends {
		for _, b := range ends[i+1:] {
			if b.model.X-a.model.X > 1e-6 {
				break
			}
			if a.model.Dist(b.model) < 1e-6 && a.file != b.file {
				return fmt.Errorf("ends at %v and %v of the model lie at %v and %v", a.model, b.model, a.file, b.file)
			}
		}
	}
	return nil
}

// ezdxf and svgelements read laid blanks as they read made-up ones.
func TestReadersReadLaidBlanks(t *testing.T) {
	emittest.NeedReaders(t)
	var blanks []*blank.Blank
	var svgs, dxfs [][]byte
	for seed := range int64(12) {
		b := laid(t, seed)
		blanks = append(blanks, b)
		svgs, dxfs = append(svgs, svgOf(b, false)), append(dxfs, dxfOf(b, false))
	}
	fromSVG, fromDXF := emittest.ReadSVG(t, svgs...), emittest.ReadDXF(t, dxfs...)
	for i, b := range blanks {
		want := emittest.Expected(b, false)
		for _, got := range []emittest.Outside{fromSVG[i], fromDXF[i]} {
			if err := emittest.Same(want, got.Drawing, readBack); err != nil || len(got.Faults) > 0 {
				t.Errorf("seed %d: %v; audit %v", i, err, got.Faults)
			}
		}
	}
}
