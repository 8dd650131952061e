package main

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

func TestLayoutWritesASheet(t *testing.T) {
	desk(t, tray)
	cli("layout", "tray.star", "--sheet", "200x140", "--gap", "0", "--margin", "5", "--count", "7").wants(t, engine.Clean, "",
		"tray.star: 6 × tray on a sheet, yield", "as bounding boxes); 2 sheets for 7 sets; wrote layout.cut.svg, layout.cut.dxf, layout.svg and layout.json in tray",
		"caution: Cutting")
	files := folder(t, "tray")
	for name, holds := range map[string]string{
		"layout.cut.svg": `width="200.0000mm" height="140.0000mm"`,
		"layout.cut.dxf": "LWPOLYLINE",
		"layout.svg":     "6 × tray on a sheet",
		"layout.json":    `"format": "creasewright-layout"`,
	} {
		if !strings.Contains(files[name], holds) {
			t.Errorf("%s holds no %q", name, holds)
		}
	}
	cli("layout", "tray.star", "--sheet", "200x140", "--gap", "0", "--margin", "5", "--count", "7").wants(t, engine.Clean, "", "files up to date in tray")
	if !reflect.DeepEqual(folder(t, "tray"), files) {
		t.Error("the second run gave other bytes")
	}
}

// Neither make nor layout takes the other's files for its own of an earlier run.
func TestLayoutAndMakeShareAFolder(t *testing.T) {
	desk(t, tray)
	cli("make", "tray.star")
	cli("layout", "tray.star", "--sheet", "4inx4in", "--count", "1")
	cli("make", "tray.star").wants(t, engine.Clean, "", "files up to date in tray")
	if files := folder(t, "tray"); len(files) != 8 {
		t.Errorf("%d files", len(files))
	}
}

func TestLayoutRefuses(t *testing.T) {
	desk(t, tray)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{}, "say what the pieces are laid on: --sheet 700x1000, or --for MACHINE"},
		{[]string{"--sheet", "700x1000", "--for", "x"}, "--sheet and --for both say what the pieces are laid on"},
		{[]string{"--sheet", "700"}, `--sheet takes WIDTHxHEIGHT as in 700x1000, not "700"`},
		{[]string{"--sheet", "700xwide"}, `--sheet takes WIDTHxHEIGHT as in 700x1000, not "700xwide"`},
		{[]string{"--sheet", "700", "1000"}, "--sheet takes both sizes in one word: --sheet 700x1000"},
		{[]string{"--sheet", "700x1000", "other.star"}, "layout takes one script, not 2"},
		{[]string{"--sheet", "70×70"}, `does not fit on a sheet of 70 × 70 mm with a margin of 10 mm`},
		{[]string{"--sheet", "700x1000", "--margin", "3,5"}, `--margin takes a distance as in 3 or 2.5mm, not "3,5"`},
		{[]string{"--sheet", "700x1000", "--gap", "-1"}, `--gap takes a distance as in 3 or 2.5mm, not "-1"`},
		{[]string{"--sheet", "700x1000", "--count", "0"}, "--count 0 is no number of sets"},
		{[]string{"--sheet", "700x1000", "--grain", "z"}, `--grain takes x, y or any, not "z"`},
		{[]string{"--for", "cutter"}, `there is no machine "cutter"`},
		{[]string{"--sheet", "70x70"}, `does not fit on a sheet of 70 × 70 mm with a margin of 10 mm`},
	} {
		cli(append([]string{"layout", "tray.star"}, c.args...)...).wants(t, engine.Broken, "", c.want)
	}
	if _, err := os.Stat("tray"); err == nil {
		t.Error("a folder was made for nothing")
	}
}
