package fold

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// crease gives the fold of the edge between faces a and b of a sheet.
type crease func(a, b int) model.Fold

func given(deg float64) model.Fold { return model.Fold{Degrees: geom.Degrees(deg)} }
func free(side model.Side) model.Fold {
	return model.Fold{Free: &model.Free{Side: side}}
}

// sheet makes a piece of polygons that lie in one flat sheet, hinged wherever
// two share an edge: a tree found breadth first from face 0, and closing hinges
// for the rest.
func sheet(faces [][]geom.Point, fold crease) *model.Piece {
	p := blanks(faces)
	owner := owners(p)
	seen := map[int]bool{0: true}
	joined := map[[2]int]bool{}
	for queue := []int{0}; len(queue) > 0; queue = queue[1:] {
		i := queue[0]
		for k, e := range p.Panels[i].Outline.Edges {
			if o, ok := owner[ends(e.Q, e.P)]; ok && !seen[o[0]] {
				seen[o[0]], joined[pair(i, o[0])] = true, true
				hinge(p, [2]int{i, k}, o, fold, false)
				queue = append(queue, o[0])
			}
		}
	}
	for i, q := range p.Panels {
		for k, e := range q.Outline.Edges {
			if o, ok := owner[ends(e.Q, e.P)]; ok && !joined[pair(i, o[0])] {
				joined[pair(i, o[0])] = true
				hinge(p, [2]int{i, k}, o, fold, true)
			}
		}
	}
	return p
}

// net makes a piece of polygons hinged as a tree: each face to its parent.
func net(faces [][]geom.Point, parent []int, fold crease) *model.Piece {
	p := blanks(faces)
	for j, i := range parent {
		if i < 0 {
			continue
		}
		for k, e := range p.Panels[i].Outline.Edges {
			for m, f := range p.Panels[j].Outline.Edges {
				if ends(e.P, e.Q) == ends(f.Q, f.P) {
					hinge(p, [2]int{i, k}, [2]int{j, m}, fold, false)
				}
			}
		}
	}
	return p
}

// blanks makes one panel a face, all drawn where they lie.
func blanks(faces [][]geom.Point) *model.Piece {
	p := &model.Piece{Name: "sheet"}
	for i, f := range faces {
		outline := geom.Path{Closed: true}
		for k := range f {
			outline.Edges = append(outline.Edges, geom.Edge{Name: fmt.Sprint("e", k), Curve: geom.LineFrom(f[k], f[(k+1)%len(f)])})
		}
		if outline.Area() < 0 {
			panic("face runs clockwise")
		}
		p.Panels = append(p.Panels, &model.Panel{Name: fmt.Sprint("f", i), Index: i, Outline: outline, Flat: geom.Identity(), Piece: p})
	}
	p.Root = p.Panels[0]
	return p
}

// hinge joins edge on[1] of panel on[0] to edge by[1] of panel by[0].
func hinge(p *model.Piece, on, by [2]int, fold crease, closing bool) {
	a, b := p.Panels[on[0]], p.Panels[by[0]]
	e, f := a.Outline.Edges[on[1]], b.Outline.Edges[by[1]]
	h := &model.Hinge{
		Name: fmt.Sprintf("%d|%d", on[0], by[0]), Index: len(p.Hinges), Parent: a, Child: b, Closing: closing,
		On:   model.EdgeRef{Panel: a, Name: e.Name, Index: on[1], To: e.Length()},
		By:   model.EdgeRef{Panel: b, Name: f.Name, Index: by[1], To: f.Length()},
		Fold: fold(on[0], by[0]), ToParent: geom.Identity(), Curve: e.Curve, Line: model.Score,
	}
	if !closing {
		b.Hang = h
	}
	p.Hinges = append(p.Hinges, h)
}

// owners finds a face and edge by the edge's directed ends.
func owners(p *model.Piece) map[[4]int64][2]int {
	out := map[[4]int64][2]int{}
	for i, q := range p.Panels {
		for k, e := range q.Outline.Edges {
			out[ends(e.P, e.Q)] = [2]int{i, k}
		}
	}
	return out
}

func ends(a, b geom.Point) [4]int64 {
	r := func(v float64) int64 { return int64(math.Round(v * 1e6)) }
	return [4]int64{r(a.X), r(a.Y), r(b.X), r(b.Y)}
}

func pair(i, j int) [2]int { return [2]int{min(i, j), max(i, j)} }

// closedPose is the pose that every design has.
func closedPose() *model.Pose { return &model.Pose{Name: "closed", At: 1, Glued: true} }

// foldClosed folds a piece to its closed pose.
func foldClosed(t *testing.T, p *model.Piece) *Pose {
	t.Helper()
	return foldAll(t, p, closedPose()).Poses[0]
}

// foldAll folds a piece to some poses.
func foldAll(t testing.TB, p *model.Piece, poses ...*model.Pose) *Folded {
	t.Helper()
	f, err := Fold(context.Background(), p, poses)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// corners gives a panel's outline points in the world.
func corners(p *model.Panel, at Placement) []geom.Point3 {
	var out []geom.Point3
	for _, e := range p.Outline.Edges {
		out = append(out, at.Apply(e.P.Space()))
	}
	return out
}

// ring is the fan of triangles round a vertex at the origin with the given
// sector angles in degrees, crease i before sector i; the creases have length 1.
func ring(sectors ...float64) [][]geom.Point {
	var out [][]geom.Point
	a := 0.0
	for _, s := range sectors {
		out = append(out, []geom.Point{{}, geom.Polar(1, geom.Degrees(a).Angle()), geom.Polar(1, geom.Degrees(a+s).Angle())})
		a += s
	}
	// The last ray is the first one to the bit.
	out[len(out)-1][2] = out[0][1]
	return out
}

// ringFolds gives the folds of a ring by crease: crease i lies between sectors
// i−1 and i.
func ringFolds(folds ...model.Fold) crease {
	n := len(folds)
	return func(a, b int) model.Fold {
		switch {
		case a == (b+1)%n:
			return folds[a]
		case b == (a+1)%n:
			return folds[b]
		}
		panic("not neighbours")
	}
}

// ringAngles reads a folded ring's angles by crease.
func ringAngles(p *model.Piece, pose *Pose) []HingeAngle {
	n := len(p.Panels)
	out := make([]HingeAngle, n)
	for i, h := range p.Hinges {
		a, b := h.Parent.Index, h.Child.Index
		if a == (b+1)%n {
			out[a] = pose.Angles[i]
		} else {
			out[b] = pose.Angles[i]
		}
	}
	return out
}
