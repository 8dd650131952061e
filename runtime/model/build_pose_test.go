package model

import "testing"

func TestPoses(t *testing.T) {
	b, top, corner := window4()
	must(b.Hinge(at(5), HingeSpec{A: edge(b, top, "right"), B: edge(b, corner, "left")}))
	must(b.Pose(at(6), PoseSpec{Name: "open", FoldDegrees: map[string]float64{"top": -20, "top|corner": 0}}))
	must(b.Pose(at(7), PoseSpec{Name: "half", At: ptr(0.5), Unglued: true}))
	poses := b.design.Poses
	if len(poses) != 4 || poses[0].Name != "flat" || poses[0].At != 0 || poses[1].Name != "closed" || poses[1].At != 1 || !poses[1].Glued {
		t.Fatalf("poses %+v", poses)
	}
	open, half := poses[2], poses[3]
	if len(open.FoldDegrees) != 2 || open.FoldDegrees[top.Hang] != -20 || open.At != 1 || !open.Glued {
		t.Errorf("open %+v", open)
	}
	if _, ok := open.FoldDegrees[b.hinges["top|corner"]]; !ok {
		t.Error("the closing hinge has no fold in open")
	}
	if half.At != 0.5 || half.Glued || len(half.FoldDegrees) != 0 {
		t.Errorf("half %+v", half)
	}
}

func TestPoseRefuses(t *testing.T) {
	b, _, _ := window4()
	must(b.Pose(at(6), PoseSpec{Name: "open"}))
	pose := func(name string, folds map[string]float64, at1 *float64) error {
		return failed(b.Pose(at(99), PoseSpec{Name: name, FoldDegrees: folds, At: at1}))
	}
	refuse(t, []fault{
		{"no name", pose("", nil, nil), `pose "": the name is empty`, ""},
		{"flat", pose("flat", nil, nil), `pose "flat": the poses "flat" and "closed" always exist`, "give this one another name"},
		{"closed", pose("closed", nil, nil), `pose "closed": the poses "flat" and "closed" always exist`, ""},
		{"twice", pose("open", nil, nil), `pose "open": there is a pose of that name already`, ""},
		{"unknown hinge", pose("p", map[string]float64{"rigth": 0}, nil), `pose "p": no hinge is named "rigth"`, `did you mean "right"?`},
		{"a root", pose("p", map[string]float64{"front": 0}, nil), `pose "p": panel "front" hangs on nothing, so it has no hinge to fold`, ""},
		{"fold", pose("p", map[string]float64{"top": 181}, nil), `pose "p": the fold of top = 181 is not between -180 and 180`, ""},
		{"fold NaN", pose("p", map[string]float64{"top": nan}, nil), `pose "p": the fold of top = NaN is not between -180 and 180`, ""},
		{"at", pose("p", nil, ptr(1.5)), `pose "p": at = 1.5 is not between 0 and 1`, ""},
		{"at NaN", pose("p", nil, ptr(nan)), `pose "p": at = NaN is not between 0 and 1`, ""},
	})
	if len(b.design.Poses) != 3 {
		t.Error("a refused pose stayed in the design")
	}
}
