package check

import (
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// box is a piece of four named panels in two poses.
type box struct {
	piece                   *model.Piece
	base, wall, lid, tongue *model.Panel
	closed, open            *model.Pose
}

func newBox() box {
	b := box{piece: &model.Piece{Name: "box"}, closed: &model.Pose{Name: model.PoseClosed}, open: &model.Pose{Name: "open"}}
	panel := func(name string, on *model.Panel) *model.Panel {
		p := &model.Panel{Name: name, Piece: b.piece}
		if on != nil {
			p.Hang = &model.Hinge{Parent: on, Child: p, Name: name}
		}
		b.piece.Panels = append(b.piece.Panels, p)
		return p
	}
	b.base = panel("base", nil)
	b.wall = panel("wall", b.base)
	b.lid = panel("lid", b.wall)
	b.tongue = panel("tongue", b.lid)
	return b
}

// told is a finding of a rule in a pose.
func told(r *Rule, pose *model.Pose, key string, panels ...*model.Panel) *Found {
	f := foundf(nil, panels, "%s", key).in(pose, key)
	f.finish(r)
	return &f
}

func keys(found []*Found) string {
	var out []string
	for _, f := range found {
		out = append(out, f.Key)
	}
	return strings.Join(out, " ")
}

// inTurn looks for the causes of findings, each after those before it.
func inTurn(found []*Found) (left []*Found) {
	blamed := culprits{}
	for _, f := range found {
		left = append(left, causes([]*Found{f}, blamed)...)
	}
	return left
}

// A finding is left out where an earlier rule's blames one of its panels, in
// the same pose or in "closed"; nothing else is.
func TestCausesSilenceConsequences(t *testing.T) {
	b := newBox()
	gap := told(&joinGap, b.closed, "gap", b.tongue, b.wall)
	gap.Blames = []*model.Panel{b.tongue}
	found := []*Found{
		gap,
		told(&panelsCollide, b.closed, "tongue|base", b.tongue, b.base),
		told(&panelsCollide, b.open, "base|tongue", b.base, b.tongue),
		told(&panelsCollide, b.closed, "wall|base", b.wall, b.base),
		told(&panelsLayered, b.closed, "layer", b.tongue, b.base),
	}
	if got := keys(inTurn(found)); got != "gap wall|base layer" {
		t.Errorf("left %q", got)
	}
	gap.Pose = b.open
	if got := keys(inTurn(found)); got != "gap tongue|base wall|base layer" {
		t.Errorf("blamed in the open pose alone, left %q", got)
	}
	gap.Mild = true
	if got := inTurn(found); len(got) != len(found) {
		t.Errorf("a note explains nothing, left %q", keys(got))
	}
}

func TestOncePerTrouble(t *testing.T) {
	b := newBox()
	found := []*Found{
		told(&panelsCollide, b.closed, "1 2", b.lid, b.wall),
		told(&panelsCollide, b.open, "1 2", b.lid, b.wall),
		told(&panelsTouch, b.open, "1 2", b.lid, b.wall),
		told(&contentsDoNotFit, b.closed, "", b.lid),
		told(&contentsDoNotFit, b.closed, "", b.lid),
	}
	got := once(found)
	if len(got) != 4 || got[0].Pose != b.closed || got[1].Rule != panelsTouch.ID {
		t.Errorf("left %d", len(got))
	}
}

// Pieces made by the same lines of a script, one after the other, have the same
// keys; the trouble of each is told.
func TestOnceForEachPiece(t *testing.T) {
	a, b := newBox(), newBox()
	found := []*Found{
		told(&joinGap, a.closed, "0", a.lid, a.wall), told(&joinGap, a.open, "0", a.lid, a.wall), told(&joinGap, a.closed, "0", b.lid, b.wall),
	}
	if got := once(found); len(got) != 2 || got[0] != found[0] || got[1] != found[2] {
		t.Errorf("left %d", len(got))
	}
}

// Findings that share a panel are told by the heaviest, the others beside it;
// the cures it offers are those that help all.
func TestTogether(t *testing.T) {
	b := newBox()
	first := told(&panelsCollide, b.closed, "lid|wall", b.lid, b.wall)
	second := told(&panelsCollide, b.closed, "wall|base", b.wall, b.base)
	apart := told(&panelsCollide, b.closed, "tongue|tongue", b.tongue)
	for i, f := range []*Found{first, second, apart} {
		f.Ties, f.Weight = f.Panels, float64(1+i)
	}
	wall := Cure{Panel: b.wall, Edge: "tip", By: -2}
	first.Cures = []Cure{{Panel: b.lid, Edge: "tip", By: -1}, wall}
	second.Cures = []Cure{{Panel: b.base, Edge: "top", By: 3}, wall}
	got := grouped([]*Found{first, second, apart})
	if keys(got) != "wall|base tongue|tongue" {
		t.Fatalf("told %q", keys(got))
	}
	if r := got[0].Related; len(r) != 1 || r[0].Message != "with it: lid|wall" {
		t.Errorf("beside it %v", r)
	}
	if got[0].Hint != `"wall" smaller by 2.00 mm at its edge "tip" would put it right` {
		t.Errorf("hint %q", got[0].Hint)
	}
}

// Panels that one call makes in a loop are told of together; those of other
// calls, of other pieces, and what is not about the call that made a panel, each
// for itself.
func TestTogetherInLoops(t *testing.T) {
	b, other := newBox(), newBox()
	at := func(line int) source.Site {
		return source.Site{{File: "box.star", Line: line, Column: 1, EndLine: line, EndColumn: 9}}
	}
	b.wall.Site, b.lid.Site, b.tongue.Site, other.lid.Site = at(3), at(3), at(4), at(3)
	var found []*Found
	for _, p := range []*model.Panel{b.wall, b.lid, b.tongue, other.lid} {
		f := told(&glueTabNarrow, nil, p.Name, p)
		f.Site = p.Site
		found = append(found, f)
	}
	for range 2 { // the piece's own
		f := told(&glueTabNarrow, nil, "piece", b.wall)
		f.Site = at(9)
		found = append(found, f)
	}
	if got := keys(grouped(found)); got != "wall tongue lid piece piece" {
		t.Errorf("told %q", got)
	}
}

// A chain of ties is one cause, however long, and a crowd is told by number.
func TestTogetherAlongChains(t *testing.T) {
	b := newBox()
	var found []*Found
	for i := range 9 {
		p := &model.Panel{Name: string(rune('a' + i)), Piece: b.piece}
		f := told(&panelsCollide, b.closed, p.Name, p)
		f.Ties = []*model.Panel{p}
		if i > 0 {
			f.Ties = append(f.Ties, found[i-1].Ties[0])
		}
		found = append(found, f)
	}
	got := grouped(found)
	if len(got) != 1 || len(got[0].Related) != mostRelated || !strings.HasSuffix(got[0].Message, "; with it 8 more") {
		t.Errorf("%d told, the first %q with %d beside it", len(got), got[0].Message, len(got[0].Related))
	}
}

func TestWaiversHoldForOneRuleOnAnyOfItsPanels(t *testing.T) {
	b := newBox()
	waivers := []*model.Waiver{{Rule: "panels-collide", Panel: b.wall, Reason: "on purpose"}}
	found := []*Found{
		told(&panelsCollide, b.closed, "lid|wall", b.lid, b.wall),
		told(&panelsCollide, b.open, "lid|wall", b.lid, b.wall),
		told(&panelsTouch, b.closed, "touch", b.lid, b.wall),
		told(&panelsCollide, b.closed, "lid|base", b.lid, b.base),
	}
	stand, waived := newWaivers(waivers).waive(found)
	if keys(stand) != "touch lid|base" {
		t.Errorf("stand %q", keys(stand))
	}
	if len(waived) != 1 || waived[0].Reason != "on purpose" || waived[0].Finding.Message != "lid|wall" {
		t.Errorf("waived %v", waived)
	}
}

func TestWaiversOfNoRule(t *testing.T) {
	d := &model.Design{Waivers: []*model.Waiver{{Rule: "join-gap"}, {Rule: "join-gaps"}, {Rule: "xylophone"}}}
	got := Waivers(d)
	if len(got) != 2 || got[0].Rule != diag.RuleScript || got[0].Hint != `did you mean "join-gap"?` || got[1].Hint != "" {
		t.Errorf("got %v", got)
	}
}

func TestMisplacedAndBlamed(t *testing.T) {
	b := newBox()
	if got := hanging(b.piece, []*model.Panel{b.lid, b.base}); !slices.Equal(got, []*model.Panel{b.lid, b.base, b.tongue}) {
		t.Errorf("hanging on the lid: %v", quoted(got))
	}
	for want, ends := range map[string][2]*model.Panel{
		`"tongue", "lid", "wall", "base"`: {b.tongue, b.base},
		`"base", "wall"`:                  {b.base, b.wall},
		`"lid"`:                           {b.lid, b.lid},
	} {
		if got := quoted(walkBetween(ends[0], ends[1])); got != want {
			t.Errorf("walk %s, want %s", got, want)
		}
	}
}
