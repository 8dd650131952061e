package tour

import "slices"

const (
	// fewest is the number of tasks from which on a kick can change anything.
	fewest = 5

	// walk is how many neighbours in a row lead from one place of a kick to another,
	// and attempts how many such walks are made to find its four places.
	walk, attempts = 5, 12

	// reach is how far apart along the way, in tasks, these places may be. What is
	// moved is turned round task by task, and what is small is soon repaired.
	reach = 50

	// stretch is how many tasks are between places that are chosen along the way, where
	// no others are found.
	stretch = 10
)

// kick takes three stretches that follow one another and puts them in the opposite
// sequence, each in its own sense (a double bridge, which moves of three joints do
// not undo). It gives by how much the way is longer.
func (s *search) kick(random *random) float64 {
	cuts, ok := s.nearCuts(random)
	if !ok {
		cuts = s.cutsAlong(random)
	}
	n := len(s.seq)
	var ends [4][2]side
	var before float64
	for i, c := range cuts {
		b := s.seq[int(c)%n]
		ends[i] = [2]side{s.beside(b), b}
		before += s.gap(s.beside(b), b)
	}
	p, a, a2, b, b2, c, c2, q := ends[0][0], ends[0][1], ends[1][0], ends[1][1], ends[2][0], ends[2][1], ends[3][0], ends[3][1]
	s.exchange(p, a, c2, q)   // p→c2…c→b2…b→a2…a→q
	s.exchange(p, c2, c, b2)  // p→c…c2→b2…b→a2…a→q
	s.exchange(c2, b2, b, a2) // p→c…c2→b…b2→a2…a→q
	s.exchange(b2, a2, a, q)  // p→c…c2→b…b2→a…a2→q
	for _, e := range [...]side{p, a, a2, b, b2, c, c2, q} {
		s.push(e.task())
	}
	return s.gap(p, c) + s.gap(c2, b) + s.gap(b2, a) + s.gap(a2, q) - before
}

// jolt lets three tasks that follow one another start anywhere, if they are closed.
// It gives by how much the way is longer.
func (s *search) jolt(random *random) (longer float64) {
	t := int32(random.below(len(s.seq)))
	for range 3 {
		in, out := s.in(t), s.out(t)
		p, q := s.beside(in), s.beside(out)
		if s.chosen(t) {
			longer -= s.gap(p, in) + s.gap(out, q)
			first, end := s.starts(t)
			s.start(t, first+int32(random.below(int(end-first))))
			longer += s.gap(p, in) + s.gap(out, q)
		}
		s.push(p.task())
		s.push(q.task())
		t = q.task()
	}
	return longer
}

// nearCuts is four positions, rising and perhaps beyond the last, whose tasks lie
// near one another in the plane and along the way: random walks from neighbour to
// neighbour lead there (Applegate, Cook and Rohe 2003).
func (s *search) nearCuts(random *random) (cuts [4]int32, ok bool) {
	n := int32(len(s.seq))
	begin := int32(random.below(int(n)))
	found := 1 // begin itself, at offset 0
	for range attempts {
		d := s.pos[s.wander(s.task(int(begin)), random)] - begin
		switch {
		case d > n/2:
			d -= n
		case d < -n/2:
			d += n
		}
		if d > reach || d < -reach || slices.Contains(cuts[:found], d) {
			continue
		}
		cuts[found] = d
		if found++; found == len(cuts) {
			slices.Sort(cuts[:])
			first := cuts[0]
			for i := range cuts {
				cuts[i] += cyclic(begin+first, n) - first
			}
			return cuts, true
		}
	}
	return cuts, false
}

// wander is the task at the end of a random walk.
func (s *search) wander(t int32, random *random) int32 {
	for range walk {
		list := s.near[sideOf(t)+side(random.below(2))]
		if len(list) == 0 {
			break
		}
		t = list[random.below(len(list))].side.task()
	}
	return t
}

// cutsAlong is four positions at random distances along the way.
func (s *search) cutsAlong(random *random) (cuts [4]int32) {
	n := len(s.seq)
	most := min(stretch, (n-2)/3)
	cuts[0] = int32(random.below(n))
	for i := range 3 {
		cuts[i+1] = cuts[i] + 1 + int32(random.below(most))
	}
	return cuts
}

// random is the generator SplitMix64 (Steele, Lea and Flood 2014; value from
// memory): whole numbers only, so that every processor draws the same.
type random uint64

// below draws a number from 0 to n−1.
func (r *random) below(n int) int {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return int(z >> 33 * uint64(n) >> 31)
}
