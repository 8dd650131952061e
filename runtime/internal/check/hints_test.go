package check

import (
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/stdlib"
)

// Every number in a hint is a promise: put into the script, with nothing else
// changed, the finding is gone and no other finding as bad comes in its place.
// Hints are applied by words of the script's own that load over the real ones
// and change what the hint names. TestRelativeHintsHold tries hints about the
// distance between two things, as "1.00 mm more between them", which name no size.
func TestHintsCure(t *testing.T) {
	tried := map[string]int{}
	for _, r := range table {
		cases, err := scripttest.Read(fmt.Sprintf("%s/%s.star", faultsFolder, r.ID))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			before, _ := examine(c.Store(stdlib.Text), scripttest.Main)
			for _, f := range before {
				for _, cure := range curesIn(f) {
					tried[f.Rule]++
					after := examineCured(c, f, cure)
					for _, g := range after {
						if same := g.Rule == f.Rule && g.Panel == f.Panel && g.Site.First() == f.Site.First() && (g.Pose == f.Pose || !inPose.MatchString(cure)); same ||
							g.Severity >= f.Severity && g.Rule != f.Rule && !slices.ContainsFunc(before, func(h *diag.Finding) bool { return h.Rule == g.Rule && h.Panel == g.Panel }) {
							t.Errorf("%s: after %q for %q there is %s", c.Name, cure, f.Message, g)
						}
					}
				}
			}
		}
	}
	for _, id := range []string{"crease-near-cut", "creases-close", "dust-flaps-meet", "flap-too-deep", "glue-tab-narrow", "join-gap", "lid-too-large",
		"holes-apart", "loop-open", "panel-overhangs", "panels-collide", "perforation-weak", "seam-not-relieved", "spine-thin", "sticks-out", "tuck-play", "tuck-too-wide"} {
		if tried[id] == 0 {
			t.Errorf("no hint of %s was tried", id)
		}
	}
}

// curesIn lists the ways out that a hint gives with numbers.
func curesIn(f *diag.Finding) []string {
	hint, _, _ := strings.Cut(f.Hint, ";")
	hint = regexp.MustCompile(`,? would .*$| says so$| if your glue.*$`).ReplaceAllString(hint, "")
	var out []string
	for _, way := range regexp.MustCompile(`,? or | would put it right`).Split(hint, -1) {
		if change.MatchString(way) || inPose.MatchString(way) || shift.MatchString(way) {
			out = append(out, way)
		}
	}
	return out
}

// change is one size that a hint names, or one edge.
var change = regexp.MustCompile(`(?:(depth|width|height|inset|gap|fold|slide|turn|tie|cut|limits\(glue_tab) = (\([\d., -]+\)|-?[\d.]+)\)?(?: for (?:hinge )?("[^"]+"|both))?)` +
	`|(?:("[^"]+") (larger|smaller) by ([\d.]+) mm at its edge "(left|right|top|bottom|tip)")`)

// inPose is a fold of a pose that a hint names.
var inPose = regexp.MustCompile(`^"(\w+)": (-?[\d.]+) in pose "(\w+)"`)

// shift is a move of the hole that the line of the finding cuts.
var shift = regexp.MustCompile(`by (shift\(-?[\d.]+, -?[\d.]+\))`)

// examineCured runs a case with a hint carried out.
func examineCured(c *scripttest.Case, f *diag.Finding, cure string) []*diag.Finding {
	sizes, edges, limit := map[string]string{}, map[string]string{}, ""
	lines := strings.Split(c.Files[scripttest.Main], "\n")
	named := regexp.MustCompile(`"[^"]+"`).FindAllString(f.Message, 2)
	for _, m := range change.FindAllStringSubmatch(cure, -1) {
		key, value, who := m[1], m[2], m[3]
		if who == "" {
			who = strconv.Quote(f.Panel)
			if flat := regexp.MustCompile(`^it closes with (".+?") staying`).FindStringSubmatch(cure); flat != nil {
				who = flat[1]
			}
		}
		switch {
		case m[4] != "":
			sign := ""
			if m[5] == "smaller" {
				sign = "-"
			}
			edges[m[4]] += fmt.Sprintf("(%q, %s%s), ", m[7], sign, m[6])
		case key == "limits(glue_tab":
			limit = "; limits(glue_tab = " + value + ")"
		case key == "tie" || key == "cut" || key == "turn":
			at := f.Site.First().Line - 1
			lines[at], _, _ = strings.Cut(lines[at], "  #")
			lines[at] = regexp.MustCompile(key+` = [\d.-]+`).ReplaceAllString(lines[at], key+" = "+value)
			if key == "turn" && !strings.Contains(lines[at], "turn = ") {
				lines[at] = strings.Replace(lines[at], ", on =", ", turn = "+value+", on =", 1)
			}
		case strings.HasPrefix(cure, "give all of them"):
			for _, name := range regexp.MustCompile(`"[^"]+"`).FindAllString(f.Message, -1) {
				sizes[name] = fmt.Sprintf("%q: %s, ", key, value)
			}
		case who == "both":
			sizes[named[0]] += fmt.Sprintf("%q: %s, ", key, value)
			sizes[named[1]] += fmt.Sprintf("%q: %s, ", key, value)
		default:
			sizes[who] += fmt.Sprintf("%q: %s, ", key, value)
		}
	}
	if m := shift.FindStringSubmatch(cure); m != nil {
		at := f.Site.First().Line - 1
		lines[at], _, _ = strings.Cut(lines[at], "  #")
		lines[at] = strings.TrimSuffix(lines[at], ")") + "." + m[1] + ")"
	}
	for _, of := range []map[string]string{sizes, edges} {
		for name, value := range maps.Clone(of) {
			for _, twin := range madeWith(c, name) {
				of[twin] = value
			}
		}
	}
	table := func(of map[string]string, open, shut string) string {
		out := ""
		for _, name := range slices.Sorted(maps.Keys(of)) {
			out += name + ": " + open + of[name] + shut + ", "
		}
		return "{" + out + "}"
	}
	files := maps.Clone(c.Files)
	files["cure.star"] = "SIZES = " + table(sizes, "{", "}") + "\nEDGES = " + table(edges, "[", "]") + "\n" + overWords
	lines[0] = `load("cure.star", flap = "over_flap", tab = "over_tab", panel = "over_panel", hinge = "over_hinge"); ` + lines[0]
	if m := inPose.FindStringSubmatch(cure); m != nil {
		for i, line := range lines {
			lines[i] = strings.Replace(line, fmt.Sprintf("pose(%q, {", m[3]), fmt.Sprintf("pose(%q, {%q: %s, ", m[3], m[1], m[2]), 1)
		}
	}
	for i, line := range lines {
		if limit != "" && strings.Contains(line, "= board(") {
			code, _, _ := strings.Cut(line, "  #")
			lines[i], limit = code+limit, ""
		}
	}
	files[scripttest.Main] = strings.Join(lines, "\n")
	found, _ := examine((&scripttest.Case{Name: c.Name, Files: files}).Store(stdlib.Text), scripttest.Main)
	return found
}

// madeWith lists the panels that the call which made one made too, as in a loop,
// quoted: they have one size in the script.
func madeWith(c *scripttest.Case, quoted string) []string {
	d, _ := script.Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, withClosed)
	var out []string
	for _, p := range d.Panels {
		for _, q := range d.Panels {
			if strconv.Quote(p.Name) == quoted && p.Site.First() == q.Site.First() {
				out = append(out, strconv.Quote(q.Name))
			}
		}
	}
	return out
}

// overWords are the words that carry out hints.
const overWords = `
def bind(names, args, kw):
    out = dict(kw)
    for i in range(len(args)):
        out[names[i]] = args[i]
    return out

def pair(v):
    return v if type(v) == "tuple" else (v, v)

def sized(k):
    for key, v in SIZES.get(k["name"], {}).items():
        k[key] = v
    for edge, by in EDGES.get(k["name"], []):
        left, right = pair(k.get("inset", 0))
        if edge == "tip":
            k["depth"] += by
        elif edge == "left":
            k["inset"] = (left - by, right)
        elif edge == "right":
            k["inset"] = (left, right - by)
    return k

def over_flap(*args, **kw):
    return flap(**sized(bind(["name", "on", "depth", "taper", "round", "inset"], args, kw)))

def over_tab(*args, **kw):
    return tab(**sized(bind(["name", "on", "depth", "to", "taper", "round", "inset"], args, kw)))

def over_hinge(*args, **kw):
    k = bind(["a", "b"], args, kw)
    name = k.get("name") or k["a"].panel.name + "|" + k["b"].panel.name
    for key, v in SIZES.get(name, {}).items():
        k[key] = v
    return hinge(**k)

# The left side of a panel as seen from the one it hangs on, by the edge it hangs by.
LEFT = {"bottom": "left", "left": "top", "top": "right", "right": "bottom"}
ACROSS = {"bottom": "top", "top": "bottom", "left": "right", "right": "left"}

def over_panel(*args, **kw):
    k = bind(["name", "outline"], args, kw)
    sizes = dict(SIZES.get(k["name"], {}))
    x0, y0, x1, y1 = k["outline"].bounds
    changes = list(EDGES.get(k["name"], []))
    if "width" in sizes:
        changes.append(("right", sizes.pop("width") - (x1 - x0)))
    if "height" in sizes:
        changes.append(("top", sizes.pop("height") - (y1 - y0)))
    whole = "width" in SIZES.get(k["name"], {}) or "height" in SIZES.get(k["name"], {})
    for edge, by in changes:
        if edge == "left":
            x0 -= by
        elif edge == "right":
            x1 += by
        elif edge == "bottom":
            y0 -= by
        elif edge == "top":
            y1 += by
        hung = k.get("by") or (ACROSS.get(k["on"].name, "bottom") if k.get("on") else None)
        if hung in LEFT and not whole:
            if edge == LEFT[hung]:
                k["slide"] = k.get("slide", 0) - by / 2
            elif edge == ACROSS[LEFT[hung]]:
                k["slide"] = k.get("slide", 0) + by / 2
    if changes:
        k["outline"] = rect(x1 - x0, y1 - y0).shift(x0, y0)
    for key, v in sizes.items():
        if key != "fold" or k.get("on"):
            k[key] = v
    return panel(**k)
`
