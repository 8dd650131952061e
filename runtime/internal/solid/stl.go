package solid

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// STLHead is how every STL file begins: its header has room for 80 bytes, and those who read
// it take a file that begins with "solid" for one of text.
const STLHead = "Creasewright: one piece, closed, in mm"

// STL is the closed piece as binary STL (3D Systems, 1989; value from memory): a closed surface for
// each panel's board, in mm, as the format has no unit and most programs take it so, with z up, resting
// on z = 0 in the positive octant. Products are left out. A piece of which no panel has a
// place in the closed pose lies flat. The error is the cause of the context's end.
func STL(ctx context.Context, d *model.Design, p *simulate.Piece) ([]byte, error) {
	a, err := assemble(ctx, d, p)
	if err != nil {
		return nil, err
	}
	turn := a.stand.Then(geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Degrees(90).Angle()))
	low, _ := a.box(a.rest, turn)
	turn.T = turn.T.Sub(low)
	out := bytes.NewBuffer(nil)
	fmt.Fprintf(out, "%-80s", STLHead)
	le := binary.LittleEndian
	out.Write(le.AppendUint32(nil, 0)) // the number of facets, when it is known
	count := uint32(0)
	for i, at := range a.placed(a.rest) {
		to := at.Then(turn)
		for _, part := range a.links[i].board {
			corners := make([]corner32, len(part.corners))
			for k, c := range part.corners {
				corners[k] = rounded(to.Apply(c))
			}
			for _, t := range part.triangles {
				p, q, r := corners[t[0]], corners[t[1]], corners[t[2]]
				if p == q || q == r || r == p {
					continue // rounded to a line; its sides cancel, so the surface stays closed
				}
				writeFacet(out, p, q, r)
				count++
			}
		}
	}
	le.PutUint32(out.Bytes()[80:], count)
	return out.Bytes(), context.Cause(ctx)
}

// corner32 is a place as files have it.
type corner32 [3]float32

// rounded is the nearest place of a file, with no negative zeros.
func rounded(p geom.Point3) corner32 {
	return corner32{float32(p.X) + 0, float32(p.Y) + 0, float32(p.Z) + 0}
}

// writeFacet writes a triangle with its unit normal.
func writeFacet(out *bytes.Buffer, corners ...corner32) {
	at := func(i int) geom.Point3 {
		c := corners[i]
		return geom.Point3{X: float64(c[0]), Y: float64(c[1]), Z: float64(c[2])}
	}
	var record []byte
	for _, c := range append([]corner32{rounded(at(1).Sub(at(0)).Cross(at(2).Sub(at(0))).Unit())}, corners...) {
		for _, v := range c {
			record = binary.LittleEndian.AppendUint32(record, math.Float32bits(v))
		}
	}
	out.Write(append(record, 0, 0))
}
