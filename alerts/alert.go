package alerts

import (
	"cmp"
	"leadline/alerts/words"
	"slices"
	"time"
)

// Severity orders alerts by how soon they want the keeper.
type Severity int8

const (
	Notice  Severity = iota + 1 // worth knowing
	Warning                     // wants attention this week
	Urgent                      // wants attention today
)

func (s Severity) String() string {
	switch s {
	case Notice:
		return "notice"
	case Warning:
		return "warning"
	case Urgent:
		return "urgent"
	default:
		return "none"
	}
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

	Acknowledged bool      // the keeper has seen it
	SnoozedUntil time.Time // zero: not snoozed

	heldSince func(time.Time) bool // reports whether it was raised without a break from a moment before Since; nil: it was not
	milder    func(time.Time) bool // reports whether it was less severe at a moment; nil: it never is
}

// Text is the headline with its evidence, in one line.
func (a Alert) Text() string { return a.Headline + words.With("; ", a.Because) }

// Open reports whether the alert still asks for the keeper at asOf.
func (a Alert) Open(asOf time.Time) bool {
	return !a.Acknowledged && !a.SnoozedUntil.After(asOf)
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
