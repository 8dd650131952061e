package model

import (
	"github.com/creasewright/creasewright/runtime/source"
)

// Allow waives a rule for one panel. Whether there is such a rule is for the
// checks to say, which know them all.
func (b *Builder) Allow(site source.Site, rule string, on *Panel, reason string) error {
	c := b.named(site, "allow", rule)
	c.text("the rule", rule)
	c.owns(b, "on", on)
	c.text("the reason", reason)
	if c.ok() {
		b.design.Waivers = append(b.design.Waivers, &Waiver{Rule: rule, Panel: on, Reason: reason, Site: site})
	}
	return c.err()
}

// Require records the designer's own rule when it does not hold.
func (b *Builder) Require(site source.Site, holds bool, message string) error {
	c := b.call(site, "require")
	c.text("the message", message)
	if c.ok() && !holds {
		b.design.Failed = append(b.design.Failed, &Requirement{Message: message, Site: site})
	}
	return c.err()
}
