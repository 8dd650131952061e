package script

import (
	"regexp"
	"strings"
)

// rewording puts one of Starlark's messages into words that a designer who
// never programmed understands. Groups of the pattern stand in the message and
// the hint as $1, $2; in ‹ › they are kinds of values or of signs.
type rewording struct {
	pattern       *regexp.Regexp
	message, hint string
}

func reword(pattern, message, hint string) rewording {
	return rewording{regexp.MustCompile("^(?:" + pattern + ")$"), message, hint}
}

// apply gives the plain message and hint for the first pattern that matches,
// else the message as it came, in one line.
func apply(rules []rewording, msg string) (message, hint string) {
	msg = strings.ReplaceAll(msg, "\n", `\n`)
	for _, r := range rules {
		if m := r.pattern.FindStringSubmatchIndex(msg); m != nil {
			expand := func(s string) string {
				return plainKinds.Replace(string(r.pattern.ExpandString(nil, s, msg, m)))
			}
			return expand(r.message), expand(r.hint)
		}
	}
	return msg, ""
}

// plainKinds puts Starlark's names for kinds of values and of signs, where a
// rewording has them in ‹ ›, as a designer would say them.
var plainKinds = strings.NewReplacer(
	"‹int›", "a number", "‹float›", "a number", "‹int or float›", "a number", "‹string›", "a text", "‹bool›", "True or False",
	"‹NoneType›", "None", "‹list›", "a list", "‹tuple›", "a tuple", "‹dict›", "a dict", "‹set›", "a set", "‹range›", "a range",
	"‹iterable›", "a list", "‹callable›", "a function", "‹function›", "a function", "‹builtin_function_or_method›", "a word without its brackets",
	"‹outline›", "an outline", "‹path›", "a path", "‹edge›", "an edge", "‹opening›", "an opening",
	"‹panel›", "a panel", "‹board›", "a board", "‹free›", "a free fold", "‹cylinder›", "a cylinder",
	"‹identifier›", "a name", "‹string literal›", "a text", "‹int literal›", "a number", "‹float literal›", "a number",
	"‹newline›", "the end of the line", "‹end of file›", "the end of the script", "‹indent›", "an indented line", "‹outdent›", "the end of the indented lines",
	"‹'", `"`, "'›", `"`, "‹", "", "›", "",
)

// The parser's messages. "got" is what stands in the script, "want" what the
// grammar has there.
var syntaxRewordings = []rewording{
	reword(`got newline, want primary expression`, "the line ends where a value is missing", ""),
	reword(`got indent, want primary expression`, "this line is indented for no reason", "begin it at the left margin, or put brackets round what goes on over several lines"),
	reword(`got (import|from), want primary expression`, "the word $1 has no meaning in this language", `other files are loaded: load("//closures.star", "tuck_end")`),
	reword(`got (as|async|await|class|del|except|finally|global|is|nonlocal|raise|try|with|yield), want .*`, "the word $1 has no meaning in this language", ""),
	reword(`got (elif|else), want primary expression`, "$1 has no if before it", "line it up with its if"),
	reword(`got '\.', want primary expression`, `a value is missing before "."`, "put brackets round the whole of what goes on over several lines"),
	reword(`got (.+), want primary expression`, "a value is missing before ‹$1›", ""),
	reword(`got '([)\]}])', want ','`, "this $1 does not match the bracket that is open", ""),
	reword(`got newline, want ':'`, "the colon at the end of the line is missing", ""),
	reword(`got newline, want (.+)`, "the line ends where ‹$1› is missing", ""),
	reword(`got '=', want .*`, "an equals sign has no meaning here", "compare with =="),
	reword(`got ':', want '[,)]'`, "a colon has no meaning here", "arguments are given with =, as in on = front.right"),
	reword(`got .+, want ','`, "a comma is missing before this", "part arguments with commas"),
	reword(`got .+, want '([)\]}])'`, "a comma or $1 is missing before this", "part arguments with commas"),
	reword(`got .+, want ':'`, "a colon is missing before this", ""),
	reword(`got .+, want indent`, "the line after a colon must be indented", "put four spaces in front of it"),
	reword(`got (?:identifier|string literal|int literal|float literal), want newline`,
		"this does not belong on the same line", "begin a new line, or look for a missing comma, sign, bracket or quote"),
	reword(`got (.+), want newline`, "‹$1› has no meaning here", ""),
	reword(`got (.+), want (.+)`, "‹$1› stands where ‹$2› is expected", ""),
	reword(`not an identifier`, "a name is missing here", ""),
	reword(`unexpected newline in string`, "the text is not closed by the end of the line", "put a quote at its end"),
	reword(`unexpected EOF in string`, "the text is never closed", "put three quotes at its end"),
	reword(`unexpected '(.)'`, "this $1 closes nothing", ""),
	reword(`unexpected input character '?(.+?)'?`, "the character $1 has no meaning here", `quotes are straight, ", and a minus is -`),
	reword(`unindent does not match any outer indentation level`,
		"this line is indented less than the one above it, and lines up with none before", "line it up with the lines it belongs to"),
	reword(`keyword argument must have form name=expr`, "the part before = is not the name of an argument", "write name = value, the name without quotes"),
	reword(`invalid escape sequence \\(.*)`, "a backslash before $1 has no meaning in a text", `write \\ for a backslash`),
	reword(`stray backslash in program`, "a backslash has no meaning here", ""),
	reword(`excessive nesting`, "signs are nested too deeply", ""),
	reword(`first operand of load statement must be a string literal`, "load wants the name of a file first, in quotes", loadExample),
	reword(`load statement must import at least 1 symbol`, "load does not say which names to take from the file", loadExample),
	reword(`load operand must be .* \(got .*\)`, "load wants names in quotes", loadExample),
	reword(`load operand must be "(.+)" or .*`, "the name $1 is not in quotes", `write "$1"`),
	reword(`original name of loaded symbol must be quoted: (.+)=.*`, "the name after $1 = is not in quotes", ""),
	reword(`conditional expression without else clause`, "the if has no else", "say the other value too, as in 5 if wide else 3"),
	reword(`invalid (?:hex|octal|binary|float) literal`, "this is not a number", ""),
	reword(`obsolete form of octal literal; use 0o.*`, "a number may not begin with 0", "leave the 0 out"),
}

const loadExample = `for example load("//closures.star", "tuck_end")`

func plainSyntax(msg string) (message, hint string) { return apply(syntaxRewordings, msg) }

// The resolver's messages, on names and on statements out of place.
var resolveRewordings = []rewording{
	reword(`this Starlark dialect does not support while loops`, "the word while has no meaning in this language", "count with for: for i in range(6):"),
	reword(`return statement not within a function`, "return stands outside a function", "indent it under a def"),
	reword(`(break|continue) not in a loop`, "$1 stands outside a loop", ""),
	reword(`load statement within a (.+)`, "load stands inside a $1", "put it at the left margin, near the top"),
	reword(`load: names with leading underscores are not exported: (.+)`, "$1 is private to its file", "names that begin with _ cannot be loaded"),
	reword(`load: empty identifier`, "load was given an empty name", ""),
	reword(`keyword argument "(.+)" is repeated`, "the argument $1 is given twice", ""),
	reword(`keyword argument may not follow \*args`, "an argument with a name comes after one with a star", "put the one with the star last"),
	reword(`positional argument may not follow named`, "an argument without a name comes after one with a name", "put the named ones last"),
	reword(`duplicate parameter: (.+)`, "the parameter $1 is there twice", ""),
	reword(`required parameter may not follow optional`, "a parameter without a default comes after one with a default", "put those with defaults last"),
	reword(`can't assign to .+`, "the left side of = is not a name", ""),
	reword(`can't use .+ in augmented assignment`, "the left side is more than one name", "add to one name at a time"),
}

func plainResolve(msg string) (message, hint string) { return apply(resolveRewordings, msg) }
