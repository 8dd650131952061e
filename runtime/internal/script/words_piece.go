package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/model"
)

const groupContents = "Contents"

// contentsWords are the product that the closed piece holds.
func contentsWords() []word {
	return []word{
		{
			Word: Word{
				Name: "contents", Kind: Function, Group: groupContents,
				Units: "size, at and clearance in mm; turn in degrees; mass in grams; caution is a list of texts",
				Doc: "The product in the closed piece, which must have room there.\n" +
					"- `size`: (x, y, z), x and y along the axes of the panel it stands on and z inward; or a cylinder.\n" +
					"- `on`: the panel over whose inside it stands.\n" +
					"- `at`: the point of that panel under its centre, by default where it has most room.\n" +
					"- `turn`: how far it is turned about z.\n" +
					"- `clearance`: the air it needs all round.\n" +
					"- `mass`: what it weighs.\n" +
					"- `caution`: the kinds of caution that are to be told of it; the page cautions has them.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", rect(62, 92))
left = panel("left", rect(28, 92), on = base.left)
right = panel("right", rect(28, 92), on = base.right)
contents("soap", size = (60, 90, 25), on = base, clearance = 0.5, mass = 110, caution = ["children"])
piece("tray", base, board = card)`,
			},
			Args: "name, size, on, *, at=None, turn=0, clearance=0, mass=None, caution=None",
			run:  runContents,
		},
		{
			Word: Word{
				Name: "cylinder", Kind: Function, Group: groupContents, Units: "d and h in mm",
				Doc: "The size of a round product that stands upright: diameter `d` and height `h`.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", rect(90, 90))
back = panel("back", rect(90, 120), on = base.top)
contents("candle", size = cylinder(70, 110), on = base)
piece("stand", base, board = card)`,
			},
			Args: "d, h",
			run: func(c *call) (starlark.Value, error) {
				return cylinderValue{d: c.length("d"), h: c.length("h")}, nil
			},
		},
	}
}

// runContents places the product over a panel.
func runContents(c *call) (starlark.Value, error) {
	spec := model.ContentsSpec{
		Name: c.textNeeded("name"), On: c.panel("on"), TurnDegrees: c.angle("turn"),
		Clearance: c.length("clearance"), Mass: c.optional("mass", "a number of grams"),
		Cautions: c.kinds("caution"),
	}
	spec.Size, spec.Round = c.productSize("size")
	if c.arg("at") != nil {
		at := c.point("at")
		spec.At = &at
	}
	return c.do(func() error {
		_, err := c.build.Contents(c.site, spec)
		return err
	})
}

// kinds reads a list of texts, or one text for a list of one; none for None.
func (c *call) kinds(name string) []string {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	if _, ok := v.(starlark.String); ok {
		return []string{c.text(name)}
	}
	const expected = `a list of texts such as ["food"]`
	return items(c, name, v, expected, func(_ int, v starlark.Value) string {
		s, ok := v.(starlark.String)
		if !ok {
			c.wrong("an item of "+name, v, aText)
		}
		return string(s)
	})
}

// productSize reads (x, y, z) or a cylinder.
func (c *call) productSize(name string) (size [3]float64, round bool) {
	v := c.arg(name)
	if cyl, ok := v.(cylinderValue); ok {
		return [3]float64{cyl.d, cyl.d, cyl.h}, true
	}
	s, ok := sequence(v)
	if !ok || s.Len() != 3 {
		c.wrong(name, orNone(v), "a size (x, y, z) or a cylinder")
		return size, false
	}
	for i, axis := range []string{"x", "y", "z"} {
		size[i] = c.float(axis+" of "+name, s.Index(i), aLength)
	}
	return size, false
}

const groupPieces = "Pieces and rules"

// pieceWords make pieces, set rules and waive them.
func pieceWords() []word {
	return []word{
		{
			Word: Word{
				Name: "piece", Kind: Function, Group: groupPieces, Units: "copies is a whole number; caution is a list of texts; bleed in mm",
				Doc: "One blank to be made: the root panel and all that hangs on it. Its name makes the names of the cut files. A script may make several pieces; a file that is loaded makes none.\n" +
					"- `root`: the panel on which, in the end, all others hang.\n" +
					"- `copies`: how many are wanted, as the report and the sheet tell.\n" +
					"- `view`: \"inside\" mirrors the cut files and the flat drawing, for board that is worked from the inside.\n" +
					"- `caution`: kinds of caution, as for `contents`.\n" +
					"- `bleed`: how far print runs on over the cut, in mm, as the print template shows.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", rect(60, 40, round = 3))
piece("label", label, board = card, copies = 24)`,
			},
			Args: `name, root, board, *, copies=1, view="outside", caution=None, bleed=3`,
			run:  runPiece,
		},
		{
			Word: Word{
				Name: "sheet", Kind: Function, Group: groupPieces, Units: "every argument is a text",
				Doc: "Fills in the title block of the drawing, and the report: `customer`, `job`, `revision`, `drawn_by` and `date`, each by name and only if it is known. " +
					"The date is the one given, never today's, so that the same script makes the same files on any day. A script says it once.",
				Example: `card = board("card", caliper = 0.4)
sheet(customer = "Hill & Son", job = "2417", revision = "B", drawn_by = "R. Moss", date = "12 May 2026")
label = panel("label", rect(60, 40))
piece("label", label, board = card)`,
			},
			Args:   "customer=None, job=None, revision=None, drawn_by=None, date=None",
			ByName: true,
			run:    runSheet,
		},
		{
			Word: Word{
				Name: "require", Kind: Function, Group: groupPieces, Units: "condition is True or False; message is a text",
				Doc: "A rule of your own. When `condition` is False, `message` is reported as an error, and the run goes on.",
				Example: `card = board("card", caliper = 0.4)
length = param("length", 90)
require(length <= 300, "the bar is too long for one sheet")
label = panel("label", rect(60, length))
piece("label", label, board = card)`,
			},
			Args: "condition, message",
			run: func(c *call) (starlark.Value, error) {
				holds, message := c.truth("condition"), c.textNeeded("message")
				return c.do(func() error { return c.build.Require(c.site, holds, message) })
			},
		},
		{
			Word: Word{
				Name: "allow", Kind: Function, Group: groupPieces, Units: "rule and reason are texts; on is a panel",
				Doc: "Waives one rule of the checks for one panel. The reason is kept in the report. A caution that was guessed from a name is waived with \"caution-\" and its kind for the rule, for the whole design; one that was asked for stays.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", rect(60, 40))
label.cut(circle(6).shift(30, 36.2))
allow("web-thin", label, "the hole is torn open on purpose")
piece("label", label, board = card)`,
			},
			Args: "rule, on, reason",
			run: func(c *call) (starlark.Value, error) {
				rule, on, reason := c.textNeeded("rule"), c.panel("on"), c.textNeeded("reason")
				return c.do(func() error { return c.build.Allow(c.site, rule, on, reason) })
			},
		},
		{
			Word: Word{
				Name: "load", Kind: Statement, Group: groupPieces, Units: "every argument is a text",
				Doc: "Takes functions from another file: \"//name.star\" from the standard library, \"name.star\" from beside the script, \"@shelf//name.star\" from the personal shelf. " +
					"Names follow in quotes, each the way the file calls it; `mine = \"theirs\"` gives one another name here. Names that begin with _ stay in their file.",
				Example: `load("//tubes.star", "tube")

card = board("card", caliper = 0.4)
front, right, back, left = tube(60, 28, 90, card)
piece("sleeve", front, board = card)`,
			},
			Args: "file, name, mine=name",
		},
	}
}

// runPiece claims a tree of panels for a blank. Only the script itself may: a
// module that made pieces would add files to every script that loads it.
func runPiece(c *call) (starlark.Value, error) {
	spec := model.PieceSpec{
		Name: c.textNeeded("name"), Root: c.panel("root"), Board: c.board("board"),
		Copies: c.whole("copies"), View: c.text("view"),
		Cautions: c.kinds("caution"), Bleed: c.length("bleed"),
	}
	if at := c.site[len(c.site)-1]; at.File != c.main {
		c.failf("a loaded file cannot make pieces").WithHint("let its function give back the root panel, and call piece in the script")
	}
	return c.do(func() error {
		_, err := c.build.Piece(c.site, spec)
		if err == nil && c.test != nil {
			c.test.described = true
		}
		return err
	})
}

// runSheet fills in the title block. An empty text is refused here, where it can be
// told from one that was left out.
func runSheet(c *call) (starlark.Value, error) {
	field := func(name string) string {
		if v := c.arg(name); v != nil && isNumber(v) {
			c.wrong(name, v, aText).WithHint("put it in quotes: %s = \"%s\"", name, v)
			return ""
		}
		if v := c.text(name); v != "" || !c.has(name) {
			return v
		}
		c.failf("%s is empty", name).WithHint("leave it out when it is not known")
		return ""
	}
	s := model.Sheet{
		Customer: field("customer"), Job: field("job"), Revision: field("revision"),
		DrawnBy: field("drawn_by"), Date: field("date"),
	}
	return c.do(func() error { return c.build.Sheet(c.site, s) })
}

// isNumber reports whether a value is a number and no truth value.
func isNumber(v starlark.Value) bool {
	_, ok := asFloat(v)
	return ok
}
