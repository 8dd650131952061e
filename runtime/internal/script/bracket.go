package script

import "strings"

// openBracket is the innermost bracket of a text that nothing closes; ok is
// false when every bracket has its partner. Lines and columns count from 1. The
// parser notices only at the end of the file, where nobody made the mistake.
func openBracket(text string) (line, column int, bracket rune, ok bool) {
	type open struct {
		line, column int
		bracket      rune
	}
	var stack []open
	line, column = 1, 0
	runes := []rune(text)
	for i := 0; i < len(runes); i++ {
		column++
		switch r := runes[i]; {
		case r == '\n':
			line, column = line+1, 0
		case strings.ContainsRune("([{", r):
			stack = append(stack, open{line, column, r})
		case strings.ContainsRune(")]}", r) && len(stack) > 0:
			stack = stack[:len(stack)-1]
		case r == '#', r == '"', r == '\'':
			end := skipTo(runes, i)
			for ; i < end-1; i++ {
				column++
				if runes[i] == '\n' {
					line, column = line+1, 1
				}
			}
		}
	}
	if len(stack) == 0 {
		return 0, 0, 0, false
	}
	last := stack[len(stack)-1]
	return last.line, last.column, last.bracket, true
}

// skipTo is the place just past the comment or the text in quotes that begins
// at i. A comment's line end is not part of it.
func skipTo[R byte | rune](runes []R, i int) int {
	quote := runes[i]
	if quote == '#' {
		for i < len(runes) && runes[i] != '\n' {
			i++
		}
		return i
	}
	closing := 1
	if i+2 < len(runes) && runes[i+1] == quote && runes[i+2] == quote {
		closing = 3
	}
	run := 0
	for i += closing; i < len(runes) && run < closing; i++ {
		switch runes[i] {
		case quote:
			run++
		case '\\':
			i++
			run = 0
		default:
			run = 0
		}
	}
	return min(i, len(runes))
}
