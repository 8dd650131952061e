package engine

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/solid"
	"github.com/creasewright/creasewright/runtime/internal/solid/solidtest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// solidFiles are the files in space of every example, of some random settings of its parameters too,
// by names of their own; what each run told is handed to told.
func solidFiles(t *testing.T, settings int, told func(report []byte, glb *solidtest.GLB, stl []byte)) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		for i, params := range randomSettings(t, name, settings) {
			res := mustRun(Request{Script: name, Read: scriptsFolder, Params: params, Also: []emit.Kind{emit.KindGLB, emit.KindSTL}})
			if res.Exit != Clean && i > 0 {
				continue // no such files
			}
			files := map[string][]byte{}
			for _, f := range res.Files {
				files[filepath.Ext(f.Name)] = f.Bytes
				if ext := filepath.Ext(f.Name); ext == ".glb" || ext == ".stl" {
					out[fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ".star"), i, ext)] = f.Bytes
				}
			}
			glb, err := solidtest.ReadGLB(files[".glb"])
			if err != nil {
				t.Fatalf("%s %v: %v", name, params, err)
			}
			if told != nil {
				told(files[".json"], glb, files[".stl"])
			}
		}
	}
	if len(out) < 2*len(examples) {
		t.Fatalf("only %d files of %d examples", len(out), len(examples))
	}
	return out
}

// placedReport is what a report says of where panels stand.
type placedReport struct {
	Pieces []struct {
		Panels []struct {
			Name  string
			Poses map[string]*[12]float64
		}
		Poses []struct {
			Name    string
			Outside [3]float64
		}
	}
}

// Law: where a panel's corners stand at rest and at the end of every animation, the report has them too, to a
// millionth of a metre; and the closed piece in STL is as large as the report says.
func TestSolidsAgreeWithTheReport(t *testing.T) {
	panels := 0
	solidFiles(t, 2, func(report []byte, g *solidtest.GLB, stl []byte) {
		var r placedReport
		if err := json.Unmarshal(report, &r); err != nil {
			t.Fatal(err)
		}
		check := func(pose string, at []solidtest.Affine) {
			for _, p := range r.Pieces[0].Panels {
				m, n := p.Poses[pose], g.Node(p.Name, true)
				if m == nil {
					continue
				}
				for _, c := range g.Nodes[n].Triangles() {
					q := c[0].Mul(1000)
					want := geom.Point3{
						X: m[0]*q.X + m[1]*q.Y + m[2]*q.Z + m[3], Y: m[4]*q.X + m[5]*q.Y + m[6]*q.Z + m[7], Z: m[8]*q.X + m[9]*q.Y + m[10]*q.Z + m[11],
					}
					if off := at[n].Apply(c[0]).Dist(at[0].Apply(want.Mul(0.001))); off > 1e-6 {
						t.Errorf("%s: %q in %q is off by %v m", g.Name, p.Name, pose, off)
						break
					}
				}
				panels++
			}
		}
		check("closed", g.At(nil, 0))
		for i := range g.Animations {
			a := &g.Animations[i]
			check(a.Name, g.At(a, 10))
			check("flat", g.At(a, 0))
		}
		checkExtent(t, g.Name, g.At(nil, 0)[0], r, stl)
	})
	if panels < 200 {
		t.Errorf("only %d panels", panels)
	}
}

// checkExtent compares the sizes of an STL file with those of the closed piece, in any order. The report has
// them along the root panel's axes, so a piece that does not stand square to these says nothing.
func checkExtent(t *testing.T, name string, root solidtest.Affine, r placedReport, stl []byte) {
	t.Helper()
	for _, row := range root {
		for _, v := range row[:3] {
			if math.Min(math.Abs(v), math.Abs(math.Abs(v)-1)) > 1e-6 {
				return
			}
		}
	}
	all, err := solidtest.ReadSTL(stl)
	if err != nil {
		t.Fatal(err)
	}
	var got, want []float64
	high := geom.Point3{}
	for _, tr := range all {
		for _, c := range tr {
			high = geom.Point3{X: max(high.X, c.X), Y: max(high.Y, c.Y), Z: max(high.Z, c.Z)}
		}
	}
	got = append(got, high.X, high.Y, high.Z)
	for _, p := range r.Pieces[0].Poses {
		if p.Name == "closed" {
			want = append(want, p.Outside[:]...)
		}
	}
	slices.Sort(got)
	slices.Sort(want)
	// Layers stand a little apart.
	for i := range got {
		if math.Abs(got[i]-want[i]) > 0.1 {
			t.Errorf("%s: %v mm, reported as %v", name, got, want)
			return
		}
	}
}

// The table knows how the files begin.
func TestSolidHeads(t *testing.T) {
	for kind, head := range map[emit.Kind]string{emit.KindGLB: solid.GLBHead, emit.KindSTL: solid.STLHead} {
		if f, ok := emit.Formats().Of(kind); !ok || f.Head != head {
			t.Errorf("%s begins with %q, in the table with %q", kind, head, f.Head)
		}
	}
}

// Khronos' validator finds nothing at all in the GLB of every example and some random settings; Assimp
// finds the piece's animations and nodes in it; ADMesh finds nothing to mend in the STL.
func TestOutsideReadersReadSolids(t *testing.T) {
	solidtest.Need(t)
	dir := t.TempDir()
	var glbs []string
	files := solidFiles(t, 4, nil)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, files[name], 0o600); err != nil {
			t.Fatal(err)
		}
		if filepath.Ext(name) == ".stl" {
			solidtest.Mend(t, file)
			continue
		}
		glbs = append(glbs, file)
		g, err := solidtest.ReadGLB(files[name])
		if err != nil {
			t.Fatal(err)
		}
		said := solidtest.Import(t, file)
		if !strings.Contains(said, fmt.Sprintf("Animations:         %d\n", len(g.Animations))) || !strings.Contains(said, "\n"+g.Name+"\n") {
			t.Errorf("%s: Assimp reads\n%s", name, said)
		}
	}
	solidtest.Validate(t, glbs...)
}

// agree is how far a solid laid flat may lie from the cut file, in mm: 0.01 for its chords
// (solid), 1e-4 for the file's grid, and single precision of metres.
const agree = 0.011

// Law: before it folds, the piece in space is the blank of the cut file, for every example and 500 random
// designs. Every corner of its plates lies on a line of the file, and every closed cut of the file runs
// along the plates' sides.
func TestSolidsAgreeWithTheCutFile(t *testing.T) {
	for name := range examples {
		res := mustRun(Request{Script: name, Read: scriptsFolder, Also: []emit.Kind{emit.KindGLB}})
		files := map[emit.Kind][]byte{}
		for _, f := range res.Files {
			files[f.Kind] = f.Bytes
		}
		var r struct {
			Pieces []struct {
				Blank  struct{ Origin [2]float64 }
				Panels []struct{ Name string }
			}
		}
		if err := json.Unmarshal(files[emit.KindReport], &r); err != nil {
			t.Fatal(err)
		}
		var panels []string
		for _, p := range r.Pieces[0].Panels {
			panels = append(panels, p.Name)
		}
		if n := checkFlat(t, name, files[emit.KindGLB], files[emit.KindCutSVG], r.Pieces[0].Blank.Origin, panels); n < 20 {
			t.Errorf("%s: only %d corners", name, n)
		}
	}
	ctx := context.Background()
	compared := 0
	for seed := int64(0); compared < 500; seed++ {
		rng := rand.New(rand.NewSource(seed))
		d := modeltest.Tree(rng, 1+rng.Intn(7), geom.Identity()).Design
		b, _, err := blank.Lay(ctx, d.Pieces[0], d.Poses)
		if err != nil {
			t.Fatal(err)
		}
		pieces, err := simulate.Run(ctx, d, []*blank.Blank{b})
		if err != nil {
			t.Fatal(err)
		}
		if slices.ContainsFunc(pieces[0].State(model.PoseClosed).Placements, func(p simulate.Placement) bool { return !p.OK }) {
			continue // what has no place when folded is left out
		}
		compared++
		glb, err := solid.GLB(ctx, d, pieces[0])
		if err != nil {
			t.Fatal(err)
		}
		svg, err := emit.SVG(ctx, b, false)
		if err != nil {
			t.Fatal(err)
		}
		var panels []string
		for _, r := range b.Regions {
			panels = append(panels, r.Panel.Name)
		}
		name := fmt.Sprintf("random design %d", seed)
		if n := checkFlat(t, name, glb, svg, [2]float64{b.Bounds.Min.X, b.Bounds.Min.Y}, panels); n < 4*len(panels) {
			t.Errorf("%s: only %d corners of %d panels", name, n, len(panels))
		}
	}
}

// checkFlat compares a piece in space, before it folds, with its cut file, and gives how many corners
// the plates have.
func checkFlat(t *testing.T, name string, glb, svg []byte, origin [2]float64, panels []string) int {
	t.Helper()
	g, err := solidtest.ReadGLB(glb)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	cut, err := emittest.ParseSVG(svg)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	corners, sides, covered := flatPlates(g, origin, panels)
	var lines []geom.Curve
	for _, l := range cut.Layers {
		lines = append(lines, emittest.Curves(l)...)
	}
	drawn, plates := nearTo(lines), nearTo(sides)
	for _, p := range corners {
		if !drawn.holds(p) {
			t.Fatalf("%s: a corner of a plate at %v lies more than %v mm from every line", name, p, agree)
		}
	}
	for _, l := range cut.Layers {
		for _, s := range l.Strokes {
			if l.Kind != blank.CutLine || !s.Closed {
				continue
			}
			for _, c := range s.Curves {
				for k := range 6 {
					if p := c.At(float64(k) / 5); !plates.holds(p) {
						t.Fatalf("%s: no plate ends at the cut at %v", name, p)
					}
				}
			}
		}
	}
	// What the closed cuts enclose, the holes taken away, is what both faces of the plates cover; a line that
	// is off by agree takes that times its length.
	want, slack, outer := 0.0, 0.0, 0.0
	for _, l := range cut.Layers {
		for _, s := range l.Strokes {
			if l.Kind == blank.CutLine && s.Closed {
				a := 0.0
				for _, c := range s.Curves {
					a += c.Area()
					slack += c.Length() * agree
				}
				want -= math.Abs(a)
				outer = max(outer, math.Abs(a))
			}
		}
	}
	if want += 2 * outer; math.Abs(covered/2-want) > slack {
		t.Errorf("%s: the plates cover %v mm2, the cuts enclose %v", name, covered/2, want)
	}
	if len(sides) < len(corners)/2 {
		t.Errorf("%s: %d corners, %d sides", name, len(corners), len(sides))
	}
	return len(corners)
}

// flatPlates are the corners, sides and area (mm2, both faces) of all panels' triangles at the start of the first
// animation, or at rest without one, as the cut file lies, whose blank begins at the origin.
func flatPlates(g *solidtest.GLB, origin [2]float64, panels []string) (corners []geom.Point, sides []geom.Curve, covered float64) {
	var start *solidtest.Animation
	if len(g.Animations) > 0 {
		start = &g.Animations[0]
	}
	at := g.At(start, 0)
	for _, panel := range panels {
		n := g.Node(panel, true)
		if n < 0 {
			continue
		}
		for _, part := range g.Nodes[n].Mesh {
			flat := make([]geom.Point, len(part.Positions))
			for i, q := range part.Positions {
				p := at[n].Apply(q)
				var local [2]float64 // in the root's frame, whose matrix is a rotation and a shift
				for k := range local {
					local[k] = at[0][0][k]*(p.X-at[0][0][3]) + at[0][1][k]*(p.Y-at[0][1][3]) + at[0][2][k]*(p.Z-at[0][2][3])
				}
				flat[i] = geom.Pt(local[0]*1000-origin[0], local[1]*1000-origin[1])
			}
			corners = append(corners, flat...)
			for _, tri := range part.Triangles {
				covered += math.Abs(flat[tri[1]].Sub(flat[tri[0]]).Cross(flat[tri[2]].Sub(flat[tri[0]]))) / 2
				for k := range tri {
					if a, b := flat[tri[k]], flat[tri[(k+1)%3]]; a.Dist(b) > agree {
						sides = append(sides, geom.LineFrom(a, b))
					}
				}
			}
		}
	}
	return corners, sides, covered
}

// near are curves and where they lie.
type near struct {
	curves []geom.Curve
	boxes  []geom.Box
}

func nearTo(curves []geom.Curve) near {
	n := near{curves: curves}
	for _, c := range curves {
		n.boxes = append(n.boxes, c.Bounds().Grow(agree))
	}
	return n
}

// holds reports whether a point lies on one of the curves, but for agree.
func (n near) holds(p geom.Point) bool {
	for i, box := range n.boxes {
		if !box.Contains(p) {
			continue
		}
		if _, d := n.curves[i].Nearest(p); d <= agree {
			return true
		}
	}
	return false
}
