package check

import (
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelCutInTwo warns of panels that a window or a slit leaves in parts of which
// one falls off, and notes those that hang together by other panels only.
var panelCutInTwo = Rule{
	ID: "panel-cut-in-two", Severity: diag.Warning, Title: "a window or a slit cuts a panel in two",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			// Rings of a panel's board: each part of the blank gives its outer boundary to all panels
			// it holds board of. A panel with more than one is in pieces.
			parts := f.parts(i)
			rings := map[*model.Panel][][]geom.Curve{}
			for _, p := range parts {
				for _, panel := range p.Panels {
					if !p.Inner {
						rings[panel] = append(rings[panel], p.Ring)
					}
				}
			}
			hold := f.limit(board.Web, piece)
			var out []Found
			for _, sheet := range f.Blanks[i].Regions {
				if f.ended() {
					return nil
				}
				if shares, slits := sharesOf(sheet, rings[sheet.Panel]); len(shares) > 1 {
					out = append(out, f.cutFound(i, sheet.Panel, shares, slits, parts, hold))
				}
			}
			return out
		})
	},
}

// parts are the parts that the cuts of a piece leave, none where they leave it
// whole or where they cannot be told.
func (f *facts) parts(i int) []linework.Part {
	if f.parted == nil {
		f.parted = make([][]linework.Part, len(f.Lines))
		for k, lines := range f.Lines {
			// Of lines that cannot be traced the blank has told.
			f.parted[k], _ = lines.Parts(f.ctx)
		}
	}
	return f.parted[i]
}

// sharesOf gives the boundaries of the areas that a panel's board is in: as
// windows leave it, or else as slits part it right across, in parts with some
// rings.
func sharesOf(s blank.Region, rings [][]geom.Curve) (shares [][]geom.Curve, slits bool) {
	for _, r := range s.Rings {
		if exceeds(areaIn(r), sliver) {
			shares = append(shares, r)
		}
	}
	if len(shares) > 1 {
		return shares, false
	}
	return rings, true
}

// sliver is the area in mm² that nobody misses.
const sliver = 0.01

// areaIn is the area that curves enclose, mm², by the sum of what each takes in with the origin;
// negative round a hole.
func areaIn(curves []geom.Curve) float64 {
	sum := 0.0
	for _, c := range curves {
		sum += c.Area()
	}
	return sum
}

// cutFound is the finding about a panel in parts, told at what cuts it.
func (f *facts) cutFound(i int, p *model.Panel, shares [][]geom.Curve, slits bool, parts []linework.Part, hold held) Found {
	least := slices.MinFunc(shares, func(a, b []geom.Curve) int {
		switch {
		case exceeds(areaIn(b), areaIn(a)):
			return -1
		case exceeds(areaIn(a), areaIn(b)):
			return 1
		}
		return 0
	})
	spot := f.culprit(i, least, slits)
	panels := []*model.Panel{p}
	if spot.Panel != nil && spot.Panel != p {
		panels = append(panels, spot.Panel)
	}
	g := foundf(spot.Site(), panels, "%s cuts panel %q into %d parts; the smallest is %.2f mm²", spot, p.Name, len(shares), areaIn(least)).
		relate(p.Site, "the panel").
		hint("%s of board left at one end would hold it together", mm(hold.value))
	// The first part is the piece itself; what lies in another falls off.
	g.Mild = true // the parts hang together by other panels, and fold as before
	for k, part := range parts {
		if k > 0 && slices.Contains(part.Panels, p) {
			g.Mild = false
			g.Message += fallsOff(part, p)
			g.Blames = append(g.Blames, part.Panels...)
		}
	}
	at := least[0].At(0.5)
	g.At = &at
	return g
}

// fallsOff says what falls off with a part of a panel.
func fallsOff(part linework.Part, but *model.Panel) string {
	others := slices.DeleteFunc(slices.Clone(part.Panels), func(p *model.Panel) bool { return p == but })
	if len(others) == 0 {
		return ", and one falls off"
	}
	return ", and one falls off with " + quoted(others)
}

// culprit is the slit along a boundary, or else the window, that was made last.
func (f *facts) culprit(i int, boundary []geom.Curve, slits bool) (last linework.Feature) {
	// What cuts of the kind asked for goes before the other kind, that before a panel's own edge,
	// and that before a line that belongs to nothing.
	rank := func(s linework.Feature) int {
		switch {
		case s.Panel == nil:
			return 0
		case !isWork(s):
			return 1
		case (s.Work != nil) != slits:
			return 2
		}
		return 3
	}
	for _, c := range boundary {
		s := f.Lines[i].FeatureAt(c.At(0.5))
		if rank(s) > rank(last) || rank(s) == rank(last) && rank(s) > 0 && before(s, last) {
			last = s
		}
	}
	return last
}

// partFallsOut warns of board that slits cut out all round although there is
// something on it that was meant to stay. Plain board that falls out is waste.
var partFallsOut = Rule{
	ID: "part-falls-out", Severity: diag.Warning, Title: "a part falls out with something on it that was meant to stay",
	after: []string{"panel-cut-in-two"},
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			hold := f.limit(board.Web, piece)
			var out []Found
			for k, part := range f.parts(i) {
				// An inner part lies within a closed cut; the first part is the piece itself.
				if k == 0 || !part.Inner {
					continue
				}
				// A part with nothing on it is a hole that was meant.
				if on := carried(part); on != "" {
					spot := f.culprit(i, part.Ring, true)
					g := foundf(spot.Site(), laterFirst(part.Panels), "%s closes a cut round %.2f mm² of board, which falls out with %s on it",
						spot, part.Area, on).
						hint("%s left uncut would hold it", mm(hold.value))
					at := part.Ring[0].At(0.5)
					g.At = &at
					out = append(out, g)
				}
			}
			return out
		})
	},
}

// carried names what was worked on a part, "" for plain board.
func carried(part linework.Part) string {
	var on []string
	if len(part.Hinges) > 0 {
		on = append(on, "hinge "+quotedHinges(part.Hinges))
	}
	if n := len(part.Scores); n > 0 {
		on = append(on, counted(n, "score"))
	}
	return strings.Join(slices.Compact(on), " and ")
}
