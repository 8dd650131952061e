package solid

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// quaternion is a rotation of space as x, y, z, w, of length 1:
// (u sin α/2, cos α/2) turns by α about the unit vector u.
type quaternion [4]float64

// about is the rotation by an angle about a unit axis.
func about(axis geom.Point3, angle geom.Angle) quaternion {
	s, c := angle.Mul(0.5).SinCos()
	u := axis.Mul(s)
	return quaternion{u.X, u.Y, u.Z, c}.unit()
}

// rotationOf is the turn of a rigid transform. With R = [r_ij], four times the squares of
// the components are 1 ± r_00 ± r_11 ± r_22; the largest is taken from that, so that no digits
// cancel, and the others from sums and differences of opposite entries (Shepperd,
// Quaternion from Rotation Matrix, 1978, value from memory).
func rotationOf(m geom.RigidTransform) quaternion {
	r := m.R
	xx, yy, zz := r[0], r[4], r[8]
	var q quaternion
	switch trace := xx + yy + zz; {
	case trace >= max(xx, yy, zz):
		q = quaternion{r[7] - r[5], r[2] - r[6], r[3] - r[1], 1 + trace}
	case xx >= max(yy, zz):
		q = quaternion{1 + xx - yy - zz, r[1] + r[3], r[2] + r[6], r[7] - r[5]}
	case yy >= zz:
		q = quaternion{r[1] + r[3], 1 - xx + yy - zz, r[5] + r[7], r[2] - r[6]}
	default:
		q = quaternion{r[2] + r[6], r[5] + r[7], 1 - xx - yy + zz, r[3] - r[1]}
	}
	return q.unit()
}

// unit is q brought to length 1.
func (q quaternion) unit() quaternion {
	sum := 0.0
	for _, v := range q {
		sum += float64(v * v)
	}
	k := 1 / math.Sqrt(sum)
	for i := range q {
		q[i] = float64(q[i]*k) + 0
	}
	return q
}
