package script

import (
	"regexp"
	"strings"

	"github.com/creasewright/creasewright/runtime/limit"
)

// calleeFault matches Starlark's complaints about how a function was called:
// they are raised inside it, before it began.
var calleeFault = regexp.MustCompile(`^function \S+ (accepts|missing|got|called recursively)`)

func atCallee(msg string) bool { return calleeFault.MatchString(msg) }

// Messages that come up while a script runs, from the interpreter and from its
// own words.
var runRewordings = []rewording{
	reword(`unknown binary op: string \+ (?:int|float)|unknown binary op: (?:int|float) \+ string`,
		"a text and a number cannot be added", "str(…) turns a number into a text"),
	reword(`unknown binary op: (\S+) (\S+|not in) (\S+)`, "$2 has no meaning between ‹$1› and ‹$3›", ""),
	reword(`unknown unary op: (\S+) (\S+)`, "$1 before ‹$2› has no meaning", ""),
	reword(`(?:\w+: )?(\S+) (<|>|<=|>=) (\S+) not implemented`, "‹$1› and ‹$3› cannot be compared with $2", ""),
	reword(`(?:floating-point|floored|real) division by zero|(?:integer|floating-point) modulo by zero`, "this divides by zero", ""),
	reword(`shift count too large: .*`, "the number is too large", ""),
	reword(`excessive repeat \(\d+ \* \d+ elements\)|repeat count \S+ too large`, "this repeats more often than can be", "a list or a text may be far longer than meant"),
	reword(`comparison exceeded maximum recursion depth`, "values that are compared stand within one another too deeply", "a list or a dict may hold itself"),
	reword(`'in <string>' requires string as left operand, not (\S+)`, "only a text can be looked for in a text, and this is ‹$1›", ""),
	reword(`invalid call of non-function \((?:int|float)\)`, "a number cannot be called like a function", "a * may be missing before the bracket"),
	reword(`invalid call of non-function \((\S+)\)`, "‹$1› cannot be called like a function", ""),

	reword(`function (\S+) missing \d+ arguments? \((.+)\)`, "$1: no value is given for $2", ""),
	reword(`function (\S+) accepts no arguments \(\d+ given\)`, "$1 takes nothing in its brackets", ""),
	reword(`function (\S+) accepts (at most )?1 positional argument \((\d+) given\)`, "$1 takes ${2}1 value, and $3 are given", ""),
	reword(`function (\S+) accepts (at most )?(\d+) positional arguments? \((\d+) given\)`, "$1 takes $2$3 values, and $4 are given", ""),
	reword(`function (\S+) got an unexpected keyword argument "(.+)"`, "$1 has no argument called $2", ""),
	reword(`function (\S+) got multiple values for parameter "(.+)"`, "$1: $2 is given twice", ""),
	reword(`function (\S+) called recursively`, "$1 calls itself, which the language does not allow", "repeat with for instead"),

	reword(`(?:global|local) variable (\S+) referenced before assignment`, "$1 is used before it is given a value", ""),
	reword(`(\S+) value is not iterable`, "for needs a list, and this is ‹$1›", "range(6) counts from 0 to 5"),
	reword(`too (?:many|few) values to unpack \(got (\d+), want (\d+)\)`, "$2 names stand on the left of =, and $1 values on the right", ""),
	reword(`got (\S+) in sequence assignment`, "several names stand on the left of =, and ‹$1› on the right", ""),
	reword(`key (.+) not in dict`, "the dict has no key $1", ""),
	reword(`unhashable type: (\S+)`, "‹$1› cannot be a key of a dict or an item of a set", ""),
	reword(`index (-?\d+) out of range: empty (\S+)`, "there is no item $1: the $2 is empty", ""),
	reword(`(\S+) index (-?\d+) out of range \[-\d+:(-?\d+)\]`, "there is no item $2: the $1 counts from 0 to $3", ""),
	reword(`unhandled index operation (?:function|builtin_function_or_method)\[\S+\]`, "a word is followed by [ ]", "put what it takes in ( )"),
	reword(`unhandled index operation (\S+)\[\S+\]|invalid slice operand (\S+)`, "‹$1$2› has no items to pick with [ ]", ""),
	reword(`(?:\w+: )?cannot .* frozen (?:hash table|list)`, "this belongs to a loaded file and cannot be changed", "make a copy: list(…) or dict(…)"),
	reword(`(?:\w+: )?cannot .* during iteration`, "a list cannot be changed while for goes through it", "go through a copy: for x in list(…)"),
	reword(`can't assign to \.(\S+) field of (\S+)`, "$1 of ‹$2› cannot be given a new value", "what is made stays as it is; make a new one instead"),
	reword(`(\S+) value does not support item assignment`, "the items of ‹$1› cannot be changed", ""),
	reword(`(\S+) has no \.(\S+) field or method(?: \(did you mean .*\))?`, "‹$1› has no .$2", ""),

	reword(`load: name (\S+) not found in module (.+?)(?: \(did you mean .*\))?`, `"$2" holds nothing called $1`, ""),
	reword(`Starlark computation cancelled: `+cancelled, "the run was stopped", ""),

	reword(`fail: (.*)`, "$1", ""),
	reword(`unknown conversion %(.*)`, "a % before $1 has no meaning in a text", "%d puts a number there, %s any value, and %% is a percent sign"),
	reword(`not enough arguments for format string`, "the text has more % signs than values after it", ""),
	reword(`too many arguments for format string`, "the text has fewer % signs than values after it", ""),
	reword(`format: tuple index out of range`, "the text has more { } than values in the brackets", ""),
	reword(`(\w+): got (\d+) arguments?, want ((?:at least |at most )?)(?:exactly )?(\d+)`, "$1 is given $2 values and takes $3$4", ""),
	reword(`(\w+): for parameter (\d+): got (\w+), want (.+)`, "$1: its value is ‹$3›; ‹$4› is expected", ""),
	reword(`(\w+): for parameter (\w+): got (\w+), want (.+)`, "$1: $2 is ‹$3›; ‹$4› is expected", ""),
	reword(`(\w+): got (\w+)(?: for \w+)?, want (\w+)`, "$1: its value is ‹$2›; ‹$3› is expected", ""),
	reword(`got (\w+), want (int or float)`, "‹$1› is given; ‹$2› is expected", ""),
	reword(`(\w+): in list, want (\w+), got (\w+)`, "$1: an item of the list is ‹$3›; ‹$2› is expected", ""),
	reword(`(\w+): argument #(\d+) is not iterable: (\w+)`, "$1: value $2 is ‹$3›; a list is expected", ""),
	reword(`(\w+): missing argument for (\w+)`, "$1: $2 is missing", ""),
	reword(`(\w+): unexpected keyword argument "(.+)"`, "$1 has no argument called $2", ""),
	reword(`(\w+) requires at least one positional argument`, "$1 needs at least one value", ""),
	reword(`len: value of type (\S+) has no len`, "len: ‹$1› has no length", ""),
	reword(`int: invalid literal with base 10: (.*)|invalid float literal: (.*)`, `"$1$2" is not a number`, ""),
	reword(`(?:int|float): cannot convert (\w+) to \w+`, "‹$1› is not a number", ""),
}

// didYouMean finds the suggestion Starlark itself puts at the end of some
// messages, which belongs into the hint.
var didYouMean = regexp.MustCompile(`\(did you mean \.?(\S+)\?\)$`)

// plainRun rewords an error raised while running.
func (h *host) plainRun(msg string) (message, hint string) {
	if name, ok := strings.CutSuffix(strings.TrimPrefix(msg, "global variable "), " referenced before assignment"); ok && h.words.Has(name) {
		// board = board(…) makes the name the script's own, from the top on.
		return name + " is a word of the language, and this script also uses it as a name of its own",
			"choose another name for the value, such as my_" + name
	}
	switch strings.TrimPrefix(msg, "Starlark computation cancelled: ") {
	case tooManySteps:
		return "the script takes more than " + h.limits.Amount(limit.Steps) + " steps",
			"a loop may run far longer than meant; " + h.limits.Raise(limit.Steps)
	case tooMuchPrinted:
		return "the script prints more than " + h.limits.Amount(limit.Prints), h.limits.Raise(limit.Prints)
	}
	message, hint = apply(runRewordings, msg)
	if m := didYouMean.FindStringSubmatch(msg); m != nil {
		hint = "did you mean " + m[1] + "?"
	}
	return message, hint
}
