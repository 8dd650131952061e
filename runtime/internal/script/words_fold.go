package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

const groupFlaps = "Flaps and tabs"

// flapWords are panels that take their size from the edge they hang on.
func flapWords() []word {
	return []word{
		{
			Word: Word{
				Name: "flap", Kind: Function, Group: groupFlaps,
				Units: "depth, round and inset in mm; taper and fold in degrees",
				Doc: "A panel sized to the straight edge it hangs on. Its edges are base, right, tip and left, the base along x from the origin.\n" +
					"- `depth`: how far it reaches, square to the hinge.\n" +
					"- `taper`: how far a side leans in.\n" +
					"- `inset`: how far the base stops short of an end of the edge.\n" +
					"- `round`: the radius of a corner of the tip.\n" +
					"- `fold` and `line`: as of a panel.\n" +
					"- `overhang`: True for a flap that is meant to stick out of the closed piece.\n\n" +
					"`taper`, `inset` and `round` take one number for both sides, or a (left, right) pair as seen looking out over the hinge.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
dust = flap("dust", on = front.top, depth = 20, taper = (0, 15), round = (0, 5), inset = 0.5)
piece("front", front, board = card)`,
			},
			Args: `name, on, depth, *, taper=0, round=0, inset=0, fold=90, line="score", overhang=False`,
			run: func(c *call) (starlark.Value, error) {
				spec := c.flapSpec()
				spec.Overhang = c.truth("overhang")
				return c.madePanel(func() (*model.Panel, error) { return c.build.Flap(c.site, spec) })
			},
		},
		{
			Word: Word{
				Name: "tab", Kind: Function, Group: groupFlaps,
				Units: "depth, round, inset and gap in mm; taper and fold in degrees",
				Doc: "A flap that is glued when the piece is folded. Its shape is that of a flap.\n" +
					"- `to`: what it is glued to: a panel, on which it lies anywhere, or an edge of one, which its hinge then meets.\n" +
					"- `side`: \"inside\" to lie on the inside of its target, \"outside\" for the outside.\n" +
					"- `gap`: how far apart tab and target are meant to stay.\n" +
					"- `fold`: its own fold; without it the tab turns by itself to lie on its target.",
				Example: `card = board("card", caliper = 0.4)
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
seam = tab("seam", on = base.right, depth = 12, to = left.left)
piece("sleeve", top, board = card)`,
			},
			Args: `name, on, depth, to, *, taper=15, round=0, inset=0, fold=None, gap=0, line="score", side="inside"`,
			run: func(c *call) (starlark.Value, error) {
				spec := model.TabSpec{FlapSpec: c.flapSpec(), To: c.tabTarget("to"), Gap: c.length("gap"), Outside: c.outside("side")}
				return c.madePanel(func() (*model.Panel, error) { return c.build.Tab(c.site, spec) })
			},
		},
	}
}

// flapSpec reads what flaps and tabs have in common.
func (c *call) flapSpec() model.FlapSpec {
	return model.FlapSpec{
		Name: c.textNeeded("name"), On: c.edge("on"), Depth: c.length("depth"),
		TaperDegrees: c.angles("taper"), Round: c.sides("round", aLength), Inset: c.sides("inset", aLength),
		Fold: c.fold("fold"), Line: c.line("line"),
	}
}

// tabTarget reads a panel or an edge of one.
func (c *call) tabTarget(name string) model.JoinEnd {
	switch v := c.arg(name).(type) {
	case panelValue:
		return model.ToPanel(v.p)
	case edgeValue:
		return model.ToEdge(c.edgeFrom(name, v))
	default:
		c.wrong(name, orNone(v), "a panel or an edge of one")
		return model.JoinEnd{}
	}
}

const groupFolds = "Folds and poses"

// foldWords are about angles: those to be found, those of further hinges, and
// other states of the piece.
func foldWords() []word {
	return []word{
		{
			Word: Word{
				Name: "free", Kind: Function, Group: groupFolds, Units: "near in degrees; gives a fold angle still to be found",
				Doc: "A fold angle that is found rather than given, so that rings of panels close and tabs reach what they are glued to. With \"in\" it folds toward the inside in every pose, with \"out\" toward the outside. One free value used for several hinges gives them all the same angle.\n" +
					"- `near`: where to look first when several angles would do.",
				Example: `card = board("card", caliper = 0.4)

# two slopes of a roof, 40 and 50 wide: how far they must lean so that their
# ridges meet is found
base = panel("base", rect(60, 90))
left = panel("left", rect(40, 90), on = base.left, fold = free("in"))
right = panel("right", rect(50, 90), on = base.right, fold = free("in"))
ridge = tab("ridge", on = right.right, depth = 12, to = left.left)
piece("roof", base, board = card)`,
			},
			Args: "side, *, near=None",
			run: func(c *call) (starlark.Value, error) {
				side, near := c.textNeeded("side"), c.optionalAngle("near")
				if c.fault != nil {
					return nil, c.fault
				}
				f, err := c.build.Free(c.site, side, near)
				if err != nil {
					return nil, err
				}
				return freeValue{f: f}, nil
			},
		},
		{
			Word: Word{
				Name: "hinge", Kind: Function, Group: groupFolds, Units: "fold in degrees",
				Doc: "Joins two edges of panels that already lie against each other in the flat blank, and so closes a ring of panels round a corner. Without `name` it is called by the two panels' names with | between.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 60))
back = panel("back", rect(60, 30), on = base.top)
side = panel("side", rect(30, 60), on = base.right)

# the corner folds in two along its diagonal, between the walls
half = panel("half", polygon([(0, 0), (30, 30), (0, 30)], edges = ["slope", "top", "left"]), on = back.right, by = "left", fold = free("out"))
other = panel("other half", polygon([(0, 0), (30, 0), (30, 30)], edges = ["bottom", "right", "slope"]), on = half.slope, by = "slope", fold = free("in"))
hinge(other.bottom, side.top, fold = free("out"))
piece("corner", base, board = card)`,
			},
			Args: `a, b, *, fold=free("in"), line="score", name=None`,
			run: func(c *call) (starlark.Value, error) {
				spec := model.HingeSpec{A: c.edge("a"), B: c.edge("b"), Fold: c.fold("fold"), Line: c.line("line"), Name: c.text("name")}
				return c.do(func() error {
					_, err := c.build.Hinge(c.site, spec)
					return err
				})
			},
		},
		{
			Word: Word{
				Name: "pose", Kind: Function, Group: groupFolds, Units: "folds in degrees by hinge name; at from 0 to 1, a share of the other given folds",
				Doc: "Another state to fold the piece to and check, besides \"flat\" and \"closed\", which always exist.\n" +
					"- `folds`: angles of their own for hinges, each by the name of the panel that hangs by it.\n" +
					"- `at`: how far the other folds go: 1 all the way, 0.5 half of it, 0 flat. Free ones are found anew.\n" +
					"- `glued`: False lets glue come undone.\n" +
					"- `order`: panels that fold in another order than that in which they are made. What folds earlier lies further inside.\n" +
					"- `stands_on`: the panel that lies on the ground in pictures, or an edge that stands on it; without it the one that carries the contents, or else what it stands on most firmly.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 90))
lid = panel("lid", rect(60, 90), on = base.top, fold = 180)
pose("half open", folds = {"lid": 100})
piece("folder", base, board = card)`,
			},
			Args: "name, folds={}, *, at=1.0, glued=True, order=None, stands_on=None",
			run:  runPose,
		},
	}
}

// runPose reads another state of the piece, checked besides flat and closed.
func runPose(c *call) (starlark.Value, error) {
	at := c.number("at")
	spec := model.PoseSpec{Name: c.textNeeded("name"), FoldDegrees: c.foldsByName("folds"), At: &at, Unglued: !c.truth("glued"), Order: c.panels("order")}
	switch v := c.arg("stands_on").(type) {
	case nil:
	case edgeValue:
		e := c.edgeFrom("stands_on", v)
		spec.Foot = &e
	default:
		spec.StandsOn = c.panel("stands_on")
	}
	return c.do(func() error {
		_, err := c.build.Pose(c.site, spec)
		return err
	})
}

// foldsByName reads a dict of fold angles.
func (c *call) foldsByName(name string) map[string]geom.Degrees {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	d, ok := v.(*starlark.Dict)
	if !ok {
		c.wrong(name, v, `a dict such as {"lid": 100}`)
		return nil
	}
	folds := map[string]geom.Degrees{}
	for _, item := range d.Items() {
		key, ok := item[0].(starlark.String)
		if !ok {
			f := c.wrong("a key of "+name, item[0], "the name of a hinge in quotes")
			if p, ok := item[0].(panelValue); ok {
				f.WithHint("write %q", p.p.Name)
			}
			continue
		}
		folds[string(key)] = geom.Degrees(c.float("the fold of "+quote(string(key)), item[1], anAngle))
	}
	return folds
}

const groupJoins = "Joins"

// joinWords say what is to come together when the piece is folded.
func joinWords() []word {
	return []word{
		{
			Word: Word{
				Name: "meet", Kind: Function, Group: groupJoins, Units: "gap in mm",
				Doc: "Asks that two edges come together in the closed piece, `gap` apart, and checks that they do. Nothing holds them.",
				Example: `card = board("card", caliper = 0.4)
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
meet(base.right, left.left, gap = 0)
piece("sleeve", top, board = card)`,
			},
			Args: "a, b, *, gap=0",
			run: func(c *call) (starlark.Value, error) {
				a, b, gap := c.edge("a"), c.edge("b"), c.length("gap")
				return c.do(func() error {
					_, err := c.build.Meet(c.site, a, b, gap)
					return err
				})
			},
		},
		{
			Word: Word{
				Name: "glue", Kind: Function, Group: groupJoins, Units: "a and b are panels",
				Doc: "Asks that panel `a` lie on panel `b`, within its outline, and be glued there; the two then lie next to each other. For a tab that is made to be glued, `tab` says it in one go.\n" +
					"- `side`: \"outside\" to lie on the outside of `b`.\n" +
					"- `area`: an outline in the frame of `a`, if only that part of it is glued.",
				Example: `card = board("card", caliper = 0.4)
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
strip = panel("strip", rect(12, 90), on = base.right)
glue(strip, left)
piece("sleeve", top, board = card)`,
			},
			Args: `a, b, *, side="inside", area=None`,
			run: func(c *call) (starlark.Value, error) {
				spec := model.GlueSpec{A: c.panel("a"), B: c.panel("b"), Outside: c.outside("side")}
				if c.has("area") {
					area := c.outline("area")
					spec.Area = &area
				}
				return c.do(func() error {
					_, err := c.build.Glue(c.site, spec)
					return err
				})
			},
		},
		{
			Word: Word{
				Name: "tuck", Kind: Function, Group: groupJoins, Units: "a is a panel; into is a panel, an opening or a slit; reach in mm",
				Doc: "Asks that panel `a` be pushed in and not glued: along the inside of a panel, or through an opening or a slit.\n" +
					"- `into`: the panel, the opening or the slit.\n" +
					"- `side`: \"outside\" to lie along the outside of a panel.\n" +
					"- `reach`: how much of it must lie behind the panel at least; 0 means all.\n" +
					"- `locked`: True asks that beyond its opening or slit it is wider than that is long, so that it cannot slip back.",
				Example: `card = board("card", caliper = 0.4)
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
seam = tab("seam", on = base.right, depth = 12, to = left.left)
lid = flap("lid", on = top.top, depth = 27.6, inset = 0.5)
tongue = flap("tongue", on = lid.tip, depth = 14, round = 7, inset = 0.5)
tuck(tongue, base)
piece("carton", top, board = card)`,
			},
			Args: `a, into, *, side="inside", reach=0, locked=False`,
			run: func(c *call) (starlark.Value, error) {
				spec := model.TuckSpec{
					A: c.panel("a"), Into: c.tuckTarget("into"), Outside: c.outside("side"),
					Reach: c.length("reach"), Locked: c.truth("locked"),
				}
				return c.do(func() error {
					_, err := c.build.Tuck(c.site, spec)
					return err
				})
			},
		},
	}
}

// outside reads the side of a panel, "inside" or "outside".
func (c *call) outside(name string) bool {
	v := c.arg(name)
	switch v {
	case starlark.String("inside"), nil:
		return false
	case starlark.String("outside"):
		return true
	}
	c.wrong(name, v, `"inside" or "outside"`)
	return false
}

// panels reads a list of panels, none when it is left out.
func (c *call) panels(name string) []*model.Panel {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	if _, ok := v.(panelValue); ok {
		c.wrong(name, v, "a list of panels").WithHint("put it in brackets: %s = […]", name)
		return nil
	}
	return items(c, name, v, "a list of panels", func(_ int, v starlark.Value) *model.Panel {
		if p, ok := v.(panelValue); ok {
			return p.p
		}
		c.wrong("an item of "+name, v, "a panel")
		return nil
	})
}

// tuckTarget reads a panel, an opening or a slit.
func (c *call) tuckTarget(name string) model.JoinEnd {
	switch v := c.arg(name).(type) {
	case panelValue:
		return model.ToPanel(v.p)
	case openingValue:
		return model.ToWindow(v.w)
	case slitValue:
		return model.ToSlit(v.w)
	default:
		c.wrong(name, orNone(v), "a panel, an opening or a slit")
		return model.JoinEnd{}
	}
}
