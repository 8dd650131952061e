package script

import (
	"fmt"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
)

const groupLimits = "Limits and machines"

func limitWords() []word {
	return []word{
		{
			Word: Word{
				Name: "limits", Kind: Function, Group: groupLimits, Units: limitUnits(),
				Doc: "Sets what the checks hold a design to; what is left out stays as the board has it. With `on` it counts for the pieces of that board only, and goes before what counts for all. 0 holds to nothing. " +
					"Defaults are common practice, no source, where none is named:" + limitDocs(),
				Example: `card = board("uncoated card", caliper = 0.4)
limits(web = 2, edge_gap = 2)
limits(on = card, crease_gap = 2.5)`,
			},
			Args: limitArgs(), ByName: true,
			run: runLimits,
		},
		{
			Word: Word{
				Name: "machine", Kind: Function, Group: groupLimits, Units: "bed, margin and detail in mm",
				Doc: "A cutter, or a sheet to cut from. Every piece must fit its `bed`, (x, y), straight or turned by 90 degrees, and stay clear of the `margin` along its rim. " +
					"`detail` is the finest opening it makes. A file of your own can keep your machines in a function, to load into every script.",
				Example: `machine("desktop cutter", bed = (300, 600), margin = 5, detail = 0.5)
machine("parent sheet", bed = (700, 1000))`,
			},
			Args: "name, bed, margin=0, detail=None",
			run: func(c *call) (starlark.Value, error) {
				bed := c.point("bed")
				m := board.Machine{
					Name: c.textNeeded("name"), Bed: [2]float64{bed.X, bed.Y},
					Margin: c.length("margin"), Detail: c.optional("detail", aLength),
				}
				if c.fault != nil {
					return nil, c.fault
				}
				return starlark.None, c.build.Machine(c.site, m)
			},
		},
	}
}

func limitArgs() string {
	var args []string
	for _, l := range board.Limits() {
		args = append(args, l.Name()+"=None")
	}
	return strings.Join(append(args, "on=None"), ", ")
}

// limitUnits names the limits that are no lengths.
func limitUnits() string {
	units := "all in mm"
	for _, l := range board.Limits() {
		if l.Unit() != "mm" {
			units += fmt.Sprintf(" but %s, %s", l.Name(), l.Unit())
		}
	}
	return units + "; on is a board"
}

// limitDocs is a line for each limit.
func limitDocs() string {
	var out strings.Builder
	for _, l := range board.Limits() {
		fmt.Fprintf(&out, "\n- `%s`: %s; by default %s", l.Name(), l.Doc(), l.Says())
		if source, cited := l.Source(); cited {
			fmt.Fprintf(&out, " (%s)", source)
		}
	}
	return out.String()
}

func runLimits(c *call) (starlark.Value, error) {
	values := map[board.Limit]float64{}
	for _, l := range board.Limits() {
		if c.has(l.Name()) {
			values[l] = c.float(l.Name(), c.arg(l.Name()), aNumber)
		}
	}
	var on *board.Board
	if c.has("on") {
		on = c.board("on")
	}
	if c.fault != nil {
		return nil, c.fault
	}
	return starlark.None, c.build.Limits(c.site, on, values)
}
