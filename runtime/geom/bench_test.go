package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
)

func BenchmarkMeet(b *testing.B) {
	for _, ka := range allKinds {
		for _, kb := range allKinds[ka:] {
			r := rand.New(rand.NewSource(1))
			var as, bs [256]Curve
			for i := range as {
				as[i], bs[i] = randomCurve(r, ka), randomCurve(r, kb)
			}
			b.Run(fmt.Sprintf("%v-%v", ka, kb), func(b *testing.B) {
				for i := range b.N {
					Intersect(as[i%256], bs[i%256])
				}
			})
		}
	}
}

// What blanks are full of: shared ends, shared edges, and edges apart.
func BenchmarkMeetNeighbours(b *testing.B) {
	line := LineFrom(Pt(0, 0), Pt(60, 0))
	arc := ArcFrom(Pt(60, 0), Pt(60, 5), Radians(math.Pi/2))
	cubic := CubicFrom(Pt(60, 0), Pt(70, 5), Pt(80, 5), Pt(90, 0))
	for _, c := range []struct {
		name string
		a, b Curve
	}{
		{"corner", line, LineFrom(Pt(60, 0), Pt(60, 40))},
		{"shared line", line, line.Reverse()},
		{"shared arc", arc, arc.Reverse()},
		{"shared cubic", cubic, cubic.Reverse()},
		{"line on arc", line, arc},
		{"apart", line, LineFrom(Pt(0, 40), Pt(60, 40))},
	} {
		b.Run(c.name, func(b *testing.B) {
			for range b.N {
				Intersect(c.a, c.b)
			}
		})
	}
}

// wavy is an outline of n edges with a rim of teeth.
func wavy(n int) Path {
	points := make([]Point, n)
	for i := range points {
		points[i] = Polar(1000+float64(i%2), Radians(2*math.Pi*float64(i)/float64(n)))
	}
	return ring(points...)
}

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		p := wavy(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				if _, err := p.Check(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRound(b *testing.B) {
	p := wavy(1000)
	for range b.N {
		if _, err := p.Round(0.5, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewSource(1))
	for _, k := range allKinds {
		c, p := randomCurve(r, k), randomPoint(r, 50)
		b.Run(k.String(), func(b *testing.B) {
			for range b.N {
				c.Nearest(p)
			}
		})
	}
}

func BenchmarkCubicLength(b *testing.B) {
	c := CubicFrom(Pt(60, 0), Pt(70, 5), Pt(80, 5), Pt(90, 0))
	for range b.N {
		c.Length()
	}
}
