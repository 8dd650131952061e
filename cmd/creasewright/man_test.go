package main

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// The manual page has a section for every command and an entry for every option.
func TestManPage(t *testing.T) {
	page := cli("man")
	page.wants(t, engine.Clean, ".TH CREASEWRIGHT 1 ")
	root := rootCommand(&console{})
	for _, cmd := range root.Commands() {
		page.wants(t, engine.Clean, "\n.SH \""+strings.ToUpper(cmd.Name())+"\"\n")
		for _, u := range flagUsages(cmd) {
			page.wants(t, engine.Clean, "\n.TP\n.B "+escaped(u[0])+"\n"+escaped(u[1])+"\n")
		}
	}
	for _, option := range []string{`.B \-o, \-\-out folder`, `.B \-\-set name=value`} {
		page.wants(t, engine.Clean, "\n"+option+"\n")
	}
	for _, line := range strings.Split(page.out, "\n") {
		request := strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'")
		if known := strings.Fields(line + " -")[0]; request && !strings.Contains(" .TH .SH .SS .TP .PP .B .br .nf .fi ", " "+known+" ") {
			t.Errorf("%q is read as a request", line)
		}
	}
}

// What would be a request, an escape or the end of an argument is shown as it is.
func TestRoffEscapes(t *testing.T) {
	for text, want := range map[string]string{
		".star": `\&.star`, "'x'": `\&'x'`, `a\b`: `a\eb`, "--set": `\-\-set`, "plain": "plain", "SEARCH…": `SEARCH\[u2026]`,
	} {
		if got := escaped(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
	if got := quoted(`say "no"`); got != `"say \(dqno\(dq"` {
		t.Error(got)
	}
}

// groff sets the page and warns of nothing.
func TestGroffSetsTheManPage(t *testing.T) {
	groff, err := exec.LookPath("groff")
	if err != nil {
		outsidetest.Missing(t, err)
	}
	cmd := exec.Command(groff, "-man", "-ww", "-Tutf8", "-P-cbou")
	cmd.Stdin = strings.NewReader(cli("man").out)
	var warnings strings.Builder
	cmd.Stderr = &warnings
	out, err := cmd.Output()
	if err != nil || warnings.Len() > 0 {
		t.Errorf("%v\n%s", err, &warnings)
	}
	for _, want := range []string{"creasewright - folded paper and board", "--limit name=value", "creasewright make SCRIPT [flags]"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("the page does not show %q:\n%s", want, out)
		}
	}
}
