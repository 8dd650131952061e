package main

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/model"
)

// ruleList is every rule that designs are held to: its id, how much it weighs
// and what it finds.
func ruleList(rules []*engine.Rule) string {
	var out strings.Builder
	for _, r := range rules {
		fmt.Fprintf(&out, "%s (%s)\n%s", r.ID, r.Severity, wrapped(r.Title, "      "))
	}
	return out.String()
}

// rulePages is all there is to say about the rule of a name, none when there
// is no such rule.
func rulePages(name string) []string {
	if r, ok := engine.RuleNamed(name); ok {
		return []string{r.Page()}
	}
	return nil
}

// nearestRule is the rule that may have been meant, "" for none.
func nearestRule(name string) string {
	var ids []string
	for _, r := range engine.Rules() {
		ids = append(ids, r.ID)
	}
	near, _ := model.Nearest(name, ids)
	return near
}
