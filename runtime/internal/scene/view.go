package scene

import "github.com/creasewright/creasewright/runtime/geom"

// View is a direction to look along, with what is to the right and up in the
// picture: three unit vectors square to one another, right × up = toward. All
// lines of sight are parallel, so lengths along any one direction keep their
// proportions.
type View struct {
	Right, Up geom.Point3
	Toward    geom.Point3 // from the piece to the eye
}

// Azimuth and elevation of the usual view, in degrees. A root panel faces +z,
// so a carton shows its front most, and its right side and top well. Of the
// angles near by these keep the panels of common shapes furthest from being
// seen edge-on: of walls and roofs folded by 30, 45, 60, 90 or 120 degrees off
// an upright or level edge, all show at least a twelfth of their size.
const (
	usualAzimuth   = 24
	usualElevation = 22
)

// Front looks at the outside of the root panel from the right and above, so
// that a carton shows its front, its right side and its top.
func Front() View { return Look(usualAzimuth, usualElevation) }

// Behind looks from exactly the other side, from the left, behind and below:
// every panel not seen edge-on turns its outside to one view and its inside to
// the other.
func Behind() View { return Look(usualAzimuth+180, -usualElevation) }

// Azimuth and elevation of the view into a piece that lies open: chosen as the
// usual ones are, further up.
const (
	lyingAzimuth   = 18
	lyingElevation = 38
)

// Above looks down into a piece that lies open, such as a tray, from the front,
// the right and further up.
func Above() View { return Look(lyingAzimuth, lyingElevation) }

// Below looks from exactly the other side, from below.
func Below() View { return Look(lyingAzimuth+180, -lyingElevation) }

// Steeper views look further down into what is open at the top, and views of what is
// pressed flat nearly square to it, so that its outline reads: azimuth and elevation.
const (
	steepElevation      = 36
	lyingSteepElevation = 50
	pressedAzimuth      = 14
	pressedElevation    = 62
)

// Standing lists the views of a piece that stands, the usual one first: from the front
// right and left, and from further up.
func Standing() []View {
	return []View{
		Front(), Look(-usualAzimuth, usualElevation),
		Look(usualAzimuth, steepElevation), Look(-usualAzimuth, steepElevation),
	}
}

// Lying lists the views of a piece that lies open, in the same order.
func Lying() []View {
	return []View{
		Above(), Look(-lyingAzimuth, lyingElevation),
		Look(lyingAzimuth, lyingSteepElevation), Look(-lyingAzimuth, lyingSteepElevation),
	}
}

// Pressed is the view of a piece that is pressed flat and lies.
func Pressed() View { return Look(pressedAzimuth, pressedElevation) }

// Opposite looks from exactly the other side, upright as v is.
func (v View) Opposite() View { return View{v.Right.Mul(-1), v.Up, v.Toward.Mul(-1)} }

// Look is the view from an azimuth, turning from +z to the right (+x), and an
// elevation above the x-z plane, both in degrees. For elevations between −90 and 90
// the picture's up has a positive part along +y.
func Look(azimuth, elevation float64) View {
	sa, ca := geom.Degrees(azimuth).Angle().SinCos()
	se, ce := geom.Degrees(elevation).Angle().SinCos()
	return View{
		Right:  geom.Point3{X: ca, Z: -sa},
		Up:     geom.Point3{X: -sa * se, Y: ce, Z: -ca * se},
		Toward: geom.Point3{X: sa * ce, Y: se, Z: ca * ce},
	}
}

// Turn is the view that sees a piece moved by m as v sees it unmoved.
func (v View) Turn(m geom.RigidTransform) View {
	return View{m.ApplyDir(v.Right), m.ApplyDir(v.Up), m.ApplyDir(v.Toward)}
}

// Project is the point of the picture at a point of the world: a parallel projection
// along Toward, both in mm.
func (v View) Project(p geom.Point3) geom.Point { return geom.Pt(p.Dot(v.Right), p.Dot(v.Up)) }

// depth is the coordinate of a point along Toward, in mm; it grows toward the eye.
func (v View) depth(p geom.Point3) float64 { return p.Dot(v.Toward) }

// unproject is the place in the world at a point of the picture and a depth.
func (v View) unproject(p geom.Point, depth float64) geom.Point3 {
	return v.Right.Mul(p.X).Add(v.Up.Mul(p.Y)).Add(v.Toward.Mul(depth))
}

// shade is the light on a surface whose unit normal, turned to the eye, is n: the
// cosine between n and the direction of a lamp above the eye and to its left, mapped
// from −1…1 to 0…1 ("half Lambert" shading) so that faces turned away from the lamp
// still differ from one another.
func (v View) shade(n geom.Point3) float64 {
	lamp := v.Right.Mul(-0.35).Add(v.Up.Mul(0.75)).Add(v.Toward.Mul(0.56)).Unit()
	return max(0, (1+n.Dot(lamp))/2)
}
