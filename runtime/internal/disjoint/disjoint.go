// Package disjoint keeps disjoint sets of numbers (union-find: Tarjan, "Efficiency
// of a good but not linear set union algorithm", 1975; value from memory).
package disjoint

// Sets are disjoint sets of the numbers from 0 on; each number leads toward the
// least of its set.
type Sets []int

// New makes n sets of one number each.
func New(n int) Sets {
	s := make(Sets, n)
	for i := range s {
		s[i] = i
	}
	return s
}

// First is the least number of i's set; ways are halved as they are gone, so that
// n calls take about n log n steps.
func (s Sets) First(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// Join makes one set of those of i and j.
func (s Sets) Join(i, j int) {
	i, j = s.First(i), s.First(j)
	s[max(i, j)] = min(i, j)
}
