package script

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// groupTests are the words that files of tests alone may use.
const groupTests = "Tests"

// testExample is a file of tests for the words that ask: begin describes a lid on a
// back and ends with its facts, and then come the lines of one word.
func testExample(lines ...string) string {
	return `def test_lid():
    card = board("card", caliper = 0.4, gsm = 300)
    back = panel("back", rect(60, 90))
    lid = flap("lid", on = back.top, depth = 40)
    piece("back", back, board = card)
    facts = built()
    ` + strings.Join(lines, "\n    ")
}

// factWords are the words of tests.
func factWords() []word {
	return slices.Concat(assertionWords(), []word{
		{
			Word: Word{
				Name: "built", Kind: Function, Group: groupTests, Units: "clean is True or False",
				Doc: "Ends the design that the test has described so far, lays its pieces flat, folds and checks them, and gives the facts that can be asked for. " +
					"Errors and warnings of the checks fail the test unless `clean` is False. What is described afterwards is a new design. " +
					"A test that ends without it is built at its end when it made a piece.",
				Example: testExample(`near(facts.blank().height, 130)`),
			},
			Args: "clean=True",
			run: func(c *call) (starlark.Value, error) {
				clean := c.truth("clean")
				if c.fault != nil {
					return nil, c.fault
				}
				facts, err := c.finished(c.site, clean)
				if err != nil {
					return nil, err
				}
				return factsValue{h: c.host, facts: facts}, nil
			},
		},
		{
			Word: Word{
				Name: "facts.blank", Kind: Method, Group: groupTests, Units: "mm, mm² and grams",
				Doc: "The flat blank of a piece, by its name where there are several: its .width and .height over all, the .area and .mass of its board (None without a grammage), " +
					"and .lengths, a dict of how long the strokes of each line kind are.",
				Example: testExample(`blank = facts.blank()`, `same((blank.width, blank.height), (60, 130))`, `near(blank.lengths["score"], 60)`),
			},
			Args: "piece=None",
			run: func(c *call) (starlark.Value, error) {
				p := c.pieceFacts()
				if c.fault != nil {
					return nil, c.fault
				}
				lengths := starlark.NewDict(len(p.Lengths))
				for _, l := range p.Lengths {
					_ = lengths.SetKey(starlark.String(l.Kind), tidy(l.Length)) // a text can be a key
				}
				lengths.Freeze()
				return structOf("width", tidy(p.Width), "height", tidy(p.Height), "area", tidy(p.Area),
					"mass", tidyOrNone(p.Mass), "lengths", lengths), nil
			},
		},
		{
			Word: Word{
				Name: "facts.size", Kind: Method, Group: groupTests, Units: "mm",
				Doc: "The size (x, y, z) of the closed piece along the axes of its root panel: over all, or with `inside` the clear room through its middle, None where it is open. " +
					"`piece` is its name where there are several.",
				Example: testExample(`near(facts.size(), (60, 90.2, 40.2), within = 0.5)`),
			},
			Args: "piece=None, *, inside=False",
			run:  runSize,
		},
		{
			Word: Word{
				Name: "facts.area", Kind: Method, Group: groupTests, Units: "mm²",
				Doc:     "How much board a panel has: its outline without the windows in it. `panel` is one, or its name.",
				Example: testExample(`near(facts.area("lid"), 2400)`),
			},
			Args: "panel",
			run: func(c *call) (starlark.Value, error) {
				p, panel := c.panelFacts("panel")
				if c.fault != nil {
					return nil, c.fault
				}
				return tidy(p.Areas[panel]), nil
			},
		},
		{
			Word: Word{
				Name: "facts.fold", Kind: Method, Group: groupTests, Units: "degrees",
				Doc:     "How far a panel is folded at the hinge that it hangs by, in a pose; None where that was not found. `panel` is one, or its name.",
				Example: testExample(`near(facts.fold(lid), 90)`, `near(facts.fold(lid, "flat"), 0)`),
			},
			Args: `panel, pose="closed"`,
			run: func(c *call) (starlark.Value, error) {
				p, panel := c.panelFacts("panel")
				s := c.poseFacts(p)
				if c.fault != nil {
					return nil, c.fault
				}
				if a, ok := s.Folds[panel]; ok {
					return tidy(float64(a)), nil
				}
				return starlark.None, nil
			},
		},
		{
			Word: Word{
				Name: "facts.place", Kind: Method, Group: groupTests, Units: "mm",
				Doc: "Where a point of a panel comes to lie in a pose: (x, y, z) along the axes of the piece's root panel, z outward; None where it was not found. " +
					"`panel` is one, or its name; `at` is the point, as the panel is drawn.",
				Example: testExample(`near(facts.place(lid, at = (0, 40)), (0, 90, -40))`),
			},
			Args: `panel, pose="closed", at=(0, 0)`,
			run: func(c *call) (starlark.Value, error) {
				p, panel := c.panelFacts("panel")
				s, at := c.poseFacts(p), geom.Point{}
				if c.arg("at") != nil {
					at = c.point("at")
				}
				if c.fault != nil {
					return nil, c.fault
				}
				m, ok := s.Places[panel]
				if !ok {
					return starlark.None, nil
				}
				q := m.Apply(geom.Point3{X: at.X, Y: at.Y})
				return starlark.Tuple{tidy(q.X), tidy(q.Y), tidy(q.Z)}, nil
			},
		},
		{
			Word: Word{
				Name: "facts.gap", Kind: Method, Group: groupTests, Units: "mm",
				Doc: "How far the join of two panels is from holding in a pose: the largest gap where several joins are made between them. " +
					"`a` and `b` are panels or their names.",
				Example: `def test_seam():
    card = board("card", caliper = 0.4)
    front = panel("front", rect(60, 90))
    right = panel("right", rect(30, 90), on = front.right)
    back = panel("back", rect(60, 90), on = right.right)
    left = panel("left", rect(30, 90), on = back.right)
    seam = tab("seam", on = front.left, depth = 12, to = left.right)
    piece("sleeve", front, board = card)
    near(built().gap(seam, left), 0)`,
			},
			Args: `a, b, pose="closed"`,
			run:  runGap,
		},
		{
			Word: Word{
				Name: "facts.findings", Kind: Method, Group: groupTests, Units: "rule is a text",
				Doc: "What the checks found, in the order of the script: a list of values with the .rule, .severity, .message, .hint and .panel of each. With `rule`, those of one rule.",
				Example: `def test_a_seam_too_short():
    card = board("card", caliper = 0.4)
    front = panel("front", rect(60, 90))
    require(front.top.length == 50, "the front is not 50 mm wide")
    piece("front", front, board = card)
    found = built(clean = False).findings("require")
    same([f.message for f in found], ["the front is not 50 mm wide"])`,
			},
			Args: "rule=None",
			run: func(c *call) (starlark.Value, error) {
				rule := ""
				if c.arg("rule") != nil {
					rule = c.text("rule")
				}
				if c.fault != nil {
					return nil, c.fault
				}
				var out []starlark.Value
				for _, f := range c.self.(factsValue).facts.Findings {
					if rule == "" || f.Rule == rule {
						out = append(out, structOf("rule", starlark.String(f.Rule), "severity", starlark.String(f.Severity.String()),
							"message", starlark.String(f.Message), "hint", starlark.String(f.Hint), "panel", starlark.String(f.Panel)))
					}
				}
				return starlark.NewList(out), nil
			},
		},
	})
}

// assertionWords are those that say what is expected.
func assertionWords() []word {
	return []word{
		{
			Word: Word{
				Name: "same", Kind: Function, Group: groupTests, Units: "whatever the values are; what is a text",
				Doc:     "Fails the test unless two values are equal, and goes on. `what` says what they are, for the message.",
				Example: testExample(`same(lid.name, "lid")`),
			},
			Args: `got, want, what="this"`,
			run: func(c *call) (starlark.Value, error) {
				got, want, what := orNone(c.arg("got")), orNone(c.arg("want")), c.text("what")
				if c.fault != nil {
					return nil, c.fault
				}
				equal, err := starlark.Equal(got, want)
				if err == nil && !equal {
					c.fail("%s is %s, not %s", what, shown(got), shown(want))
				}
				return starlark.None, err
			},
		},
		{
			Word: Word{
				Name: "near", Kind: Function, Group: groupTests, Units: "got, want and within in one unit; what is a text",
				Doc:     "Fails the test unless two numbers, or two rows of numbers such as points, differ by no more than `within`, and goes on. `what` says what they are, for the message.",
				Example: testExample(`near(back.top.length, 60)`, `near(lid.tip.start, (0, 40), within = 0.01, what = "the left end of the tip")`),
			},
			Args: `got, want, within=0.001, what="this"`,
			run: func(c *call) (starlark.Value, error) {
				got, want, what := orNone(c.arg("got")), orNone(c.arg("want")), c.text("what")
				within := c.number("within")
				if c.fault != nil {
					return nil, c.fault
				}
				if !near(got, want, within) {
					c.fail("%s is %s, not %s within %s", what, shown(got), shown(want), geom.Num(within))
				}
				return starlark.None, nil
			},
		},
		{
			Word: Word{
				Name: "fails", Kind: Function, Group: groupTests, Units: "action is a function; message is a text",
				Doc: "Calls `action` with nothing and fails the test unless that fails, with a message or a hint that holds `message`; gives the message. " +
					"What the call made before it failed stays in the design.",
				Example: testExample(`fails(lambda: panel("roof", rect(-5, 90)), "between 0.001")`),
			},
			Args: "action, message",
			run:  runFails,
		},
	}
}

// runFails calls something that is meant to fail.
func runFails(c *call) (starlark.Value, error) {
	action, ok := c.arg("action").(starlark.Callable)
	if !ok {
		c.wrong("action", orNone(c.arg("action")), "a function").WithHint(`write lambda: before what is to be called: fails(lambda: rect(-5, 90), "…")`)
	}
	message := c.textNeeded("message")
	if c.fault != nil {
		return nil, c.fault
	}
	_, err := starlark.Call(c.thread, action, nil, nil)
	if err == nil {
		c.fail("nothing fails here; a message with %s is expected", quote(message))
		return starlark.None, nil
	}
	if strings.Contains(err.Error(), "Starlark computation cancelled") {
		return nil, err
	}
	said := c.explain(err)[0]
	if !strings.Contains(said.Message, message) && !strings.Contains(said.Hint, message) {
		c.fail("the message is %q, and %s is not in it", said.Message, quote(message))
	}
	return starlark.String(said.Message), nil
}

// shown is a value as messages of tests show it.
func shown(v starlark.Value) string {
	if f, ok := v.(starlark.Float); ok {
		return geom.Num(float64(f))
	}
	return diag.Short(v.String())
}

// near reports whether two numbers, or the numbers of two rows, differ by no more.
func near(got, want starlark.Value, within float64) bool {
	a, isNumber := asFloat(got)
	b, wantsNumber := asFloat(want)
	if isNumber || wantsNumber {
		return isNumber && wantsNumber && math.Abs(a-b) <= within
	}
	p, isRow := sequence(got)
	q, wantsRow := sequence(want)
	if !isRow || !wantsRow || p.Len() != q.Len() {
		return false
	}
	for i := range p.Len() {
		if !near(p.Index(i), q.Index(i), within) {
			return false
		}
	}
	return true
}

// runSize gives the sizes of a closed piece.
func runSize(c *call) (starlark.Value, error) {
	p, inside := c.pieceFacts(), c.truth("inside")
	if c.fault != nil {
		return nil, c.fault
	}
	for _, s := range p.Poses {
		if s.Outside == nil {
			continue
		}
		size := make(starlark.Tuple, 3)
		for k := range size {
			if size[k] = tidy(s.Outside[k]); inside {
				size[k] = tidyOrNone(s.Inside[k])
			}
		}
		return size, nil
	}
	return starlark.None, nil
}

// runGap gives the gap of a join.
func runGap(c *call) (starlark.Value, error) {
	p, a := c.panelFacts("a")
	_, b := c.panelFacts("b")
	s := c.poseFacts(p)
	if c.fault != nil {
		return nil, c.fault
	}
	joined, gap := false, -1.0
	for _, j := range p.Piece.Joins {
		if j.A.Panel == a && j.B.Panel == b || j.A.Panel == b && j.B.Panel == a {
			joined = true
			if g, ok := s.Gaps[j]; ok {
				gap = max(gap, g)
			}
		}
	}
	switch {
	case !joined:
		c.failf("nothing joins panel %q and panel %q", a.Name, b.Name).WithHint("tab, glue, meet and tuck make joins")
		return nil, c.fault
	case gap < 0:
		c.failf("pose %q does not ask for the join of panel %q and panel %q, or it was not found", s.Pose, a.Name, b.Name)
		return nil, c.fault
	}
	return tidy(gap), nil
}

// factsValue is what a test asks about a design.
type factsValue struct {
	fixed
	h     *host
	facts *Facts
}

func (v factsValue) String() string        { return fmt.Sprintf("facts(%s)", strings.Join(v.pieces(), ", ")) }
func (v factsValue) Type() string          { return "facts" }
func (v factsValue) Hash() (uint32, error) { return hashOf(v) }
func (v factsValue) AttrNames() []string   { return v.h.table.members("facts") }
func (v factsValue) describe() string      { return "the facts of a design" }
func (v factsValue) Attr(name string) (starlark.Value, error) {
	if m := v.h.member(v, name); m != nil {
		return m, nil
	}
	return nil, v.h.noMember(v, "facts", name)
}

// pieces lists the names of the pieces.
func (v factsValue) pieces() (names []string) {
	for _, p := range v.facts.Pieces {
		names = append(names, p.Piece.Name)
	}
	return names
}

// pieceFacts is the piece named by the argument piece, or the only one.
func (c *call) pieceFacts() *PieceFacts {
	v := c.self.(factsValue)
	if c.arg("piece") == nil {
		if len(v.facts.Pieces) > 1 {
			c.failf("there are %d pieces; piece says which is meant", len(v.facts.Pieces)).WithHint("they are %s", list(v.pieces(), "and"))
		}
		return &v.facts.Pieces[0]
	}
	name := c.text("piece")
	for i := range v.facts.Pieces {
		if v.facts.Pieces[i].Piece.Name == name {
			return &v.facts.Pieces[i]
		}
	}
	c.failf("there is no piece %s", quote(name)).WithHint("there is %s", list(v.pieces(), "and"))
	return &v.facts.Pieces[0]
}

// panelFacts is the panel that an argument gives or names, and the piece it is of.
func (c *call) panelFacts(arg string) (*PieceFacts, *model.Panel) {
	v := c.self.(factsValue)
	name, byName := c.arg(arg).(starlark.String)
	given, _ := c.arg(arg).(panelValue)
	var names []string
	for i, p := range v.facts.Pieces {
		for _, panel := range p.Piece.Panels {
			if byName && panel.Name == string(name) || panel == given.p {
				return &v.facts.Pieces[i], panel
			}
			names = append(names, panel.Name)
		}
	}
	switch {
	case byName:
		f := c.failf("no piece has a panel %s", quote(string(name)))
		if near, ok := model.Nearest(string(name), names); ok {
			f.WithHint("did you mean %q?", near)
		}
	case given.p != nil:
		c.failf("panel %q belongs to none of the pieces that these facts are about", given.p.Name)
	default:
		c.wrong(arg, orNone(c.arg(arg)), "a panel or its name")
	}
	return &v.facts.Pieces[0], nil
}

// poseFacts is a piece in the pose that the argument pose names.
func (c *call) poseFacts(p *PieceFacts) PoseFacts {
	name := c.text("pose")
	var names []string
	for _, s := range p.Poses {
		if s.Pose == name {
			return s
		}
		names = append(names, s.Pose)
	}
	c.failf("there is no pose %s", quote(name)).WithHint("there is %s", list(names, "and"))
	return PoseFacts{}
}

// tidy is a measured number as a test sees it, rounded as in the report.
func tidy(x float64) starlark.Value {
	const places = 1e9
	if r := math.Round(x*places) / places; r != 0 && !math.IsInf(r, 0) {
		return starlark.Float(r)
	}
	return starlark.Float(0)
}

func tidyOrNone(x *float64) starlark.Value {
	if x == nil {
		return starlark.None
	}
	return tidy(*x)
}

// structOf bundles values under names, which come in turns.
func structOf(pairs ...any) starlark.Value {
	var fields []starlark.Tuple
	for i := 0; i < len(pairs); i += 2 {
		fields = append(fields, starlark.Tuple{starlark.String(pairs[i].(string)), pairs[i+1].(starlark.Value)})
	}
	return starlarkstruct.FromKeywords(starlarkstruct.Default, fields)
}
