package alerts

import (
	"time"

	"leadline/logbook"
)

// answersOf loads the acknowledgements of a tank's alerts that may still hold.
func answersOf(v *logbook.View, tank string, asOf time.Time) ([]logbook.Entry, error) {
	return v.Entries(tank, logbook.KindAcknowledgement, asOf.AddDate(0, 0, -HistoryDays), asOf)
}

// IsMeantBy reports whether an acknowledgement in the alert's tank is of its parameter, subject and rule: without a subject, of
// all of them; of overdue tests, without a parameter, of all of them.
func (a Alert) IsMeantBy(ack logbook.Acknowledgement) bool {
	return ack.Rule == string(a.Rule) && (ack.Subject == "" || ack.Subject == a.Subject) &&
		(ack.Parameter == a.Parameter || a.Rule == RuleOverdue && ack.Parameter == "")
}

// applyAnswers applies the keeper's acknowledgements. One holds for an alert that it means if it was given after the alert was
// raised: an alert that was cleared and comes back asks again. A snooze also holds for an alert that comes back before its
// end. What was said to a warning does not hold once the alert is urgent: the keeper answered something else.
func applyAnswers(as []Alert, acks []logbook.Entry, asOf time.Time) {
	for i := range as {
		a := &as[i]
		for _, e := range acks {
			ack, ok := e.(logbook.Acknowledgement)
			if !ok || !a.IsMeantBy(ack) || ack.Time.After(asOf) {
				continue
			}
			snooze := !ack.Until.IsZero()
			switch {
			case snooze && !ack.Until.After(a.SnoozedUntil):
			case snooze && ack.Parameter != a.Parameter && ack.Time.Before(a.Since): // said of tests together that were overdue then
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
