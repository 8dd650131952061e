package model

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func TestContents(t *testing.T) {
	b, front := newFront()
	soap := must(b.Contents(at(2), ContentsSpec{
		Name: "soap", Size: [3]float64{50, 30, 20}, On: front, At: &geom.Point{X: 30, Y: 20},
		TurnDegrees: 45, Clearance: 1, Mass: ptr(90.0),
	}))
	jar := must(b.Contents(at(3), ContentsSpec{Name: "jar", Size: [3]float64{30, 30, 60}, Round: true, On: front}))
	if soap.Panel != front || soap.Size[2] != 20 || soap.At.X != 30 || soap.TurnDegrees != 45 || *soap.Mass != 90 || soap.Round {
		t.Errorf("soap %+v", soap)
	}
	if !jar.Round || jar.At != nil || jar.Mass != nil || len(b.design.Contents) != 2 {
		t.Errorf("jar %+v", jar)
	}
}

func TestContentsRefuses(t *testing.T) {
	b, front := newFront()
	must(b.Contents(at(2), ContentsSpec{Name: "soap", Size: [3]float64{1, 1, 1}, On: front}))
	contents := func(change func(*ContentsSpec)) error {
		s := ContentsSpec{Name: "c", Size: [3]float64{50, 30, 20}, On: front}
		change(&s)
		return failed(b.Contents(at(99), s))
	}
	refuse(t, []fault{
		{"no name", contents(func(s *ContentsSpec) { s.Name = "" }), `contents "": the name is empty`, ""},
		{"twice", contents(func(s *ContentsSpec) { s.Name = "soap" }), `contents "soap": there are contents of that name already`, ""},
		{"flat", contents(func(s *ContentsSpec) { s.Size[2] = 0 }), `contents "c": size z = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"NaN", contents(func(s *ContentsSpec) { s.Size[0] = nan }), `contents "c": size x = NaN mm is not between 0.001 and 100000 mm`, ""},
		{"no diameter", contents(func(s *ContentsSpec) { s.Round, s.Size[0], s.Size[1] = true, -3, -3 }), `contents "c": diameter = -3 mm is not between 0.001 and 100000 mm`, ""},
		{"two diameters", contents(func(s *ContentsSpec) { s.Round = true }), `contents "c": a cylinder has one diameter, not 50 and 30 mm`, ""},
		{"nowhere", contents(func(s *ContentsSpec) { s.On = nil }), `contents "c": on is missing`, ""},
		{"at", contents(func(s *ContentsSpec) { s.At = &geom.Point{Y: inf} }), `contents "c": at y = +Inf mm is not between -100000 and 100000 mm`, ""},
		{"turn", contents(func(s *ContentsSpec) { s.TurnDegrees = inf }), `contents "c": turn = +Inf is not a number`, ""},
		{"clearance", contents(func(s *ContentsSpec) { s.Clearance = -1 }), `contents "c": clearance = -1 mm is not between 0 and 100000 mm`, ""},
		{"mass", contents(func(s *ContentsSpec) { s.Mass = ptr(0.0) }), `contents "c": mass = 0 g is not a positive number`, ""},
		{"mass inf", contents(func(s *ContentsSpec) { s.Mass = &inf }), `contents "c": mass = +Inf g is not a positive number`, ""},
	})
}
