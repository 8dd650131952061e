package check

import (
	"github.com/creasewright/creasewright/runtime/model"
)

// side is one end of the edge that a panel hangs on, as seen looking out over
// it.
type side struct {
	name string
	// over is how far the panel reaches past this end, mm; negative for how
	// much of the edge it leaves bare.
	over float64
}

// overhang measures how a panel's edge lies on the edge it was hung on. The
// two were laid mid-point on mid-point and slid to the right.
func overhang(h *model.Hinge) [2]side {
	half := (h.By.To - h.On.Length()) / 2
	return [2]side{{"left", half - h.Slide}, {"right", half + h.Slide}}
}
