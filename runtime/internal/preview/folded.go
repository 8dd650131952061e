package preview

import (
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// Folded is the view of a piece in a pose: from the front, and small from
// behind; one that stands open away from the front, as a tray does on its root
// panel, is seen lying, from above and small from below. A finding about the
// pose is marked where its spot can be seen, in the first picture for choice;
// where board hides it from both sides the first picture is marked at that place
// all the same. An error is that of a context which has ended.
func Folded(ctx context.Context, in scene.Input, found []*diag.Finding) (View, error) {
	sc, err := scene.New(ctx, in)
	if err != nil {
		return View{}, err
	}
	v := View{Piece: in.Blank.Piece.Name, Title: in.Pose.Pose.Name}
	if err := v.draw(ctx, sc, standing); err != nil {
		return View{}, err
	}
	for i, p := range in.Blank.Piece.Panels {
		if !in.Pose.Place[i].OK {
			v.Without = append(v.Without, p.Name)
		}
	}
	if v.opensBehind() {
		if err := v.draw(ctx, sc, lying); err != nil {
			return View{}, err
		}
	}
	for _, f := range found {
		if f.Piece == v.Piece && f.Pose == v.Title && f.At != nil && f.At.Finite() {
			v.mark(f)
		}
	}
	return v, nil
}

// aspect is a side to look from and what the picture is called.
type aspect struct {
	title string
	view  func() scene.View
}

// The pairs of pictures of a piece that stands and of one that lies open.
var (
	standing = []aspect{{"from the front", scene.Front}, {"from behind, below", scene.Behind}}
	lying    = []aspect{{"from above", scene.Lying}, {"from below", scene.LyingBelow}}
)

// draw makes the pictures.
func (v *View) draw(ctx context.Context, sc *scene.Scene, from []aspect) error {
	v.Aspects = nil
	for _, a := range from {
		p, err := sc.Draw(ctx, a.view())
		if err != nil {
			return err
		}
		v.Aspects = append(v.Aspects, Aspect{Title: a.title, Picture: p})
	}
	return nil
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
