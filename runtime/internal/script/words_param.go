package script

import (
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/model"
)

// paramWords are what can be set from outside.
func paramWords() []word {
	return []word{
		{
			Word: Word{
				Name: "param", Kind: Function, Group: "Parameters",
				Units: "default, min, max and choices in whatever unit the script then uses, mostly mm",
				Doc: "A size or a choice that can be set from outside without touching the script, and the value it has now: the default, or what was set. For one run, --set length=120 behind creasewright make sets one.\n" +
					"- `default`: decides whether it is a number, a text or True or False. A number set from outside may end in mm, cm, in or thou.\n" +
					"- `min` and `max`: keep a number in a range.\n" +
					"- `choices`: the only values allowed.\n" +
					"- `doc`: a few words for whoever sets it.",
				Example: `card = board("card", caliper = 0.4)
length = param("length", 90, min = 20, max = 300, doc = "length of the bar")
finish = param("finish", "plain", choices = ["plain", "window"])
front = panel("front", rect(60, length))
if finish == "window":
    front.cut(circle(18).shift(30, length / 2))
piece("front", front, board = card)`,
			},
			Args: `name, default, *, min=None, max=None, choices=None, doc=""`,
			run:  runParam,
		},
	}
}

// runParam declares a parameter and gives the value it has in this run.
func runParam(c *call) (starlark.Value, error) {
	spec := model.ParamSpec{
		Name: c.textNeeded("name"), Default: c.plain("default", c.arg("default")),
		Doc: c.text("doc"), Choices: c.choices(),
	}
	// "28mm" would be told where it is used, as a text that is no size.
	if text, ok := c.arg("default").(starlark.String); ok && len(spec.Choices) == 0 {
		if hint := quotedNumberHint(strings.TrimSpace(string(text))); strings.Contains(hint, "(") {
			c.failf("default is a text, %s, and looks like a size", quote(string(text))).WithHint("%s", hint)
		} else if hint != "" {
			c.failf("default is a text, %s, and looks like a number", quote(string(text))).WithHint("%s; a text of digits has its choices", hint)
		}
	}
	for _, limit := range []struct {
		name string
		to   *any
	}{{"min", &spec.Min}, {"max", &spec.Max}} {
		if v := c.arg(limit.name); v != nil {
			c.float(limit.name, v, aNumber)
			*limit.to = c.plain(limit.name, v)
		}
	}
	if c.fault != nil {
		return nil, c.fault
	}
	v, err := c.build.Param(c.site, spec)
	if err != nil {
		return nil, err
	}
	return fromPlain(v), nil
}

// choices reads the list of allowed values, nil when there is none.
func (c *call) choices() []any {
	v := c.arg("choices")
	if v == nil {
		return nil
	}
	return items(c, "choices", v, "a list of values", func(_ int, v starlark.Value) any { return c.plain("a choice", v) })
}

// plain turns a number, text or truth value into the model's terms.
func (c *call) plain(name string, v starlark.Value) any {
	switch v := v.(type) {
	case starlark.String:
		return string(v)
	case starlark.Bool:
		return bool(v)
	case starlark.Int:
		if i, ok := v.Int64(); ok {
			return i
		}
		c.failf("%s is too large a number", name)
	case starlark.Float:
		return c.float(name, v, aNumber)
	default:
		c.wrong(name, orNone(v), "a number, a text or True or False")
	}
	return nil
}

// fromPlain is the way back.
func fromPlain(v any) starlark.Value {
	switch v := v.(type) {
	case int64:
		return starlark.MakeInt64(v)
	case float64:
		return starlark.Float(v)
	case bool:
		return starlark.Bool(v)
	}
	return starlark.String(v.(string))
}

// boardWords are the stock and what can be asked of it.
func boardWords() []word {
	return []word{
		{
			Word: Word{
				Name: "board", Kind: Function, Group: "Board",
				Units: "caliper in mm; gsm in grams per square metre; grain in degrees in the blank, 0 along x",
				Doc: "The stock a piece is cut from.\n" +
					"- `caliper`: its thickness.\n" +
					"- `gsm`: its grammage, from which the mass is worked out.\n" +
					"- `grain`: the direction the fibres run.\n" +
					"- `kind`: paper, card, coated, greyboard or corrugated. What the checks expect depends on it.",
				Example: `card = board("uncoated card", caliper = thou(14), gsm = 250, grain = 0)
label = panel("label", rect(60, 40))
piece("label", label, board = card)`,
			},
			Args: `name, caliper, *, gsm=None, grain=None, kind="card"`,
			run: func(c *call) (starlark.Value, error) {
				spec := model.BoardSpec{
					Name: c.textNeeded("name"), Caliper: c.length("caliper"),
					GSM: c.optional("gsm", aNumber), GrainDegrees: c.optionalAngle("grain"), Kind: c.text("kind"),
				}
				if c.fault != nil {
					return nil, c.fault
				}
				b, err := c.build.Board(c.site, spec)
				if err != nil {
					return nil, err
				}
				return boardValue{h: c.host, b: b}, nil
			},
		},
		{
			Word: Word{
				Name: "board.span", Kind: Method, Group: "Board",
				Units: "inside or outside in mm; gives mm from score to score",
				Doc: "The score-to-score size of a panel that stands between two square folds: for a clear room of `inside`, one caliper more; " +
					"for an overall size of `outside`, one caliper less. Between grooves (`line = \"groove\"`), which turn about the outside skin, it is two calipers more, and none less. It counts one board between two folds and no more; for other sums use the board's caliper.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", rect(card.span(inside = 60), 90))
left = panel("left", rect(30, 90), on = base.left)
right = panel("right", rect(30, 90), on = base.right)
piece("channel", base, board = card)`,
			},
			Args: `inside=None, outside=None, line="score"`, ByName: true,
			run: runSpan,
		},
		boardFigure("name", "a text", "The name the board was given.",
			func(v boardValue) starlark.Value { return starlark.String(v.b.Name) }),
		boardFigure("kind", "a text", "The kind of stock: paper, card, coated, greyboard or corrugated.",
			func(v boardValue) starlark.Value { return starlark.String(string(v.b.Kind)) }),
		boardFigure("caliper", "mm", "The board's thickness.",
			func(v boardValue) starlark.Value { return starlark.Float(v.b.Caliper) }),
		boardFigure("gsm", "grams per square metre", "The board's grammage, None when it was not given.",
			func(v boardValue) starlark.Value { return floatOrNone(v.b.GSM) }),
		boardFigure("grain", "degrees in the blank, 0 along x", "The direction of the board's grain, None when it was not given.",
			func(v boardValue) starlark.Value { return floatOrNone(v.b.GrainDegrees) }),
	}
}

// boardFigure is an attribute of boards.
func boardFigure(name, units, doc string, get func(boardValue) starlark.Value) word {
	return word{
		Word: Word{Name: "board." + name, Kind: Attribute, Group: "Board", Units: units, Doc: doc,
			Example: printing(`card.` + name)},
		get: func(_ *host, self starlark.Value) starlark.Value { return get(self.(boardValue)) },
	}
}

// floatOrNone is a number that need not have been given.
func floatOrNone[T ~float64](f *T) starlark.Value {
	if f == nil {
		return starlark.None
	}
	return starlark.Float(*f)
}

// runSpan gives a score-to-score size for the room inside or the size outside.
func runSpan(c *call) (starlark.Value, error) {
	b := c.self.(boardValue).b
	inside, outside := c.has("inside"), c.has("outside")
	turn := board.AboutMiddle
	if line := c.line("line"); line == model.Groove {
		turn = board.AboutOutside
	} else if !slices.Contains([]model.LineKind{"", model.Score, model.Perforated, model.PartCut, model.PlainFold}, line) {
		c.failf("line = %q is no way to make a hinge", line).WithHint("it is score, perforated, part-cut, groove or plain")
	}
	if inside == outside {
		c.failf("give either inside or outside").WithHint("for example card.span(inside = 60)")
	}
	if c.fault != nil {
		return nil, c.fault
	}
	var size float64
	var err error
	if inside {
		size, err = b.SpanInside(c.length("inside"), turn)
	} else {
		size, err = b.SpanOutside(c.length("outside"), turn)
	}
	if err != nil {
		c.failf("%v", err)
	}
	return starlark.Float(size), nil
}

const groupLimits = "Limits and machines"

// limitWords set what the checks hold a design to.
func limitWords() []word {
	return []word{
		{
			Word: Word{
				Name: "limits", Kind: Function, Group: groupLimits, Units: limitUnits(),
				Doc: "Sets what the checks hold a design to; what is left out stays as the board has it. With `on` it counts for the pieces of that board only, and goes before what counts for all. 0 holds to nothing. " +
					"Defaults are common practice, no source, where none is named:" + limitDocs(),
				Example: `card = board("card", caliper = 0.4)
limits(web = 2, edge_gap = 2)
limits(on = card, crease_gap = 2.5)
label = panel("label", rect(60, 40))
label.cut(circle(6).shift(30, 32))
piece("label", label, board = card)`,
			},
			Args: limitArgs(), ByName: true,
			run: runLimits,
		},
	}
}

// limitArgs is the argument list of limits: every limit there is, and the board.
func limitArgs() string {
	var args []string
	for _, l := range board.Limits() {
		args = append(args, l.Name()+"=None")
	}
	return strings.Join(append(args, "on=None"), ", ")
}

// limitUnits names the limits that are no lengths.
func limitUnits() string {
	units := "mm"
	for _, l := range board.Limits() {
		if l.Unit() != "mm" {
			units += fmt.Sprintf("; for %s %s", l.Name(), l.Unit())
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

// runLimits sets the limits that are given and leaves the others.
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
	return c.do(func() error { return c.build.Limits(c.site, on, values) })
}
