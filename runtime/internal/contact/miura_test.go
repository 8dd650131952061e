package contact

import (
	"fmt"
	"math"
	"testing"
)

// miura is a sheet of n × n parallelograms of sides 20 with an acute angle of
// 60 degrees; zigzag and straight are the sizes of the folds of its two sets of
// creases.
func miura(n int, zigzag, straight float64) string {
	return fmt.Sprintf(`
n, zigzag, straight = %d, %.17g, %.17g
lean, tall = 20 * cos(60), 20 * sin(60)
rows = []
for j in range(n):
    row = []
    for i in range(n):
        low, high = (0, lean) if j %% 2 == 0 else (lean, 0)
        outline = polygon([(low, 0), (low + 20, 0), (high + 20, tall), (high, tall)], edges = ["bottom", "right", "top", "left"])
        sign = 1 if i %% 2 == 0 else -1
        name = str(i) + "," + str(j)
        if i > 0:
            row.append(panel(name, outline, on = row[-1].right, fold = -sign * zigzag))
        elif j > 0:
            row.append(panel(name, outline, on = rows[-1][0].top, fold = -straight if j %% 2 == 1 else straight))
        else:
            row.append(panel(name, outline))
        if i > 0 and j > 0:
            hinge(rows[-1][i].top, row[i].bottom, fold = (-sign if j %% 2 == 1 else sign) * straight)
    rows.append(row)
piece("miura", rows[0][0], board = card)
`, n, zigzag, straight)
}

// A Miura sheet is part folded without any panel crossing another, and neither
// does it fold flat: then panels lie on one another and every inner vertex meets
// the conditions. Straight folds follow from zigzag ones by tan(s/2) =
// cos 60° · tan(z/2), the symmetric vertex of degree four; 90 goes with
// 53.130102 (Schenk & Guest, PNAS 110, 2013; formula from memory).
func TestMiura(t *testing.T) {
	const n = 6
	for _, zigzag := range []float64{10, 50, 90, 130, 165} {
		straight := 2 * math.Atan(math.Tan(zigzag*math.Pi/360)/2) * 180 / math.Pi
		if zigzag == 90 {
			near(t, "the straight fold", straight, 53.130102, 1e-6)
		}
		p := fromScript(t, miura(n, zigzag, straight)).closed()
		if len(p.Penetrations)+len(p.layerList()) > 0 || p.Flat() {
			t.Errorf("folded %g: %d touches, %d layers, flat %v", zigzag, len(p.Penetrations), len(p.layerList()), p.Flat())
		}
	}
	f := fromScript(t, miura(n, 180, 180))
	p := f.closed()
	if len(p.Penetrations) > 0 || len(p.layerList()) == 0 || !p.Flat() {
		t.Errorf("folded flat: %d touches, %d layers, flat %v", len(p.Penetrations), len(p.layerList()), p.Flat())
	}
	if got := p.thickestBySampling(); p.Thickness() != got {
		t.Errorf("%d boards thick, %d by sampling", p.Thickness(), got)
	}
	vs := must(Vertices(bg, f.blank, p.Pose))
	for _, v := range vs {
		if !v.FoldsFlat() || len(v.Hinges) != 4 {
			t.Errorf("vertex %+v", v)
		}
	}
	if len(vs) != (n-1)*(n-1) {
		t.Errorf("%d inner vertices", len(vs))
	}
}
