package blank

import (
	"regexp"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
)

// okabeIto are the colours of the set (Wong, Nature Methods 8:441, 2011).
var okabeIto = []string{"#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}

// Every kind has a colour of its own from the set, and the names and codes that
// open standards give it: ISO 19593-1, table of Structural types, and the line
// codes of the FEFCO code (values from memory).
func TestFactsOfKinds(t *testing.T) {
	standards := map[Kind][2]string{
		"cut": {"Cutting", "CL"}, "score": {"Creasing", "CI"}, "back-score": {"ReverseCreasing", "CO"},
		"part-cut": {"PartialCutting", "SI"}, "back-part-cut": {"ReversePartialCutting", "SO"},
		"perforated": {"Perforating", "PL"}, "drawn": {},
	}
	if len(kinds) != len(standards) || len(kindFacts) != len(standards) || kinds[len(kinds)-1] != CutLine {
		t.Errorf("kinds %v", kinds)
	}
	var colours []string
	var indices []int
	for _, k := range kinds {
		f := k.Facts()
		if got := [2]string{f.Structural, f.FEFCO}; got != standards[k] {
			t.Errorf("%s is %v, want %v", k, got, standards[k])
		}
		if !slices.Contains(okabeIto, f.Colour) || slices.Contains(colours, f.Colour) || slices.Contains(indices, f.ColourIndex) {
			t.Errorf("%s is %s, index %d", k, f.Colour, f.ColourIndex)
		}
		colours, indices = append(colours, f.Colour), append(indices, f.ColourIndex)
		if !regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`).MatchString(string(k)) {
			t.Errorf("%q makes no good layer name", k)
		}
	}
	if black := CutLine.Facts(); black.Colour != "#000000" || Kind("").Facts() != (KindFacts{}) {
		t.Errorf("the cut is %v", black)
	}
}

// The kinds for which a machine may name a tool are those that a blank has.
func TestMachinesHaveToolsForEveryKind(t *testing.T) {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	if got := board.Lines(); !slices.Equal(got, names) {
		t.Errorf("machines have tools for %q, blanks have %q", got, names)
	}
}
