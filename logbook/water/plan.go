package water

import (
	"cmp"
	"fmt"
	"math"
	"time"
)

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
	// has grown to that of one test, but not later than the day after the last step or correctionTestDays on, or a
	// week where there are no steps.
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

// PlanConfidence is the chance with which the levels of a plan lie within their intervals. It is wider than the 80 %
// that a trend is given with: a plan is followed by somebody who then stops looking.
const PlanConfidence = 0.90

// NewPlan makes a plan, or refuses with the reason. Supply balances demand:
//
//	standing mL/day = demand V / strength
//
// and the difference to the target is spread evenly over the fewest whole days that keep each day's change, and four
// standard deviations (three at the least) of what is not known about demand and dose, within MaxRise or MaxFall. To
// lower a level less than the demand is given; what nothing consumes, dosing cannot lower. A level that rises to its
// target by itself gets no steps.
//
// The doubt of the level k days on is √(LevelSD² + (k DemandSD)² + (ContentSD × added)²).
func NewPlan(a Aim) (Plan, error) {
	if err := a.check(); err != nil {
		return Plan{}, err
	}
	p := Plan{StandingRise: max(a.Demand, 0), Final: a.expect(a.Level, 0, 0)}
	p.StandingML = a.millilitres(p.StandingRise)
	if err := cmp.Or(a.checkDaily(p.StandingML), a.addSteps(&p)); err != nil {
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
	n := max(int(math.Min(math.Ceil(math.Abs(gap)/room-1e-9), 1e6)), 1)
	waits := 0
	if gap > 0 && a.Given > 0 && a.Given+gap/float64(n) > a.MaxRise { // the first day has had its rise
		waits = 1
	}
	switch days := n + waits; {
	case a.Within > 0 && days > a.Within:
		return fmt.Errorf("from %s to %s takes at least %d days at a careful pace of %s a day: %d would be too fast",
			a.number(a.Level), a.say(a.Target), days, a.say(room), a.Within)
	case days > maxPlanDays:
		return fmt.Errorf("from %s to %s takes %d days at %s a day, and in so long a time demand changes: choose a nearer "+
			"target first", a.number(a.Level), a.say(a.Target), days, a.say(room))
	}
	if gap > 0 && -a.Demand >= gap/float64(n) { // it gets there by itself, and notes says so
		return nil
	}
	from, added := a.Level, 0.0 // after the day of waiting
	if waits > 0 {
		from, added = a.Level+max(-a.Demand, 0), p.StandingRise
		p.Steps = append(p.Steps, PlanStep{Time: a.Start, Millilitres: p.StandingML, Expect: a.expect(from, 1, added)})
	}
	step := (a.Target - from) / float64(n)
	for day := waits; day < n+waits; day++ {
		ml := a.millilitres(max(a.Demand+step, 0))
		done := float64(day + 1 - waits)
		p.Steps = append(p.Steps, PlanStep{
			Day: day, Time: a.Start.AddDate(0, 0, day), Change: step, Millilitres: ml,
			Expect: a.expect(from+step*done, day+1, added+a.rise(ml)*done),
		})
	}
	p.Final = p.Steps[len(p.Steps)-1].Expect
	return nil
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

// correctionTestDays is how many days of a correction go by without a test at the most (common practice, no source).
const correctionTestDays = 4

// testDay is the first day on which the doubt gathered since the start reaches that of a test, or the end.
func (a Aim) testDay(steps int) int {
	reading := cmp.Or(a.ReadingSD, a.LevelSD)
	perDay := math.Hypot(a.DemandSD, a.ContentSD*math.Abs(a.Demand))
	end := min(steps, correctionTestDays)
	if steps == 0 {
		end = holdDays
	}
	if perDay == 0 {
		return end
	}
	return min(max(int(reading/perDay), 1), end)
}

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

// sure is how many standard deviations of the demand must lie below nothing before it is said that a level rises by
// itself: one in ten that it does not.
const sure = 1.28

func (a Aim) notes(p Plan) []string {
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	gap := math.Abs(a.Target - a.Level)
	say(gap > 0 && gap < a.LevelSD,
		"The level is as close to its target as the tests can tell: test again before correcting.")
	say(a.Demand > 0 && a.Demand < 2*a.DemandSD,
		"The demand is not clearly above zero yet: begin with half the standing amount and test again.")
	falls := a.Demand+sure*a.DemandSD > 0
	say(a.Demand < 0 && !falls, "The level rises by itself: no dosing is needed to hold it.")
	say(a.Demand < 0 && falls, "Whether the level holds by itself is not yet clear: test again before dosing is stopped.")
	say(a.Given > 0, "In the 24 hours before, %s was dosed: that counts.", a.say(a.Given))
	say(gap > 0 && len(p.Steps) == 0 && a.Demand < 0, "It reaches its target by itself in about %s days.",
		plain3(-gap/a.Demand))
	say(a.Dissolving == DissolvesBarely, "The recipe may not all dissolve: make it weaker and give more of it.")
	say(p.ReservoirDays < float64(len(p.Steps)), "The reservoir is empty before the correction is done.")
	say(p.Portions > 1, "Spread the day's dose over %d portions or more.", p.Portions)
	return notes
}
