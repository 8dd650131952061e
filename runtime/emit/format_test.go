package emit_test

import (
	"context"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

func formatOf(t *testing.T, k emit.Kind) emit.Format {
	t.Helper()
	f, ok := emit.Formats().Of(k)
	if !ok {
		t.Fatalf("there is no format %q", k)
	}
	return f
}

func recognised(f emit.Format, text string) bool {
	return f.Check(context.Background(), []byte(text)) == nil
}

// leastBetween is what the shortest file of a kind has between its beginning and its end, where
// that is looked at: a plotter's has nothing.
var leastBetween = map[emit.Kind]string{
	emit.KindGLB:          "\x18\x00\x00\x00\x04\x00\x00\x00JSON{}  ",
	emit.KindSTL:          strings.Repeat(" ", 80-len("Creasewright: one piece, closed, in mm")) + "\x00\x00\x00\x00",
	emit.KindMachineHPGL:  "",
	emit.KindMachineGCode: ")",
	emit.KindCutDXF:       "", emit.KindMachineDXF: "", emit.KindLayoutDXF: "",
}

// Each row says all that a row must: a kind and a name of its own, and how its
// files are recognised, of which some have an end that is always the same. The report is last, and nothing is recognised as two
// formats that are written side by side unless both are drawings.
func TestTheTableIsWhole(t *testing.T) {
	formats := emit.Formats()
	kinds, names := map[emit.Kind]bool{}, map[string]bool{}
	for _, f := range formats {
		if f.Kind == "" || kinds[f.Kind] || f.Name == "" || names[f.Name] || f.Head == "" {
			t.Errorf("the row of %q says too little, or what another says", f.Kind)
		}
		kinds[f.Kind], names[f.Name] = true, true
		if f.Piece != nil && f.From != emit.FromPiece || f.Design != nil && f.From != emit.FromDesign || (f.Program != nil) != (f.From == emit.FromProgram) {
			t.Errorf("%s is made from what it is not", f.Kind)
		}
		if f.Unwritten && !f.Asked {
			t.Errorf("%s is made by every run and never written", f.Kind)
		}
		if f.From == emit.FromPiece && f.When == emit.WithFault {
			t.Errorf("%s is of a piece, and a fault has none", f.Kind)
		}
		least := f.Head + f.Tail
		if whole, ok := leastBetween[f.Kind]; !ok {
			leastBetween[f.Kind] = ">"
		} else if recognised(f, least) != (whole == "") {
			t.Errorf("%s: its beginning and end are not enough", f.Kind)
		}
		if !recognised(f, f.Head+leastBetween[f.Kind]+f.Tail) || recognised(f, least[1:]) || recognised(f, least[:len(least)-1]) {
			t.Errorf("%s: recognised by other than its beginning and end", f.Kind)
		}
	}
	if last := formats[len(formats)-1]; last.Kind != emit.KindReport {
		t.Errorf("the last file is %s", last.Kind)
	}
}

// The files of a run by how it ended, as the contract of commands and files has
// them; what is made only when asked for comes when it is.
func TestFilesOfARun(t *testing.T) {
	table := slices.Insert(emit.Formats(), len(emit.Formats())-1, emit.Format{Traits: emit.Traits{Kind: "toy", From: emit.FromDesign, When: emit.WithErrors, Asked: true}, Name: "toy.txt"})
	for _, c := range []struct {
		ending emit.When
		also   []emit.Kind
		want   []string
	}{
		{emit.WhenClean, nil, []string{"a.cut.svg", "a.cut.dxf", "b.cut.svg", "b.cut.dxf", "preview.svg", "report.json"}},
		{emit.WithErrors, nil, []string{"preview.svg", "report.json"}},
		{emit.WithFault, nil, []string{"preview.svg"}},
		{emit.WithErrors, []emit.Kind{"toy", "cut-svg"}, []string{"preview.svg", "toy.txt", "report.json"}},
		{emit.WithFault, []emit.Kind{"toy"}, []string{"preview.svg"}},
		{emit.WithFault + 1, []emit.Kind{"toy"}, nil},
	} {
		var got []string
		for _, f := range table.Files(c.ending, []string{"a", "b"}, emit.Asked{Also: c.also}) {
			got = append(got, f.Name)
			if f.Format.From == emit.FromPiece && f.Name != []string{"a", "b"}[f.Piece]+f.Format.Name {
				t.Errorf("%s is of piece %d", f.Name, f.Piece)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("ending %d, also %v: %v, want %v", c.ending, c.also, got, c.want)
		}
	}
	targets := []emit.Target{{Machine: "die", Kind: emit.KindMachineDXF}, {Machine: "laser", Kind: emit.KindMachineSVG}}
	var got []string
	for _, f := range table.Files(emit.WhenClean, []string{"a", "b"}, emit.Asked{Targets: targets}) {
		if f.Format.From == emit.FromProgram {
			got = append(got, f.Name)
			if f.Format.Kind != targets[f.Target].Kind || f.Name[:1] != []string{"a", "b"}[f.Piece] {
				t.Errorf("%s is of piece %d for machine %d", f.Name, f.Piece, f.Target)
			}
		}
	}
	if want := []string{"a.die.dxf", "a.laser.svg", "b.die.dxf", "b.laser.svg"}; !slices.Equal(got, want) {
		t.Errorf("files for machines: %v, want %v", got, want)
	}
	if files := table.Files(emit.WithErrors, []string{"a"}, emit.Asked{Targets: targets}); len(files) != 2 {
		t.Errorf("a design with errors has %d files, for machines too", len(files))
	}
	if got := table.Only([]emit.Kind{"report", "toy"}).Kinds(); !reflect.DeepEqual(got, []emit.Kind{"toy", "report"}) {
		t.Errorf("only two kinds: %v", got)
	}
}

func TestFilesThatDoHarm(t *testing.T) {
	svg := formatOf(t, emit.KindPreview)
	head := svg.Head
	for name, c := range map[string]struct {
		text string
		want bool
	}{
		"plain":           {head + `width="1mm"><g id="cut"><path d="M0 0"/></g></svg>` + "\n", true},
		"text":            {head + `><text x="1">3 &lt; 4 onload="x" 'href'</text></svg>` + "\n", true},
		"script":          {head + `><script>x()</script></svg>` + "\n", false},
		"event":           {head + `><g onload="x()"/></svg>` + "\n", false},
		"link":            {head + `><a href="x"/></svg>` + "\n", false},
		"image":           {head + `><image href="http://x"/></svg>` + "\n", false},
		"style":           {head + `><g style="fill:url(http://x)"/></svg>` + "\n", false},
		"sheet of places": {head + `><style>@media screen{svg:root{width:100%}}.cell{transform:translate(1px,-2px)}</style>` + "\n<g/></svg>\n", true},
		"sheet that asks": {head + `><style>svg:root{background:url(x)}</style></svg>` + "\n", false},
		"sheet by entity": {head + `><style>svg:root{background:&#117;rl(x)}</style></svg>` + "\n", false},
		"sheet by escape": {head + `><style>svg:root{background:\75rl(x)}</style></svg>` + "\n", false},
		"sheet by quotes": {head + `><style>@import "x";</style></svg>` + "\n", false},
		"sheet with more": {head + `><style type="text/css">@import "x";</style></svg>` + "\n", false},
		"second sheet":    {head + `><style></style><g/><style>a{}</style></svg>` + "\n", false},
		"foreign":         {head + `><foreignObject/></svg>` + "\n", false},
		"entity":          {head[:len(head)-5] + `<!DOCTYPE svg [<!ENTITY x "y">]><svg></svg>` + "\n", false},
		"comment":         {head + `><!-- x --></svg>` + "\n", false},
		"half quoted":     {head + `><g id="a>" onload="x"/></svg>` + "\n", false},
		"other quotes":    {head + `><g id='a""> ' onload="x"/></svg>` + "\n", false},
		"spaced":          {head + `><g id = "a" /></svg>` + "\n", false},
		"broken line":     {head + "><g\nonload=\"x\"/></svg>\n", false},
		"tag within":      {head + `><g id="<g"/></svg>` + "\n", false},
		"never ends":      {head + `><g`, false},
		"outside fill":    {head + `><rect fill="url(http://x/#a)"/></svg>` + "\n", false},
		"own fill":        {head + `><rect fill="url(#hatch)"/></svg>` + "\n", true},
		"other language":  {head + `xmlns:x="http://www.w3.org/1999/xhtml"></svg>` + "\n", false},
		"half":            {head + `><g>`, false},
		"not XML":         {"#!/bin/sh\n", false},
		"nothing":         {"", false},
		"another's names": {head + `><x:script/></svg>` + "\n", false},
	} {
		if got := recognised(svg, c.text); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
