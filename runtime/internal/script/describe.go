package script

import (
	"fmt"
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
)

// describe says what a value is, the way a message reads aloud: a string,
// "90"; the number 12; the panel "lid".
func describe(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.NoneType:
		return "None"
	case starlark.Bool:
		return v.String()
	case starlark.Int, starlark.Float:
		f, _ := asFloat(v)
		return "the number " + geom.Num(f)
	case starlark.String:
		return "a string, " + quote(string(v))
	case starlark.Tuple:
		return itemCount("a tuple", v.Len())
	case *starlark.List:
		return itemCount("a list", v.Len())
	case *starlark.Dict:
		return "a dict"
	case *starlark.Function:
		return "the function " + v.Name()
	case *starlark.Builtin:
		return "the word " + v.Name() + " itself"
	case described:
		return v.describe()
	}
	return aOrAn(v.Type())
}

// aOrAn puts the article before a noun.
func aOrAn(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// described is a value of ours; describe names it.
type described interface{ describe() string }

func itemCount(what string, n int) string {
	if n == 1 {
		return what + " of 1 item"
	}
	return fmt.Sprintf("%s of %d items", what, n)
}
