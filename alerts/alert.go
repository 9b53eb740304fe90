package alerts

import (
	"cmp"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Severity orders alerts by how soon they want the keeper.
type Severity int8

const (
	Notice  Severity = iota + 1 // worth knowing
	Warning                     // wants attention this week
	Urgent                      // wants attention today
)

func (s Severity) String() string {
	return [...]string{"none", Notice: "notice", Warning: "warning", Urgent: "urgent"}[s]
}

// Rule names what raised an alert. The names are part of the machine interface.
type Rule string

const (
	RuleBottomedOut  Rule = "bottomed_out"
	RuleBottomingOut Rule = "bottoming_out"
	RuleTestAgain    Rule = "test_again" // one low reading that may be the start of a sudden fall
	RuleBelowBand    Rule = "below_band" // the level is below the band
	RuleAboveBand    Rule = "above_band" // the level is above the band
	RuleNearLow      Rule = "near_low"   // the level, or its 14-day forecast, comes close to the lower edge of the band
	RuleNearHigh     Rule = "near_high"  // likewise to the upper edge
	RuleSuspect      Rule = "suspect"    // the latest reading is far from what the earlier ones predict
	RuleSwing        Rule = "swing"      // the last two tests differ by more than is careful in a day
	RuleDrift        Rule = "drift"      // the level has slowly left where the tank had settled
	RuleUnmet        Rule = "unmet"      // the level falls although it is dosed
	RuleOverdue      Rule = "overdue"    // a test is overdue
	RuleStockLow     Rule = "stock_low"  // a stock is used up, or may be or expire within StockLeadDays
	RuleExpired      Rule = "expired"    // what is left of a stock has expired
	RuleChoreDue     Rule = "chore_due"  // a chore is late
)

// Alert is one thing that wants the keeper: a headline, and what it rests on.
type Alert struct {
	Tank      string
	Parameter string // "" where it is not about a parameter
	Subject   string // the stock or chore it is about; "" where it is about neither
	Rule      Rule
	Severity  Severity
	Since     time.Time
	Headline  string         // what, its value, by when and what to do, within HeadlineWidth
	Because   string         // one line of evidence with numbers and units
	Evidence  map[string]any // what it rests on: numbers, times as RFC 3339; never NaN

	Acknowledged bool       // the keeper has seen it
	SnoozedUntil time.Time  // zero: not snoozed
	AnsweredBy   logbook.ID // of the answer that holds; zero: none

	// reports whether it was raised without a break from a moment before Since; nil: it was not
	heldSince func(time.Time) bool
	milder    func(time.Time) bool // reports whether it was less severe at a moment; nil: it never is
}

// Text is the headline with its evidence, in one line.
func (a Alert) Text() string { return a.Headline + words.With("; ", a.Because) }

// Open reports whether the alert still asks for the keeper at asOf.
func (a Alert) Open(asOf time.Time) bool {
	return !a.Acknowledged && !a.SnoozedUntil.After(asOf)
}

// OnlyOpen are those of some alerts that still ask for the keeper at asOf.
func OnlyOpen(all []Alert, asOf time.Time) []Alert {
	return words.Those(all, func(a Alert) bool { return a.Open(asOf) })
}

// Answer is how the keeper answered an alert that is not open; "" of one that is.
func (a Alert) Answer(asOf time.Time) string {
	switch {
	case a.Open(asOf):
		return ""
	case a.SnoozedUntil.After(asOf):
		return "snoozed until " + words.ShortDay(a.SnoozedUntil.In(asOf.Location()))
	default:
		return "seen"
	}
}

// floorRules are about running out, which is what the keeper must hear of first.
var floorRules = []Rule{RuleBottomedOut, RuleBottomingOut, RuleTestAgain}

func (r Rule) rank() int {
	if slices.Contains(floorRules, r) {
		return 0
	}
	return 1
}

// Sort puts what wants attention first: open before answered, severe before mild, running out before all else, then
// older before newer. The alerts may be of several tanks.
func Sort(as []Alert, asOf time.Time) {
	slices.SortStableFunc(as, func(a, b Alert) int {
		if oa, ob := a.Open(asOf), b.Open(asOf); oa != ob {
			if oa {
				return -1
			}
			return 1
		}
		return cmp.Or(
			-cmp.Compare(a.Severity, b.Severity),
			cmp.Compare(a.Rule.rank(), b.Rule.rank()),
			a.Since.Compare(b.Since),
			cmp.Compare(a.Tank, b.Tank),
			cmp.Compare(a.Parameter, b.Parameter),
			cmp.Compare(a.Subject, b.Subject),
			cmp.Compare(a.Rule, b.Rule),
		)
	})
}

// answersOf loads the acknowledgements of a tank's alerts that may still hold.
func answersOf(v *logbook.View, tank string, asOf time.Time) ([]logbook.Entry, error) {
	return v.Entries(tank, logbook.KindAcknowledgement, asOf.AddDate(0, 0, -HistoryDays), asOf)
}

// IsMeantBy reports whether an acknowledgement in the alert's tank is of its parameter, subject and rule: without a
// subject, of all of them; of overdue tests, without a parameter, of all of them.
func (a Alert) IsMeantBy(ack logbook.Acknowledgement) bool {
	return ack.Rule == string(a.Rule) && (ack.Subject == "" || ack.Subject == a.Subject) &&
		(ack.Parameter == a.Parameter || a.Rule == RuleOverdue && ack.Parameter == "")
}

// applyAnswers applies the keeper's acknowledgements. One holds for an alert that it means if it was given after the
// alert was raised: an alert that was cleared and comes back asks again. A snooze also holds for an alert that comes
// back before its end. What was said to a warning does not hold once the alert is urgent: the keeper answered something
// else.
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
			case snooze && ack.Parameter != a.Parameter && ack.Time.Before(a.Since):
				// said of tests together that were overdue then
			case !snooze && ack.Time.Before(a.Since) && (a.heldSince == nil || !a.heldSince(ack.Time)):
			case a.milder != nil && a.milder(ack.Time):
			case snooze:
				a.SnoozedUntil, a.AnsweredBy = ack.Until, ack.ID
			default:
				a.Acknowledged, a.AnsweredBy = true, ack.ID
			}
		}
	}
}

// Joined is a list of alerts for reading: the overdue tests of a tank, of which a missed test day leaves one of each
// parameter, are one alert in the place of the first, the longest overdue first; those that were answered are one of
// their own. It is about no parameter, and an answer to it answers them all. asOf is the moment each tank was examined
// at.
func Joined(as []Alert, asOf map[string]time.Time) []Alert {
	together := func(a, b Alert) bool {
		at := asOf[a.Tank]
		return a.Rule == RuleOverdue && b.Rule == RuleOverdue && a.Tank == b.Tank && a.Answer(at) == b.Answer(at)
	}
	var out []Alert
	for i, a := range as {
		if slices.ContainsFunc(as[:i], func(b Alert) bool { return together(a, b) }) {
			continue
		}
		late := words.Those(as, func(b Alert) bool { return together(a, b) })
		if len(late) > 1 {
			slices.SortStableFunc(late, func(a, b Alert) int { return a.Since.Compare(b.Since) })
			a = late[0]
			a.Parameter, a.Evidence, a.Headline = "", nil, overdueTogether(late)
			a.Because = words.List(late, func(a Alert) string { return a.Parameter + " since " + words.ShortDay(a.Since) })
		}
		out = append(out, a)
	}
	return out
}

// Joined are the alerts of the tank for reading.
func (r Report) Joined() []Alert {
	return Joined(r.Alerts, map[string]time.Time{r.Tank.Name: r.AsOf})
}
