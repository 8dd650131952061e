package check

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/stdlib"
)

// relativeHint is a design with a size X, and how a hint's number n changes X.
type relativeHint struct {
	rule, script string
	x            float64
	with         func(x, n float64) float64
	loose        bool // less than n may do: what is asked for beyond the least is good practice
}

func more(x, n float64) float64   { return x + n }
func less(x, n float64) float64   { return x - n }
func itself(_, n float64) float64 { return n }

const thinCard = "card = board(\"card\", caliper = 0.4)\n"

const strapBox = `card = board("card", caliper = 0.5)
base = panel("base", rect(60, 40))
back = flap("back", on = base.top, depth = 40)
slit = back.cut(rect(LONG, WIDE).shift(30 - LONG / 2, 16 - WIDE / 2))
front = flap("front", on = base.bottom, depth = 16)
strap = flap("strap", on = front.tip, depth = 39, inset = 10)
tongue = flap("tongue", on = strap.tip, depth = 10, inset = 9, fold = 0)
tuck(tongue, into = slit)
piece("strap box", base, board = card)
`

const openTray = thinCard + `base = panel("base", rect(60, 40))
for edge in [base.left, base.right, base.top, base.bottom]:
    flap(edge.name + " wall", on = edge, depth = 20)
`

var relativeHints = []relativeHint{
	{"crease-near-cut", thinCard + `base = panel("base", rect(60, 40))
base.cut(rect(20, 10).shift(20, X))
panel("lid", rect(60, 30), on = base.top)
piece("tray", base, board = card)`, 28, less, false},
	{"creases-close", thinCard + `base = panel("base", rect(60, 40))
base.score(path(0, X).line(60, X), line = "back-score")
panel("lid", rect(60, 30), on = base.top)
piece("tray", base, board = card)`, 38.5, less, false},
	{"web-thin", thinCard + `base = panel("base", rect(70, 40))
base.cut(rect(20, 20).shift(8, 10))
base.cut(rect(20, 20).shift(X, 10))
piece("card", base, board = card)`, 30, more, false},
	{"web-thin", thinCard + `base = panel("base", rect(60, 40))
base.cut(rect(20, 20, round = 3).shift(20, X))
piece("card", base, board = card)`, 18.75, less, false},
	{"detail-too-small", thinCard + `base = panel("base", rect(60, 40))
base.cut(rect(20, X).shift(20, 20))
piece("card", base, board = card)`, 0.1, more, false},
	{"detail-too-small", thinCard + `base = panel("base", rect(60, 40))
base.cut(circle(X).shift(20, 20))
piece("card", base, board = card)`, 0.15, more, false},
	{"joint-narrow", thinCard + `base = panel("base", rect(60, 40))
panel("ear", polygon([(0, 0), (X, 0), (12, 10), (-10, 10)], edges = ["base", "right", "tip", "left"]), on = base.top, by = "base")
piece("tag", base, board = card)`, 2, more, false},
	{"joint-narrow", thinCard + `base = panel("base", rect(60, 40))
flap("coupon", on = base.top, depth = 20, inset = 30 - X / 2, taper = -30, line = "perforated")
piece("ticket", base, board = card)`, 10, more, false},
	{"panel-cut-in-two", thinCard + `base = panel("base", rect(60, 90))
base.cut(rect(60 - X, 10).shift(X, 60))
piece("card", base, board = card)`, 0, more, true},
	{"part-falls-out", thinCard + `base = panel("base", rect(60, 90))
base.score(path(0, 45).line(60, 45))
base.cut(path(20, 25).line(50, 25).line(50, 65).line(20, 65).line(20, 25 + X))
piece("card", base, board = card)`, 0, more, true},
	{"piece-too-large", `machine("desktop cutter", bed = (300, 200))
` + thinCard + `piece("tray", panel("base", rect(X, 150)), board = card)`, 320, less, false},
	{"piece-too-large", `machine("desktop cutter", bed = (300, 200))
` + thinCard + `piece("tray", panel("base", rect(250, X)), board = card)`, 210, less, false},
	{"contents-do-not-fit", openTray + `contents("soap", (58, X, 15), on = base, clearance = 0.2)
piece("tray", base, board = card)`, 39.8, less, false},
	{"contents-do-not-fit", thinCard + `base = panel("base", rect(60, 40))
back = flap("back", on = base.top, depth = 20)
flap("lid", on = back.tip, depth = 40)
contents("soap", (58, 38, X), on = base)
piece("tray", base, board = card)`, 21, less, false},
	{"corner-sharp", `card = board("thick card", caliper = 0.8)
front = panel("front", rect(200, 150))
front.cut(rect(80, 25, round = X).shift(60, 110))
piece("carrier", front, board = card)`, 0, itself, true},
	{"creases-across-grain", `card = board("card", caliper = 0.4, grain = X)
base = panel("base", rect(150, 80))
panel("back", rect(150, 40), on = base.top)
panel("front", rect(150, 40), on = base.bottom)
piece("tray", base, board = card)`, 90, more, true},
	{"fold-thick", `grey = board("greyboard", caliper = 2, kind = "greyboard")
base = panel("base", rect(60, 40))
spine = panel("spine", rect(60, X), on = base.top, fold = 60) if X > 0 else base
panel("lid", rect(60, 40), on = spine.top, fold = 60 if X > 0 else 120)
piece("cover", base, board = grey)`, 0, itself, true},
	{"edge-bare", thinCard + `base = panel("base", rect(60, 40))
panel("lid", rect(X, 20), on = base.top)
piece("tray", base, board = card)`, 59.96, itself, true},
	{"panel-overhangs", thinCard + `base = panel("base", rect(60, 40))
panel("wall", rect(X, 20), on = base.top)
piece("tray", base, board = card)`, 70, itself, true},
	{"slot-width", strings.NewReplacer("LONG", "23", "WIDE", "X").Replace(strapBox), 0.3, itself, true},
	{"tuck-play", strings.NewReplacer("LONG", "X", "WIDE", "1").Replace(strapBox), 22, itself, true},
	{"stroke-doubles-back", thinCard + `base = panel("base", rect(60, 40))
base.cut(path(10, 20).line(40, 20).line(10, 20 + 6 * X))
piece("card", base, board = card)`, 0.02, more, false},
	{"lock-slips", strings.NewReplacer("LONG", "20", "WIDE", "0.9", `tongue = flap("tongue", on = strap.tip, depth = 10, inset = 9, fold = 0)`,
		`hook = path(10.5, 0).line(29.5, 0, name = "base").line(29.5, 3).line(20 + X / 2, 5).line(29, 12).line(11, 12).line(20 - X / 2, 5).line(10.5, 3).close()
tongue = panel("tongue", hook, on = strap.tip, by = "base", fold = 0)`, "into = slit", "into = slit, locked = True").Replace(strapBox), 19.5, itself, true},
	{"dust-flaps-meet", thinCard + `base = panel("base", rect(60, 40))
front, back = flap("front", on = base.bottom, depth = 30), flap("back", on = base.top, depth = 30)
for edge in [base.left, base.right]:
    side = flap(edge.name, on = edge, depth = 30)
    panel(edge.name + " dust", polygon([(1.5, 0), (38.5, 0), (38.5, X), (20, X), (1.5, X)], edges = ["base", "right", "tip", "more", "left"]), on = side.tip, by = "base")
lid = flap("lid", on = back.tip, depth = 39.6)
piece("box", base, board = card)`, 33, less, true},
}

// Hints that say what is missing between two things, and by how much, keep their
// word: with that much the finding is gone, and where they name the least there is,
// with two hundredths less it still stands.
func TestRelativeHintsHold(t *testing.T) {
	number := regexp.MustCompile(`\d+(?:\.\d+)?`)
	for i, h := range relativeHints {
		at := func(x float64) (found []*diag.Finding, hint string) {
			script := strings.ReplaceAll(h.script, "X", strconv.FormatFloat(x, 'f', -1, 64))
			all, _ := examine((&scripttest.Case{Name: h.rule, Files: map[string]string{scripttest.Main: script}}).Store(stdlib.Text), scripttest.Main)
			k := slices.IndexFunc(all, func(f *diag.Finding) bool { return f.Rule == h.rule })
			if k >= 0 {
				hint = all[k].Hint
			}
			return all, hint
		}
		name := fmt.Sprintf("%s (%d)", h.rule, i)
		found, hint := at(h.x)
		n, err := strconv.ParseFloat(number.FindString(hint), 64)
		if err != nil {
			t.Errorf("%s: hint %q has no number; found %v", name, hint, found)
			continue
		}
		if found, hint := at(h.with(h.x, n)); hint != "" {
			t.Errorf("%s: with %g for %g after %q there is %v", name, h.with(h.x, n), h.x, hint, found)
		}
		if _, hint := at(h.with(h.x, n-0.02)); hint == "" && !h.loose {
			t.Errorf("%s: two hundredths less would do as well", name)
		}
	}
}
