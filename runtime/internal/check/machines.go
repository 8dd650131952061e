package check

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// eachOnMachine looks at every sound piece on every machine of the script.
func (f *facts) eachOnMachine(find func(i int, piece *model.Piece, m *model.Machine) []Found) []Found {
	return f.eachSound(func(i int, piece *model.Piece) []Found {
		var out []Found
		for _, m := range f.Design.Machines {
			out = append(out, find(i, piece, m)...)
		}
		return out
	})
}

// aboutMachine starts a finding about a piece on a machine.
func aboutMachine(piece *model.Piece, m *model.Machine, format string, args ...any) Found {
	return foundf(piece.Site, []*model.Panel{piece.Root}, format, args...).relate(m.Site, "the machine")
}

// curveTooTight warns of curves that a trailing blade cannot follow.
var curveTooTight = Rule{
	ID: "curve-too-tight", Severity: diag.Warning, Title: "a curve is tighter than a machine's knife can follow",
	find: func(f *facts) []Found {
		return f.eachOnMachine(func(i int, _ *model.Piece, m *model.Machine) []Found {
			var out []Found
			for _, l := range f.Blanks[i].Layers {
				if tool, _ := m.Tool(string(l.Kind)); tool.Kind == board.Knife {
					out = append(out, f.tightest(i, m, l, tool.Offset)...)
				}
			}
			return out
		})
	},
}

// tightest tells of the tightest curve of a layer whose radius is less than the offset
// of the knife that makes it: the axis would have to go round it by more than 45 degrees
// ahead of the blade. A rounded corner and the one beside it are one trouble with one cure.
func (f *facts) tightest(i int, m *model.Machine, l blank.Layer, offset float64) []Found {
	least, at := offset-shown, geom.Point{}
	for _, s := range l.Strokes {
		for _, c := range s.Curves {
			if r, t := c.LeastRadius(); exceeds(least, r) {
				least, at = r, c.At(t)
			}
		}
	}
	spot := f.Lines[i].FeatureAt(at)
	if least == offset-shown || spot.Panel == nil {
		return nil
	}
	g := foundf(spot.Site(), []*model.Panel{spot.Panel}, "a curve of %s has a radius of %s, and the knife of machine %q trails by %s", spot, mm(least), m.Name, mm(offset)).
		relate(m.Site, "the machine").
		hint("a radius of %s or more, or a sharp corner, would do", short(offset))
	g.At = &at
	return []Found{g}
}

// pathUncompensated notes which machines lead no tool: their files hold the lines
// themselves, and the machine has to do it.
var pathUncompensated = Rule{
	ID: "path-uncompensated", Severity: diag.Note, Title: "a machine's file leaves the offset or the kerf of a tool to the machine",
	find: func(f *facts) []Found {
		return f.eachOnMachine(func(i int, piece *model.Piece, m *model.Machine) []Found {
			tool, _ := m.Tool(string(blank.CutLine))
			what, v := "the offset of its knife", tool.Offset
			if tool.Kind == board.Beam {
				what, v = "the kerf of its beam", tool.Kerf
			}
			if v == 0 || tool.Compensate || len(f.Blanks[i].Layers) == 0 {
				return nil
			}
			return []Found{aboutMachine(piece, m, "the file of piece %q for machine %q holds its lines as they are; %s, %s, is left to the machine",
				piece.Name, m.Name, what, mm(v)).
				hint("compensate = True would write the way of the axis")}
		})
	},
}

// mostBelow is how far below the board a blade may be set, mm, before that is taken for a slip
// of the hand: cutting mats are a millimetre or two thick (common practice, no source).
const mostBelow = 1.0

// toolDepth warns of depths that do not fit the board.
var toolDepth = Rule{
	ID: "tool-depth", Severity: diag.Warning, Title: "a machine's tool goes too deep for the board, or not through it",
	find: func(f *facts) []Found {
		return f.eachOnMachine(func(i int, piece *model.Piece, m *model.Machine) []Found {
			var out []Found
			for _, l := range f.Blanks[i].Layers {
				tool, _ := m.Tool(string(l.Kind))
				if tool.Depth == nil {
					continue
				}
				fault, cure := depthFault(*tool.Depth, piece.Board.Caliper, l.Kind == blank.CutLine || l.Kind == blank.PerforatedLine)
				if fault == "" {
					continue
				}
				out = append(out, aboutMachine(piece, m, "the %s of machine %q is set %s deep for lines of kind %q, and board %q is %s thick: %s",
					tool.Kind, m.Name, mm(*tool.Depth), l.Kind, piece.Board.Name, mm(piece.Board.Caliper), fault).
					hint("%s", cure))
			}
			return out
		})
	},
}

// depthFault says what is wrong with a depth for lines that are to go through the board or not,
// and what would do; both are "" where nothing is.
func depthFault(depth, caliper float64, through bool) (fault, cure string) {
	switch goes := exceeds(depth+shown, caliper); {
	case through && !goes:
		return "it does not go through", fmt.Sprintf("more than the caliper, %s, would do", mm(caliper))
	case !through && goes:
		return "it would go through", fmt.Sprintf("less than the caliper, %s, would do", mm(caliper))
	case through && exceeds(depth, caliper+mostBelow):
		return fmt.Sprintf("it would go %s into what lies below", mm(depth-caliper)), fmt.Sprintf("a little more than the caliper, %s, would do", mm(caliper))
	}
	return "", ""
}

// linesUnmade tells which lines of a piece a machine has no tool for: a note, and a
// warning where a file for that machine is asked for.
var linesUnmade = Rule{
	ID: "lines-unmade", Severity: diag.Warning, Title: "a machine has no tool for some lines of a piece",
	find: func(f *facts) []Found {
		return f.eachOnMachine(func(i int, piece *model.Piece, m *model.Machine) []Found {
			var kinds []string
			for _, l := range f.Blanks[i].Layers {
				if !m.Makes(string(l.Kind)) {
					kinds = append(kinds, fmt.Sprintf("%q", l.Kind))
				}
			}
			if len(kinds) == 0 {
				return nil
			}
			g := aboutMachine(piece, m, "machine %q has no tool for lines of kind %s, so that its file of piece %q is without them",
				m.Name, strings.Join(kinds, ", "), piece.Name).
				hint("name one in its tools, as in {%s: %s()}, or make these lines elsewhere", kinds[0], likelyTool(m, kinds[0]))
			g.Mild = !f.asked(m)
			return []Found{g}
		})
	},
}

// likelyTool is the tool that such a machine would make lines of a quoted kind with: a machine
// with a beam does all with it.
func likelyTool(m *model.Machine, kind string) board.ToolKind {
	cuts, _ := m.Tool(string(blank.CutLine))
	switch kind {
	case fmt.Sprintf("%q", blank.ScoreLine), fmt.Sprintf("%q", blank.BackScoreLine):
		if cuts.Kind != board.Beam {
			return board.Wheel
		}
	case fmt.Sprintf("%q", blank.DrawnLine):
		if cuts.Kind != board.Beam {
			return board.Pen
		}
	}
	if cuts.Kind == board.Beam {
		return board.Beam
	}
	return board.Knife
}

// programmed reports whether a piece has a program on a machine.
func (f *facts) programmed(piece *model.Piece, m *model.Machine) bool {
	for _, p := range f.Programs {
		if p.Piece == piece && p.Machine == m.Machine {
			return true
		}
	}
	return false
}

// asked reports whether a machine's files are.
func (f *facts) asked(m *model.Machine) bool {
	for _, a := range f.Machines {
		if a == m {
			return true
		}
	}
	return false
}

// cutLost warns of what compensation leaves nothing of.
var cutLost = Rule{
	ID: "cut-lost", Severity: diag.Warning, Title: "a cut is narrower than what a machine's tool takes away",
	find: func(f *facts) []Found {
		var out []Found
		for _, p := range f.Programs {
			out = append(out, f.lostOf(p)...)
		}
		return alike(out)
	},
}

// lostOf is what a program leaves out; the narrow openings of one panel or window are one finding, with their length.
func (f *facts) lostOf(p *toolpath.Program) (out []Found) {
	type opening struct {
		panel *model.Panel
		site  string
	}
	type openings struct {
		found, places int
		length        float64
	}
	narrow := map[opening]openings{}
	for _, l := range p.Lost {
		g := f.ofProgram(p, l.At, "leaves out "+l.Text)
		if l.Kerf == 0 {
			out = append(out, g)
			continue
		}
		key := opening{g.Panels[0], fmt.Sprint(g.Site)}
		n, known := narrow[key]
		if !known {
			n.found = len(out)
			out = append(out, g)
		}
		n.places++
		n.length += l.Length
		narrow[key] = n
		switch first := &out[n.found]; {
		case n.places > 1 && n.length > 0:
			first.Message = fmt.Sprintf("machine %q leaves out %.2f mm of the outline, at %d openings narrower than the kerf of %.2f mm", p.Machine.Name, n.length, n.places, l.Kerf)
		case n.places > 1:
			first.Message = fmt.Sprintf("machine %q leaves out a little at %d openings narrower than the kerf of %.2f mm", p.Machine.Name, n.places, l.Kerf)
		}
	}
	return out
}

// madeOtherwise tells of what a program has not as it was asked for, though all lines are made.
var madeOtherwise = Rule{
	ID: "made-otherwise", Severity: diag.Warning, Title: "a machine's file is not all that was asked for",
	find: func(f *facts) []Found {
		var out []Found
		for _, p := range f.Programs {
			for _, n := range p.Told {
				g := f.ofProgram(p, n.At, "could not do all: "+n.Text)
				g.Mild = n.Minor
				out = append(out, g)
			}
		}
		return alike(out)
	},
}

// ofProgram is a finding about a place on a machine's piece.
func (f *facts) ofProgram(p *toolpath.Program, at geom.Point, text string) Found {
	spot, panel, site := f.Lines[pieceIndex(f.Design, p.Piece)].FeatureAt(at), p.Piece.Root, p.Piece.Site
	if spot.Panel != nil {
		panel, site = spot.Panel, spot.Site()
	}
	g := foundf(site, []*model.Panel{panel}, "machine %q %s", p.Machine.Name, text)
	for _, m := range f.Design.Machines {
		if m.Machine == p.Machine {
			g = g.relate(m.Site, "the machine")
		}
	}
	g.At = &at
	return g
}

// alike tells what is said alike of one window or panel once, with its number.
func alike(all []Found) []Found {
	type same struct {
		panel      *model.Panel
		site, text string
	}
	var out []Found
	number, first := map[same]int{}, map[same]int{}
	for _, g := range all {
		key := same{g.Panels[0], fmt.Sprint(g.Site), g.Message}
		if number[key]++; number[key] > 1 {
			out[first[key]].Message = fmt.Sprintf("%s, and %d more like it", g.Message, number[key]-1)
			continue
		}
		first[key] = len(out)
		out = append(out, g)
	}
	return out
}

func pieceIndex(d *model.Design, piece *model.Piece) int {
	for i, p := range d.Pieces {
		if p == piece {
			return i
		}
	}
	return 0
}
