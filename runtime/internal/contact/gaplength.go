package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/model"
)

// missLength is how far the lengths of two edges differ that should meet where
// a bent panel has one of them. Bending keeps lengths, whatever shape the panel
// takes, so they must agree; more is not known of it. ok is false for other
// joins.
func missLength(j *model.Join) (m Miss, ok bool) {
	if j.Kind != model.MeetJoin || !j.A.Panel.Bent && !j.B.Panel.Bent {
		return Miss{}, false
	}
	long, other := *j.A.Edge, *j.B.Edge
	if other.Length() > long.Length() {
		long, other = other, long
	}
	return Miss{
		To: Lengths, Raw: math.Abs(long.Length() - other.Length()), Panel: long.Panel, Edge: other.Name,
		AtBlank: long.Panel.Flat.Apply(long.Stretch().At(0.5)),
	}, true
}
