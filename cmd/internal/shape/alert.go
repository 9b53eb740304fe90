package shape

import (
	"time"

	"leadline/alerts"
)

// Alert is an alert as-of a moment.
type Alert struct {
	Tank         string         `json:"tank"`
	Parameter    *string        `json:"parameter"` // null where it is not about a parameter
	Subject      *string        `json:"subject"`   // the stock or chore it is about; null where it is about neither
	Rule         string         `json:"rule"`
	Severity     string         `json:"severity"`
	Since        Moment         `json:"since"`
	Headline     string         `json:"headline"` // what, its value, by when and what to do
	Text         string         `json:"text"`     // the headline with its evidence, in one line
	Evidence     map[string]any `json:"evidence"`
	Open         bool           `json:"open"`
	Acknowledged bool           `json:"acknowledged"`
	SnoozedUntil Moment         `json:"snoozed_until"`
}

// AlertsOf is the published form of alerts.
func AlertsOf(as []alerts.Alert, asOf time.Time) []Alert {
	out := []Alert{}
	for _, al := range as {
		out = append(out, Alert{Tank: al.Tank, Parameter: textOrNull(al.Parameter), Subject: textOrNull(al.Subject), Rule: string(al.Rule), Severity: al.Severity.String(), Since: Moment(al.Since),
			Headline: al.Headline, Text: al.Text(), Evidence: al.Evidence, Open: al.Open(asOf), Acknowledged: al.Acknowledged, SnoozedUntil: Moment(al.SnoozedUntil)})
	}
	return out
}
