package fold

import (
	"math"
	"math/rand"
	"sort"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// solid is a regular polyhedron of edge 1 by its corners; faces are found as
// the planes that have all corners on one side.
type solid struct {
	name     string
	corners  []geom.Point3
	dihedral float64 // degrees
	volume   float64
	area     float64
	faces    [][]int // corner numbers, counter-clockwise seen from outside
}

// Dihedral angles, volumes and areas for edge 1: any geometry handbook.
func solids() []*solid {
	phi := (1 + math.Sqrt(5)) / 2
	out := []*solid{
		{name: "tetrahedron", dihedral: 70.528779, volume: 0.1178511, area: 1.7320508},
		{name: "cube", dihedral: 90, volume: 1, area: 6},
		{name: "octahedron", dihedral: 109.471221, volume: 0.4714045, area: 3.4641016},
		{name: "dodecahedron", dihedral: 116.565051, volume: 7.6631190, area: 20.6457288},
		{name: "icosahedron", dihedral: 138.189685, volume: 2.1816950, area: 8.6602540},
	}
	signs := []float64{1, -1}
	for _, a := range signs {
		for _, b := range signs {
			out[0].corners = append(out[0].corners, geom.Point3{X: a, Y: b, Z: a * b})
			out[4].corners = append(out[4].corners,
				geom.Point3{Y: a, Z: b * phi}, geom.Point3{X: a, Y: b * phi}, geom.Point3{X: a * phi, Z: b})
			out[3].corners = append(out[3].corners,
				geom.Point3{Y: a / phi, Z: b * phi}, geom.Point3{X: a / phi, Y: b * phi}, geom.Point3{X: a * phi, Z: b / phi})
			for _, c := range signs {
				out[1].corners = append(out[1].corners, geom.Point3{X: a, Y: b, Z: c})
				out[3].corners = append(out[3].corners, geom.Point3{X: a, Y: b, Z: c})
			}
		}
		out[2].corners = append(out[2].corners, geom.Point3{X: a}, geom.Point3{Y: a}, geom.Point3{Z: a})
	}
	for _, s := range out {
		s.prepare()
	}
	return out
}

// prepare scales the solid to edge 1 and finds its faces.
func (s *solid) prepare() {
	edge := math.Inf(1)
	for i, p := range s.corners {
		for _, q := range s.corners[:i] {
			edge = math.Min(edge, p.Dist(q))
		}
	}
	for i := range s.corners {
		s.corners[i] = s.corners[i].Mul(1 / edge)
	}
	seen := map[string]bool{}
	for i := range s.corners {
		for j := range s.corners {
			for k := range s.corners {
				s.addFace(i, j, k, seen)
			}
		}
	}
}

func (s *solid) addFace(i, j, k int, seen map[string]bool) {
	a := s.corners[i]
	n := s.corners[j].Sub(a).Cross(s.corners[k].Sub(a))
	if n.Len() < 1e-9 || n.Dot(a) <= 0 {
		return
	}
	n = n.Unit()
	var face []int
	for c, p := range s.corners {
		switch d := p.Sub(a).Dot(n); {
		case d > 1e-9:
			return
		case d > -1e-9:
			face = append(face, c)
		}
	}
	key := string(runesOf(face))
	if seen[key] {
		return
	}
	seen[key] = true
	mid := geom.Point3{}
	for _, c := range face {
		mid = mid.Add(s.corners[c].Mul(1 / float64(len(face))))
	}
	x := s.corners[face[0]].Sub(mid)
	y := n.Cross(x)
	turn := func(c int) float64 {
		d := s.corners[c].Sub(mid)
		return math.Atan2(d.Dot(y), d.Dot(x))
	}
	sort.Slice(face, func(a, b int) bool { return turn(face[a]) < turn(face[b]) })
	s.faces = append(s.faces, face)
}

func runesOf(v []int) []rune {
	var out []rune
	for _, i := range v {
		out = append(out, rune('a'+i))
	}
	return out
}

// unfold cuts the solid open along a random tree of faces and lays it flat.
// ids[f][k] is the solid's corner at corner k of face f.
func (s *solid) unfold(rng *rand.Rand) (faces [][]geom.Point, ids [][]int, parent []int) {
	n := len(s.faces)
	faces, ids, parent = make([][]geom.Point, 0, n), nil, nil
	placed := map[int]int{}
	side := len(s.faces[0])
	place := func(f int, start int, p, q geom.Point, from int) {
		var pts []geom.Point
		var id []int
		for k := range side {
			pts = append(pts, p)
			id = append(id, s.faces[f][(start+k)%side])
			p, q = q, q.Add(geom.Rotation(geom.Radians(2*math.Pi/float64(side)), geom.Point{}).ApplyDir(q.Sub(p)))
		}
		placed[f] = len(faces)
		faces, ids, parent = append(faces, pts), append(ids, id), append(parent, from)
	}
	place(0, 0, geom.Pt(0, 0), geom.Pt(1, 0), -1)
	for len(faces) < n {
		at := rng.Intn(len(faces))
		k := rng.Intn(side)
		a, b := ids[at][k], ids[at][(k+1)%side]
		for f, face := range s.faces {
			for m := range face {
				if _, ok := placed[f]; !ok && face[m] == b && face[(m+1)%side] == a {
					place(f, m, faces[at][(k+1)%side], faces[at][k], at)
				}
			}
		}
	}
	return faces, ids, parent
}

// Unfoldings of the Platonic solids close: corners meet to 1e-9, volume and
// area are the handbook's, and outside faces end up outside.
func TestSolidsClose(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for _, s := range solids() {
		for range 30 {
			faces, ids, parent := s.unfold(rng)
			p := net(faces, parent, func(a, b int) model.Fold { return given(180 - s.exactDihedral()) })
			pose := foldClosed(t, p)
			where := map[int]geom.Point3{}
			volume, area := 0.0, 0.0
			for f, panel := range p.Panels {
				pts := corners(panel, pose.Place[f])
				for k, q := range pts {
					if w, ok := where[ids[f][k]]; !ok {
						where[ids[f][k]] = q
					} else if d := w.Dist(q); d > 1e-9 {
						t.Fatalf("%s: a corner gapes by %g", s.name, d)
					}
				}
				out := geom.Point3{}
				for k := range pts {
					out = out.Add(pts[k].Cross(pts[(k+1)%len(pts)]).Mul(0.5))
				}
				volume += out.Dot(pts[0]) / 3
				area += out.Len()
			}
			// Positive: the sides that faced the viewer look outward.
			if math.Abs(volume-s.volume) > 1e-6 || math.Abs(area-s.area) > 1e-6 {
				t.Fatalf("%s: volume %.7f, area %.7f", s.name, volume, area)
			}
		}
	}
}

// exactDihedral is the handbook's dihedral angle to full precision, from the
// corners; it must agree with the table.
func (s *solid) exactDihedral() float64 {
	normal := func(f []int) geom.Point3 {
		a := s.corners[f[0]]
		return s.corners[f[1]].Sub(a).Cross(s.corners[f[2]].Sub(a)).Unit()
	}
	n0, best := normal(s.faces[0]), -1.0
	for _, f := range s.faces[1:] {
		best = math.Max(best, n0.Dot(normal(f)))
	}
	d := 180 - float64(geom.Radians(math.Acos(best)).Degrees())
	if math.Abs(d-s.dihedral) > 1e-5 {
		panic(s.name + ": dihedral disagrees with the table")
	}
	return d
}

// The two nets of the tetrahedron, a strip of four and a triangle of four,
// both close (any geometry handbook).
func TestTetrahedronNets(t *testing.T) {
	h := math.Sqrt(3) / 2
	strip := [][]geom.Point{
		{{X: 0}, {X: 1}, {X: 0.5, Y: h}},
		{{X: 1}, {X: 1.5, Y: h}, {X: 0.5, Y: h}},
		{{X: 1}, {X: 2}, {X: 1.5, Y: h}},
		{{X: 2}, {X: 2.5, Y: h}, {X: 1.5, Y: h}},
	}
	star := [][]geom.Point{
		strip[0], strip[1],
		{{X: 0.5, Y: -h}, {X: 1}, {X: 0}},
		{{X: 0}, {X: 0.5, Y: h}, {X: -0.5, Y: h}},
	}
	fold := func(a, b int) model.Fold { return given(180 - float64(geom.Radians(math.Acos(1.0/3)).Degrees())) }
	for name, p := range map[string]*model.Piece{
		"strip": net(strip, []int{-1, 0, 1, 2}, fold),
		"star":  net(star, []int{-1, 0, 0, 0}, fold),
	} {
		pose := foldClosed(t, p)
		var apart []geom.Point3
		for f, panel := range p.Panels {
			for _, q := range corners(panel, pose.Place[f]) {
				fresh := true
				for _, w := range apart {
					fresh = fresh && q.Dist(w) > 1e-9
				}
				if fresh {
					apart = append(apart, q)
				}
			}
		}
		if len(apart) != 4 {
			t.Errorf("%s: %d corners, want 4", name, len(apart))
		}
	}
}
