package fold

import (
	"fmt"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// crease gives the fold of the edge between faces a and b of a sheet.
type crease func(a, b int) model.Fold

func given(deg float64) model.Fold { return model.Fold{Degrees: deg} }
func free(side model.Side) model.Fold {
	return model.Fold{Free: &model.Free{Side: side}}
}

// sheet makes a piece of polygons that lie in one flat sheet, hinged wherever
// two share an edge: a tree found breadth first from face 0, and closing hinges
// for the rest.
func sheet(faces [][]geom.Point, fold crease) *model.Piece {
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
	owner := map[[4]int64][2]int{} // an edge's ends, in order, to its face and place
	key := func(a, b geom.Point) [4]int64 {
		r := func(v float64) int64 { return int64(math.Round(v * 1e6)) }
		return [4]int64{r(a.X), r(a.Y), r(b.X), r(b.Y)}
	}
	for i, q := range p.Panels {
		for k, e := range q.Outline.Edges {
			owner[key(e.P, e.Q)] = [2]int{i, k}
		}
	}
	done := map[[2]int]bool{}
	seen := map[int]bool{0: true}
	hang := func(i int, closing bool) (next []int) {
		q := p.Panels[i]
		for k, e := range q.Outline.Edges {
			o, ok := owner[key(e.Q, e.P)]
			j := o[0]
			if !ok || done[[2]int{min(i, j), max(i, j)}] || (seen[j] && !closing) {
				continue
			}
			done[[2]int{min(i, j), max(i, j)}] = true
			r := p.Panels[j]
			h := &model.Hinge{
				Name: fmt.Sprintf("%d|%d", i, j), Index: len(p.Hinges), Parent: q, Child: r, Closing: closing,
				On:   model.EdgeRef{Panel: q, Name: e.Name, Index: k, To: e.Length()},
				By:   model.EdgeRef{Panel: r, Name: r.Outline.Edges[o[1]].Name, Index: o[1], To: e.Length()},
				Fold: fold(i, j), Lay: geom.Identity(), Curve: e.Curve, Line: model.Score,
			}
			if !closing {
				r.Hang = h
				seen[j] = true
				next = append(next, j)
			}
			p.Hinges = append(p.Hinges, h)
		}
		return next
	}
	for queue := []int{0}; len(queue) > 0; queue = queue[1:] {
		queue = append(queue, hang(queue[0], false)...)
	}
	for i := range p.Panels {
		hang(i, true)
	}
	return p
}

// closedPose and namedPose are poses as a design always has them.
func closedPose() *model.Pose { return &model.Pose{Name: "closed", At: 1, Glued: true} }

// foldClosed folds a piece to its closed pose.
func foldClosed(t *testing.T, p *model.Piece) *Pose {
	t.Helper()
	f := Fold(p, []*model.Pose{closedPose()})
	return f.Poses[0]
}

// corners gives a panel's outline points in the world.
func corners(p *model.Panel, at Placed) []geom.Point3 {
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
		out = append(out, []geom.Point{{}, geom.Polar(1, geom.Degrees(a)), geom.Polar(1, geom.Degrees(a+s))})
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
func ringAngles(p *model.Piece, pose *Pose) []Angle {
	n := len(p.Panels)
	out := make([]Angle, n)
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
