package geom

import "testing"

// A line so short that all of it lies within the snap tolerance of another that
// begins where it does runs along that other, though the two make a clear angle:
// it is no corner. A longer one at the same angle is.
func TestAShortLineRunsAlongItsNeighbour(t *testing.T) {
	long := LineFrom(Pt(0, 0), Pt(10, 0.5)) // at a slope of 0.05
	for length, stretch := range map[float64]bool{
		0.018: true, // its end lies 0.0009 mm off
		0.19:  false,
	} {
		for name, short := range map[string]Curve{
			"from the corner": LineFrom(Pt(0, 0), Pt(length, 0)),
			"to the corner":   LineFrom(Pt(length, 0), Pt(0, 0)),
		} {
			got := Intersect(short, long)
			if len(got) != 1 {
				t.Fatalf("%v mm %s: %v", length, name, got)
			}
			if got[0].IsPoint() == stretch {
				t.Errorf("%v mm %s: %v, want a stretch: %v", length, name, got[0], stretch)
			}
			if whole := got[0].A0 == 0 && got[0].A1 == 1; whole != stretch {
				t.Errorf("%v mm %s: %v covers the line: %v", length, name, got[0], whole)
			}
		}
	}
}
