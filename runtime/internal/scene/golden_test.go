package scene

import (
	"bytes"
	"math"
	"strconv"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
)

// Goldens are small pictures of every pose from either side. When they change
// on purpose, write them anew with -update and look at each.
func TestGoldens(t *testing.T) {
	goldens := golden.In(t, "testdata", ".svg")
	for _, c := range append(standing(t), namedPose{"pressed-tube", pressed(t)}) {
		goldens.Check(c.name+".svg", sketch(pictured(c.in, Front()), pictured(c.in, Behind())))
	}
}

// sketch draws pictures side by side, one user unit a millimetre.
func sketch(ps ...*Picture) []byte {
	const gap = 10
	var body bytes.Buffer
	x, height := float64(gap), 0.0
	for _, p := range ps {
		height = math.Max(height, p.Bounds.Height())
	}
	for _, p := range ps {
		shift := geom.Pt(x-p.Bounds.Min.X, gap+p.Bounds.Max.Y)
		for _, f := range p.Faces {
			colour := [...][3]float64{{255, 250, 240}, {215, 185, 145}}[f.Side]
			k := 0.75 + 0.25*f.Shade
			body.WriteString(`<path fill="rgb(`)
			for i, c := range colour {
				body.WriteString([...]string{"", ",", ","}[i] + strconv.Itoa(int(math.Round(1e-6+c*k))))
			}
			body.WriteString(`)" fill-rule="evenodd" d="`)
			for _, r := range f.Rings {
				write(&body, r, shift)
				body.WriteString("Z")
			}
			body.WriteString("\"/>\n")
		}
		for _, l := range p.Lines {
			body.WriteString(`<path fill="none" ` + [...]string{
				Rim: `stroke="#222" stroke-width=".5"`, Hinge: `stroke="#0072B2" stroke-width=".3"`,
				Perforated: `stroke="#56B4E9" stroke-width=".4"`, Drawn: `stroke="#777" stroke-width=".3"`,
				Crossing: `stroke="#D55E00" stroke-width=".8"`,
			}[l.Kind] + ` d="`)
			write(&body, l.Points, shift)
			body.WriteString("\"/>\n")
		}
		x += p.Bounds.Width() + gap
	}
	size := short(x) + " " + short(height+2*gap)
	return []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + size + `">` + "\n" + body.String() + "</svg>\n")
}

func write(b *bytes.Buffer, pts []geom.Point, shift geom.Point) {
	for i, p := range pts {
		b.WriteString([...]string{"M", "L"}[min(i, 1)] + short(p.X+shift.X) + " " + short(shift.Y-p.Y))
	}
}

// short rounds to a twentieth of a millimetre, a shade off the middle so that
// numbers halfway between do not hang on the last bit.
func short(v float64) string {
	return strconv.FormatFloat(math.Round(v*20+1e-4)/20, 'f', -1, 64)
}
