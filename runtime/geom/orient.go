package geom

import "math"

// Orient is the sign of the turn from a by b to c: +1 where c lies to the left
// of the line from a to b, −1 to its right, and 0 on it. It is exact for all
// coordinates whose products neither overflow nor underflow: swapping two points
// flips it, shifting the three round keeps it.
//
// The determinant (a − c) × (b − c) comes first in float64. Each of its two
// products carries the rounding of two differences and its own, and the
// subtraction one more, so it is off by less than (3 + 16ε)ε times the sum of
// the products' sizes, ε = 2⁻⁵³ (Shewchuk, Adaptive Precision Floating-Point
// Arithmetic and Fast Robust Geometric Predicates, 1997, section 4.3). Only
// where that might hide the sign is it worked out exactly.
func Orient(a, b, c Point) int {
	const epsilon = 1.0 / (1 << 53)
	const bound = (3 + 16*epsilon) * epsilon
	left, right := float64((a.X-c.X)*(b.Y-c.Y)), float64((a.Y-c.Y)*(b.X-c.X))
	det := left - right
	if limit := float64(bound * (math.Abs(left) + math.Abs(right))); det > limit {
		return 1
	} else if det < -limit {
		return -1
	}
	return orientExact(a, b, c)
}

// orientExact is the sign of a × b + b × c + c × a, six products each of which
// is split into its float64 and, by a fused multiply-add, exactly what rounding
// took off it.
func orientExact(a, b, c Point) int {
	sum := make(expansion, 0, 12)
	for _, f := range [...][2]float64{{a.X, b.Y}, {-a.Y, b.X}, {b.X, c.Y}, {-b.Y, c.X}, {c.X, a.Y}, {-c.Y, a.X}} {
		product := float64(f[0] * f[1])
		sum = sum.add(product).add(math.FMA(f[0], f[1], -product))
	}
	return sum.sign()
}

// expansion is a number as the exact sum of float64 parts that do not overlap,
// the smallest first; none is 0. The largest outweighs the others together, so
// that its sign is that of the sum (Shewchuk, section 2).
type expansion []float64

// add puts one more number into the sum, in place.
// It takes one two-sum a part. The result overlaps nowhere if e does not (Shewchuk,
// Grow-Expansion); kept never passes the part that is read, so e may be overwritten.
func (e expansion) add(v float64) expansion {
	kept := e[:0]
	for _, part := range e {
		// The two-sum of Knuth: what rounding takes off v + part is exactly rest.
		sum := v + part
		virtual := sum - v
		rest := (v - (sum - virtual)) + (part - virtual)
		if rest != 0 {
			kept = append(kept, rest)
		}
		v = sum
	}
	if v != 0 {
		kept = append(kept, v)
	}
	return kept
}

// sign is exact: −1, 0 or +1 by the last part, which is the largest and is not 0.
func (e expansion) sign() int {
	if len(e) == 0 {
		return 0
	}
	return int(math.Copysign(1, e[len(e)-1]))
}
