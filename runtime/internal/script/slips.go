package script

import (
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
)

// slips are what people write who know another language, or whose editor changes what
// they type, by what stands where the parser stumbled. They are recognised by the
// tokens there, since the parser's own messages say no more than what it expected.

// charHints says what to write instead of a character that has no meaning.
var charHints = []struct{ chars, message, hint string }{
	{"\u00a0\u202f\u2007", "a no-break space has no meaning here", "type an ordinary space in its place"},
	{"“”„‟«»‹›", "the character $1 has no meaning here", `quotes are straight: "`},
	{"‘’‚‛´", "the character $1 has no meaning here", `quotes are straight: " or '`},
	{"–—−‐", "the character $1 has no meaning here", "a minus is the plain -"},
	{"×", "the character $1 has no meaning here", "multiply with *"},
	{"÷", "the character $1 has no meaning here", "divide with /"},
	{"°", "the character $1 has no meaning here", "leave it out: angles are in degrees"},
	{"½¼¾", "the character $1 has no meaning here", "numbers have a decimal point: 0.5"},
	{"`", "the character $1 has no meaning here", "leave out lines with ``` round a script: they mark code on a web page"},
	{"!", "the character $1 has no meaning here", "say not, or != for is not equal"},
}

// charFault explains a character that has no meaning, as the parser wrote it: one
// that cannot be shown in quotes is escaped.
func charFault(char string) (message, hint string) {
	if text, err := strconv.Unquote("'" + char + "'"); err == nil {
		char = text
	}
	for _, c := range charHints {
		if strings.Contains(c.chars, char) {
			return strings.ReplaceAll(c.message, "$1", char), c.hint
		}
	}
	return "the character " + diag.Printable(char) + " has no meaning here", ""
}

// declares are words that other languages have before a name which gets its value.
var declares = map[string]bool{"let": true, "const": true, "var": true, "local": true, "int": true, "float": true, "double": true}

// slip recognises what was meant where the parser stumbled on the i-th token; ok is
// false where it is none of the usual slips.
func slip(ts []token, i int) (message, hint string, ok bool) {
	if i < 0 || i >= len(ts) {
		return "", "", false
	}
	// text is the token some places on, "" at the ends of the line.
	text := func(on int) string {
		if k := i + on; k >= 0 && k < len(ts) && ts[k].kind != newlineToken {
			return ts[k].text
		}
		return ""
	}
	// glued reports whether a token follows the one before it without a space.
	glued := func(on int) bool { k := i + on; return k > 0 && k < len(ts) && ts[k-1].end == ts[k].start }
	first := func(on int) bool { k := i + on; return k == 0 || k > 0 && ts[k-1].kind == newlineToken }
	at := ts[i]
	switch {
	case at.kind == stringToken && glued(0) && strings.EqualFold(text(-1), "f"):
		return "a text with f before its quote has no meaning in this language", `"panel %d" % n puts a number into a text, "%s" any value`, true
	case at.text == "*" && text(1) == "*" || at.text == "*" && text(-1) == "*":
		return `"**" has no meaning in this language`, "multiply: x * x; sqrt(x) is the square root", true
	case text(-1) == "in" && glued(-1) && i > 1 && ts[i-2].kind == numberToken:
		return text(-2) + "in is not a number", "write the unit first, as in inch(" + text(-2) + ")", true
	case at.text == "/" && (text(1) == "/" || text(1) == "*") && first(0), at.text == "<" && text(1) == "!":
		return "this is no comment in this language", "comments begin with #", true
	case at.text == "if" && text(-1) == "else":
		return "else if is one word", "write elif", true
	case at.text == "is":
		return "the word is has no meaning in this language", "compare with ==, as in x == None", true
	case at.text == "&" && (text(1) == "&" || text(-1) == "&"):
		return `"&&" has no meaning in this language`, "say and", true
	case at.text == "|" && (text(1) == "|" || text(-1) == "|"):
		return `"||" has no meaning in this language`, "say or", true
	case at.kind == newlineToken && (text(-1) == "+" && text(-2) == "+" || text(-1) == "-" && text(-2) == "-"):
		return `"` + text(-2) + text(-1) + `" has no meaning in this language`, "write " + text(-3) + " " + text(-1) + "= 1", true
	case at.text == "{" && text(-1) == ")":
		return "a { has no meaning here", "end the line with a colon and indent the lines that belong to it", true
	case at.kind == wordToken && first(-1) && declares[text(-1)]:
		return "in this language no word like " + text(-1) + " stands before a name", "a name gets its value with = alone, as in " + at.text + " = 5", true
	case at.kind == wordToken && first(-1) && text(-1) == "function":
		return "the word function has no meaning in this language", "write def " + at.text + "(…):", true
	case at.text == "=" && text(-2) == "(" && text(-3) == "for":
		return "for counts otherwise in this language", "for " + text(-1) + " in range(6):", true
	}
	return "", "", false
}

// nameHints say what to write for names that people try and that are not there;
// words that belong to a value, such as score, are told by their owner instead.
var nameHints = map[string]string{
	"null":      nothing,
	"nil":       nothing,
	"none":      nothing,
	"undefined": nothing,
	"rectangle": "a rectangle is rect(60, 40)",
	"box":       "a rectangle is rect(60, 40)",
	"square":    "a square is rect(60, 60)",
	"ellipse":   "an ellipse is oval(60, 40)",
	"hexagon":   "a hexagon is regular(6, 30)",
	"triangle":  "a triangle is regular(3, 30), or polygon([…])",
	"crease":    "a crease within a panel is panel.score(path); between panels it is made by on = …",
	"fold":      "a fold is made by hanging a panel on an edge: panel(…, on = front.top, fold = 90)",
	"window":    "a window is cut into a panel: front.cut(circle(18).shift(30, 40))",
	"hole":      "a hole is cut into a panel: front.cut(circle(6).shift(30, 40))",
	"material":  `the stock is a board: card = board("card", caliper = 0.4)`,
	"thickness": "the thickness of a board is its caliper: card.caliper",
	"math":      "sqrt, sin, cos, pi and others are there as they are: sqrt(2)",
	"export":    filesAreMade,
	"save":      filesAreMade,
}

const (
	nothing      = "nothing is None"
	filesAreMade = "files are written by creasewright make SCRIPT"
)
