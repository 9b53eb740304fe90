package tui

import (
	"testing"

	"leadline/alerts"
	"leadline/logbook"
)

// An answer names its alert in words that can stand in a sentence.
func TestRuleText(t *testing.T) {
	for _, c := range []struct {
		ack  logbook.Acknowledgement
		want string
	}{
		{logbook.Acknowledgement{Rule: string(alerts.RuleSuspect), Parameter: "phosphate"}, "the far-off reading of phosphate"},
		{logbook.Acknowledgement{Rule: string(alerts.RuleOverdue), Parameter: "alkalinity"}, "the overdue test of alkalinity"},
		{logbook.Acknowledgement{Rule: string(alerts.RuleChoreDue), Subject: "reactor media"}, "the chore reactor media"},
		{logbook.Acknowledgement{Rule: string(alerts.RuleSwing), Parameter: "pH"}, "the swing of pH"},
	} {
		if got := ruleText(c.ack); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
