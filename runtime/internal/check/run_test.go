package check

import (
	"context"
	"fmt"
	"math/rand"
	"os"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/runtime/toolpath"
	"github.com/creasewright/creasewright/stdlib"
)

// Faults of the script that the blank finds belong to no rule and are passed on
// as they are; they cannot be waived.
func TestScriptFaultsPassThrough(t *testing.T) {
	stand, waived := examineText(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
base.cut(circle(10).shift(200, 200))
piece("base", base, board = card)
`)
	if len(stand) != 1 || stand[0].Rule != diag.RuleScript || len(waived) != 0 {
		t.Errorf("stand %v, waived %v", stand, waived)
	}
}

// One crossing seen in two poses is one finding;
// it names piece, panel, pose and a place in the blank, and the other panel beside it.
func TestFindingsAreComplete(t *testing.T) {
	stand, _ := examineText(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
back = flap("back", on = base.top, depth = 30)
flap("right", on = base.right, depth = 32)
flap("lid", on = back.tip, depth = 40, inset = -3)
pose("again", {"right": 89})
piece("box", base, board = card)
`)
	stand = slices.DeleteFunc(stand, func(f *diag.Finding) bool { return f.Rule != "panels-collide" })
	if len(stand) != 1 {
		t.Fatalf("found %v", stand)
	}
	f := stand[0]
	if f.Piece != "box" || f.Panel != "lid" || f.Pose != "closed" || f.At == nil || f.Severity != diag.Error ||
		f.Site.First().Line != 5 || len(f.Related) != 1 || f.Related[0].Span.Line != 4 || f.Hint == "" {
		t.Errorf("found %+v", f)
	}
}

// A joint too narrow is marked in the middle of what board it has: 2 mm from
// x = 30 on, at the top of a panel of 60 × 40 mm.
func TestJointIsMarkedInItsMiddle(t *testing.T) {
	stand, _ := examineText(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
panel("ear", rect(2, 10), on = base.top.part(30, 32))
piece("tag", base, board = card)
`)
	if len(stand) != 1 || stand[0].Rule != "joint-narrow" || stand[0].At == nil || stand[0].At.Dist(geom.Pt(31, 40)) > 1e-9 {
		t.Errorf("found %+v", stand)
	}
}

// Panels that cross by millimetres pierce each other, in the order of their
// making; those that touch by less than a caliper do not.
func TestPierced(t *testing.T) {
	for _, c := range []struct {
		depth float64
		want  [][2]int
	}{{32, [][2]int{{2, 3}}}, {30.1, nil}} {
		d := designOf(t, fmt.Sprintf(`card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
back = flap("back", on = base.top, depth = 30)
flap("right", on = base.right, depth = %g)
flap("lid", on = back.tip, depth = 40, inset = -3)
piece("box", base, board = card)
`, c.depth))
		pieces, _ := simulated(d, nil)
		s := pieces[0].States[0]
		if got := Pierced(s); !slices.Equal(got, c.want) || len(s.Penetrations) == 0 {
			t.Errorf("%g mm deep: of %d crossings %v pierce, want %v", c.depth, len(s.Penetrations), got, c.want)
		}
	}
}

// Law: every rule of the table is found by its id, and what is given away is a
// copy: changing it leaves the table as it was.
func TestRulesByName(t *testing.T) {
	for i, r := range Rules() {
		got, ok := RuleNamed(r.ID)
		if !ok || got.ID != table[i].ID || got.Title != table[i].Title || got.Severity != table[i].Severity || r.Page() == "" {
			t.Errorf("%s: %v", r.ID, got)
		}
		r.ID, got.Title = "changed", "changed"
		if table[i].ID == "changed" || table[i].Title == "changed" {
			t.Errorf("%s: the table's own rule is given away", got.ID)
		}
	}
	if _, ok := RuleNamed("none-such"); ok {
		t.Error("a rule that is none")
	}
}

func finding(rule string, at source.Span) *diag.Finding {
	return &diag.Finding{Rule: rule, Site: source.Site{at}, Severity: diag.Error}
}

// Laws: sorting keeps every finding; the result does not depend on the order
// before, but for findings of one place, which keep theirs.
func TestScriptOrder(t *testing.T) {
	want := []source.Span{
		{File: "tea.star", Line: 2, Column: 1},
		{File: "tea.star", Line: 2, Column: 9},
		{File: "tea.star", Line: 10, Column: 1},
		{File: "//closures.star", Line: 1, Column: 1},
		{File: "apart.star", Line: 1, Column: 1},
		{File: "tea.star"},
	}
	rng := rand.New(rand.NewSource(3))
	for range 50 {
		var found []*diag.Finding
		for _, i := range rng.Perm(len(want)) {
			found = append(found, finding("first", want[i]), finding("second", want[i]))
		}
		InScriptOrder(found, "tea.star")
		for i, at := range want {
			a, b := found[2*i], found[2*i+1]
			if a.Site.First() != at || b.Site.First() != at || a.Rule != "first" || b.Rule != "second" {
				t.Fatalf("place %d: %v %s, %v %s, want %v", i, a.Site, a.Rule, b.Site, b.Rule, at)
			}
		}
	}
}

// simulated lays a design and simulates it.
func simulated(d *model.Design, early []*diag.Finding) ([]*simulate.Piece, []*diag.Finding) {
	ctx := context.Background()
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, found, err := blank.Lay(ctx, p, d.Poses)
		if err != nil {
			panic(err)
		}
		blanks, early = append(blanks, b), append(early, found...)
	}
	pieces, err := simulate.Run(ctx, d, blanks)
	if err != nil {
		panic(err)
	}
	return pieces, early
}

// programmed is a design with its programs on all machines that compensate.
func programmed(d *model.Design, pieces []*simulate.Piece, early []*diag.Finding) Input {
	in := Input{Design: d, Pieces: pieces, Early: early}
	for _, p := range pieces {
		for _, m := range d.Machines {
			if !m.Compensates() {
				continue
			}
			made, err := toolpath.Make(context.Background(), p.Blank, m.Machine)
			if err != nil {
				panic(err)
			}
			in.Programs = append(in.Programs, made)
		}
	}
	return in
}

// gather works out what the rules judge about a design.
func gather(d *model.Design, early []*diag.Finding) *facts {
	pieces, early := simulated(d, early)
	return newFacts(context.Background(), programmed(d, pieces, early))
}

// withClosed lets scripts cut through several panels.
var withClosed = script.Options{Closed: simulate.Closed}

// examine runs the script in a store and every rule over what it makes.
func examine(store *source.Store, main string) (stand []*diag.Finding, waived []diag.Waived) {
	design, early := script.Run(context.Background(), store, main, withClosed)
	if design == nil {
		return early, nil
	}
	if faults := Waivers(design); faults != nil {
		return faults, nil
	}
	pieces, early := simulated(design, early)
	stand, waived, err := Run(context.Background(), programmed(design, pieces, early))
	if err != nil {
		panic(err)
	}
	InScriptOrder(stand, main)
	return stand, waived
}

// examineText runs one script.
func examineText(t *testing.T, text string) (stand []*diag.Finding, waived []diag.Waived) {
	t.Helper()
	store := source.NewStore(func(label string) ([]byte, error) {
		if lib, ok := stdlib.Text(label); ok {
			return lib, nil
		}
		return []byte(text), nil
	})
	return examine(store, "case.star")
}

// designOf runs a script.
func designOf(t testing.TB, text string) *model.Design {
	t.Helper()
	store := source.NewStore(func(string) ([]byte, error) { return []byte(text), nil })
	d, found := script.Run(context.Background(), store, "case.star", withClosed)
	if d == nil {
		t.Fatal(found)
	}
	return d
}

// crooked is a box of which much is wrong: joins that miss, crossing panels and
// a product that does not fit.
const crooked = `card = board("card", caliper = 0.5)
base = panel("base", rect(60, 40))
front = flap("front", on = base.bottom, depth = 30)
back = flap("back", on = base.top, depth = 30)
left = flap("left", on = base.left, depth = 32)
right = flap("right", on = base.right, depth = 28)
tab("tab", on = left.left, depth = 8, to = front)
lid = flap("lid", on = back.tip, depth = 44)
tongue = flap("tongue", on = lid.tip, depth = 10, inset = 1)
tuck(tongue, into = front)
meet(right.left, back.right)
contents("thing", (58, 41, 20), on = base, clearance = 1)
pose("open", {"lid": 0})
piece("box", base, board = card)
`

// stackOf is a strip of n panels folded flat on one another.
func stackOf(n string) string {
	return `card = board("card", caliper = 0.2)
root = panel("p0", rect(20, 60))
last = root
for i in range(1, ` + n + `):
    last = panel("p%d" % i, rect(20 - (i % 7) / 10, 60), on = last.right, fold = 180 if i % 2 else -180)
piece("stack", root, board = card)
`
}

// The rules stop wherever the context ends.
func TestRunStops(t *testing.T) {
	tea, err := os.ReadFile("../../../scripts/tea-carton.star")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"crooked": crooked, "tea carton": string(tea), "stack": stackOf("40"), "boxes": rowOfBoxes(4), "pleats": pleats(40),
	} {
		t.Run(name, func(t *testing.T) {
			d := designOf(t, text)
			pieces, early := simulated(d, nil)
			looks := canceltest.Stops(t, func(ctx context.Context) error {
				_, _, err := Run(ctx, Input{Design: d, Pieces: pieces, Early: early})
				return err
			})
			if looks < int64(len(table)+len(d.Panels)) {
				t.Errorf("%d looks for %d rules and %d panels", looks, len(table), len(d.Panels))
			}
		})
	}
}
