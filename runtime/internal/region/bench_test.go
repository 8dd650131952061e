package region

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// BenchmarkArrange splits square panels side by side, four curves each: the
// shape of a large blank.
func BenchmarkArrange(b *testing.B) {
	for _, n := range []int{5, 16, 50, 100} {
		curves := panelGrid(n)
		b.Run(fmt.Sprint(len(curves)), func(b *testing.B) {
			for b.Loop() {
				Arrange(curves)
			}
		})
	}
}

// BenchmarkArrangeRounded splits panels with round corners, eight curves each.
func BenchmarkArrangeRounded(b *testing.B) {
	var curves []geom.Curve
	for x := range 50 {
		for y := range 100 {
			p, err := geom.Rect(10, 10, 2)
			if err != nil {
				b.Fatal(err)
			}
			curves = append(curves, p.Transform(geom.Translation(float64(x)*10, float64(y)*10)).Curves()...)
		}
	}
	b.Run(fmt.Sprint(len(curves)), func(b *testing.B) {
		for b.Loop() {
			Arrange(curves)
		}
	})
}

// BenchmarkArrangeTangle splits curves of all kinds that cross each other often.
func BenchmarkArrangeTangle(b *testing.B) {
	curves := randomCurves(rand.New(rand.NewSource(1)), 60)
	for b.Loop() {
		Arrange(curves)
	}
}

func BenchmarkMinus(b *testing.B) {
	plate, hole := box(0, 0, 100, 60), disc(50, 60, 10)
	for b.Loop() {
		must(Minus(plate, hole))
	}
}

// BenchmarkDifference takes a square from a polygon of 16 corners that it
// overlaps in part: the size of what pictures are made of.
func BenchmarkDifference(b *testing.B) {
	var round []geom.Curve
	at := func(i int) geom.Point { return geom.Polar(10, geom.Radians(2*math.Pi*float64(i)/16)) }
	for i := range 16 {
		round = append(round, geom.LineFrom(at(i), at(i+1)))
	}
	x, y := [][]geom.Curve{round}, [][]geom.Curve{square(3, 2, 20)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Difference(x, y); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkGrow(b *testing.B) {
	rect, err := geom.Rect(60, 40, 5)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		must(Grow(rect, 2))
	}
}

func BenchmarkOverlaps(b *testing.B) {
	x, y := [][]geom.Curve{square(0, 0, 10)}, [][]geom.Curve{square(10, 0, 10)}
	for b.Loop() {
		Overlaps(x, y)
	}
}
