package check

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
)

// structuresFolder holds a catalogue of common structures, each as a designer
// writes it, and beside each NAME.star a file NAME.faults of what goes wrong
// with it.
const structuresFolder = "../../../testdata/structures"

// plantedFault is one entry of a .faults file. An entry is a title on a line
// that begins with "# " and then lines that begin with a mark:
//
//   - text    a text that stands once in the script,
//   - text    and what is put in its place, nothing to remove it
//     @ text    what only the line of the next finding holds
//     ! text    rule and message of a finding
//     ? text    its hint
//     = cure    what follows is put in the place of what the fault left
//
// Entries are kept apart by lines of dashes. A fault's findings are all that is
// found, notes aside, and its cure leaves none.
type plantedFault struct {
	title       string
	fault, cure [][2]string
	found       []expectedFinding
}

type expectedFinding struct{ at, says, hint string }

func readPlanted(t *testing.T, file string) []plantedFault {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out []plantedFault
	for entry := range strings.SplitSeq(string(text), "\n---\n") {
		var p plantedFault
		into := &p.fault
		for line := range strings.SplitSeq(strings.TrimSpace(entry), "\n") {
			mark, rest := line[:min(1, len(line))], strings.TrimPrefix(line[min(1, len(line)):], " ")
			last := len(p.found) - 1
			switch {
			case mark == "#":
				p.title = rest
			case mark == "-":
				*into = append(*into, [2]string{rest})
			case mark == "+" && len(*into) > 0:
				(*into)[len(*into)-1][1] = rest
			case mark == "@":
				p.found = append(p.found, expectedFinding{at: rest})
			case mark == "!" && last >= 0:
				p.found[last].says = rest
			case mark == "?" && last >= 0:
				p.found[last].hint = rest
			case mark == "=":
				into = &p.cure
			default:
				t.Fatalf("%s: %q says nothing", file, line)
			}
		}
		out = append(out, p)
	}
	return out
}

// replaced puts texts in the place of others, each of which stands once.
func replaced(t *testing.T, text string, pairs [][2]string) string {
	t.Helper()
	for _, p := range pairs {
		if n := strings.Count(text, p[0]); n != 1 {
			t.Fatalf("%q stands %d times in the script", p[0], n)
		}
		text = strings.Replace(text, p[0], p[1], 1)
	}
	return text
}

// judged gives the findings of a script, notes aside, one a line: the place in
// the script, rule and message, hint.
func judged(t *testing.T, text string) []string {
	t.Helper()
	found, waived := examineText(t, text)
	if len(waived) > 0 {
		t.Errorf("%d findings are waived", len(waived))
	}
	var out []string
	for _, f := range found {
		if f.Severity > diag.Note {
			out = append(out, fmt.Sprintf("%d %s: %s ? %s", f.Site.First().Line, f.Rule, f.Message, f.Hint))
		}
	}
	return out
}

func (p *plantedFault) expected(t *testing.T, text string) []string {
	t.Helper()
	var out []string
	lines := strings.Split(text, "\n")
	for _, e := range p.found {
		at := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, e.at) })
		if at < 0 || slices.ContainsFunc(lines[at+1:], func(l string) bool { return strings.Contains(l, e.at) }) {
			t.Errorf("%q does not stand on one line of the script", e.at)
		}
		out = append(out, fmt.Sprintf("%d %s ? %s", at+1, e.says, e.hint))
	}
	return out
}

// promise is a number that a hint gives a size of the script.
var promise = regexp.MustCompile(`= (-?[0-9.]+)`)

// keepsPromise reports whether a cure is what the hints say: each size that
// they give a number stands in it with that number.
func (p *plantedFault) keepsPromise() bool {
	for _, e := range p.found {
		m := promise.FindStringSubmatch(e.hint)
		if m != nil && !slices.ContainsFunc(p.cure, func(c [2]string) bool { return strings.Contains(c[1], m[1]) }) {
			return false
		}
	}
	return true
}

// Common structures are found clean, waivers apart: of practice that is right
// nothing is said.
func TestStructuresAreClean(t *testing.T) {
	files, err := filepath.Glob(structuresFolder + "/*.star")
	if err != nil || len(files) < 24 {
		t.Fatalf("%d structures, %v", len(files), err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), "allow(") {
			t.Errorf("%s waives a rule", file)
		}
		for _, f := range judged(t, string(text)) {
			t.Errorf("%s:%s", filepath.Base(file), f)
		}
	}
}

// Two faults at least are planted in each structure: what is found is the fault
// at its line and nothing else, and the hint's cure leaves nothing to find.
func TestFaultsInStructures(t *testing.T) {
	files, err := filepath.Glob(structuresFolder + "/*.star")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".star")
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			faults := readPlanted(t, strings.TrimSuffix(file, ".star")+".faults")
			if len(faults) < 2 {
				t.Errorf("%d faults", len(faults))
			}
			for _, p := range faults {
				if len(p.fault) == 0 || len(p.found) == 0 || len(p.cure) == 0 || !p.keepsPromise() {
					t.Errorf("%s: a fault, its findings or the cure that they promise is missing", p.title)
				}
				wrong := replaced(t, string(text), p.fault)
				if got, want := judged(t, wrong), p.expected(t, wrong); !slices.Equal(got, want) {
					t.Errorf("%s: found\n%s\nwant\n%s", p.title, strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
				for _, left := range judged(t, replaced(t, wrong, p.cure)) {
					t.Errorf("%s: after its cure still %s", p.title, left)
				}
			}
		})
	}
}

// structure folds one piece of the catalogue to its closed pose.
func structure(t *testing.T, name string) *simulate.State {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(structuresFolder, name+".star"))
	if err != nil {
		t.Fatal(err)
	}
	store := source.NewStore(func(string) ([]byte, error) { return text, nil })
	design, found := script.Run(context.Background(), store, name+".star", withClosed)
	if design == nil {
		t.Fatal(found)
	}
	pieces, _ := simulated(design, nil)
	return pieces[0].States[0]
}

// Closed by hand, step by step, what is folded first lies further in, a tuck
// behind what it is tucked into, glued board next to what it is glued to. Cells
// are from the outermost panel to the innermost; of an envelope, a wallet and a
// wrapper the panel made first counts as outside. Common practice, no source.
func TestStructuresAreLayeredAsClosedByHand(t *testing.T) {
	for name, cells := range map[string][]string{
		// The tube is glued at the seam. At either end the dust flaps are folded
		// in, the lid over them, and its tuck pushed in behind the front.
		"straight-tuck": {
			"left, seam", "lid top, right dust top", "lid top, left dust top", "front, tuck top",
			"lid bottom, right dust bottom", "lid bottom, left dust bottom", "front, tuck bottom",
		},
		// The same, the floor's tuck behind the back.
		"reverse-tuck": {
			"left, seam", "lid, right dust top", "lid, left dust top", "front, lid tuck",
			"floor, right dust bottom", "floor, left dust bottom", "back, floor tuck",
		},
		// Short flaps in, long flaps on them, at the bottom and, filled, at the top.
		"slotted-case": {
			"left, joint",
			"front bottom, right bottom", "front bottom, left bottom", "back bottom, right bottom", "back bottom, left bottom",
			"front top, right top", "front top, left top", "back top, right top", "back top, left top",
		},
		// The seams are folded in on the back, gummed, the back folded up on the
		// front, the seal flap down on the back.
		"envelope": {
			"front, back", "front, left seam, back", "front, right seam, back",
			"front, back, seal", "front, left seam, back, seal", "front, right seam, back, seal",
		},
		// The seams are folded behind the pocket, and the pocket up on the leaf.
		"wallet": {"leaf, pocket", "leaf, left seam, pocket", "leaf, right seam, pocket"},
		// Petals are folded in round the rim, each on the one before; the last one
		// lies on the first as well.
		"hexagon": {
			"wall 6, seam", "petal 2, petal 1", "petal 3, petal 2", "petal 4, petal 3", "petal 5, petal 4", "petal 6, petal 5", "petal 6, petal 1",
		},
		// Turned shut all at once: each top takes the corner of the next one along,
		// folded over between the two, all round; the last corner's seam is glued
		// inside the fourth top. The floor was closed before, over its dust flaps.
		"twist": {
			"wall 4, seam", "top 1, corner 2, top 2", "top 2, corner 3, top 3", "top 3, corner 4, top 4", "top 4, corner 1, top 1",
			"top 4, top seam", "top 4, top seam, corner 1, top 1",
			"floor, wall 2 dust", "floor, wall 4 dust", "wall 1, floor tuck",
		},
		// The short wall is raised, the long wall, and the web between them is laid
		// round the outside of the short wall, where its near half is glued.
		"webbed-tray": {
			"top left turned, top left back, left", "bottom left turned, bottom left back, left",
			"top right turned, top right back, right", "bottom right turned, bottom right back, right",
		},
		// Front and back are raised, the ears turned in along the sides, then each
		// side is raised outside them and rolled over.
		"roll-over-tray": {"left, front ear right", "left, back ear left", "right, front ear left", "right, back ear right"},
		// The big flap is folded in, the sides over it, the keeper over the sides, its
		// tongue through the gap and behind the big flap. Dust flaps, then the lid.
		"snap-lock": {
			"left, seam", "left bottom, big", "right bottom, big", "keeper, left bottom", "keeper, right bottom", "big, tongue",
			"lid, right dust", "lid, left dust", "front, lid tuck",
		},
		// The back of the header is folded down and glued; the floor and then the
		// lid are closed over their dust flaps.
		"hang-carton": {
			"left, seam", "second layer, header", "floor, right dust bottom", "floor, left dust bottom", "front, floor tuck",
			"lid, right dust top", "lid, left dust top", "back, lid tuck",
		},
		// The bottom is brought up on the top while the sides go in between.
		"waterbomb": {"top, upper left, lower left, bottom", "top, upper right, lower right, bottom"},
		// The sides are rolled in over the dust flaps of front and back, the lid is
		// closed on the rolls, and its front goes in behind the front.
		"mailer": {
			"left, back dust left", "left, front dust right", "right, front dust left", "right, back dust right",
			"lid, left roll", "lid, right roll", "front, lid front",
		},
	} {
		var got []string
		s := structure(t, name)
		for _, stack := range s.Stacks {
			for _, c := range stack.Cells {
				var panels []string
				for _, i := range c.Panels {
					panels = append(panels, s.Piece.Panels[i].Name)
				}
				if len(panels) > 1 && c.Area > crumb {
					got = append(got, strings.Join(panels, ", "))
				}
			}
		}
		slices.Sort(got)
		slices.Sort(cells)
		if got = slices.Compact(got); !slices.Equal(got, cells) {
			t.Errorf("%s: layers\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(cells, "\n"))
		}
	}
}

// crumb is the area, in mm², up to which panels lie on one another by a corner
// that is no part of how they are closed.
const crumb = 5
