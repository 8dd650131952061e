package script

import (
	"fmt"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// What the arguments of machine are expected to be.
const (
	aSpeed  = "a number of mm/s"
	someUse = `a dict such as {"cut": knife(), "score": wheel()}`
)

// machineWords are the machines that a design is for, and their tools.
func machineWords() []word {
	return []word{
		{
			Word: Word{
				Name: "machine", Kind: Function, Group: groupLimits, Units: "bed, margin and detail in mm",
				Doc: "A cutter, or a sheet to cut from. Every piece must fit its `bed`, (x, y), straight or turned by 90 degrees, and stay clear of the `margin` along its rim. " +
					"With --for and its name, make writes a file of each piece for it. A file of your own can keep your machines in a function, to load into every script; `//machines.star` has plain ones.\n" +
					"- `detail`: the finest opening it makes.\n" +
					"- `format`: the language of its files: " + quotedList(board.MachineFormats()) + ".\n" +
					"- `tools`: which tool makes which lines, as `{\"cut\": knife(), \"score\": wheel()}`. Lines of a kind that is left out are not made on it, and make says so. Without tools a file in svg, dxf or pdf holds all lines.\n" +
					"- `nicks`: short bridges in closed cuts by which a piece stays in its sheet.",
				Example: `card = board("card", caliper = 0.4)
machine("parent sheet", bed = (700, 1000))
machine(
    "desktop cutter",
    bed = (300, 600),
    margin = 5,
    detail = 0.5,
    format = "hpgl",
    tools = {"cut": knife(offset = 0.25, overcut = 0.5), "score": wheel()},
    nicks = nicks(0.5, count = 4),
)
label = panel("label", rect(60, 40))
piece("label", label, board = card)`,
			},
			Args: "name, bed, *, margin=0, detail=None, format=None, tools=None, nicks=None",
			run:  runMachine,
		},
		{
			Word: Word{
				Name: "knife", Kind: Function, Group: groupLimits, Units: "offset, overcut, depth and lead in mm; swivel in degrees; feed in mm/s",
				Doc: "A blade that trails behind the axis it swivels about, for the tools of a machine.\n" +
					"- `offset`: how far its tip trails.\n" +
					"- `overcut`: how far it runs on past the start of a closed cut.\n" +
					"- `swivel`: where a line turns by more, the blade is turned in place.\n" +
					"- `depth`: how deep it goes, from the upper face of the board.\n" +
					"- `feed`: how fast; left out, what the machine is set to. G-code needs it.\n" +
					"- `lead`: how long a way in through the waste begins a closed cut.\n" +
					"- `compensate`: True writes the way of the axis, ahead of the tip by the offset. Without it the file holds the lines themselves, for a machine that compensates by itself.\n" +
					"- `number`: of the tool or pen in the file; left out, the lowest that is free.",
				Example: machineExample(`{"cut": knife(offset = 0.25, overcut = 0.5, depth = 0.5, feed = 40, compensate = True)}`),
			},
			Args: "*, offset=0, overcut=0, swivel=20, depth=None, feed=None, lead=0, compensate=False, number=None",
			run: func(c *call) (starlark.Value, error) {
				return c.tool(board.Tool{
					Kind: board.Knife, Offset: c.length("offset"), Overcut: c.length("overcut"), Swivel: c.angle("swivel").Angle(),
					Depth: c.optional("depth", aLength), Lead: c.length("lead"), Compensate: c.truth("compensate"),
				})
			},
		},
		{
			Word: Word{
				Name: "beam", Kind: Function, Group: groupLimits, Units: "kerf and lead in mm; power in per cent; feed in mm/s; passes is a whole number",
				Doc: "A laser, or another tool that takes a width of board away, for the tools of a machine.\n" +
					"- `kerf`: the width it takes away.\n" +
					"- `power`: in per cent of the full power.\n" +
					"- `feed`: how fast; left out, what the machine is set to. G-code needs it.\n" +
					"- `passes`: how often it runs over a line.\n" +
					"- `lead`: how long a way in through the waste begins a closed cut.\n" +
					"- `compensate`: True moves closed cuts into the waste by half the kerf, so that the piece keeps its size. Without it the file holds the lines themselves.\n" +
					"- `number`: of the tool in the file; left out, the lowest that is free.",
				Example: machineExample(`{"cut": beam(kerf = 0.2, power = 60, feed = 15, compensate = True), "score": beam(power = 15, feed = 60)}`),
			},
			Args: "*, kerf=0, power=100, feed=None, passes=1, lead=0, compensate=False, number=None",
			run: func(c *call) (starlark.Value, error) {
				return c.tool(board.Tool{
					Kind: board.Beam, Kerf: c.length("kerf"), Power: c.float("power", c.arg("power"), "a number of per cent") / 100, Passes: c.whole("passes"),
					Lead: c.length("lead"), Compensate: c.truth("compensate"),
				})
			},
		},
		{
			Word: Word{
				Name: "wheel", Kind: Function, Group: groupLimits, Units: "depth in mm; feed in mm/s",
				Doc: "A creasing wheel, for the tools of a machine: `depth` is how deep it presses from the upper face of the board, `feed` how fast it goes, which G-code needs, " +
					"`number` that of the tool in the file.",
				Example: machineExample(`{"score": wheel(depth = 0.2, feed = 60), "cut": knife(depth = 0.5, feed = 40)}`),
			},
			Args: "*, depth=None, feed=None, number=None",
			run: func(c *call) (starlark.Value, error) {
				return c.tool(board.Tool{Kind: board.Wheel, Depth: c.optional("depth", aLength)})
			},
		},
		{
			Word: Word{
				Name: "pen", Kind: Function, Group: groupLimits, Units: "feed in mm/s",
				Doc:     "A pen, for the tools of a machine: `feed` is how fast it goes, which G-code needs, `number` that of the pen in the file.",
				Example: machineExample(`{"drawn": pen(feed = 80), "score": pen(feed = 80, number = 2), "cut": knife(feed = 40, number = 3)}`),
			},
			Args: "*, feed=None, number=None",
			run:  func(c *call) (starlark.Value, error) { return c.tool(board.Tool{Kind: board.Pen}) },
		},
		{
			Word: Word{
				Name: "nicks", Kind: Function, Group: groupLimits, Units: "width and spacing in mm; count is a whole number",
				Doc: "Short bridges of board in the closed cuts of a machine's files, by which the piece stays in its sheet: each `width` long, " +
					"and `count` of them to a cut or one at every `spacing` at most. None comes on a corner, at the end of a crease or on a curve shorter than itself.",
				Example: `card = board("card", caliper = 0.4)
machine("cutter", bed = (300, 600), format = "hpgl", tools = {"cut": knife()}, nicks = nicks(0.5, spacing = 80))
label = panel("label", rect(60, 40))
piece("label", label, board = card)`,
			},
			Args: "width, *, count=None, spacing=None",
			run:  runNicks,
		},
	}
}

// machineExample is a script with a machine of these tools.
func machineExample(tools string) string {
	return `card = board("card", caliper = 0.4)
machine("cutter", bed = (300, 600), format = "gcode", tools = ` + tools + `)
label = panel("label", rect(60, 40))
label.score(path(0, 20).line(60, 20))
piece("label", label, board = card)`
}

// quotedList lists words of any type of text, each in quotes.
func quotedList[T ~string](words []T) string {
	var out []string
	for _, w := range words {
		out = append(out, fmt.Sprintf("%q", string(w)))
	}
	return strings.Join(out, ", ")
}

// tool gives a tool with the figures that all kinds have. The figures are judged by the machine
// that the tool is for.
func (c *call) tool(t board.Tool) (starlark.Value, error) {
	t.Feed = c.optional("feed", aSpeed)
	if c.arg("number") != nil {
		if t.Number = c.whole("number"); t.Number < 1 {
			c.failf("number = %d is not between 1 and %d", t.Number, board.MostTools)
			t.Number = 0
		}
	}
	if err := t.Check(); err != nil {
		c.failf("%v", err)
	}
	return toolValue{t: t}, nil
}

// runNicks reads how nicks are spread.
func runNicks(c *call) (starlark.Value, error) {
	n := board.Nicks{Width: c.length("width")}
	if c.arg("count") != nil {
		if n.Count = c.whole("count"); n.Count <= 0 {
			c.failf("count = %d is not between 1 and %d", n.Count, board.MostNicks)
		}
	}
	if c.arg("spacing") != nil {
		if n.Spacing = c.float("spacing", c.arg("spacing"), aLength); n.Spacing == 0 {
			c.failf("spacing = 0 mm is not over 0 and up to %s mm", geom.Num(geom.MaxSize))
		}
	}
	if err := n.Check(); err != nil {
		c.failf("%v", err)
	}
	return nicksValue{n: n}, nil
}

// runMachine records a machine.
func runMachine(c *call) (starlark.Value, error) {
	bed := c.point("bed")
	m := board.Machine{
		Name: c.textNeeded("name"), Bed: [2]float64{bed.X, bed.Y},
		Margin: c.length("margin"), Detail: c.optional("detail", aLength),
		Format: board.MachineFormat(c.text("format")), Tools: c.tools("tools"),
	}
	if v := c.arg("nicks"); v != nil {
		n, ok := v.(nicksValue)
		if !ok {
			c.wrong("nicks", v, "what nicks(…) gives")
		}
		m.Nicks = &n.n
	}
	return c.do(func() error { return c.build.Machine(c.site, m) })
}

// tools reads a dict of tools by line kind, in its order.
func (c *call) tools(name string) []board.ToolUse {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	d, ok := v.(*starlark.Dict)
	if !ok {
		c.wrong(name, v, someUse)
		return nil
	}
	var out []board.ToolUse
	for _, item := range d.Items() {
		key, ok := item[0].(starlark.String)
		if !ok {
			c.wrong("a key of "+name, item[0], "a line kind in quotes")
			continue
		}
		t, ok := item[1].(toolValue)
		if !ok {
			c.wrong(fmt.Sprintf("the tool for %q", string(key)), item[1], "a tool such as knife()")
			continue
		}
		out = append(out, board.ToolUse{Line: string(key), Tool: t.t})
	}
	return out
}
