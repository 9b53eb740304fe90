package alerts

import (
	"time"

	"leadline/logbook"
)

// answersOf loads the acknowledgements of a tank's alerts that may still hold.
func answersOf(v *logbook.View, tank string, asOf time.Time) ([]logbook.Entry, error) {
	return v.Entries(tank, logbook.KindAcknowledgement, asOf.AddDate(0, 0, -HistoryDays), asOf)
}

// applyAnswers applies the keeper's acknowledgements. One holds for an alert of its tank, parameter, subject and rule (without
// a subject, for all of them; of overdue tests, without a parameter, for all of them) if it was given after the alert was
// raised: an alert that was cleared and comes back asks again. A snooze also holds for an alert that comes back before its
// end. What was said to a warning does not hold once the alert is urgent: the keeper answered something else.
func applyAnswers(as []Alert, acks []logbook.Entry, asOf time.Time) {
	for i := range as {
		a := &as[i]
		for _, e := range acks {
			ack, ok := e.(logbook.Acknowledgement)
			all := a.Rule == RuleOverdue && ack.Parameter == ""
			if !ok || ack.Parameter != a.Parameter && !all || ack.Rule != string(a.Rule) || ack.Time.After(asOf) ||
				(ack.Subject != "" && ack.Subject != a.Subject) {
				continue
			}
			snooze := !ack.Until.IsZero()
			switch {
			case snooze && !ack.Until.After(a.SnoozedUntil):
			case snooze && all && ack.Parameter == "" && ack.Time.Before(a.Since): // said of tests together that were overdue then
			case !snooze && ack.Time.Before(a.Since) && (a.heldSince == nil || !a.heldSince(ack.Time)):
			case a.milder != nil && a.milder(ack.Time):
			case snooze:
				a.SnoozedUntil = ack.Until
			default:
				a.Acknowledged = true
			}
		}
	}
}
