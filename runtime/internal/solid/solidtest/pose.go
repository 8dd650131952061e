package solidtest

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Affine is a matrix of three rows and four columns that takes a node's frame to the scene's.
type Affine [3][4]float64

// Apply moves a place.
func (m Affine) Apply(p geom.Point3) geom.Point3 {
	row := func(i int) float64 { return m[i][0]*p.X + m[i][1]*p.Y + m[i][2]*p.Z + m[i][3] }
	return geom.Point3{X: row(0), Y: row(1), Z: row(2)}
}

// then is m first and n after it.
func (m Affine) then(n Affine) (out Affine) {
	for i := range 3 {
		for j := range 4 {
			for k := range 3 {
				out[i][j] += n[i][k] * m[k][j]
			}
		}
		out[i][3] += n[i][3]
	}
	return out
}

// Node finds the only node of a name that has, or has not, a mesh or meshes under it of its own; −1
// for none.
func (g *GLB) Node(name string, withMesh bool) int {
	return slices.IndexFunc(g.Nodes, func(n Node) bool { return n.Name == name && (n.Mesh != nil) == withMesh })
}

// At is where every node stands at a time of an animation, or at rest for nil. Between keys rotations are
// interpolated along the shorter arc, as the specification has it (appendix C).
func (g *GLB) At(a *Animation, seconds float64) []Affine {
	nodes := slices.Clone(g.Nodes)
	if a != nil {
		for _, c := range a.Channels {
			v := c.at(seconds)
			if c.Path == "rotation" {
				nodes[c.Node].Rotation = [4]float64(v)
			} else {
				nodes[c.Node].Scale = point(v)
			}
		}
	}
	out := make([]Affine, len(nodes))
	for i, n := range nodes {
		out[i] = local(n)
		if n.Parent >= 0 {
			out[i] = out[i].then(out[n.Parent])
		}
	}
	return out
}

// at is a channel's value at a time.
func (c *Channel) at(t float64) []float64 {
	n := len(c.Times)
	next, _ := slices.BinarySearchFunc(c.Times, t, func(at, t float64) int {
		if at <= t {
			return -1
		}
		return 1
	})
	if next == 0 {
		return c.Values[0]
	}
	if next == n || c.Step {
		return c.Values[next-1]
	}
	u := (t - c.Times[next-1]) / (c.Times[next] - c.Times[next-1])
	return slerp(c.Values[next-1], c.Values[next], u)
}

// slerp is the spherical linear interpolation of unit quaternions.
func slerp(a, b []float64, t float64) []float64 {
	dot := 0.0
	for i := range a {
		dot += a[i] * b[i]
	}
	sign := math.Copysign(1, dot)
	angle := math.Acos(math.Min(1, math.Abs(dot)))
	u, v := 1-t, t
	if s := math.Sin(angle); s > 1e-9 {
		u, v = math.Sin((1-t)*angle)/s, math.Sin(t*angle)/s
	}
	out := make([]float64, len(a))
	for i := range a {
		out[i] = u*a[i] + sign*v*b[i]
	}
	return out
}

// local is a node's matrix: of its scale, rotation and translation.
func local(n Node) Affine {
	x, y, z, w := n.Rotation[0], n.Rotation[1], n.Rotation[2], n.Rotation[3]
	s, t := n.Scale, n.Translation
	return Affine{
		{(1 - 2*(y*y+z*z)) * s.X, 2 * (x*y - z*w) * s.Y, 2 * (x*z + y*w) * s.Z, t.X},
		{2 * (x*y + z*w) * s.X, (1 - 2*(x*x+z*z)) * s.Y, 2 * (y*z - x*w) * s.Z, t.Y},
		{2 * (x*z - y*w) * s.X, 2 * (y*z + x*w) * s.Y, (1 - 2*(x*x+y*y)) * s.Z, t.Z},
	}
}
