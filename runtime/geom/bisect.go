package geom

// bisections is how often Bisect halves: enough for an interval of any size in
// use to shrink to neighbouring float64 numbers.
const bisections = 60

// Bisect shrinks an interval at whose start holds is true and at whose end it
// is not, until float64 numbers run out: yes is the last place found where it
// holds and no, at most the width of the interval over 2^60 away, one where it
// does not. Where holds changes more than once between the two, one of the
// changes is found. lo may lie above hi; neither is asked itself.
func Bisect(lo, hi float64, holds func(t float64) bool) (yes, no float64) {
	for range bisections {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, hi
}
