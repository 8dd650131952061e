package check

import (
	"embed"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
)

// Rule is one thing that a design is held to. To add one, write it in a file
// of its own, name it in table, and give it a page in pages and cases in
// testdata/faults; a test fails while any of these is missing.
type Rule struct {
	ID       string // kebab-case; findings carry it and allow() names it
	Severity diag.Severity
	Title    string // what is wrong, in a few words

	// find looks for it. Findings come in the order of the script. Rules about
	// pairs of panels in poses have pairs instead.
	find  func(*facts) []Found
	pairs *pairRule
	// after names the rules whose findings explain this one's: where such a
	// finding blames a panel that this one speaks of, this one stays unsaid.
	after []string
}

// table is every rule, causes before what follows from them.
var table = []*Rule{
	&requireRule,
	&boardUnlikely,
	&foldInRadians,
	&panelUnclaimed,
	&panelsOverlap,
	&vertexNotFlatFoldable,
	&loopOpen,
	&loopLoose,
	&loopUnsolved,
	&flapTooDeep,
	&tuckTooWide,
	&joinGap,
	&throughMissed,
	&holesApart,
	&glueUncovered,
	&panelsCollide,
	&lidTooLarge,
	&boardsOverlap,
	&panelsTouch,
	&layersTangled,
	&spineThin,
	&panelsLayered,
	&dustFlapsMeet,
	&contentsDoNotFit,
	&contentsOverlap,
	&tuckPlay,
	&slotFit,
	&lockSlips,
	&glueTabNarrow,
	&seamNotRelieved,
	&edgesUnjoined,
	&openingUnclosed,
	&contentsHeavy,
	&pieceTooLarge,
	&toolDepth,
	&linesUnmade,
	&pathUncompensated,
	&cutLost,
	&madeOtherwise,
	&curveTooTight,
	&panelCutInTwo,
	&partFallsOut,
	&jointNarrow,
	&panelOverhangs,
	&sticksOut,
	&edgeBare,
	&creasesClose,
	&creaseNearCut,
	&webThin,
	&detailTooSmall,
	&strokeDoublesBack,
	&perforationWeak,
	&foldThick,
	&plainFoldAcrossGrain,
	&cornerSharp,
	&creasesAcrossGrain,
	&curvedHingeNotFolded,
	&bentPanelNotFolded,
}

//go:embed pages/*.md
var pages embed.FS

// Rules lists copies of every rule in the order of the table: who changes one
// changes no verdict.
func Rules() []*Rule {
	out := make([]*Rule, len(table))
	for i, r := range table {
		c := *r
		out[i] = &c
	}
	return out
}

// RuleNamed finds a rule by its id and gives a copy of it.
func RuleNamed(id string) (r *Rule, ok bool) {
	for _, r := range table {
		if r.ID == id {
			c := *r
			return &c, true
		}
	}
	return nil, false
}

// Page is what there is to say about the rule, in Markdown: what it means, its
// limits, a failing and a passing script.
func (r *Rule) Page() string {
	text, err := pages.ReadFile("pages/" + r.ID + ".md")
	if err != nil {
		return "" // a test holds every rule to its page
	}
	return strings.TrimSpace(string(text)) + "\n"
}

// ids lists the rules' ids in the order of the table.
func ids() []string {
	out := make([]string, len(table))
	for i, r := range table {
		out[i] = r.ID
	}
	return out
}
