package region

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// box is a named rectangle from (x, y).
func box(x, y, w, h float64) geom.Path {
	p := geom.Path{Closed: true}
	for i, c := range chain(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)) {
		p.Edges = append(p.Edges, geom.Edge{Name: [...]string{"bottom", "right", "top", "left"}[i], Curve: c})
	}
	return p
}

// disc is a circle of four quarter arcs e0 to e3.
func disc(x, y, r float64) geom.Path {
	p := geom.Path{Closed: true}
	for i, c := range circle(geom.Pt(x, y), r) {
		p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprintf("e%d", i), Curve: c})
	}
	return p
}

func names(p geom.Path) string { return strings.Join(p.Names(), " ") }

// Edges keep their names while a piece of them lives; see design of the
// vocabulary: pieces are top, top.2 and so on in order of travel.
func TestPlusAndMinusNames(t *testing.T) {
	plate := box(0, 0, 100, 60)
	tests := []struct {
		name string
		got  func() (geom.Path, error)
		want string
	}{
		{"a notch", func() (geom.Path, error) { return Minus(plate, box(40, 50, 20, 20)) },
			"bottom right top right.2 bottom.2 left.2 top.2 left"},
		{"a corner off", func() (geom.Path, error) { return Minus(plate, box(80, 40, 40, 40)) },
			"bottom right bottom.2 left.2 top left"},
		{"half of it", func() (geom.Path, error) { return Minus(plate, box(50, -10, 80, 80)) },
			"bottom left.2 top left"},
		{"a lug", func() (geom.Path, error) { return Plus(plate, box(40, 60, 20, 10)) },
			"bottom right top right.2 top.2 left.2 top.3 left"},
		{"a plate beside it", func() (geom.Path, error) { return Plus(plate, box(100, 0, 10, 60)) },
			"bottom bottom.2 right top.2 top left"},
		{"nothing to it", func() (geom.Path, error) { return Plus(plate, box(10, 10, 5, 5)) }, "bottom right top left"},
		{"a bite", func() (geom.Path, error) { return Minus(plate, disc(50, 60, 10)) }, "bottom right top e3 e2 top.2 left"},
		{"a bump", func() (geom.Path, error) { return Plus(plate, disc(50, 60, 10)) }, "bottom right top e0 e1 top.2 left"},
		{"away from it", func() (geom.Path, error) { return Minus(plate, box(200, 0, 5, 5)) }, "bottom right top left"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			p, err := test.got()
			if err != nil {
				t.Fatal(err)
			}
			if names(p) != test.want {
				t.Errorf("edges %s, want %s\n%v", names(p), test.want, p)
			}
		})
	}
}

// What is not one outline without holes is an error with the areas.
func TestNotOneOutline(t *testing.T) {
	plate := box(0, 0, 100, 60)
	open := plate
	open.Closed = false
	tests := []struct {
		name string
		err  func() error
		want string
	}{
		{"hole", func() error { _, err := Minus(plate, box(10, 10, 20, 10)); return err }, "a hole of 200 mm² is left"},
		{"two parts", func() error { _, err := Minus(plate, box(40, -10, 20, 80)); return err },
			"2 parts are left, of 2400 and 2400 mm²"},
		{"apart", func() error { _, err := Plus(plate, box(110, 0, 10, 10)); return err },
			"2 parts are left, of 6000 and 100 mm²"},
		{"in one point", func() error { _, err := Plus(plate, box(100, 60, 10, 10)); return err },
			"2 parts are left, of 6000 and 100 mm²"},
		{"hole at the rim", func() error {
			b := geom.Path{Closed: true}
			for _, c := range chain(geom.Pt(0, 30), geom.Pt(10, 20), geom.Pt(10, 40)) {
				b.Edges = append(b.Edges, geom.Edge{Name: "e", Curve: c})
			}
			_, err := Minus(plate, b)
			return err
		}, "a hole of 100 mm² is left"},
		{"nothing", func() error { _, err := Minus(plate, box(-1, -1, 200, 200)); return err }, "nothing is left"},
		{"itself", func() error { _, err := Minus(plate, plate); return err }, "nothing is left"},
		{"open", func() error { _, err := Plus(plate, open); return err }, "the path is not closed"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got := fmt.Sprint(test.err()); got != test.want {
				t.Errorf("error %q, want %q", got, test.want)
			}
		})
	}
	_, err := Minus(plate, box(10, 10, 20, 10))
	if shape := (*ShapeError)(nil); !errors.As(err, &shape) || len(shape.Holes) != 1 || shape.Holes[0] != 200 {
		t.Errorf("%v is no ShapeError with a hole of 200", err)
	}
}
