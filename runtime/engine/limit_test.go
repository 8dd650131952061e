package engine

import (
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// within runs a script with one limit changed.
func within(l limit.Limit, v int64, script string) Result {
	req := Request{Script: "box.star", Read: from(map[string]string{"box.star": script}), Limits: limit.Defaults()}
	req.Limits[l] = v
	return mustRun(req)
}

// Each limit gives one error that names it, stands at a line and says how to
// have more, and as much as is allowed can be had.
func TestEachLimitIsTold(t *testing.T) {
	loop := func(body string) string { return tray + "for i in range(100):\n    " + body + "\n" }
	for name, c := range map[string]struct {
		l      limit.Limit
		few    int64
		script string
		line   int
		want   string
		enough int64
	}{
		"steps":   {limit.Steps, 200, loop("x = i"), 6, "the script takes more than 200 steps", 10_000},
		"panels":  {limit.Panels, 50, loop(`panel("p%d" % i, rect(5, 5))`), 7, `panel "p48": the design has more than 50 panels`, 102},
		"edges":   {limit.Edges, 100, loop(`panel("p%d" % i, rect(5, 5))`), 7, `panel "p23": the design's outlines and paths have more than 100 edges`, 408},
		"outline": {limit.Edges, 90, loop("polygon([(i, 0) for i in range(99)] + [(0, 9)])"), 7, "polygon: an outline of more than 90 edges", 100},
		"output":  {limit.Output, 5000, tray, 5, "the files are larger than 5 KB", 1 << 20},
		"prints":  {limit.Prints, 40, loop(`print("line")`), 7, "the script prints more than 1 KB", 1 << 20},
		"nesting": {limit.Nesting, 3, tray + "x = [[[[1]]]]", 6, "brackets stand within one another more than 3 times", 4},
		"digits":  {limit.Digits, 5, tray + "x = 123456", 6, "a number has more than 5 digits", 6},
		"text":    {limit.Text, 40, tray + `x = "` + strings.Repeat("a", 41) + `"`, 6, "a text has more than 40 characters", 50},
		"made":    {limit.Text, 40, loop(`require(True, "a" * i)` + " if i else None"), 7, "require: message has more than 40 characters", 200},
	} {
		res := within(c.l, c.few, c.script)
		if res.Exit != Broken || len(res.Findings) != 1 {
			t.Errorf("%s: exit %d, %v", name, res.Exit, res.Findings)
			continue
		}
		f := res.Findings[0]
		if f.Message != c.want || f.Site.First().Line != c.line || !strings.Contains(f.Hint, "--limit "+c.l.String()+"=") {
			t.Errorf("%s: %v, hint %q; want %q at line %d", name, f, f.Hint, c.want, c.line)
		}
		if res := within(c.l, c.enough, c.script); res.Exit != Clean {
			t.Errorf("%s, allowed enough: exit %d, %v", name, res.Exit, res.Findings)
		}
	}
}

// The stages after the script tell where they are too, and how much there is
// to do.
func TestStagesAreReached(t *testing.T) {
	var last string
	req := Request{
		Script: "box.star", Read: from(map[string]string{"box.star": tray}),
		Reached: func(at source.Site, panels int) { last = fmt.Sprint(at.First(), " ", panels) },
	}
	if res := mustRun(req); res.Exit != Clean || last != "box.star:5:1 2" {
		t.Errorf("exit %d, last at %s", res.Exit, last)
	}
}

// A fault that was found from outside is shown as the script's own are.
func TestStopped(t *testing.T) {
	first := runs(tray)
	site := source.Site{{File: "box.star", Line: 4, Column: 1, EndLine: 4, EndColumn: 5}}
	req := Request{Script: "box.star", Read: from(map[string]string{"box.star": tray}), LastPreview: first.Files[2].Bytes}
	res := mustStop(req, diag.Scriptf(site, "the script ran too long"))
	if res.Exit != Broken || names(res.Files) != emit.PreviewName || res.Lines()("box.star", 4) != `wall = panel("wall", rect(60, 20), on = base.top)` {
		t.Errorf("exit %d, %q, %v", res.Exit, names(res.Files), res.Excerpts)
	}
	for _, want := range []string{"the script ran too long", `id="drawing"`} {
		if !strings.Contains(string(res.Files[0].Bytes), want) {
			t.Errorf("the picture does not show %q", want)
		}
	}
	req.Read = from(nil)
	if res := mustStop(req, diag.Scriptf(site, "the script ran too long")); res.Exit != Broken || len(res.Files) != 0 {
		t.Errorf("without the script: exit %d, %q", res.Exit, names(res.Files))
	}
}
