package contact

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// lineBand is how wide, in mm, a cut or perforated line under glue counts for:
// glue squeezes through and does not hold beside it (common practice, no
// source).
const lineBand = 1.0

// mostTiltSine is the sine of the angle, 30°, over which a glued panel lies so badly on
// its target that there is no common ground to speak of.
const mostTiltSine = 0.5

// Cover is how well a glued panel finds board to be glued to, in the pose
// "closed". Areas are mm² of the glued panel's own board.
// Off and Holes share no ground. Lines is a length times lineBand, so that bands
// which overlap count twice; Share is cut off at 1 for that reason.
type Cover struct {
	Join  *model.Join
	Area  float64 // the glued panel's board
	Off   float64 // of it beyond the target's outline
	Holes float64 // of it over what windows took from the target
	Lines float64 // of it over cut and perforated lines, lineBand wide
	Share float64 // of the whole that finds no board, 0…1
}

// Covers looks at every tab and glue of the piece whose panels have a place.
// Call it for the pose "closed".
// They come in the order of the piece's joins. A join whose glued board has no area
// is left out.
func (p *Posed) Covers(ctx context.Context) ([]Cover, error) {
	var out []Cover
	for _, j := range p.Piece.Joins {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		a, b := p.index[j.A.Panel], p.index[j.B.Panel]
		if j.Kind != model.TabJoin && j.Kind != model.GlueJoin || !p.plates[a].ok || !p.plates[b].ok {
			continue
		}
		glued := p.plates[a].body.Rings
		if j.Area != nil {
			part, err := region.Intersect(glued, []blank.Ring{j.Area.Curves()})
			if err != nil {
				continue // rings that do not close are a fault of the blank, told there
			}
			glued = part
		}
		if c := p.cover(&p.plates[a], glued, &p.plates[b], p.gapStrip(j, &p.plates[a])); c.Area > 0 {
			c.Join = j
			out = append(out, c)
		}
	}
	return out, nil
}

// gapStrip is the area of a tab's board that the gap asked for keeps off its
// target: as far as that from its hinge.
func (p *Posed) gapStrip(j *model.Join, tab *plate) float64 {
	if j.Gap <= 0 || j.B.Edge == nil || j.A.Panel.Role != model.TabRole {
		return 0
	}
	b := j.A.Panel.Outline.Bounds()
	corners := []geom.Point{{X: b.Min.X, Y: b.Min.Y}, {X: b.Max.X, Y: b.Min.Y}, {X: b.Max.X, Y: j.Gap}, {X: b.Min.X, Y: j.Gap}}
	var strip blank.Ring
	for k, q := range corners {
		strip = append(strip, geom.LineFrom(q, corners[(k+1)%len(corners)]))
	}
	return region.OverlapArea(tab.body.Rings, []blank.Ring{strip})
}

// cover lays rings of body a on body b along b's normal. Of what lies beyond b's outline
// the area asked is meant.
// The rings are laid flat by a rotation (level), not projected, so their area stays;
// under a tilt of α places are off by about 1 − cos α of their distance from the
// origin of a's frame, 13 % at the most that mostTiltSine lets through.
func (p *Posed) cover(a *plate, glued []blank.Ring, b *plate, asked float64) Cover {
	c := Cover{Area: ringArea(glued)}
	// Tilted so far, a shadow on the target says nothing: no board is found.
	if a.normal.Cross(b.normal).Len() > mostTiltSine {
		c.Off, c.Share = c.Area, 1
		return c
	}
	rings := laidRings(glued, a.onto(b).InPlane(geom.Point{}))
	// The outline filled in and the board that windows leave: their difference is what glue finds
	// open.
	onOutline := region.OverlapArea(rings, []blank.Ring{b.body.Panel.Outline.Curves()})
	onBoard := region.OverlapArea(rings, b.body.Rings)
	c.Off, c.Holes = max(0, c.Area-onOutline-asked), max(0, onOutline-onBoard)
	loops := make([][]geom.Point, len(rings))
	for i, r := range rings {
		loops[i], _ = flatten(r)
	}
	c.Lines = lineBand * p.linesUnder(b.body, loops)
	c.Share = min(1, (c.Off+c.Holes+c.Lines)/c.Area)
	return c
}

// ringArea is the area of board inside rings.
// It is the sum of what each curve adds (Green's theorem): counter-clockwise rings
// count positive, holes negative.
func ringArea(rings []blank.Ring) float64 {
	sum := 0.0
	for _, r := range rings {
		for _, c := range r {
			sum += c.Area()
		}
	}
	return sum
}

// linesUnder is the length of slits and perforations in body b, whichever panel
// they were worked on, that lies inside loops given in b's frame.
// A line that is worked twice counts twice. Paths are taken as chords within Flatten.
func (p *Posed) linesUnder(b *Body, loops [][]geom.Point) float64 {
	// Works run on over hinges in the blank, so all of the piece's are looked at in b's frame.
	home := b.Panel.Flat.Inverse()
	sum := 0.0
	for _, q := range p.Piece.Panels {
		for _, w := range q.Works {
			if w.Kind != model.Slit && w.Kind != model.Perforation {
				continue
			}
			pts := w.Path.Transform(q.Flat.Then(home)).Flatten(Flatten)
			if w.Path.Closed {
				pts = append(pts, pts[0])
			}
			for i := 1; i < len(pts); i++ {
				sum += lengthIn(pts[i-1], pts[i], loops, b.Loops)
			}
		}
	}
	return sum
}

// lengthIn is the length of the part of a segment that lies in both regions.
// Stretches of geom.SnapTolerance or less are left out (common).
func lengthIn(p, q geom.Point, a, b [][]geom.Point) float64 {
	length := p.Dist(q)
	if length == 0 {
		return 0
	}
	dir, sum := q.Sub(p).Mul(1/length), 0.0
	within := []Stretch{{0, length}}
	for _, v := range common(common(Along(a, p, dir), Along(b, p, dir)), within) {
		sum += v.Length()
	}
	return sum
}
