package check

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/model"
)

// mostNamed is how many panels or hinges a message names one by one.
const mostNamed = 6

// quoted names panels for a message: "a", "b" and 3 more.
func quoted(panels []*model.Panel) string {
	names := make([]string, len(panels))
	for i, p := range panels {
		names[i] = p.Name
	}
	return quotedNames(names)
}

// quotedHinges names hinges for a message.
func quotedHinges(hinges []*model.Hinge) string {
	names := make([]string, len(hinges))
	for i, h := range hinges {
		names[i] = h.Name
	}
	return quotedNames(names)
}

func quotedNames(names []string) string {
	var out []string
	for _, n := range names[:min(len(names), mostNamed)] {
		out = append(out, fmt.Sprintf("%q", n))
	}
	text := strings.Join(out, ", ")
	if more := len(names) - mostNamed; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// mm prints a length for reading, to a hundredth.
func mm(v float64) string { return fmt.Sprintf("%.2f mm", v) }

// counted is a number with its noun: 1 fold, 2 folds.
func counted(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}
