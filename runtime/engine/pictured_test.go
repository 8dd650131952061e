package engine

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
)

// Law: where board stands, a picture shows board: whatever hides a panel is
// itself there to see. Layers are drawn a hair further in, so a rim may stand
// where nothing is drawn; half of any panel would be a hole. Poses pressed flat
// are left out, as many layers shift by more than a panel.
func TestNoWallIsLostFromAPicture(t *testing.T) {
	for name := range examples {
		r := &run{req: Request{Script: name, Read: scriptsFolder}, store: source.NewStore(withLibrary(scriptsFolder))}
		r.all(context.Background())
		for i, b := range r.blanks {
			for _, p := range r.pieces[i].States {
				if p.Flat {
					continue
				}
				for _, v := range []scene.View{scene.Front(), scene.Behind(), scene.Look(20, 50)} {
					for panel, bare := range bareShares(b, p, v) {
						if bare > 0.5 {
							t.Errorf("%s, pose %s: %.0f %% of %q stands where the picture is bare", name, p.Contacts().Pose.Pose.Name, 100*bare, panel)
						}
					}
				}
			}
		}
	}
}

// A tray made on its base is seen from above, into it; a carton from the front.
func TestTraysAreSeenFromAbove(t *testing.T) {
	for name, want := range map[string]string{"honey-tray.star": "from below,", "tea-carton.star": "from behind,"} {
		res := mustRun(Request{Script: name, Read: scriptsFolder})
		found := false
		for _, f := range res.Files {
			found = found || f.Kind == emit.KindPreview && strings.Contains(string(f.Bytes), ">"+want)
		}
		if !found {
			t.Errorf("%s: no small picture %s", name, want)
		}
	}
}

// A wall on which the sides of its neighbours' tabs end is drawn whole.
func TestWallsWithTabsAreWhole(t *testing.T) {
	script := `
floor = panel("floor", regular(6, 40))
walls = [panel("wall %d" % i, rect(40, 90), on = floor.edge("e%d" % i)) for i in range(6)]
for i in range(6):
    tab("tab %d" % i, on = walls[i].right, depth = 12, to = walls[(i + 5) % 6].left, inset = (0, 8))
piece("box", floor, board = board("card", caliper = 0.5))
`
	r := &run{req: Request{Script: "box.star"}, store: source.NewStore(withLibrary(from(map[string]string{"box.star": script})))}
	r.all(context.Background())
	for panel, bare := range bareShares(r.blanks[0], r.pieces[0].States[0], scene.Front()) {
		if bare > 0.05 {
			t.Errorf("%.0f %% of %q stands where the picture is bare", 100*bare, panel)
		}
	}
}

// Law: whatever a window takes away, hinges and whole panels included, the run
// ends with files or findings and never in a failure of the program.
func TestDesignsWithHolesAreDrawn(t *testing.T) {
	r := rand.New(rand.NewSource(29))
	made := regexp.MustCompile(`(?m)^(\w+) = (?:panel|flap|tab)\(`)
	faulty := 0
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		text, err := scriptsFolder(name)
		if err != nil {
			t.Fatal(err)
		}
		panels, end := made.FindAllSubmatch(text, -1), bytes.LastIndex(text, []byte("\npiece("))
		if len(panels) == 0 || end < 0 {
			continue
		}
		for range outsidetest.Times(t, 10, 25) {
			cut := fmt.Sprintf("\n%s.cut(rect(%g, %g).shift(%g, %g))", panels[r.Intn(len(panels))][1],
				math.Exp(6*r.Float64()), math.Exp(6*r.Float64()), float64(r.Intn(160)-40), float64(r.Intn(160)-40))
			script := string(text[:end]) + cut + string(text[end:])
			res := mustRun(Request{Script: name, Read: func(label string) ([]byte, error) {
				if label == name {
					return []byte(script), nil
				}
				return scriptsFolder(label)
			}})
			if res.Exit == Crashed {
				t.Errorf("%s with %s: %v\n%s", name, cut, res.Findings[0], res.Stack)
			}
			if res.Exit == Faulty {
				faulty++
			}
		}
	}
	if faulty < 20 {
		t.Errorf("only %d designs with faults", faulty)
	}
}

// bareShares is the share of each panel's board, by points of a grid, that
// stands where a picture shows nothing.
func bareShares(b *blank.Blank, p *simulate.State, v scene.View) map[string]float64 {
	sc, err := scene.New(context.Background(), scene.Input{Blank: b, Pose: p.Contacts().Pose, Layers: layersOf(p)})
	if err != nil {
		panic(err)
	}
	picture, err := sc.Draw(context.Background(), v)
	if err != nil {
		panic(err)
	}
	out := map[string]float64{}
	for i, s := range b.Regions {
		place := p.Placements[i]
		points := boardPoints(s)
		if !place.OK || len(points) == 0 {
			continue
		}
		bare := 0
		for _, q := range points {
			if !shows(picture, v.Project(place.Apply(s.Panel.Flat.Inverse().Apply(q).Space()))) {
				bare++
			}
		}
		out[s.Panel.Name] = float64(bare) / float64(len(points))
	}
	return out
}

// boardPoints are those of a grid over a panel, in the blank, that lie on board.
func boardPoints(s blank.Region) []geom.Point {
	const steps = 12
	var curves []geom.Curve
	box := geom.EmptyBox()
	for _, r := range s.Rings {
		curves = append(curves, r...)
	}
	for _, c := range curves {
		box = box.Union(c.Bounds())
	}
	var out []geom.Point
	for k := range steps * steps {
		q := box.Min.Add(geom.Pt(box.Width()*(float64(k%steps)+0.5)/steps, box.Height()*(float64(k/steps)+0.5)/steps))
		if geom.Winding(curves, q) != 0 {
			out = append(out, q)
		}
	}
	return out
}

func shows(p *scene.Picture, at geom.Point) bool {
	for _, f := range p.Faces {
		if polygon.Holds(f.Rings, at) {
			return true
		}
	}
	return false
}
