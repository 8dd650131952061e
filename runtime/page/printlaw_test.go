package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// What a print is held to, in mm.
const (
	pageTolerance  = 0.5  // sides of a page: a browser rounds them to whole points
	scaleTolerance = 0.05 // the scale bar, over its 100 mm
	lineTolerance  = 0.1  // lines over one page: the bar's error over twice its length
	markTolerance  = 0.05 // a mark on its two sheets
	dashGap        = 0.9  // half the largest gap in a dashed line, of three times 0.6 mm
	dashRim        = 0.3  // half the width of the widest line
)

// Colours and widths by which parts of a page are told apart in its PDF.
const (
	inkColour = "#1C2226"
	barWidth  = 0.4
	markWidth = 0.15
)

// checkPrint holds a print to its law.
func checkPrint(t *testing.T, pages []paper, windows []window, cut []byte, paperName, turn string) {
	t.Helper()
	want, err := emittest.ParseSVG(cut)
	if err != nil {
		t.Fatal(err)
	}
	checkSizes(t, pages, want, paperName, turn)
	checkScale(t, pages)
	checkMarks(t, pages, windows)
	checkLines(t, pages, windows, want, paperName == "one" && turn == "90")
}

func checkSizes(t *testing.T, pages []paper, want emittest.Drawing, paperName, turn string) {
	t.Helper()
	// ISO 216, and 8.5 by 11 inches.
	sides := map[string][2]float64{"a4": {210, 297}, "letter": {215.9, 279.4}}[paperName]
	for i, p := range pages {
		if paperName == "one" {
			w, h := want.Width, want.Height
			if turn == "90" {
				w, h = h, w
			}
			// Margins of 10 mm, and below the blank what is said of it.
			if p.width < w+20 || p.height < h+20+15 || p.width > max(w, 60)+40 || p.height > h+150 {
				t.Errorf("a page of %.1f × %.1f mm for a blank of %.1f × %.1f", p.width, p.height, w, h)
			}
			continue
		}
		low, high := min(p.width, p.height), max(p.width, p.height)
		if math.Abs(low-sides[0]) > pageTolerance || math.Abs(high-sides[1]) > pageTolerance {
			t.Errorf("page %d is %.1f × %.1f mm", i+1, p.width, p.height)
		}
		if turn == "0" && p.width > p.height || turn == "90" && p.width < p.height {
			t.Errorf("turn %s gives a page of %.1f × %.1f mm", turn, p.width, p.height)
		}
	}
}

func checkScale(t *testing.T, pages []paper) {
	t.Helper()
	for i, p := range pages {
		bars := 0
		for _, l := range p.lines {
			if l.filled || l.colour != inkColour || math.Abs(l.width-barWidth) > 1e-6 {
				continue
			}
			bars++
			want := 100.0
			if p.width < 122 { // with its margins
				want = 50
			}
			if length := l.chains[0][0].Dist(l.chains[0][1]); math.Abs(length-want) > scaleTolerance {
				t.Errorf("page %d: the scale bar is %.3f mm", i+1, length)
			}
			if !p.says(fmt.Sprintf("must measure %g mm; print at 100 %%, not fitted to the page", want)) {
				t.Errorf("page %d does not say what to do with the scale bar: %s", i+1, p.text())
			}
		}
		if bars != 1 {
			t.Errorf("page %d has %d scale bars", i+1, bars)
		}
	}
}

func (p paper) text() string {
	var out []string
	for _, w := range p.words {
		out = append(out, w.text)
	}
	return strings.Join(out, " ")
}

func (p paper) says(words string) bool { return strings.Contains(p.text(), words) }

// toBlank takes a point of a page to the blank as it lies on the paper. The margin is 10 mm.
func (w window) toBlank(p geom.Point) geom.Point { return p.Add(geom.Pt(w.X-10, w.Y-10)) }

func checkMarks(t *testing.T, pages []paper, windows []window) {
	t.Helper()
	places := map[int][]geom.Point{}
	for i, p := range pages {
		for _, l := range p.lines {
			if l.filled || l.colour != inkColour || math.Abs(l.width-markWidth) > 1e-6 || len(l.chains) != 3 {
				continue
			}
			mid := boxOf(l.chains).Mid()
			if seen := boxOf(l.chains); !l.clip.Contains(seen.Min) || !l.clip.Contains(seen.Max) {
				t.Errorf("page %d: a mark is not seen whole", i+1)
			}
			n := p.markNumber(t, mid)
			places[n] = append(places[n], windows[i].toBlank(mid))
		}
	}
	for n := 1; n <= len(places); n++ {
		at := places[n]
		if len(at) != 2 {
			t.Errorf("mark %d is on %d sheets", n, len(at))
		} else if d := at[0].Dist(at[1]); d > markTolerance {
			t.Errorf("mark %d is off by %.3f mm", n, d)
		}
	}
	if sheets := len(pages) - 1; sheets > 1 && len(places) < 2 {
		t.Errorf("%d sheets with %d marks", sheets, len(places))
	}
}

// markNumber is what stands on both sides of the seam beside a mark.
func (p paper) markNumber(t *testing.T, mid geom.Point) int {
	t.Helper()
	var found []int
	for _, w := range p.words {
		if n, err := strconv.Atoi(w.text); err == nil && w.box.Mid().Dist(mid) < 6 {
			found = append(found, n)
		}
	}
	if len(found) != 2 || found[0] != found[1] {
		t.Errorf("a mark has the numbers %v", found)
		return 0
	}
	return found[0]
}

// checkLines compares what can be seen on all pages with the cut file.
func checkLines(t *testing.T, pages []paper, windows []window, want emittest.Drawing, turned bool) {
	t.Helper()
	place := func(p geom.Point) geom.Point { // y down, then a quarter turn to the left
		p.Y = want.Height - p.Y
		if turned {
			p = geom.Pt(p.Y, want.Width-p.X)
		}
		return p
	}
	printed := map[string][]geom.Curve{}
	dashed := map[string]bool{}
	for i, p := range pages {
		for _, l := range p.lines {
			dashed[l.colour] = dashed[l.colour] || l.filled
			for _, chain := range l.chains {
				for k := 1; k < len(chain); k++ {
					if a, b, ok := clipped(chain[k-1], chain[k], l.clip); ok {
						printed[l.colour] = append(printed[l.colour], geom.LineFrom(windows[i].toBlank(a), windows[i].toBlank(b)))
					}
				}
			}
		}
	}
	for _, l := range want.Layers {
		var lines []geom.Curve
		for _, c := range emittest.Curves(l) {
			chain := c.Flatten([]geom.Point{c.P}, 0.01)
			for k := 1; k < len(chain); k++ {
				lines = append(lines, geom.LineFrom(place(chain[k-1]), place(chain[k])))
			}
		}
		got := printed[testColours[l.Kind]]
		gap, rim := lineTolerance, lineTolerance
		if dashed[testColours[l.Kind]] { // each dash is printed as what it covers
			gap, rim = gap+dashGap, rim+dashRim
		}
		if off, at := strays(lines, got, gap); off > gap {
			t.Errorf("%s: the cut file's line at %.2f is %.3f mm from what is printed", l.Kind, at, off)
		}
		if off, at := strays(got, lines, rim); off > rim {
			t.Errorf("%s: what is printed at %.2f is %.3f mm from the cut file", l.Kind, at, off)
		}
	}
}

// clipped is the part of a line that lies in a box.
func clipped(p, q geom.Point, box geom.Box) (a, b geom.Point, ok bool) {
	from, to := 0.0, 1.0
	d := q.Sub(p)
	for _, side := range [][2]float64{{-d.X, p.X - box.Min.X}, {d.X, box.Max.X - p.X}, {-d.Y, p.Y - box.Min.Y}, {d.Y, box.Max.Y - p.Y}} {
		switch speed, room := side[0], side[1]; {
		case speed < 0:
			from = max(from, room/speed)
		case speed > 0:
			to = min(to, room/speed)
		case room < 0:
			return a, b, false
		}
	}
	return p.Lerp(q, from), p.Lerp(q, to), from < to
}

// strays is how far the worst point of some lines is from all of others, and where.
// Points are taken every 3 mm and at the ends. What is further than asked for is as far as
// twice that.
func strays(lines, others []geom.Curve, most float64) (worst float64, at geom.Point) {
	boxes := make([]geom.Box, len(others))
	for i, c := range others {
		boxes[i] = geom.BoxOf(c.P, c.Q)
	}
	if len(others) == 0 {
		return math.Inf(1), at
	}
	tree := geom.NewBoxTree(boxes)
	for _, c := range lines {
		n := int(math.Ceil(c.P.Dist(c.Q)/3)) + 1
		for i := range n + 1 {
			p := c.At(float64(i) / float64(n))
			near := tree.Intersecting(geom.BoxOf(p).Grow(2*most), nil)
			d := 2 * most
			for _, k := range near {
				_, off := others[k].Nearest(p)
				d = min(d, off)
			}
			if d > worst {
				worst, at = d, p
			}
		}
	}
	return worst, at
}
