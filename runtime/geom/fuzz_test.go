package geom

import (
	"encoding/binary"
	"math"
	"testing"
)

// drawn is a path drawn by a fuzzer's bytes: of every five, one says what step
// to take and four where to, in hundredths of a millimetre.
func drawn(data []byte) (Path, error) {
	p, err := StartPath(0, 0)
	for ; len(data) >= 5 && err == nil && len(p.Edges) < 40; data = data[5:] {
		x := float64(int16(binary.LittleEndian.Uint16(data[1:]))) / 100
		y := float64(int16(binary.LittleEndian.Uint16(data[3:]))) / 100
		at, bow := p.End(), float64(data[0]>>3)
		switch data[0] & 7 {
		case 0, 1:
			p, err = p.Line(x, y, "")
		case 2:
			p, err = p.By(x, y, "")
		case 3:
			p, err = p.ArcRadius(x, y, at.Dist(Pt(x, y))/2+bow-8, "")
		case 4:
			p, err = p.ArcThrough(x, y, at.Add(Pt(bow, -bow)), "")
		case 5:
			p, err = p.ArcSweep(x, y, Radians((bow-16)/5), "")
		default:
			p, err = p.Curve(at.Add(Pt(bow, y)), Pt(x-bow, y+bow), Pt(x, y), "")
		}
	}
	return p, err
}

// FuzzOutline draws an outline, works on it in every way there is, and asks that
// each result is a sound outline.
func FuzzOutline(f *testing.F) {
	f.Add([]byte{0, 0, 16, 0, 0, 0, 0, 16, 0, 16, 0, 0, 0, 0, 16}, 0.5, 0.3)
	f.Add([]byte{0, 0, 16, 0, 0, 3, 0, 16, 0, 16, 6, 0, 0, 0, 16}, 2.0, -1.0)
	f.Add([]byte{0x65, 0, 16, 0, 0, 0x54, 0, 16, 0, 16}, 0.001, 100.0)
	f.Fuzz(func(t *testing.T, data []byte, size, turn float64) {
		p, err := drawn(data)
		if err == nil {
			p, err = p.Close("")
		}
		if err != nil {
			return
		}
		sound(t, "drawn", p)
		if q, err := p.Round(size, nil); err == nil {
			sound(t, "rounded", q)
			smaller(t, "rounded", q, p, size)
		}
		if q, err := p.Chamfer(size, nil); err == nil {
			sound(t, "chamfered", q)
		}
		if math.Abs(turn) < 1e6 {
			q := p.Transform(Rotation(Radians(turn), Pt(size, -size)).Then(FlipX()))
			if math.Abs(size) < 1e4 {
				sound(t, "moved", q)
				if d := math.Abs(q.Area() - p.Area()); d > 1e-6*(1+p.Area()+math.Abs(size)) {
					t.Errorf("moving changed the area by %v", d)
				}
			}
		}
	})
}

// sound checks an outline: closed, counter-clockwise, connected, of ordinary
// numbers, every edge with a name of its own.
func sound(t *testing.T, what string, p Path) {
	t.Helper()
	names := map[string]bool{}
	for i, e := range p.Edges {
		next := p.Edges[(i+1)%len(p.Edges)]
		if e.Q.Dist(next.P) > SnapTolerance {
			t.Errorf("%s: edge %q ends %v mm from where %q begins", what, e.Name, e.Q.Dist(next.P), next.Name)
		}
		if !e.P.Finite() || !e.Q.Finite() || e.Length() <= 0 || names[e.Name] {
			t.Errorf("%s: edge %q is %+v", what, e.Name, e.Curve)
		}
		names[e.Name] = true
	}
	if a := p.Area(); !p.Closed || !(a > 0) || math.IsInf(a, 0) {
		t.Errorf("%s: closed %v, area %v", what, p.Closed, a)
	}
}

// smaller checks that rounding moves the rim by no more than the radius.
func smaller(t *testing.T, what string, q, p Path, size float64) {
	t.Helper()
	a, b := q.Bounds(), p.Bounds()
	if slack := math.Abs(size) + 1e-6; a.Min.X < b.Min.X-slack || a.Min.Y < b.Min.Y-slack || a.Max.X > b.Max.X+slack || a.Max.Y > b.Max.Y+slack {
		t.Errorf("%s: bounds %v of %v", what, a, b)
	}
}
