package geom

import "math"

// Point3 is a place or a displacement in space, in millimetres: x and y as in
// the plane, z toward the viewer.
type Point3 struct{ X, Y, Z float64 }

// Add gives p + q.
func (p Point3) Add(q Point3) Point3 { return Point3{p.X + q.X, p.Y + q.Y, p.Z + q.Z} }

// Sub gives p − q.
func (p Point3) Sub(q Point3) Point3 { return Point3{p.X - q.X, p.Y - q.Y, p.Z - q.Z} }

// Mul gives p scaled by k.
func (p Point3) Mul(k float64) Point3 {
	return Point3{float64(p.X * k), float64(p.Y * k), float64(p.Z * k)}
}

// Dot is the scalar product.
func (p Point3) Dot(q Point3) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) + float64(p.Z*q.Z) }

// Cross is the vector product; swapping the two flips its sign.
func (p Point3) Cross(q Point3) Point3 {
	return Point3{
		float64(p.Y*q.Z) - float64(p.Z*q.Y),
		float64(p.Z*q.X) - float64(p.X*q.Z),
		float64(p.X*q.Y) - float64(p.Y*q.X),
	}
}

// Len is the Euclidean length.
func (p Point3) Len() float64 { return math.Sqrt(p.Dot(p)) }

// Dist is the distance from p to q.
func (p Point3) Dist(q Point3) float64 { return p.Sub(q).Len() }

// Unit gives p scaled to length 1, and zero unchanged.
func (p Point3) Unit() Point3 {
	if l := p.Len(); l > 0 {
		return p.Mul(1 / l)
	}
	return p
}

// Lerp is the point a fraction t of the way from p to q.
func (p Point3) Lerp(q Point3, t float64) Point3 { return p.Add(q.Sub(p).Mul(t)) }

// Plane drops z.
func (p Point3) Plane() Point { return Point{p.X, p.Y} }

// Space puts a point of the plane into space at z = 0.
func (p Point) Space() Point3 { return Point3{X: p.X, Y: p.Y} }

// RigidTransform is a rigid motion of space: world = R·p + T, with R by rows. The
// zero value is not a motion; start from Identity3.
type RigidTransform struct {
	R [9]float64
	T Point3
}

// Identity3 leaves every point where it is.
func Identity3() RigidTransform { return RigidTransform{R: [9]float64{0: 1, 4: 1, 8: 1}} }

// Space lifts a motion of the plane into space. A mirror image in the plane
// becomes a half turn of space, which takes front to back.
func (m Isometry) Space() RigidTransform {
	k := 1.0
	if m.Mirrors() {
		k = -1
	}
	return RigidTransform{R: [9]float64{m.A, m.C, 0, m.B, m.D, 0, 0, 0, k}, T: Point3{m.E, m.F, 0}}
}

// Apply moves a place.
func (m RigidTransform) Apply(p Point3) Point3 { return m.ApplyDir(p).Add(m.T) }

// ApplyDir moves a displacement: the turn without the shift.
func (m RigidTransform) ApplyDir(p Point3) Point3 {
	r := &m.R
	return Point3{
		float64(r[0]*p.X) + float64(r[1]*p.Y) + float64(r[2]*p.Z),
		float64(r[3]*p.X) + float64(r[4]*p.Y) + float64(r[5]*p.Z),
		float64(r[6]*p.X) + float64(r[7]*p.Y) + float64(r[8]*p.Z),
	}
}

// Then is the motion that does m first and n after it.
func (m RigidTransform) Then(n RigidTransform) RigidTransform {
	var out RigidTransform
	for i := range 3 {
		for j := range 3 {
			out.R[3*i+j] = float64(n.R[3*i]*m.R[j]) + float64(n.R[3*i+1]*m.R[3+j]) + float64(n.R[3*i+2]*m.R[6+j])
		}
	}
	out.T = n.Apply(m.T)
	return out
}

// Inverse is the motion that undoes m.
func (m RigidTransform) Inverse() RigidTransform {
	r := m.R
	inv := RigidTransform{R: [9]float64{r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]}}
	inv.T = inv.ApplyDir(m.T).Mul(-1)
	return inv
}

// InPlane is the motion of the plane z = 0 that m is but for a tilt, exact for a
// point of it; seen from the back it mirrors. The turn is that of the image of the
// x axis. Lengths are kept, which a projection under a tilt of α would shorten by up
// to 1 − cos α; at a distance r from the point the two differ by that share of r.
func (m RigidTransform) InPlane(about Point) Isometry {
	turn := Rotation(Pt(m.R[0], m.R[3]).Angle(), Point{})
	if m.Normal().Z < 0 {
		turn = FlipY().Then(turn)
	}
	to := m.Apply(about.Space()).Plane().Sub(turn.Apply(about))
	return turn.Then(Translation(to.X, to.Y))
}

// Normal is where m takes the z axis: a panel's outward normal.
func (m RigidTransform) Normal() Point3 { return Point3{m.R[2], m.R[5], m.R[8]} }

// RotationAbout turns space by an angle about the line through at in
// direction axis, of any length but 0, positive by the right-hand rule. Rodrigues'
// formula for the unit axis u: R = cos·I + (1 − cos)·u·uᵀ + sin·[u]×, with [u]× the
// matrix of the cross product; T keeps the point at where it is.
func RotationAbout(at, axis Point3, angle Angle) RigidTransform {
	u := axis.Unit()
	s, c := angle.SinCos()
	ku, su := u.Mul(1-c), u.Mul(s)
	m := RigidTransform{R: [9]float64{
		c + float64(ku.X*u.X), float64(ku.X*u.Y) - su.Z, float64(ku.X*u.Z) + su.Y,
		float64(ku.Y*u.X) + su.Z, c + float64(ku.Y*u.Y), float64(ku.Y*u.Z) - su.X,
		float64(ku.Z*u.X) - su.Y, float64(ku.Z*u.Y) + su.X, c + float64(ku.Z*u.Z),
	}}
	m.T = at.Sub(m.ApplyDir(at))
	return m
}

// Orthonormalize makes the turn of m orthonormal again to rounding
// (Gram–Schmidt on its rows, the third being the cross product of the others), so
// that long products do not drift. For a matrix that is off by δ it moves
// entries by about δ.
func (m RigidTransform) Orthonormalize() RigidTransform {
	x := Point3{m.R[0], m.R[1], m.R[2]}.Unit()
	y := Point3{m.R[3], m.R[4], m.R[5]}
	y = y.Sub(x.Mul(x.Dot(y))).Unit()
	z := x.Cross(y)
	m.R = [9]float64{x.X, x.Y, x.Z, y.X, y.Y, y.Z, z.X, z.Y, z.Z}
	return m
}
