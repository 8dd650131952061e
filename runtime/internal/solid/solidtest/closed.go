package solidtest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Triangle is three corners, counter-clockwise from without.
type Triangle [3]geom.Point3

// ReadSTL reads a binary STL file, whose normals must be those of its triangles.
func ReadSTL(data []byte) ([]Triangle, error) {
	if len(data) < 84 || bytes.HasPrefix(data, []byte("solid")) {
		return nil, fmt.Errorf("it is no binary STL")
	}
	n := int(binary.LittleEndian.Uint32(data[80:]))
	if len(data) != 84+50*n {
		return nil, fmt.Errorf("%d bytes of %d facets", len(data), n)
	}
	out := make([]Triangle, n)
	for k := range out {
		record := data[84+50*k : 134+50*k]
		var v [12]float64
		for i := range v {
			v[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(record[4*i:])))
		}
		out[k] = Triangle{point(v[3:]), point(v[6:]), point(v[9:])}
		normal := out[k][1].Sub(out[k][0]).Cross(out[k][2].Sub(out[k][0])).Unit()
		if normal.Dist(point(v[:])) > 1e-6 {
			return nil, fmt.Errorf("facet %d: normal %v, not %v", k, v[:3], normal)
		}
		if record[48] != 0 || record[49] != 0 {
			return nil, fmt.Errorf("facet %d has attributes", k)
		}
	}
	return out, nil
}

// Triangles are those of a node's mesh, in its frame.
func (n Node) Triangles() (out []Triangle) {
	for _, p := range n.Mesh {
		for _, t := range p.Triangles {
			out = append(out, Triangle{p.Positions[t[0]], p.Positions[t[1]], p.Positions[t[2]]})
		}
	}
	return out
}

// Closed asks that triangles bound a body: every side is passed as often in one direction
// as in the other. apart is the number of sides that are passed more than once in each, where
// bodies or parts of one touch.
func Closed(all []Triangle) (apart int, err error) {
	type side [2]geom.Point3
	passed := map[side]int{}
	for _, t := range all {
		for k := range t {
			passed[side{t[k], t[(k+1)%3]}]++
		}
	}
	for s, n := range passed {
		if back := passed[side{s[1], s[0]}]; back != n {
			return 0, fmt.Errorf("the side from %v to %v is passed %d times and %d times back", s[0], s[1], n, back)
		}
		if n > 1 {
			apart++
		}
	}
	return apart / 2, nil
}

// Volume is that of the body that triangles bound, by the divergence theorem: a sixth of the sum of
// the determinants of their corners.
func Volume(all []Triangle) float64 {
	sum := 0.0
	for _, t := range all {
		sum += t[0].Dot(t[1].Cross(t[2])) / 6
	}
	return sum
}
