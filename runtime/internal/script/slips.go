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
	{"’′″", "the character $1 has no meaning here", "sizes are in mm; write an inch as inch(2.5)"},
	{"≤⩽", "the character $1 has no meaning here", "write <="},
	{"≥⩾", "the character $1 has no meaning here", "write >="},
	{"≠", "the character $1 has no meaning here", "write !="},
	{"·∗⋅•✕✖", "the character $1 has no meaning here", "multiply with *"},
	{"⁄∕", "the character $1 has no meaning here", "divide with /"},
	{"²³¹⁴", "the character $1 has no meaning here", "multiply: x * x is the square"},
	{"√", "the character $1 has no meaning here", "the square root is sqrt(2)"},
	{"±", "the character $1 has no meaning here", "give one value: a tolerance is no part of a size"},
	{"→⇒", "the character $1 has no meaning here", "what belongs to a thing is written after a dot: front.top"},
	{"∅⌀Ø", "the character $1 has no meaning here", "a circle is circle(18), the diameter in its brackets"},
	{"?", "the character $1 has no meaning here", "a choice is written 5 if wide else 3"},
	{"$", "the character $1 has no meaning here", "commands such as creasewright make are typed in a terminal; names stand bare"},
	{"…", "the character $1 has no meaning here", "write out what it stands for, or leave it out"},
	{"\u200b\u200c\u200d\u2060\ufeff\u00ad", "the character $1 has no meaning here", "it cannot be seen: delete it and type the place again"},
	{"\u3000\u2002\u2003\u2009\u200a\u2005", "a wide or narrow space has no meaning here", "type an ordinary space in its place"},
	{"½¼¾", "the character $1 has no meaning here", "numbers have a decimal point: 0.5"},
	{"`", "the character $1 has no meaning here", "leave out lines with ``` round a script: they mark code on a web page"},
	{"!", "the character $1 has no meaning here", "say not, or != for is not equal"},
}

// Full-width forms of the signs from ! to ~, in the order of those.
const (
	firstWide = '\uff01'
	lastWide  = '\uff5e'
)

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
	hint = "leave it out: outside texts and comments, use the plain signs of a keyboard"
	if r := []rune(char); len(r) == 1 && r[0] >= firstWide && r[0] <= lastWide {
		hint = "write the ordinary sign: " + string(r[0]-firstWide+'!')
	}
	return "the character " + diag.Printable(char) + " has no meaning here", hint
}

// declares are words that other languages have before a name which gets its value.
var declares = map[string]bool{"let": true, "const": true, "var": true, "local": true, "set": true, "int": true, "float": true, "double": true}

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
	case at.text == ">" && text(-1) == "-" && glued(0):
		return `"->" has no meaning in this language`, "what belongs to a thing is written after a dot: front.top", true
	case at.text == ">" && text(-1) == "<":
		return `"<>" has no meaning in this language`, "write != for is not equal", true
	case at.text == ":" && text(1) == "=" && first(-1):
		return `":=" has no meaning in this language`, "a name gets its value with = alone, as in " + text(-1) + " = 5", true
	case at.text == ":" && first(-1):
		return "a colon has no meaning here", "a name gets its value with =, as in " + text(-1) + " = 5", true
	case text(-1) == "%" && (text(-2) == "" || i > 1 && ts[i-2].kind == numberToken):
		return "a percent sign has no meaning here", "write 50 percent as 0.5; angles are in degrees", true
	case at.text == "<" && first(0), at.text == ">" && first(0), at.text == "%" && first(0), at.text == ";" && first(0):
		return at.text + " has no meaning at the beginning of a line", "leave it out; comments begin with #", true
	case at.text == "=" && text(-1) == "=":
		return "two equals signs have a space between them", "a name gets its value with one =; == without a space compares", true
	case at.text == "then":
		return "the word then has no meaning in this language", "end the line with a colon in its place", true
	case at.text == ":" && text(-2) == "def":
		return "the brackets after the name of the function are missing", "write def " + text(-1) + "():", true
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
	case at.text == "=" && text(-2) == "for":
		return "for counts otherwise in this language", "for " + text(-1) + " in range(6):", true
	case at.text == "=" && text(1) == ">" || at.text == ">" && text(-1) == "=":
		return `"=>" has no meaning in this language`, "write >= for at least", true
	case at.text == "=" && text(1) == "!" || at.text == "!" && text(-1) == "=":
		return `"=!" has no meaning in this language`, "write != for is not equal", true
	case at.text == "AND" || at.text == "OR" || text(-1) == "NOT":
		return "and, or and not are written in small letters", "for example x > 5 and not x > 9", true
	case text(-1) == "new" && at.kind == wordToken:
		return "the word new has no meaning in this language", "leave it out: " + at.text + "(…) makes one", true
	case text(-1) == "foreach" || text(-1) == "repeat":
		return "the word " + text(-1) + " has no meaning in this language", "count with for: for i in range(6):", true
	case text(-1) == "switch":
		return "the word switch has no meaning in this language", "choose with if, elif and else", true
	case strings.EqualFold(at.text, "deg") && i > 0 && ts[i-1].kind == numberToken:
		return "a number of degrees has no unit", "leave " + at.text + " out: angles are in degrees", true
	case strings.EqualFold(at.text, "x") && i > 0 && ts[i-1].kind == numberToken && i+1 < len(ts) && ts[i+1].kind == numberToken:
		return "an x has no meaning between two numbers", "part sizes with a comma: " + text(-1) + ", " + text(1) + "; multiply with *", true
	case at.text == "=" && text(-2) == "(" && text(-3) == "for":
		return "for counts otherwise in this language", "for " + text(-1) + " in range(6):", true
	}
	return "", "", false
}

// nameHints say what to write for names that people try and that are not there;
// words that belong to a value, such as score, are told by their owner instead.
var nameHints = map[string]string{
	"null":        nothing,
	"nil":         nothing,
	"none":        nothing,
	"undefined":   nothing,
	"rectangle":   "a rectangle is rect(60, 40)",
	"box":         "a rectangle is rect(60, 40)",
	"square":      "a square is rect(60, 60)",
	"ellipse":     "an ellipse is oval(60, 40)",
	"hexagon":     "a hexagon is regular(6, 30)",
	"triangle":    "a triangle is regular(3, 30), or polygon([…])",
	"crease":      "a crease within a panel is panel.score(path); between panels it is made by on = …",
	"fold":        "a fold is made by hanging a panel on an edge: panel(…, on = front.top, fold = 90)",
	"window":      "a window is cut into a panel: front.cut(circle(18).shift(30, 40))",
	"hole":        "a hole is cut into a panel: front.cut(circle(6).shift(30, 40))",
	"material":    `the stock is a board: card = board("card", caliper = 0.4)`,
	"thickness":   "the thickness of a board is its caliper: card.caliper",
	"yes":         "a truth value is True or False",
	"no":          "a truth value is True or False",
	"top":         edgeOf,
	"bottom":      edgeOf,
	"left":        edgeOf,
	"right":       edgeOf,
	"deg":         degrees,
	"degrees":     degrees,
	"rad":         degrees,
	"radians":     degrees,
	"product":     "the product is contents(\"soap\", size = (60, 90, 25), on = base)",
	"union":       joined,
	"difference":  "an opening is cut into a panel: front.cut(circle(18).shift(30, 40))",
	"subtract":    "an opening is cut into a panel: front.cut(circle(18).shift(30, 40))",
	"polyline":    "a path is path(0, 10).line(60, 10), an outline polygon([(0, 0), (60, 0), (30, 40)])",
	"text":        "cut files hold no lettering; # begins a comment",
	"mirror":      "an outline is mirrored by .flip after it: creasewright words flip",
	"rotate":      "an outline is turned by .turn(90) after it",
	"translate":   "an outline is moved by .shift(30, 40) after it",
	"move":        "an outline is moved by .shift(30, 40) after it",
	"round_rect":  "a rectangle with round corners is rect(60, 40, round = 3)",
	"perforation": "a hinge is perforated by line = \"perforated\"",
	"tongue":      "a tongue is a flap: flap(\"tongue\", on = lid.tip, depth = 14, round = 7)",
	"include":     loadsFiles,
	"use":         loadsFiles,
	"input":       "what is set from outside is a param: width = param(\"width\", 60)",
	"open":        "a script reads no files but by load; a pose is named in quotes: pose(\"open\", {\"lid\": 90})",
	"food":        "a kind of caution is a text in quotes: caution = [\"food\"]",
	"end":         blockEnds,
	"endif":       blockEnds,
	"math":        "sqrt, sin, cos, pi and others are there as they are: sqrt(2)",
	"export":      filesAreMade,
	"save":        filesAreMade,
}

const (
	nothing      = "nothing is None"
	edgeOf       = "an edge belongs to a panel: write the panel and a dot before it, as in front.top; a text stands in quotes"
	degrees      = "angles are in degrees, a plain number: 90"
	joined       = "outlines are joined by .plus: rect(60, 40).plus(circle(50))"
	loadsFiles   = `other files are loaded: load("//tubes.star", "tube")`
	blockEnds    = "leave it out: what is indented ends where the indent ends"
	filesAreMade = "files are written by creasewright make SCRIPT"
)
