package check

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/stdlib"
)

// curedRules are rules whose hints give numbers for the script.
var curedRules = []*Rule{&creasesClose, &creaseNearCut, &panelOverhangs, &perforationWeak}

// What a hint says would clear a finding does clear it: with the number put
// into the script the finding is gone.
func TestHintsCure(t *testing.T) {
	tried := 0
	for _, r := range curedRules {
		cases, err := scripttest.Read(fmt.Sprintf("%s/%s.star", faultsFolder, r.ID))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			found, _ := examine(c.Store(stdlib.Text), scripttest.Main)
			for _, f := range found {
				if text, ok := cured(c.Files[scripttest.Main], f); ok && f.Rule == r.ID {
					tried++
					left, _ := examineText(t, text)
					for _, g := range left {
						if g.Rule == r.ID && g.Site.First().Line == f.Site.First().Line {
							t.Errorf("%s: after %q still %s", c.Name, f.Hint, g)
						}
					}
				}
			}
		}
	}
	if tried < 10 {
		t.Errorf("only %d hints tried", tried)
	}
}

var (
	sizeHint  = regexp.MustCompile(`^(depth|height|width) = ([\d.]+) for "(\w+)" instead of ([\d.]+)`)
	valueHint = regexp.MustCompile(`^(tie|cut|slide) = ([\d.-]+)`)
)

// cured is the script with a hint's number in it; ok is false when the hint
// gives none.
func cured(text string, f *diag.Finding) (out string, ok bool) {
	lines := strings.Split(text, "\n")
	if m := sizeHint.FindStringSubmatch(f.Hint); m != nil {
		for i, line := range lines {
			if !strings.Contains(line, fmt.Sprintf("(%q,", m[3])) {
				continue
			}
			old := map[string]string{"depth": "depth = " + m[4], "width": "rect(" + m[4], "height": ", " + m[4] + ")"}[m[1]]
			lines[i] = strings.Replace(line, old, strings.Replace(old, m[4], m[2], 1), 1)
			ok = ok || lines[i] != line
		}
	}
	if m := valueHint.FindStringSubmatch(f.Hint); m != nil {
		i := f.Site.First().Line - 1
		lines[i] = regexp.MustCompile(m[1]+` = [\d.-]+`).ReplaceAllString(lines[i], m[1]+" = "+m[2])
		ok = true
	}
	return strings.Join(lines, "\n"), ok
}
