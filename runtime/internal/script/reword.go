package script

import (
	"strings"

	"github.com/creasewright/creasewright/runtime/limit"
)

// rewording puts one of Starlark's messages into words that a designer who
// never programmed understands. The language gives most of its errors as texts
// alone, so they are recognised by the format they were printed with.
//
// forms holds one format or several, a line each. In a format «» stands for any
// text, «word» for one without spaces, «number» for digits, and «a|b» for one of
// those given. What the holes held stands in the message and the hint as $1 to
// $9, and as ‹$1› where plainKind is to translate it.
type rewording struct{ forms, message, hint string }

// apply gives the plain message and hint for the first form that fits, else the
// message as it came, in one line.
// Earlier rules come first: special forms stand above general ones in the tables. A
// message that no rule knows is still told, in the language's own words.
func apply(rules []rewording, msg string) (message, hint string) {
	msg = strings.ReplaceAll(msg, "\n", `\n`)
	for _, r := range rules {
		if holes, ok := scan(r.forms, msg); ok {
			return expand(r.message, holes), expand(r.hint, holes)
		}
	}
	return msg, ""
}

// scan matches a text against forms and gives what the holes of the first that
// fits held, left to right.
// ok is false where none fits. A form that fits has to match the whole text.
func scan(forms, text string) (holes []string, ok bool) {
	for form := range strings.SplitSeq(forms, "\n") {
		if holes, ok := scanForm(form, text, nil); ok {
			return holes, true
		}
	}
	return nil, false
}

// fits reports whether a text has one of the forms.
func fits(forms, text string) bool {
	_, ok := scan(forms, text)
	return ok
}

// scanForm is scan for one form. A hole ends where what follows it in the form
// first occurs, and the last one where the form's end begins.
// There is no backtracking but over choices: a text hole is the shortest one that what
// follows allows. Time grows with the length of the text times the number of holes, so
// long messages that quote a script do no harm. holes are those already filled.
func scanForm(form, text string, holes []string) ([]string, bool) {
	before, rest, more := strings.Cut(form, "«")
	text, ok := strings.CutPrefix(text, before)
	if !more || !ok {
		return holes, ok && text == ""
	}
	hole, rest, _ := strings.Cut(rest, "»")
	if strings.Contains(hole, "|") {
		for choice := range strings.SplitSeq(hole, "|") {
			if after, ok := strings.CutPrefix(text, choice); ok {
				if all, ok := scanForm(rest, after, append(holes, choice)); ok {
					return all, true
				}
			}
		}
		return nil, false
	}
	next, _, more := strings.Cut(rest, "«")
	end := len(text) - len(next)
	if more {
		end = strings.Index(text, next)
	}
	if end < 0 || !holds(hole, text[:end]) {
		return nil, false
	}
	return scanForm(rest, text[end:], append(holes, text[:end]))
}

// holds reports whether a text may stand in a hole of a kind.
// Kinds that are not known, and none, stand for any text, the empty one too.
func holds(kind, text string) bool {
	switch kind {
	case "word":
		return text != "" && !strings.Contains(text, " ")
	case "number":
		return text != "" && strings.Trim(text, "0123456789") == ""
	}
	return true
}

// expand puts what holes held into a message.
// There are at most nine holes, as $1 is one digit. What a hole held is not expanded
// again: a text of the script's that has a $ in it stays as it is.
func expand(s string, holes []string) string {
	if !strings.Contains(s, "$") {
		return s
	}
	var pairs []string
	for i, held := range holes {
		n := "$" + string(rune('1'+i))
		pairs = append(pairs, "‹"+n+"›", plainKind(held), n, held)
	}
	return strings.NewReplacer(pairs...).Replace(s)
}

// plainKind says one of Starlark's names for kinds of values, of signs and of
// ends as a designer would.
// Kinds come with their article and signs in double quotes, for the middle of a
// sentence; names that are not known come as they are.
func plainKind(name string) string {
	switch name {
	case "int", "float", "int or float", "int literal", "float literal":
		return "a number"
	case "string", "string literal":
		return "a text"
	case "bool":
		return "True or False"
	case "NoneType":
		return "None"
	case "iterable":
		return "a list"
	case "callable":
		return "a function"
	case "builtin_function_or_method":
		return "a word without its brackets"
	case "free":
		return "a free fold"
	case "identifier":
		return "a name"
	case "newline":
		return "the end of the line"
	case "end of file":
		return "the end of the script"
	case "indent":
		return "an indented line"
	case "outdent":
		return "the end of the indented lines"
	case "list", "tuple", "dict", "set", "range", "function", "outline", "path", "edge", "opening", "panel", "board", "cylinder", "tool", "nicks":
		return aOrAn(name)
	}
	if sign, ok := strings.CutPrefix(name, "'"); ok {
		return `"` + strings.TrimSuffix(sign, "'") + `"`
	}
	return name
}

// The parser's messages. "got" is what stands in the script, "want" what the
// grammar has there.
var syntaxRewordings = []rewording{
	{`got newline, want primary expression`, "the line ends where a value is missing", "write the value after the last sign, or leave the sign out"},
	{`got indent, want primary expression`, "this line is indented for no reason", "begin it at the left margin, or put brackets round what goes on over several lines"},
	{`got «import|from», want primary expression`, "the word $1 has no meaning in this language", `sqrt, sin, cos and pi are there as they are; other files are loaded: load("//closures.star", "tuck_end")`},
	{`got «as|async|await|class|del|except|finally|global|is|nonlocal|raise|try|with|yield», want «»`, "the word $1 has no meaning in this language", "leave the line out: functions begin with def, loops with for, choices with if"},
	{`got «elif|else», want primary expression`, "$1 has no if before it", "line it up with its if"},
	{`got '.', want primary expression`, `a value is missing before "."`, "put brackets round the whole of what goes on over several lines"},
	{`got «», want primary expression`, "a value is missing before ‹$1›", "write the value there, or leave the sign out"},
	{`got '«)|]|}»', want ','`, "this $1 does not match the bracket that is open", "close each bracket with its own kind: ( ) [ ] { }"},
	{`got newline, want ':'`, "the colon at the end of the line is missing", ""},
	{`got newline, want «»`, "the line ends where ‹$1› is missing", ""},
	{`got '=', want «»`, "an equals sign has no meaning here", "compare with =="},
	{`got ':', want '«,|)»'`, "a colon has no meaning here", "arguments are given with =, as in on = front.right"},
	{`got «», want ','`, "a comma is missing before this", "part arguments with commas"},
	{"got «», want '«)|]|}»'\ngot «», want '«)|]|}»', for, or if", "a comma or $2 is missing before this", "part arguments with commas"},
	{`got «», want ':'`, "a colon is missing before this", "put a colon before it, and what belongs to it on indented lines below"},
	{`got «», want indent`, "the line after a colon must be indented", "put four spaces in front of it"},
	{`got «identifier|string literal|int literal|float literal», want newline`,
		"this does not belong on the same line", "begin a new line, or look for a missing comma, sign, bracket or quote"},
	{`got «», want newline`, "‹$1› has no meaning here", ""},
	{`got «», want «»`, "‹$1› stands where ‹$2› is expected", ""},
	{`not an identifier`, "a name is missing here", "write the name, or leave out the dot"},
	{`unexpected newline in string`, "the text is not closed by the end of the line", "put a quote at its end"},
	{`unexpected EOF in string`, "the text is never closed", "put three quotes at its end"},
	{`unexpected '«»'`, "this $1 closes nothing", "leave it out, or put the bracket that opens it before"},
	{`unindent does not match any outer indentation level`,
		"this line is indented less than the one above it, and lines up with none before", "line it up with the lines it belongs to"},
	{`keyword argument must have form name=expr`, "the part before = is not the name of an argument", "write name = value, the name without quotes"},
	{`invalid escape sequence \«»`, "a backslash before $1 has no meaning in a text", `write \\ for a backslash`},
	{`stray backslash in program`, "a backslash has no meaning here", "divide with /"},
	{`excessive nesting`, "signs are nested too deeply", ""},
	{`first operand of load statement must be a string literal`, "load wants the name of a file first, in quotes", loadExample},
	{`load statement must import at least 1 symbol`, "load does not say which names to take from the file", loadExample},
	{`load operand must be «» (got «»)`, "load wants names in quotes", loadExample},
	{`load operand must be "«»" or «»`, "the name $1 is not in quotes", `write "$1"`},
	{`original name of loaded symbol must be quoted: «»=«»`, "the name after $1 = is not in quotes", ""},
	{`conditional expression without else clause`, "the if has no else", "say the other value too, as in 5 if wide else 3"},
	{`invalid «hex|octal|binary|float» literal`, "this is not a number", ""},
	{`obsolete form of octal literal; use 0o«»`, "a number may not begin with 0", "leave the 0 out"},
}

// noMeaning is what the parser says of a character that begins nothing.
const noMeaning = "unexpected input character '«»'\nunexpected input character «»"

// loadExample is the hint for every load that is written wrongly.
const loadExample = `for example load("//closures.star", "tuck_end")`

// The resolver's messages, on names and on statements out of place.
var resolveRewordings = []rewording{
	{`this Starlark dialect does not support while loops`, "the word while has no meaning in this language", "count with for: for i in range(6):"},
	{`return statement not within a function`, "return stands outside a function", "indent it under a def"},
	{`«break|continue» not in a loop`, "$1 stands outside a loop", "indent it under a for, or leave it out"},
	{`load statement within a «»`, "load stands inside a $1", "put it at the left margin, near the top"},
	{`load: names with leading underscores are not exported: «»`, "$1 is private to its file", "names that begin with _ cannot be loaded"},
	{`load: empty identifier`, "load was given an empty name", ""},
	{`keyword argument "«»" is repeated`, "the argument $1 is given twice", "leave one of them out"},
	{`keyword argument may not follow *args`, "an argument with a name comes after one with a star", "put the one with the star last"},
	{`positional argument may not follow named`, "an argument without a name comes after one with a name", "put the named ones last"},
	{`duplicate parameter: «»`, "the parameter $1 is there twice", ""},
	{`required parameter may not follow optional`, "a parameter without a default comes after one with a default", "put those with defaults last"},
	{`can't assign to «»`, "the left side of = is not a name", "a name has letters, digits and _, as in my_lid = …"},
	{`can't use «» in augmented assignment`, "the left side is more than one name", "add to one name at a time"},
}

// calleeFaults are complaints about how a function was called: they are raised
// inside it, before it began.
const calleeFaults = "function «word» «accepts|missing|got|called recursively»«»"

// unknownArgument is said of one that a function does not have.
const unknownArgument = `function «word» got an unexpected keyword argument "«»"`

// notInModule is said of a load that asks a module for a name it does not have.
const notInModule = `load: name «word» not found in module «»`

// Messages that come up while a script runs, from the interpreter and from its
// own words.
var runRewordings = []rewording{
	{"unknown binary op: string + «int|float»\nunknown binary op: «int|float» + string",
		"a text and a number cannot be added", "str(…) turns a number into a text"},
	{"unknown binary op: «int|float» ^ «int|float»", "^ makes no power of a number", powerHint},
	{`unknown binary op: «word» «word» «word»`, "$2 has no meaning between ‹$1› and ‹$3›", "numbers are added and multiplied; write a size, such as front.top.length, or the number without quotes"},
	{`unknown unary op: «word» «word»`, "$1 before ‹$2› has no meaning", ""},
	{"«word» «<=|>=|<|>» «word» not implemented", "‹$1› and ‹$3› cannot be compared with $2", ""},
	{"«word»: «word» «<=|>=|<|>» «word» not implemented", "‹$2› and ‹$4› cannot be compared with $3", ""},
	{"«floating-point|floored|real» division by zero\n«integer|floating-point» modulo by zero", "this divides by zero", "what stands behind the / or % is 0 here; a value further up may not be what is meant"},
	{`shift count too large: «»`, "the number is too large", ""},
	{"excessive repeat («word» * «word» elements)\nrepeat count «word» too large", "this repeats more often than can be", "a list or a text may be far longer than meant"},
	{`comparison exceeded maximum recursion depth`, "values that are compared stand within one another too deeply", "a list or a dict may hold itself"},
	{`'in <string>' requires string as left operand, not «word»`, "only a text can be looked for in a text, and this is ‹$1›", ""},
	{`invalid call of non-function («int|float»)`, "a number cannot be called like a function", "a * may be missing before the bracket"},
	{`invalid call of non-function («word»)`, "‹$1› cannot be called like a function", "leave out the brackets, or put a comma before them"},

	{`function «word» missing «word» «argument|arguments» («»)`, "$1: no value is given for $4", "put it in the brackets"},
	{`function «word» accepts no arguments («word» given)`, "$1 takes nothing in its brackets", ""},
	{`function «word» accepts «at most |»«number» positional argument («word» given)`, "$1 takes $2$3 value, and $4 are given", ""},
	{`function «word» accepts «at most |»«word» positional «arguments|argument» («word» given)`, "$1 takes $2$3 values, and $5 are given", ""},
	{unknownArgument, "$1 has no argument called $2", ""},
	{`function «word» got multiple values for parameter "«»"`, "$1: $2 is given twice", ""},
	{`function «word» called recursively`, "$1 calls itself, which the language does not allow", "repeat with for instead"},

	{`«global|local» variable «word» referenced before assignment`, "$2 is used before it is given a value", "give it a value with = further up, in the same function"},
	{`«word» value is not iterable`, "for needs a list, and this is ‹$1›", "range(6) counts from 0 to 5"},
	{`too «many|few» values to unpack (got «word», want «word»)`, "$3 names stand on the left of =, and $2 values on the right", "write as many values as names"},
	{`got «word» in sequence assignment`, "several names stand on the left of =, and ‹$1› on the right", "give each a value: w, h = 60, 40"},
	{`key «» not in dict`, "the dict has no key $1", "write a key that is there, spelt the same way"},
	{`unhashable type: «word»`, "‹$1› cannot be a key of a dict or an item of a set", ""},
	{`index «word» out of range: empty «word»`, "there is no item $1: the $2 is empty", ""},
	{`«word» index «word» out of range [«word»:«word»]`, "there is no item $2: the $1 counts from 0 to $4", "the first item is 0"},
	{`unhandled index operation «function|builtin_function_or_method»[«word»]`, "a word is followed by [ ]", "put what it takes in ( )"},
	{"unhandled index operation «panel|board|outline|edge|path»[«word»]", "‹$1› has no items to pick with [ ]", "what belongs to a thing is written after a dot: front.top"},
	{"unhandled index operation «word»[«word»]\ninvalid slice operand «word»", "‹$1› has no items to pick with [ ]", ""},
	{`«»cannot «» frozen «hash table|list»`, "this belongs to a loaded file and cannot be changed", "make a copy: list(…) or dict(…)"},
	{`«»cannot «» during iteration`, "a list cannot be changed while for goes through it", "go through a copy: for x in list(…)"},
	{`can't assign to .«word» field of «word»`, "$1 of ‹$2› cannot be given a new value", "what is made stays as it is; make a new one instead"},
	{`«word» value does not support item assignment`, "the items of ‹$1› cannot be changed", ""},
	{`«word» has no .«word» field or method`, "‹$1› has no .$2", "creasewright words lists what can stand after a dot; an item of a dict is picked with [\"key\"]"},

	{notInModule, `"$2" holds nothing called $1`, ""},
	{`Starlark computation cancelled: ` + cancelled, "the run was stopped", ""},

	{`fail: «»`, "$1", ""},
	{`unknown conversion %«»`, "a % before $1 has no meaning in a text", "%d puts a number there, %s any value, and %% is a percent sign"},
	{`not enough arguments for format string`, "the text has more % signs than values after it", "put the values in brackets: \"%d × %d\" % (60, 40); a percent sign is %%"},
	{`too many arguments for format string`, "the text has fewer % signs than values after it", ""},
	{`format: tuple index out of range`, "the text has more { } than values in the brackets", ""},
	{`«word»: got «word» «arguments|argument», want «at least |at most |exactly |»«word»`, "$1 is given $2 values and takes $4$5", ""},
	{`«word»: for parameter «number»: got «word», want «»`, "$1: its value is ‹$3›; ‹$4› is expected", ""},
	{`«word»: for parameter «word»: got «word», want «»`, "$1: $2 is ‹$3›; ‹$4› is expected", ""},
	{`«word»: got «word» for «word», want «word»`, "$1: its value is ‹$2›; ‹$4› is expected", ""},
	{`«word»: got «word», want «word»`, "$1: its value is ‹$2›; ‹$3› is expected", ""},
	{`got «word», want int or float`, "‹$1› is given; a number is expected", ""},
	{`«word»: in list, want «word», got «word»`, "$1: an item of the list is ‹$3›; ‹$2› is expected", ""},
	{`«word»: argument #«word» is not iterable: «word»`, "$1: value $2 is ‹$3›; a list is expected", ""},
	{`«word»: missing argument for «word»`, "$1: $2 is missing", ""},
	{`«word»: unexpected keyword argument "«»"`, "$1 has no argument called $2", ""},
	{`«word» requires at least one positional argument`, "$1 needs at least one value", "put the values in its brackets"},
	{`len: value of type «word» has no len`, "len: ‹$1› has no length", "len counts the items of a list; an edge has its length as front.top.length"},
	{"int: invalid literal with base 10: «»\ninvalid float literal: «»", `"$1" is not a number`, ""},
	{`«int|float»: cannot convert «word» to «word»`, "‹$2› is not a number", "write the digits alone, with a decimal point"},
}

// plainRun rewords an error raised while running.
// Messages that need the host, for its words, limits or library, are told apart first;
// the rest go by runRewordings. A name that the language proposes is kept as the hint
// unless the standard library has what was meant.
func (h *host) plainRun(msg string) (message, hint string) {
	if name, ok := strings.CutSuffix(strings.TrimPrefix(msg, "global variable "), " referenced before assignment"); ok && h.words.Has(name) {
		// board = board(…) makes the name the script's own, from the top on.
		return name + " is a word of the language, and this script also uses it as a name of its own",
			"choose another name for the value, such as my_" + name
	}
	if text, ok := strings.CutPrefix(msg, "fail:"); ok && strings.TrimSpace(text) == "" {
		return "the script fails and does not say why", `write the reason in the brackets, as in fail("the lid is too wide")`
	}
	switch strings.TrimPrefix(msg, "Starlark computation cancelled: ") {
	case tooManySteps:
		return "the script takes more than " + h.limits.Amount(limit.Steps) + " steps",
			"a loop may run far longer than meant; " + h.limits.Raise(limit.Steps)
	case tooMuchPrinted:
		return "the script prints more than " + h.limits.Amount(limit.Prints), h.limits.Raise(limit.Prints)
	}
	near, suggested := scan("«» (did you mean «word»?)", msg)
	if suggested {
		msg = near[0]
	}
	message, hint = apply(runRewordings, msg)
	if missing, ok := scan(notInModule, msg); ok && h.library()[missing[0]] != "" {
		hint = "the standard library has it: " + loadLine(h.library()[missing[0]], missing[0])
	} else if suggested {
		hint = "did you mean " + strings.TrimPrefix(near[1], ".") + "?"
	}
	return message, hint
}
