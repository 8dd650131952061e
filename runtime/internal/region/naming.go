package region

import "strconv"

// naming is the name an edge would like and its claim to it: a lower rank goes
// first.
type naming struct {
	name string
	rank int
}

// distinct gives every edge a name of its own, in order of travel: the first
// piece of an edge keeps its name, pieces after it and edges of a higher rank
// whose name is taken become name.2, name.3 and so on, over the names that are
// already there.
func distinct(wanted []naming) []string {
	names := make([]string, len(wanted))
	taken := map[string]bool{}
	top := 0
	for _, w := range wanted {
		top = max(top, w.rank)
	}
	for rank := range top + 1 {
		for i, w := range wanted {
			if w.rank == rank && !taken[w.name] {
				names[i], taken[w.name] = w.name, true
			}
		}
	}
	for i, w := range wanted {
		for n := 2; names[i] == ""; n++ {
			if name := w.name + "." + strconv.Itoa(n); !taken[name] {
				names[i], taken[name] = name, true
			}
		}
	}
	return names
}
