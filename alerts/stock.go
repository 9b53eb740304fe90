package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

// StockLeadDays is how long before it runs out or expires a stock is spoken of: long enough for a parcel (common
// practice, no source).
const StockLeadDays = 7

// What is used up is never exactly what is reckoned. The real use is taken to lie, with a chance of 80 %, within this
// share of it (common practice, no source): a dosing pump drifts and the net volume is an estimate; a use per day that
// the keeper tells is rougher; and a habit of testing changes.
const (
	doserShare  = 0.10
	perDayShare = 0.20
	habitShare  = 0.10 // of the time to the end, for a habit of testing that changes
)

const (
	stockHorizon = 3650 // days; what lasts longer than ten years is not given a date
	recentFills  = 8    // of a stock, among which an expiry date is looked for
)

// Stock is what is left of something as-of a moment, and when it runs out. Amounts are in Stock.Unit. Unknown numbers
// are NaN, and Why says why.
type Stock struct {
	logbook.Stock
	Filled  logbook.Refill // the last word on how much there was; its Time is zero if there is none
	Left    float64        // never below 0
	Used    float64        // since Filled, as reckoned; of a reagent no more than what uses it up
	PerDay  float64        // present use
	Out     RunOut
	Since   time.Time // when it came so close to its end that it is an alert; zero if it is none
	Expires time.Time // the first moment at which it has expired; zero if it does not
	Basis   string    // what the use and its spread rest on
	Why     string    // why the end cannot be told; "" if it can

	emptied time.Time // when the last of it went; zero if it is not used up, or if that is not known
}

// RunOut is when something is used up, in days after the moment asked about: 0 is now, +Inf is beyond ten years or
// never. P10 to P90 is the 80 % interval; it is NaN where only the middle is known.
type RunOut struct{ P10, P50, P90 float64 }

// Empty reports whether nothing is left.
func (s Stock) Empty() bool { return s.Left == 0 }

func stocksOf(v *logbook.View, t logbook.Tank, asOf time.Time) ([]Stock, error) {
	list, err := v.Stocks(t.Name)
	if err != nil {
		return nil, err
	}
	var out []Stock
	for _, s := range list {
		st, err := examineStock(v, t, s, asOf)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

func examineStock(v *logbook.View, t logbook.Tank, stock logbook.Stock, asOf time.Time) (Stock, error) {
	unknown := math.NaN()
	s := Stock{Stock: stock, Left: unknown, Used: unknown, PerDay: unknown, Out: RunOut{unknown, unknown, unknown}}
	fills, err := v.LastRefills(t.Name, stock.Name, asOf, recentFills)
	if err != nil {
		return s, err
	}
	if len(fills) == 0 {
		s.Why = "amount not set"
		return s, nil
	}
	s.Filled = fills[len(fills)-1]
	s.Expires = expiryOf(fills, asOf.Location())
	switch {
	case stock.Supplement != "":
		err = s.reservoir(v, asOf)
	case stock.Parameter != "":
		err = s.reagent(v, t, asOf)
	default:
		s.Basis = fmt.Sprintf("%s a day as told; 80 %%: within %.0f %% of it, a rule of thumb", s.amount(stock.PerDay),
			100*perDayShare)
		s.runDown((Day(asOf)-Day(s.Filled.Time))*stock.PerDay, stock.PerDay, perDayShare, asOf)
	}
	return s, err
}

// expiryOf is when the present content expires. A refill that says nothing of it and is no more than the one before is
// taken as a look at what is left, to which the older date still applies.
func expiryOf(fills []logbook.Refill, zone *time.Location) time.Time {
	for i := len(fills) - 1; i >= 0; i-- {
		if day, err := time.ParseInLocation(time.DateOnly, fills[i].Expires, zone); err == nil {
			return day.AddDate(0, 0, 1) // good to the end of that day
		}
		if i > 0 && fills[i].Amount > fills[i-1].Amount {
			break
		}
	}
	return time.Time{}
}

// runDown works out a stock that is used steadily. What is really used is f times what is reckoned, in the past as in
// the time to come, with f between 1 - share and 1 + share in 80 % of cases. The end, in days from now, is then
//
//	amount/(f rate) - used/rate
//
// since f times used is gone and f times rate goes on being used.
func (s *Stock) runDown(used, rate, share float64, asOf time.Time) {
	s.Used, s.PerDay = used, rate
	s.Left = math.Max(0, s.Filled.Amount-used)
	if rate <= 0 {
		s.Out = RunOut{math.Inf(1), math.Inf(1), math.Inf(1)}
		if s.Empty() {
			s.Out, s.Since = RunOut{}, s.Filled.Time
		}
		return
	}
	end := func(f float64) float64 { return s.Filled.Amount/(f*rate) - used/rate }
	if s.Empty() {
		s.emptied = TimeOf(Day(asOf)-(used-s.Filled.Amount)/rate, asOf.Location())
	}
	early := end(1 + share)
	s.Out = RunOut{inSight(early), inSight(end(1)), inSight(end(1 - share))}
	if early <= StockLeadDays {
		if s.Since = TimeOf(Day(asOf)+early-StockLeadDays, asOf.Location()); s.Filled.Time.After(s.Since) {
			s.Since = s.Filled.Time
		}
	}
}

// inSight keeps a number of days to come between now and the horizon.
func inSight(days float64) float64 {
	if days > stockHorizon {
		return math.Inf(1)
	}
	return math.Max(0, days)
}

// early is the early end of the interval, or the middle where there is no interval.
func (o RunOut) early() float64 {
	if math.IsNaN(o.P10) {
		return o.P50
	}
	return o.P10
}

func (s Stock) lowAlert(asOf time.Time) (Alert, bool) {
	a := Alert{Rule: RuleStockLow, Severity: Notice, Since: s.Since, Headline: s.headline(false, asOf)}
	expires := !s.Expires.IsZero() && s.Expires.After(asOf) && Day(s.Expires)-Day(asOf) <= StockLeadDays
	switch {
	case s.Empty():
		a.Severity = Warning
		a.milder = s.emptied.After
	case !s.Since.IsZero():
	case expires:
		a.Since, a.Headline = s.Expires.AddDate(0, 0, -StockLeadDays), s.headline(true, asOf)
	default:
		return Alert{}, false
	}
	return s.complete(a, asOf), true
}

func (s Stock) expiredAlert(asOf time.Time) (Alert, bool) {
	if s.Expires.IsZero() || s.Expires.After(asOf) || s.Empty() {
		return Alert{}, false
	}
	return s.complete(Alert{Rule: RuleExpired, Severity: Warning, Since: s.Expires, Headline: s.headline(true, asOf)},
		asOf), true
}

func (s Stock) complete(a Alert, asOf time.Time) Alert {
	a.Tank, a.Subject, a.Because = s.Tank, s.Name, s.Text(asOf)
	a.Evidence = map[string]any{
		"as_of": logbook.FormatTime(asOf), "stock": s.Name, "unit": s.Unit, "left": finite(s.Left),
		"per_day":   finite(s.PerDay),
		"days_left": finite(s.Out.P50), "days_left_lo": finite(s.Out.P10), "days_left_hi": finite(s.Out.P90),
		"basis": s.Basis,
	}
	if s.Filled.Expires != "" {
		a.Evidence["expires"] = s.Filled.Expires
	}
	return a
}

// Text says what is left and when it runs out, with its spread, or why that cannot be told.
func (s Stock) Text(asOf time.Time) string {
	text := ""
	switch {
	case s.Filled.Time.IsZero():
		return s.Why
	case math.IsNaN(s.Left):
		text = fmt.Sprintf("%s on %s; %s", s.amount(s.Filled.Amount), words.NearDay(s.Filled.Time, asOf), s.Why)
	case s.Empty():
		text = fmt.Sprintf("%s of %s are gone", s.amount(s.Filled.Amount), words.NearDay(s.Filled.Time, asOf))
	case !s.Expires.IsZero() && s.Out.early() > Day(s.Expires)-Day(asOf):
		text = s.amount(s.Left) + " left"
	default:
		text = s.amount(s.Left) + " left, " + s.endText(asOf)
	}
	switch {
	case s.Expires.IsZero():
	case s.Expires.After(asOf):
		text += "; expires " + words.Day(s.Expires.AddDate(0, 0, -1))
	default:
		text += "; expired " + words.Day(s.Expires.AddDate(0, 0, -1))
	}
	return text
}

// LastsText is how long a stock lasts, as a range of days, in short.
func (s Stock) LastsText() string {
	o := s.Out
	switch {
	case s.Empty():
		return "gone"
	case math.IsNaN(o.P50):
		return "not known"
	case math.IsInf(o.P50, 1):
		return "years"
	case math.IsNaN(o.P10) || math.IsNaN(o.P90):
		return fmt.Sprintf("%.0f d", o.P50)
	default:
		return words.Span(o.P10, o.P90)
	}
}

func (s Stock) endText(asOf time.Time) string {
	date := func(days float64) string { return words.NearDay(asOf.Add(time.Duration(days*dayNanos)), asOf) }
	o := s.Out
	switch {
	case s.Why != "":
		return "end unknown: " + s.Why
	case s.PerDay == 0:
		return "not in use now"
	case math.IsInf(o.P50, 1):
		return "more than ten years"
	case math.IsNaN(o.P10):
		return "until about " + date(o.P50)
	case math.IsInf(o.P90, 1):
		return fmt.Sprintf("until about %s (from %s)", date(o.P50), date(o.P10))
	}
	return fmt.Sprintf("until about %s (%s to %s)", date(o.P50), date(o.P10), date(o.P90))
}

// amount prints a number of the stock's unit: in three digits, whole ones in full.
func (s Stock) amount(v float64) string {
	text := water.FormatSignificant(v, 3)
	if math.Abs(v) >= 100 || v == math.Trunc(v) {
		text = water.Format(v, 0)
	}
	return words.WithUnit(text, logbook.Clean(s.Unit))
}
