package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
)

func TestMakeATable(t *testing.T) {
	desk(t, warned)
	put(t, "sizes.csv", "name;width\nsmall;45,5\nlarge;\n")
	r := cli("make", "tray.star", "--table", "sizes.csv", "--set", "width=70")
	r.wants(t, engine.Clean, "", "tray.star: 2 rows made, 2 with warnings; table.csv lists them in tray\n", "caution: Cutting")
	if strings.Contains(r.err, "failed") || strings.Contains(r.err, "\x1b") || strings.Count(r.err, "caution: Cutting") != 1 {
		t.Errorf("%q", r.err)
	}
	for name, want := range map[string]string{"small": `width="45.5000mm"`, "large": `width="70.0000mm"`} {
		if text := folder(t, "tray/"+name)["tray.cut.svg"]; !strings.Contains(text, want) {
			t.Errorf("%s is not of %s", name, want)
		}
	}
	cli("make", "tray.star", "--table", "sizes.csv", "--part", "2/2", "-o", "out").
		wants(t, engine.Clean, "", "1 row made, 1 with warnings; table-2-of-2.csv lists them in out")
	if entries, err := os.ReadDir("out"); err != nil || len(entries) != 3 {
		t.Errorf("%v, %v", entries, err)
	}
}

// Rows that fail are listed at the end, those that fail alike together, and the
// exit code is that of the worst.
func TestMakeATableWithFailures(t *testing.T) {
	desk(t, faulty)
	put(t, "sizes.csv", "name,width\na,40\nb,300\nc,55\nd,300\n")
	r := cli("make", "tray.star", "--table", "sizes.csv")
	r.wants(t, engine.Broken, "",
		"sizes.csv:3: row \"b\" failed:\nsizes.csv:5: row \"d\" failed:\ntray.star:2:9: error: param \"width\": 300 is more than max = 200\n     2 | ",
		"sizes.csv:4: row \"c\" failed:\ntray.star:7:1: error: the rack takes 50 mm (require)\n",
		"tray.star: 1 row made, 3 failed; table.csv lists them in tray\n")
	put(t, "sizes.csv", "name,width\na,40\nc,55\n")
	cli("make", "tray.star", "--table", "sizes.csv").wants(t, engine.Faulty, "", "1 row made, 1 failed")
	if err := os.RemoveAll("tray/a"); err != nil {
		t.Fatal(err)
	}
	put(t, "tray/a", "a file in the way of a folder")
	cli("make", "tray.star", "--table", "sizes.csv").wants(t, engine.Crashed, "", "sizes.csv:2: row \"a\" failed:\ncreasewright: cannot make the output folder")
}

func TestMakeATableAtFault(t *testing.T) {
	desk(t, tray)
	put(t, "sizes.csv", "name,wdith\na,40\n")
	cli("make", "tray.star", "--table", "sizes.csv").wants(t, engine.Broken, "",
		"sizes.csv:1:6: error: the script has no parameter \"wdith\"\n     1 | name,wdith\n       |      ^^^^^\n  hint: did you mean \"width\"?\n",
		"sizes.csv: no row was made\n")
	put(t, "tray.star", broken)
	put(t, "sizes.csv", "name\na\nb\n")
	cli("make", "tray.star", "--table", "sizes.csv").wants(t, engine.Broken, "", "tray.star:7:", "     7 | base.lid.cut(circle(1))\n", "no row was made")
	if err := os.Mkdir("sizes", 0o777); err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string][]string{
		"--part goes with --table":            {"--part", "1/2"},
		`--part "3/2" is not of the form k/n`: {"--table", "sizes.csv", "--part", "3/2"},
		`--part "1" is not of the form k/n`:   {"--table", "sizes.csv", "--part", "1"},
		`--part "0/2" is not of the form k/n`: {"--table", "sizes.csv", "--part", "0/2"},
		"--open goes with one design":         {"--table", "sizes.csv", "--open"},
		`there is no file "none.csv"`:         {"--table", "none.csv"},
		"creasewright: sizes is no file":      {"--table", "sizes"},
	} {
		cli(append([]string{"make", "tray.star"}, args...)...).wants(t, engine.Broken, "", want)
	}
	if _, err := os.Stat("tray"); err == nil {
		t.Error("there is a folder")
	}
}

// Progress is one line on a terminal that is cleared in the end, and nothing
// elsewhere.
func TestProgress(t *testing.T) {
	var said bytes.Buffer
	c := newConsole(&said, &said, func(string) string { return "" })
	p := c.progress()
	p.row(1, 2, live.RowOutcome{})
	p.clear()
	if said.Len() > 0 || p.done != 1 {
		t.Errorf("%q, %d done", said.String(), p.done)
	}
	c.rewrites = true
	p = c.progress()
	p.row(1, 3, live.RowOutcome{Outcome: live.Outcome{Result: engine.Result{Exit: engine.Faulty}}})
	p.row(2, 3, live.RowOutcome{}) // too soon to be told
	p.last = p.last.Add(-time.Hour)
	p.row(3, 3, live.RowOutcome{})
	p.clear()
	if want := clearLine + "1 of 3 rows, 1 failed" + clearLine + "3 of 3 rows, 1 failed" + clearLine; said.String() != want {
		t.Errorf("%q, want %q", said.String(), want)
	}
}

func TestATableInterrupted(t *testing.T) {
	desk(t, tray)
	put(t, "sizes.csv", "width\n40\n")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var out, err bytes.Buffer
	c := newConsole(&out, &err, func(string) string { return "" })
	c.sandbox = inProcess
	code := run(ctx, c, []string{"make", "tray.star", "--table", "sizes.csv"})
	if code != int(engine.Crashed) || !strings.Contains(err.String(), "interrupted; 0 rows made, and no table of them written") {
		t.Errorf("exit %d, %q", code, err.String())
	}
}
