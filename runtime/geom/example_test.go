package geom_test

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A rectangle with one corner rounded keeps the names of its edges; the arc is
// named by its neighbours.
func ExamplePath_Round() {
	card, err := geom.Rect(85, 55, 0)
	if err != nil {
		panic(err)
	}
	card, err = card.Round(10, [][2]string{{"top", "right"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(card.Names())
	fmt.Printf("%.2f mm² inside %.2f mm\n", card.Area(), card.Length())
	_, err = card.Round(60, [][2]string{{"bottom", "left"}})
	fmt.Println(err)
	// Output:
	// [bottom right right-top top left]
	// 4653.54 mm² inside 275.71 mm
	// a radius of 60 mm does not fit at corner "left-bottom": 55 mm is the most
}

// Curves that cross, and curves that run together.
func ExampleIntersect() {
	base := geom.LineFrom(geom.Pt(0, 0), geom.Pt(100, 0))
	arc := geom.ArcFrom(geom.Pt(70, 0), geom.Pt(50, 0), geom.Degrees(180).Angle())
	for _, x := range geom.Intersect(base, arc) {
		fmt.Println("at", base.At(x.A0), "point:", x.IsPoint())
	}
	along := geom.LineFrom(geom.Pt(80, 0), geom.Pt(30, 0))
	for _, x := range geom.Intersect(base, along) {
		fmt.Println("from", base.At(x.A0), "to", base.At(x.A1), "the other way:", x.B0 > x.B1)
	}
	// Output:
	// at {30 0} point: true
	// at {70 0} point: true
	// from {30 0} to {80 0} the other way: true
}

// A quarter turn is exact.
func ExampleRotation() {
	m := geom.Rotation(geom.Degrees(90).Angle(), geom.Pt(10, 0))
	fmt.Println(m.Apply(geom.Pt(15, 0)))
	// Output: {10 5}
}
