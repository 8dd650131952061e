package script

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
)

// What arguments are expected to be, as messages say it.
const (
	aLength   = "a number of millimetres"
	anAngle   = "a number of degrees"
	aNumber   = "a number"
	aText     = "a text in quotes"
	aTruth    = "True or False"
	aPoint    = "a point (x, y)"
	aPair     = "a number or a (left, right) pair"
	anEdge    = "an edge of a panel"
	aPanel    = "a panel"
	aBoard    = "a board"
	anOutline = "an outline"
	aPath     = "an outline or a path"
)

// arg is the argument a parameter was given, else its default; nil for None.
// name has to be one of the word's own parameters: any other is a slip in the program,
// and panics.
func (c *call) arg(name string) starlark.Value {
	i := c.word.nameIndex(name)
	v := c.given[i]
	if v == nil {
		v = c.word.params()[i].dflt
	}
	if v == starlark.None {
		return nil
	}
	return v
}

// has reports whether an argument was given, None not counting.
func (c *call) has(name string) bool {
	v := c.given[c.word.nameIndex(name)]
	return v != nil && v != starlark.None
}

// expectedHint says how a value that is expected is written; "" where the message
// says it already.
// It goes by the phrases above: one that is not among them is repeated as it is.
func expectedHint(v starlark.Value, expected string) string {
	if _, text := v.(starlark.String); text && strings.HasPrefix(expected, "a panel") {
		return "write the name that the script gives the panel, without quotes: front"
	}
	switch expected {
	case aLength, aNumber, "a number of grams":
		return "write the number alone, without quotes or unit: 27.5"
	case anAngle, aPair:
		return "write the number alone, in degrees or mm, without quotes or sign: 90"
	case aText:
		return `put it in quotes, in its place or by name: "front"`
	case aTruth:
		return "write a comparison such as width > 30, or True or False"
	case aPoint:
		return "write two numbers in brackets: (30, 40)"
	case aPanel:
		return "make one first, as in front = panel(\"front\", rect(60, 40)), and write front"
	case "a size (x, y, z) or a cylinder":
		return "write size = (60, 90, 25) or size = cylinder(70, 110)"
	}
	return "write " + expected
}

// float reads an ordinary number; a truth value is none. It records a fault
// and gives 0 when v is something else, not a number, or infinite.
func (c *call) float(name string, v starlark.Value, expected string) float64 {
	if v == nil {
		v = starlark.None
	}
	f, ok := asFloat(v)
	switch {
	case !ok:
		f := c.wrong(name, v, expected)
		if hint := numberHint(v); hint != "" {
			f.WithHint("%s", hint)
		} else if hint := angleHints[name]; hint != "" && expected == anAngle {
			f.WithHint("%s", hint)
		}
	case math.IsNaN(f):
		c.failf("%s is not a number (nan)", name)
	case math.IsInf(f, 0):
		c.failf("%s is infinite", name)
	default:
		return f
	}
	return 0
}

// angleHints say which way angles of a name count.
var angleHints = map[string]string{
	"grain": "write a number of degrees: 0 lies along x, 90 along y",
	"fold":  "write a number of degrees, 90 to the inside or -90 to the outside, or free(\"in\") for one that is worked out",
}

// numberHint says how to write the number that was meant by a text or by two
// numbers with a comma between them.
// The text is a quoted number, with or without a unit; the pair is 12,5 in brackets,
// which the language reads as two values. It gives "" when it recognises neither.
func numberHint(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.String:
		return quotedNumberHint(strings.TrimSpace(string(v)))
	case starlark.Tuple:
		if v.Len() != 2 {
			return ""
		}
		whole, ok := v[0].(starlark.Int)
		part, ok2 := v[1].(starlark.Int)
		if ok && ok2 && part.Sign() >= 0 {
			return fmt.Sprintf("numbers have a decimal point: %s.%s", whole, part)
		}
	}
	return ""
}

// quotedNumberHint is numberHint for a text.
// A unit becomes the call of its word, a decimal comma a point; a text that holds
// anything else than one number is no slip of the pen and gets no hint.
func quotedNumberHint(text string) string {
	number, unit := text, ""
	for _, u := range []string{"mm", "cm", "in", "inch", "thou"} {
		if n, ok := strings.CutSuffix(text, u); ok {
			number, unit = strings.TrimSpace(n), u
		}
	}
	if size := lastNumber(number); size == "" || size != strings.TrimPrefix(number, "-") {
		return ""
	}
	number = strings.Replace(number, ",", ".", 1)
	switch unit {
	case "":
		return "write " + number + ", without quotes"
	case "in":
		unit = "inch"
	}
	return "write " + unit + "(" + number + "), without quotes"
}

// asFloat is a number as a float; ok is false for every other value, truth
// values among them.
// A whole number beyond the range of float64 becomes infinite, which float refuses.
func asFloat(v starlark.Value) (float64, bool) {
	switch v := v.(type) {
	case starlark.Int:
		return float64(v.Float()), true
	case starlark.Float:
		return float64(v), true
	}
	return 0, false
}

// number, length and angle read an ordinary number: plain, of millimetres, of
// degrees.
func (c *call) number(name string) float64 { return c.float(name, c.arg(name), aNumber) }
func (c *call) length(name string) float64 { return c.float(name, c.arg(name), aLength) }
func (c *call) angle(name string) geom.Degrees {
	return geom.Degrees(c.float(name, c.arg(name), anAngle))
}

// optional reads a number that may be left out.
func (c *call) optional(name, expected string) *float64 {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	f := c.float(name, v, expected)
	return &f
}

// optionalAngle reads an angle that may be left out.
func (c *call) optionalAngle(name string) *geom.Degrees {
	return (*geom.Degrees)(c.optional(name, anAngle))
}

// whole reads a whole number; 6.0 is one.
// The bound of 2³¹ keeps the conversion exact where int has 32 bits; counts have
// lower limits of their own.
func (c *call) whole(name string) int {
	const expected = "a whole number"
	f := c.float(name, c.arg(name), expected)
	if f != math.Trunc(f) || math.Abs(f) > math.MaxInt32 {
		c.failf("%s is %s; %s is expected", name, describe(c.arg(name)), expected)
		return 0
	}
	return int(f)
}

// text reads a text; "" when it is left out.
// Characters are counted as code points, and only of texts that have more bytes than
// the limit, as counting takes time in proportion to their length.
func (c *call) text(name string) string {
	v := c.arg(name)
	if v == nil {
		return ""
	}
	s, ok := v.(starlark.String)
	if !ok {
		c.wrong(name, v, aText)
	}
	if int64(len(s)) > c.limits[limit.Text] && int64(utf8.RuneCountInString(string(s))) > c.limits[limit.Text] {
		c.failf("%s has more than %s characters", name, c.limits.Amount(limit.Text)).WithHint("%s", c.limits.Raise(limit.Text))
	}
	return string(s)
}

// textNeeded reads a text that may not be None.
func (c *call) textNeeded(name string) string {
	if c.arg(name) == nil {
		c.wrong(name, starlark.None, aText)
	}
	return c.text(name)
}

// truth reads True or False; numbers and None are neither.
func (c *call) truth(name string) bool {
	v := c.arg(name)
	b, ok := v.(starlark.Bool)
	if !ok {
		c.wrong(name, orNone(v), aTruth)
	}
	return bool(b)
}

// point reads a pair of millimetres.
func (c *call) point(name string) geom.Point { return c.pointFrom(name, c.arg(name)) }

// pointFrom is point for a value that is part of an argument.
func (c *call) pointFrom(name string, v starlark.Value) geom.Point {
	x, y, ok := pair(v)
	if !ok {
		c.wrong(name, orNone(v), aPoint)
		return geom.Point{}
	}
	return geom.Pt(c.float("x of "+name, x, aLength), c.float("y of "+name, y, aLength))
}

// sides reads one number for both sides or a (left, right) pair.
// The fault of anything else names both forms; one within the pair says what a single
// number is expected to be.
func (c *call) sides(name, expected string) model.Pair {
	v := c.arg(name)
	left, right, ok := pair(v)
	if ok {
		return model.Pair{Left: c.float(name, left, expected), Right: c.float(name, right, expected)}
	}
	return model.Both(c.float(name, v, aPair))
}

// angles is sides for angles.
func (c *call) angles(name string) model.AnglePair {
	p := c.sides(name, anAngle)
	return model.AnglePair{Left: geom.Degrees(p.Left), Right: geom.Degrees(p.Right)}
}

// pair takes a tuple or list of two apart.
func pair(v starlark.Value) (a, b starlark.Value, ok bool) {
	s, ok := sequence(v)
	if !ok || s.Len() != 2 {
		return nil, nil, false
	}
	return s.Index(0), s.Index(1), true
}

// sequence is a value as a list of items; a text is none.
func sequence(v starlark.Value) (s starlark.Indexable, ok bool) {
	if _, text := v.(starlark.String); text {
		return nil, false
	}
	s, ok = v.(starlark.Indexable)
	return s, ok
}

// items reads every item of a list by read, nil when v is none or holds more
// than an outline may have edges.
// The bound comes before any item is read or room for them is made. read gets the
// index for its messages, and records faults of its own; it is called for every item
// though an earlier one was wrong, so its results count only in a call without fault.
func items[T any](c *call, name string, v starlark.Value, expected string, read func(i int, v starlark.Value) T) []T {
	s, ok := sequence(v)
	if !ok {
		c.wrong(name, orNone(v), expected)
		return nil
	}
	if int64(s.Len()) > c.limits[limit.Edges] {
		c.failf("%s has more than %s items", name, c.limits.Amount(limit.Edges)).WithHint("%s", c.limits.Raise(limit.Edges))
		return nil
	}
	out := make([]T, s.Len())
	for i := range out {
		out[i] = read(i, s.Index(i))
	}
	return out
}

// orNone is a value for a message, None for one that was left out.
func orNone(v starlark.Value) starlark.Value {
	if v == nil {
		return starlark.None
	}
	return v
}

// panel reads a panel.
// Where an edge of a panel stands in its place, the fault says what to leave out.
func (c *call) panel(name string) *model.Panel {
	v := c.arg(name)
	if p, ok := v.(panelValue); ok {
		return p.p
	}
	f := c.wrong(name, orNone(v), aPanel)
	if e, ok := v.(edgeValue); ok && e.ref.Panel != nil {
		f.WithHint("leave out .%s to mean the panel", e.ref.Name)
	}
	return nil
}

// edge reads an edge of a panel or an opening.
func (c *call) edge(name string) model.EdgeRef { return c.edgeFrom(name, c.arg(name)) }

// edgeFrom is edge for a value that may be something else as well.
// A panel or an opening in its place is told with the names of its edges. What comes
// back beside a fault means nothing.
func (c *call) edgeFrom(name string, v starlark.Value) model.EdgeRef {
	switch v := v.(type) {
	case edgeValue:
		if v.ref.Panel == nil {
			c.failf("%s is an edge of an outline; %s is expected", name, anEdge).
				WithHint("make a panel of the outline first, and take the edge from the panel")
		}
		return v.ref
	case panelValue:
		c.wrong(name, v, anEdge).WithHint("name the edge: panel %q has %s", v.p.Name, edgeExamples(v.p.Outline))
	case openingValue:
		c.wrong(name, v, anEdge).WithHint("name the edge: it has %s", edgeExamples(v.w.Outline))
	default:
		c.wrong(name, orNone(v), anEdge).WithHint("for example front.top")
	}
	return model.EdgeRef{}
}

// edgeExamples lists an outline's edges as they are written behind a panel.
func edgeExamples(p geom.Path) string {
	names := p.Names()
	return "." + strings.Join(names[:min(len(names), mostListed)], " .")
}

// optionalEdge reads an edge that may be left out.
func (c *call) optionalEdge(name string) *model.EdgeRef {
	if c.arg(name) == nil {
		return nil
	}
	e := c.edge(name)
	return &e
}

// outline reads a closed outline.
// The empty path stands for a fault: something else, or a path that is not closed.
func (c *call) outline(name string) geom.Path {
	v := c.arg(name)
	o, ok := v.(*outlineValue)
	switch {
	case !ok:
		c.wrong(name, orNone(v), anOutline).WithHint("for example rect(40, 30)")
	case !o.path.Closed:
		c.wrong(name, v, anOutline).WithHint("close the path with .close()")
	default:
		return o.path
	}
	return geom.Path{}
}

// path reads an outline or an unclosed path.
func (c *call) path(name string) geom.Path {
	v := c.arg(name)
	o, ok := v.(*outlineValue)
	if !ok {
		c.wrong(name, orNone(v), aPath).WithHint("for example circle(18) or path(0, 10).line(60, 10)")
		return geom.Path{}
	}
	if len(o.path.Edges) == 0 {
		c.failf("%s has no steps", name).WithHint("add .line(x, y) or another step")
	}
	return o.path
}

// board reads a board.
func (c *call) board(name string) *board.Board {
	v := c.arg(name)
	b, ok := v.(boardValue)
	if !ok {
		c.wrong(name, orNone(v), aBoard).WithHint(`for example card = board("card", caliper = 0.4)`)
	}
	return b.b
}

// fold reads a fold angle, nil when it is left out.
// Positive turns toward the inside. None counts as left out, so that a function of
// the script's own can pass on an argument it was not given.
func (c *call) fold(name string) *model.Fold {
	if !c.has(name) {
		return nil
	}
	v := c.arg(name)
	if f, ok := v.(freeValue); ok {
		return model.Freely(f.f)
	}
	if side, text := v.(starlark.String); text && (side == "in" || side == "out") {
		c.wrong(name, v, anAngle).WithHint("a fold that is to be found is free(%q)", string(side))
		return nil
	}
	return model.Degrees(geom.Degrees(c.float(name, v, anAngle)))
}

// line reads how a hinge is made, "" when it is left out.
func (c *call) line(name string) model.LineKind {
	if !c.has(name) {
		return ""
	}
	return model.LineKind(c.text(name))
}
