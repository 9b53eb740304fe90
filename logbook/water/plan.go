package water

import (
	"cmp"
	"fmt"
	"math"
	"time"
)

// Aim is what a plan is made from. All levels, demands and changes are in the parameter's canonical unit.
type Aim struct {
	Parameter string    // for messages: "alkalinity"
	Unit      string    // for messages: "dKH"
	Start     time.Time // when the first day begins; the steps are dated from it, a calendar day apart

	Level, LevelSD   float64 // now, and the doubt of it as a standard deviation
	Target           float64
	Demand, DemandSD float64 // per day; negative where the level rises by itself
	ReadingSD        float64 // of one test; 0: taken as LevelSD

	Litres   float64  // net water volume
	Strength Strength // of the supplement
	// ContentSD is the relative doubt of what a dose brings, strength and net volume together: 0.05 for 5 %.
	ContentSD float64

	MaxRise, MaxFall float64 // greatest careful change of the level in a day
	Low, High        float64 // the wide range in which a target makes sense; both 0: not checked
	NearZero         bool    // nutrients and traces, of which a daily rise cannot be judged by its share of the level
	Within           int     // days in which the target is wanted; 0: as many as it takes

	ReservoirML float64    // supplement at hand, mL; 0: not known
	MaxDailyML  float64    // most that can be given in a day: limewater is bound by evaporation; 0: no such bound
	Dissolving  Dissolving // of the recipe, see Stock.Dissolving; the zero value where there is none
}

// Plan is how to hold a level and to bring it to its target.
type Plan struct {
	StandingRise float64 // per day: what dosing has to add to hold the level, the demand; never negative
	StandingML   float64 // the same in mL of the supplement
	Steps        []PlanStep
	// Final is the level expected at the end of the last step with the interval of PlanConfidence; without steps, the
	// level now.
	Final Expectation
	// Portions is the least number of portions a day that keeps every single one from raising the level by more than
	// MaxRise. It counts the largest day.
	Portions int
	// TestDay is the day, counted from the start, by which to test next: when the doubt that the plan itself gathers
	// has grown to that of one test, but not later than the day after the last step, or a week where there are none.
	TestDay int
	// ReservoirDays is how many days the supplement at hand lasts, the steps included and then the standing amount; NaN
	// when the reservoir is not known or nothing is drawn from it.
	ReservoirDays float64
	Notes         []string // what to mind, in whole sentences; may be empty
}

// PlanStep is one day of a correction.
type PlanStep struct {
	Day         int       // 0 is the first
	Time        time.Time // Start plus so many calendar days
	Change      float64   // of the level by the end of the day, demand being met; negative when lowering
	Millilitres float64   // to give that day in all, standing amount included
	Expect      Expectation
}

// Expectation is an expected level with the interval that holds it with PlanConfidence.
type Expectation struct{ Level, Lo, Hi float64 }

// PlanConfidence is the chance with which the levels of a plan lie within their intervals. It is wider than the 80 % that
// a trend is given with: a plan is followed by somebody who then stops looking.
const PlanConfidence = 0.90

const (
	// planQuantile is the normal quantile of PlanConfidence, two-sided.
	planQuantile = 1.6448536269514722
	// planMargin is the number of standard deviations of demand and content kept below the greatest daily change, so
	// that a demand lower than believed does not push a day beyond it: one tank in 30,000.
	planMargin = 4
	// leastRoom is the share of the greatest daily change that is used even if it leaves less than planMargin, but not
	// less than leastMargin, which is one tank in 700: heavy demands are never known to within a tenth of the limit.
	leastRoom   = 0.2
	leastMargin = 3
	// maxRelativeRise is the share of its level by which no plan raises anything in a day, nutrients and traces apart,
	// whatever limit was set. The usual upper limits are about 12 % (common practice, no source).
	maxRelativeRise = 0.20
	// maxDoseShare is the share of the tank's volume beyond which a daily dose is itself a water change.
	maxDoseShare = 0.05
	// holdDays is how long a level that is only held goes without a test (common practice, no source).
	holdDays = 7
	// maxPlanDays is the longest correction: by then demand is another.
	maxPlanDays = 60
)

// NewPlan makes a plan, or refuses with the reason. Supply balances demand:
//
//	standing mL/day = demand V / strength
//
// and the difference to the target is spread evenly over the fewest whole days that keep each day's change, and four
// standard deviations (three at the least) of what is not known about demand and dose, within MaxRise or MaxFall. To lower a level less than
// the demand is given; what nothing consumes, dosing cannot lower. A level that rises to its target by itself gets no
// steps.
//
// The doubt of the level k days on is √(LevelSD² + (k DemandSD)² + (ContentSD × added)²).
func NewPlan(a Aim) (Plan, error) {
	if err := a.check(); err != nil {
		return Plan{}, err
	}
	p := Plan{StandingRise: max(a.Demand, 0), Final: a.expect(a.Level, 0, 0)}
	p.StandingML = a.millilitres(p.StandingRise)
	if err := a.checkDaily(p.StandingML); err != nil {
		return Plan{}, err
	}
	if err := a.addSteps(&p); err != nil {
		return Plan{}, err
	}
	largest := p.StandingML
	for _, s := range p.Steps {
		largest = max(largest, s.Millilitres)
	}
	p.Portions = a.portions(largest)
	p.TestDay = a.testDay(len(p.Steps))
	p.ReservoirDays = a.reservoirDays(p)
	p.Notes = a.notes(p)
	return p, nil
}

// check refuses what is no number, what cannot be, and what no careful keeper would do.
func (a Aim) check() error {
	err := cmp.Or(
		mustBePositive("net volume in L", a.Litres), a.Strength.check(),
		mustNotBeNegative("level", a.Level), mustNotBeNegative("target", a.Target), mustBeANumber("demand per day", a.Demand),
		mustNotBeNegative("doubt of the level", a.LevelSD), mustNotBeNegative("doubt of the demand", a.DemandSD),
		mustNotBeNegative("doubt of a reading", a.ReadingSD), mustNotBeNegative("doubt of the dose", a.ContentSD),
		mustNotBeNegative("greatest daily rise", a.MaxRise), mustNotBeNegative("greatest daily fall", a.MaxFall),
		mustNotBeNegative("reservoir in mL", a.ReservoirML), mustNotBeNegative("greatest daily dose in mL", a.MaxDailyML),
		mustNotBeNegative("days", float64(a.Within)),
	)
	switch {
	case err != nil:
		return err
	case (a.Low != 0 || a.High != 0) && !(a.Target >= a.Low && a.Target <= a.High):
		return fmt.Errorf("target %s lies outside %s to %s, where %s makes sense", a.say(a.Target), plain3(a.Low), a.say(a.High), a.Parameter)
	case a.Dissolving == DissolvesNot:
		return fmt.Errorf("the recipe does not dissolve: make the supplement weaker")
	}
	return nil
}

// checkDaily refuses a daily dose that the tank cannot be given.
func (a Aim) checkDaily(millilitres float64) error {
	switch {
	case a.MaxDailyML > 0 && millilitres > a.MaxDailyML*(1+1e-9):
		return fmt.Errorf("holding the level takes %s mL a day, and at most %s mL can be given: this supplement meets %.0f %% of the demand",
			plain3(math.Ceil(millilitres)), plain3(a.MaxDailyML), 100*a.MaxDailyML/millilitres)
	case a.MaxDailyML == 0 && millilitres > 1000*a.Litres*maxDoseShare:
		return fmt.Errorf("holding the level takes %s mL a day, more than %.0f %% of the tank: the supplement is too weak, or a number is wrong",
			plain3(math.Ceil(millilitres)), 100*maxDoseShare)
	}
	return nil
}

// addSteps spreads the way to the target over whole days.
func (a Aim) addSteps(p *Plan) error {
	gap := a.Target - a.Level
	if gap == 0 {
		return nil
	}
	room, err := a.room(gap > 0)
	if err != nil {
		return err
	}
	days := math.Ceil(math.Abs(gap)/room - 1e-9)
	switch {
	case a.Within > 0 && days > float64(a.Within):
		return fmt.Errorf("from %s to %s takes at least %.0f days at a careful pace of %s a day: %d would be too fast",
			plain3(a.Level), a.say(a.Target), days, a.say(room), a.Within)
	case days > maxPlanDays:
		return fmt.Errorf("from %s to %s takes %.0f days at %s a day, and in so long a time demand changes: choose a nearer target first",
			plain3(a.Level), a.say(a.Target), days, a.say(room))
	}
	n := max(int(days), 1)
	step := gap / float64(n)
	if gap > 0 && -a.Demand >= step { // it gets there by itself, and notes says so
		return nil
	}
	for day := range n {
		ml := a.millilitres(max(a.Demand+step, 0))
		done := float64(day + 1)
		p.Steps = append(p.Steps, PlanStep{
			Day: day, Time: a.Start.AddDate(0, 0, day), Change: step, Millilitres: ml,
			Expect: a.expect(a.Level+step*done, day+1, a.rise(ml)*done),
		})
	}
	p.Final = p.Steps[n-1].Expect
	return nil
}

// room is the change a day may bring: the limit less the margin, within what can be given or left out.
func (a Aim) room(up bool) (float64, error) {
	limit, direction := a.MaxFall, "fall"
	if up {
		limit, direction = a.MaxRise, "rise"
		if share := maxRelativeRise * a.Level; !a.NearZero && limit > share {
			return 0, fmt.Errorf("a daily rise of %s is %s of the level %s: no plan goes beyond %.0f %%",
				a.say(limit), percentOf(limit, a.Level), a.say(a.Level), 100*maxRelativeRise)
		}
	}
	if limit == 0 {
		return 0, fmt.Errorf("no greatest daily %s is known for %s: set one", direction, a.Parameter)
	}
	sd := math.Hypot(a.DemandSD, a.ContentSD*(max(a.Demand, 0)+limit))
	room := max(limit-planMargin*sd, leastRoom*limit)
	if room > limit-leastMargin*sd {
		return 0, fmt.Errorf("demand and dose are known too poorly (%s a day, one standard deviation) to keep a daily %s within %s: test more often first",
			a.say(sd), direction, a.say(limit))
	}
	if !up {
		if a.Demand <= 0 {
			return 0, fmt.Errorf("%s is above its target and nothing consumes it: less dosing cannot lower it, a water change can", a.Parameter)
		}
		return min(room, a.Demand), nil
	}
	most := 1000 * a.Litres * maxDoseShare
	if a.MaxDailyML > 0 {
		most = a.MaxDailyML
	}
	spare := a.rise(most) - a.Demand
	if spare < limit/1000 {
		return 0, fmt.Errorf("the most that can be given a day, %s mL, only meets the demand: nothing is left to raise %s", plain3(most), a.Parameter)
	}
	return min(room, spare), nil
}

// expect is the level after so many days, of which dosing added so much in all.
func (a Aim) expect(level float64, days int, added float64) Expectation {
	sd := math.Sqrt(a.LevelSD*a.LevelSD + sq(float64(days)*a.DemandSD) + sq(a.ContentSD*added))
	return Expectation{Level: level, Lo: max(level-planQuantile*sd, 0), Hi: level + planQuantile*sd}
}

// portions is the least number of equal portions of a day's dose none of which raises the level by more than MaxRise.
func (a Aim) portions(millilitres float64) int {
	if a.MaxRise == 0 || millilitres == 0 {
		return 1
	}
	return max(int(math.Ceil(a.rise(millilitres)/a.MaxRise-1e-9)), 1)
}

// testDay is the first day on which the doubt gathered since the start reaches that of a test, or the end.
func (a Aim) testDay(steps int) int {
	reading := cmp.Or(a.ReadingSD, a.LevelSD)
	perDay := math.Hypot(a.DemandSD, a.ContentSD*math.Abs(a.Demand))
	end := steps
	if steps == 0 {
		end = holdDays
	}
	if perDay == 0 {
		return end
	}
	return min(max(int(reading/perDay), 1), end)
}

// reservoirDays is how long the supplement lasts.
func (a Aim) reservoirDays(p Plan) float64 {
	if a.ReservoirML == 0 {
		return math.NaN()
	}
	left, days := a.ReservoirML, 0.0
	for _, s := range p.Steps {
		if s.Millilitres > left {
			return days + left/s.Millilitres
		}
		left -= s.Millilitres
		days++
	}
	if p.StandingML == 0 {
		return math.NaN()
	}
	return days + left/p.StandingML
}

func (a Aim) notes(p Plan) []string {
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	gap := math.Abs(a.Target - a.Level)
	say(gap > 0 && gap < a.LevelSD, "The level is as close to its target as the tests can tell: test again before correcting.")
	say(a.Demand > 0 && a.Demand < 2*a.DemandSD, "The demand is not yet told from nothing: begin with half the standing amount and test again.")
	say(a.Demand < 0, "The level rises by itself: no dosing is needed to hold it.")
	say(gap > 0 && len(p.Steps) == 0 && a.Demand < 0, "It reaches its target by itself in about %s days.", plain3(-gap/a.Demand))
	say(a.Dissolving == DissolvesBarely, "The recipe may not all dissolve: make it weaker and give more of it.")
	say(p.ReservoirDays < float64(len(p.Steps)), "The reservoir is empty before the correction is done.")
	say(p.Portions > 1, "Spread the day's dose over %d portions or more.", p.Portions)
	return notes
}

func (a Aim) millilitres(rise float64) float64 { return rise * a.Litres / float64(a.Strength) }
func (a Aim) rise(millilitres float64) float64 { return millilitres * float64(a.Strength) / a.Litres }

// say is a value with the unit of the parameter.
func (a Aim) say(v float64) string {
	if a.Unit == "" {
		return plain3(v)
	}
	return plain3(v) + " " + a.Unit
}

func percentOf(part, whole float64) string {
	if whole == 0 {
		return "more than all"
	}
	return fmt.Sprintf("%.0f %%", 100*part/whole)
}

func sq(x float64) float64 { return x * x }
