package model

import "strings"

// Nearest is the name most like the one given, for a suggestion; ok is false
// when none is near enough to have been meant. Letters differ by at most a
// third of the name's length, and case does not count; of equally near names
// the first wins.
func Nearest(name string, names []string) (nearest string, ok bool) {
	if len(name) > 4*MaxName {
		return "", false
	}
	want := []rune(strings.ToLower(name))
	best := max(1, len(want)/3) + 1
	for _, n := range names {
		have := []rune(strings.ToLower(n))
		// The lengths alone may put it out of reach.
		if d := len(have) - len(want); d >= best || -d >= best {
			continue
		}
		if d := editDistance(want, have); d < best && d < len(want) {
			nearest, ok, best = n, true, d
		}
	}
	return nearest, ok
}

// editDistance counts the letters to add, drop, change or swap with a
// neighbour to turn a into b (optimal string alignment distance).
func editDistance(a, b []rune) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}

// suggest is the hint for an unknown name: the nearest one, or else all there
// are when they are few.
func suggest(name string, names []string) string {
	if n, ok := Nearest(name, names); ok {
		return `did you mean "` + n + `"?`
	}
	const few = 12
	if len(names) == 0 || len(names) > few {
		return ""
	}
	return "choose from " + strings.Join(names, ", ")
}
