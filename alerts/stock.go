package alerts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/logbook/water"
)

// StockLeadDays is how long before it runs out or expires a stock is spoken of: long enough for a parcel (common
// practice, no source).
const StockLeadDays = 7

// What is used up is never exactly what is reckoned. The real use is taken to lie, with a chance of 80 %, within this
// share of it (common practice, no source): a dosing pump drifts and the net volume is an estimate; a use per day that the
// keeper tells is rougher; and a habit of testing changes.
const (
	doserShare  = 0.10
	perDayShare = 0.20
	habitShare  = 0.10 // of the time to the end, for a habit of testing that changes
)

const (
	stockHorizon = 3650   // days; what lasts longer than ten years is not given a date
	z80          = 1.2816 // the normal quantile at 90 %: 80 % lie within this many standard deviations
	fewestGaps   = 4      // between tests, before a rate and its spread are learned from them
	recentTests  = 40     // of a reagent, from which its rate is learned
	recentLook   = 100000 // readings of any method, among which they are looked for: ten weeks of a probe's, a minute apart
	recentFills  = 8      // of a stock, among which an expiry date is looked for
)

// Stock is what is left of something as-of a moment, and when it runs out. Amounts are in Stock.Unit. Unknown numbers are
// NaN, and Why says why.
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

// RunOut is when something is used up, in days after the moment asked about: 0 is now, +Inf is beyond ten years or never.
// P10 to P90 is the 80 % interval; it is NaN where only the middle is known.
type RunOut struct{ P10, P50, P90 float64 }

// Empty reports whether nothing is left.
func (s Stock) Empty() bool { return s.Left == 0 }

// stocksOf works out the stocks of a tank.
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
		s.Why = "how much there is was never noted"
		return s, nil
	}
	s.Filled = fills[len(fills)-1]
	s.Expires = expiryOf(fills, asOf.Location())
	switch {
	case stock.Supplement != "":
		err = s.reservoir(v, t, asOf)
	case stock.Parameter != "":
		err = s.reagent(v, t, asOf)
	default:
		s.Basis = fmt.Sprintf("%s a day as told; 80 %%: within %.0f %% of it, a rule of thumb", s.amount(stock.PerDay), 100*perDayShare)
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

// runDown works out a stock that is used steadily. What is really used is f times what is reckoned, in the past as in the
// time to come, with f between 1 - share and 1 + share in 80 % of cases. The end, in days from now, is then
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
		s.Since = later(s.Filled.Time, TimeOf(Day(asOf)+early-StockLeadDays, asOf.Location()))
	}
}

// inSight keeps a number of days to come between now and the horizon.
func inSight(days float64) float64 {
	if days > stockHorizon {
		return math.Inf(1)
	}
	return math.Max(0, days)
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// reservoir works out how fast a supplement is dosed from it.
func (s *Stock) reservoir(v *logbook.View, t logbook.Tank, asOf time.Time) error {
	supplement, err := v.Supplement(s.Supplement)
	switch {
	case isNotFound(err):
		s.Why = logbook.Clean(s.Supplement) + " is not described as a supplement, so its strength is not known"
		return nil
	case err != nil:
		return err
	case t.VolumeL <= 0:
		s.Why = "the net volume of the tank is not known"
		return nil
	}
	parameters, err := v.Parameters()
	if err != nil {
		return err
	}
	done, err := doneBetween(v, t.Name, "", s.Filled.Time, asOf)
	if err != nil {
		return err
	}
	use, err := volumeUse(supplement, parameters, t.VolumeL, done)
	if err != nil {
		return err
	}
	perUnit, err := water.Litres(1, s.Unit)
	if err != nil {
		return err
	}
	ml := 1000 * perUnit // in one of the stock's units
	used, rate := use.between(Day(s.Filled.Time), Day(asOf))
	s.Basis = fmt.Sprintf("dosing of %s as noted, through its strength and %g L; 80 %%: the doser gives within %.0f %% of it, a rule of thumb",
		logbook.Clean(s.Supplement), t.VolumeL, 100*doserShare)
	if rate == 0 {
		s.Basis = "no dosing of " + logbook.Clean(s.Supplement) + " is in force"
	}
	s.runDown(used/ml, rate/ml, doserShare, asOf)
	return nil
}

// use is what a supplement was used at, in mL: at standing rates from days on, and at once.
type use struct {
	rates []useAt // mL a day, in time order
	doses []useAt // mL
}

type useAt struct{ day, ml float64 }

// volumeUse turns dosing and doses of a supplement into volumes of it. A supplement that raises two parameters is noted
// once for each: what is used at a moment is the largest volume that any of them asks for, not the sum.
func volumeUse(s logbook.Supplement, ps []logbook.Parameter, litres float64, done []logbook.Entry) (use, error) {
	strengths := map[string]logbook.Rise{}
	for _, r := range s.Raises(ps) {
		strengths[r.Parameter.Name] = r
	}
	millilitres := func(parameter string, amount float64, unit string) (float64, error) {
		r, ok := strengths[parameter]
		if !ok || amount == 0 {
			return 0, nil
		}
		rise, err := r.Parameter.CanonicalChange(amount, unit)
		if err != nil {
			return 0, err
		}
		return r.Strength.Millilitres(rise, litres)
	}
	var u use
	done = slices.Clone(done)
	slices.SortStableFunc(done, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	inForce := map[string]float64{} // mL a day, by parameter
	for _, e := range done {
		switch e := e.(type) {
		case logbook.Dosing:
			if e.Supplement != s.Name {
				continue
			}
			ml, err := millilitres(e.Parameter, e.PerDay, e.Unit)
			if err != nil {
				return u, err
			}
			inForce[e.Parameter] = ml
			u.rates = append(u.rates, useAt{Day(e.Time), greatest(inForce)})
		case logbook.Dose:
			if e.Supplement != s.Name {
				continue
			}
			ml, err := millilitres(e.Parameter, e.Amount, e.Unit)
			if err != nil {
				return u, err
			}
			if n := len(u.doses); n > 0 && u.doses[n-1].day == Day(e.Time) {
				u.doses[n-1].ml = math.Max(u.doses[n-1].ml, ml)
			} else {
				u.doses = append(u.doses, useAt{Day(e.Time), ml})
			}
		}
	}
	return u, nil
}

func greatest(m map[string]float64) float64 {
	g := 0.0
	for _, v := range m {
		g = math.Max(g, v)
	}
	return g
}

// between is the volume used from one day to another, and the rate in force at its end.
func (u use) between(from, to float64) (used, rate float64) {
	since := from
	for _, r := range u.rates {
		if r.day > to {
			break
		}
		if r.day > since {
			used += rate * (r.day - since)
			since = r.day
		}
		rate = r.ml
	}
	used += rate * math.Max(0, to-since)
	for _, d := range u.doses {
		if d.day > from && d.day <= to {
			used += d.ml
		}
	}
	return used, rate
}

// reagent counts the tests made since the refill, and learns from the recent ones how often a test is made.
func (s *Stock) reagent(v *logbook.View, t logbook.Tank, asOf time.Time) error {
	enough := int(math.Min(math.Ceil(s.Filled.Amount), math.MaxInt32)) // tests that use it up
	made, err := v.MadeWith(t.Name, s.Parameter, s.Method, s.Filled.Time.Add(1), asOf, enough)
	if err != nil {
		return err
	}
	recent, err := v.LastMadeWith(t.Name, s.Parameter, s.Method, asOf, recentTests, recentLook)
	if err != nil {
		return err
	}
	s.Used = float64(len(made))
	s.Left = math.Max(0, s.Filled.Amount-s.Used)
	rate, err := s.testRate(v, t, recent)
	if err != nil {
		return err
	}
	if s.Empty() {
		s.Out, s.Why = RunOut{}, ""
		s.PerDay = 1 / rate.every
		s.Since = s.runningLow(made, rate)
		if len(made) > 0 {
			s.emptied = made[len(made)-1].Time
		}
		return nil
	}
	if math.IsNaN(rate.every) {
		return nil
	}
	s.PerDay = 1 / rate.every
	waited := 0.0 // since the last test
	if n := len(recent); n > 0 {
		waited = Day(asOf) - Day(recent[n-1].Time)
	}
	s.Out = rate.end(s.Left, waited)
	if s.Out.early() <= StockLeadDays {
		s.Since = s.runningLow(made, rate)
	}
	return nil
}

// testRate is how often a test is made, in days, with its scatter; NaN where not known.
type testRate struct {
	every, sd float64
	n         int // gaps it rests on; 0 if it is as planned
}

// testRate learns the rate from recent tests with this reagent; too few of them, and it is as planned. It sets Basis or
// Why.
func (s *Stock) testRate(v *logbook.View, t logbook.Tank, recent []logbook.Reading) (testRate, error) {
	if n := len(recent) - 1; n >= fewestGaps {
		mean := (Day(recent[n].Time) - Day(recent[0].Time)) / float64(n)
		ss := 0.0
		for i := range n {
			ss += sq(Day(recent[i+1].Time) - Day(recent[i].Time) - mean)
		}
		if mean > 0 {
			s.Basis = fmt.Sprintf("the last %d tests came %.1f days apart; 80 %%: from how much those gaps scatter, and %.0f %% for a change of habit, a rule of thumb", n+1, mean, 100*habitShare)
			return testRate{mean, math.Sqrt(ss / float64(n-1)), n}, nil
		}
	}
	few := fmt.Sprintf("needs %d tests to learn how often, has %d", fewestGaps+1, len(recent))
	p, err := v.Parameter(s.Parameter)
	if err != nil && !isNotFound(err) {
		return testRate{}, err
	}
	band, err := BandOf(t, p)
	if err != nil {
		return testRate{}, fmt.Errorf("tank %s, band of %s: %w", t.Name, p.Name, err)
	}
	every := everyDays(band, p, nil)
	if every <= 0 {
		s.Why = few
		return testRate{math.NaN(), math.NaN(), 0}, nil
	}
	s.Basis = fmt.Sprintf("a test %s as planned; %s and cannot tell a spread", everyText(every), few)
	return testRate{every, math.NaN(), 0}, nil
}

// end is when the last of so many tests is made, if the last one was made some days ago. The next is due one gap after it,
// or now; the others follow. Gaps scatter independently, and their mean is itself known only from n of them:
//
//	variance = sd² (left + left²/n)
//
// to which comes, independently, a share of the time itself for a change of habit.
func (r testRate) end(left, waited float64) RunOut {
	middle := math.Max(0, r.every-waited) + (left-1)*r.every
	if r.n == 0 {
		return RunOut{math.NaN(), inSight(middle), math.NaN()}
	}
	half := math.Hypot(z80*r.sd*math.Sqrt(left+left*left/float64(r.n)), habitShare*middle)
	return RunOut{inSight(middle - half), inSight(middle), inSight(middle + half)}
}

// early is the early end of the interval, or the middle where there is no interval.
func (o RunOut) early() float64 {
	if math.IsNaN(o.P10) {
		return o.P50
	}
	return o.P10
}

// runningLow is when so few tests were left that it became an alert: at the test that left one too few at this rate.
func (s Stock) runningLow(made []logbook.Reading, rate testRate) time.Time {
	since := s.Filled.Time
	for i, r := range made {
		left := s.Filled.Amount - float64(i)
		if left < 1 || rate.end(left, 0).early() <= StockLeadDays {
			break
		}
		since = r.Time
	}
	return since
}

// lowAlert speaks up when a stock may run out, or expires, within StockLeadDays.
func (s Stock) lowAlert(asOf time.Time) (Alert, bool) {
	a := Alert{Rule: RuleStockLow, Severity: Notice, Since: s.Since}
	expires := !s.Expires.IsZero() && s.Expires.After(asOf) && Day(s.Expires)-Day(asOf) <= StockLeadDays
	switch {
	case s.Empty():
		a.Severity, a.Text = Warning, logbook.Clean(s.Name)+" is used up: "+s.Text(asOf)
		a.milder = s.emptied.After
	case !s.Since.IsZero():
		a.Text = logbook.Clean(s.Name) + " runs low: " + s.Text(asOf)
	case expires:
		a.Since = s.Expires.AddDate(0, 0, -StockLeadDays)
		a.Text = logbook.Clean(s.Name) + " soon expires: " + s.Text(asOf)
	default:
		return Alert{}, false
	}
	return s.complete(a, asOf), true
}

// expiredAlert speaks up when what is left has expired.
func (s Stock) expiredAlert(asOf time.Time) (Alert, bool) {
	if s.Expires.IsZero() || s.Expires.After(asOf) || s.Empty() {
		return Alert{}, false
	}
	return s.complete(Alert{Rule: RuleExpired, Severity: Warning, Since: s.Expires,
		Text: logbook.Clean(s.Name) + " has expired: " + s.Text(asOf)}, asOf), true
}

func (s Stock) complete(a Alert, asOf time.Time) Alert {
	a.Tank, a.Subject = s.Tank, s.Name
	a.Evidence = map[string]any{
		"as_of": logbook.FormatTime(asOf), "stock": s.Name, "unit": s.Unit, "left": finite(s.Left), "per_day": finite(s.PerDay),
		"days_left": finite(s.Out.P50), "days_left_lo": finite(s.Out.P10), "days_left_hi": finite(s.Out.P90), "basis": s.Basis,
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
		text = fmt.Sprintf("%s on %s; %s", s.amount(s.Filled.Amount), dayText(s.Filled.Time), s.Why)
	case s.Empty():
		text = fmt.Sprintf("%s of %s are gone", s.amount(s.Filled.Amount), dayText(s.Filled.Time))
	default:
		text = s.amount(s.Left) + " left, " + s.endText(asOf)
	}
	switch {
	case s.Expires.IsZero():
	case s.Expires.After(asOf):
		text += "; good until " + dayText(s.Expires.AddDate(0, 0, -1))
	default:
		text += "; was good until " + dayText(s.Expires.AddDate(0, 0, -1))
	}
	return text
}

func (s Stock) endText(asOf time.Time) string {
	date := func(days float64) string { return dayText(asOf.Add(time.Duration(days * dayNanos))) }
	o := s.Out
	switch {
	case s.Why != "":
		return "end unknown: " + s.Why
	case s.PerDay == 0:
		return "not in use now"
	case math.IsInf(o.P50, 1):
		return "more than ten years"
	case math.IsNaN(o.P10):
		return fmt.Sprintf("until about %s", date(o.P50))
	case math.IsInf(o.P90, 1):
		return fmt.Sprintf("until about %s (80 %%: from %s)", date(o.P50), date(o.P10))
	}
	return fmt.Sprintf("until about %s (80 %%: %s to %s)", date(o.P50), date(o.P10), date(o.P90))
}

// amount prints a number of the stock's unit: in three digits, whole ones in full.
func (s Stock) amount(v float64) string {
	text := water.FormatSignificant(v, 3)
	if math.Abs(v) >= 100 || v == math.Trunc(v) {
		text = water.Format(v, 0)
	}
	return withUnit(text, logbook.Clean(s.Unit))
}
