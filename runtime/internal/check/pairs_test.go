package check

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// oneByOne is what a rule about pairs tells when every pair gets words first
// and findings are put together as those of other rules are. Of those allowed it
// gives the reason and the words, sorted.
func oneByOne(f *facts, r *Rule, blamed culprits) (stand []*Found, waived []string) {
	byReason := map[string][]*Found{}
	f.each(func(s state) []Found {
		for q := range r.pairs.list(s) {
			g := r.pairs.tell(s, q)
			g.finish(r)
			g.Key, g.Ties, g.Weight = fmt.Sprint(q.a, " ", q.b), g.Panels, q.weight
			if r.pairs.blames {
				g.Blames = g.Panels
			}
			if w := f.waivers.of(r.ID, g.Panels...); w != nil {
				byReason[w.Reason] = append(byReason[w.Reason], &g)
			} else {
				stand = append(stand, &g)
			}
		}
		return nil
	})
	for reason, allowed := range byReason {
		for _, g := range grouped(once(allowed)) {
			waived = append(waived, allowedAs(reason, &g.Finding))
		}
	}
	slices.Sort(waived)
	return grouped(once(causes(stand, blamed))), waived
}

func allowedAs(reason string, g *diag.Finding) string {
	return fmt.Sprint(reason, ": ", g.Pose, " ", g.Message, " ", g.Hint, " ", g.Related)
}

// Law: pairs told by number give the same as pairs told one by one, with
// several poses, waivers for two reasons, panels that one call makes, and causes that explain
// some of them.
func TestPairsAreToldAsOthers(t *testing.T) {
	told, more, explained, allowedPairs := 0, 0, 0, 0
	try := func(name string, d *model.Design, rng *rand.Rand) {
		f := gather(d, nil)
		for _, r := range table {
			if r.pairs == nil {
				continue
			}
			for _, p := range d.Panels {
				if rng.Intn(8) == 0 {
					d.Waivers = append(d.Waivers, &model.Waiver{Rule: r.ID, Panel: p, Reason: []string{"on purpose", "by hand"}[rng.Intn(2)]})
				}
			}
			f.waivers = newWaivers(d.Waivers)
			var blamed [2]culprits
			for k := range blamed {
				blamed[k] = culprits{}
			}
			for _, cause := range r.after[:min(1, len(r.after))] {
				c, _ := RuleNamed(cause)
				for _, p := range d.Panels {
					if rng.Intn(6) == 0 {
						explained++
						pose := f.Pieces[0].States[rng.Intn(len(f.Pieces[0].States))].Pose
						for _, b := range blamed {
							b.add(c, p.Piece, pose, p)
						}
					}
				}
			}
			got, waived := f.applyToPairs(r, blamed[0])
			want, free := oneByOne(f, r, blamed[1])
			var allowed []string
			for _, w := range waived {
				allowed = append(allowed, allowedAs(w.Reason, w.Finding))
				allowedPairs += 1 + len(w.Finding.Related)
			}
			slices.Sort(allowed)
			if len(got) != len(want) || len(allowed) != len(free) || len(blamed[0]) < len(blamed[1]) {
				t.Fatalf("%s, %s: %d told, %d waived, want %d and %d", name, r.ID, len(got), len(allowed), len(want), len(free))
			}
			for i, g := range got {
				told++
				more += len(g.Related)
				if a, b := fmt.Sprintf("%+v", g.Finding), fmt.Sprintf("%+v", want[i].Finding); len(a) != len(b) || g.Message != want[i].Message || g.Hint != want[i].Hint ||
					fmt.Sprint(g.Related) != fmt.Sprint(want[i].Related) || g.Pose != want[i].Pose {
					t.Errorf("%s: %s, want %s", name, a, b)
				}
			}
			if !slices.Equal(allowed, free) {
				t.Errorf("%s: waived %q, want %q", name, allowed, free)
			}
			d.Waivers = nil
		}
	}
	for seed := range int64(40) {
		rng := rand.New(rand.NewSource(seed))
		d := modeltest.Tree(rng, 10+int(seed), geom.Rotation(geom.Radians(1), geom.Pt(3, 4))).Design
		try(fmt.Sprint("tree ", seed), d, rng)
	}
	for seed := range int64(6) {
		rng := rand.New(rand.NewSource(seed))
		try("stack", designOf(t, stackOf("30")+"pose(\"half\", {\"p7\": 120, \"p20\": 0})\n"), rng)
		try("crooked", designOf(t, crooked), rng)
		try("boxes", designOf(t, rowOfBoxes(4)+"pose(\"open\", {\"lid1\": 60})\n"), rng)
	}
	if told < 40 || more < 120 || explained < 50 || allowedPairs < 50 {
		t.Errorf("only %d told, %d beside them, %d panels blamed, %d pairs allowed", told, more, explained, allowedPairs)
	}
}
