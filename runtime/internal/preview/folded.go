package preview

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// Folded is the view of a piece in a pose: from the front, and small from
// behind; one that stands open away from the front, as a tray does on its root
// panel, is seen lying, from above and small from below. A finding about the
// pose is marked where its spot can be seen, in the first picture for choice;
// where board hides it from both sides the first picture is marked at that place
// all the same.
func Folded(in scene.Input, found []*diag.Finding) View {
	sc := scene.New(in)
	v := View{
		Piece: in.Blank.Piece.Name, Title: in.Pose.Pose.Name,
		Aspects: []Aspect{
			{Title: "from the front", Picture: sc.Draw(scene.Front())},
			{Title: "from behind, below", Picture: sc.Draw(scene.Behind())},
		},
	}
	for i, p := range in.Blank.Piece.Panels {
		if !in.Pose.Place[i].OK {
			v.Without = append(v.Without, p.Name)
		}
	}
	if v.opensBehind() {
		v.Aspects = []Aspect{
			{Title: "from above", Picture: sc.Draw(scene.Lying())},
			{Title: "from below", Picture: sc.Draw(scene.LyingBelow())},
		}
	}
	for _, f := range found {
		if f.Piece == v.Piece && f.Pose == v.Title && f.At != nil && f.At.Finite() {
			v.mark(f)
		}
	}
	return v
}

// Parts of a picture's board that tell a piece that stands open to the back: it
// shows little of its inside in front, past an open corner at most, and much of
// it behind.
const (
	closedShare = 0.08
	openShare   = 0.25
)

func (v *View) opensBehind() bool {
	return v.Aspects[0].Picture.Share(scene.Inside) < closedShare && v.Aspects[1].Picture.Share(scene.Inside) > openShare
}

// mark gives a finding a spot in the aspect that shows it.
func (v *View) mark(f *diag.Finding) {
	for _, mayHide := range []bool{false, true} {
		for i := range v.Aspects {
			a := &v.Aspects[i]
			if at, hidden, ok := a.Picture.Spot(f.Panel, *f.At); ok && (mayHide || !hidden) {
				a.Spots = append(a.Spots, Spot{f, at})
				return
			}
		}
	}
}
