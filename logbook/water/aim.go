package water

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"
)

// Aim is what a plan is made from. All levels, demands and changes are in the parameter's canonical unit.
type Aim struct {
	Parameter string    // for messages: "alkalinity"
	Unit      string    // for messages: "dKH"
	Shown     Unit      // in which messages say levels and changes; the zero Unit: the canonical one
	Start     time.Time // when the first day begins; the steps are dated from it, a calendar day apart

	Level, LevelSD   float64 // now, and the doubt of it as a standard deviation
	Target           float64
	Demand, DemandSD float64 // per day; negative where the level rises by itself
	ReadingSD        float64 // of one test; 0: taken as LevelSD
	// raised by single doses in the 24 hours before Start: no day's rise goes beyond MaxRise with it
	Given float64

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
		return fmt.Errorf("target %s lies outside %s to %s, where %s makes sense", a.say(a.Target), a.number(a.Low),
			a.say(a.High), a.Parameter)
	case a.Dissolving == DissolvesNot:
		return fmt.Errorf("the recipe does not dissolve: make the supplement weaker")
	}
	return nil
}

func (a Aim) checkDaily(millilitres float64) error {
	switch {
	case a.MaxDailyML > 0 && millilitres > a.MaxDailyML*(1+1e-9):
		return fmt.Errorf("holding the level takes %s mL a day, and at most %s mL can be given: this supplement meets %.0f "+
			"%% of the demand", plain3(math.Ceil(millilitres)), plain3(a.MaxDailyML), 100*a.MaxDailyML/millilitres)
	case a.MaxDailyML == 0 && millilitres > 1000*a.Litres*maxDoseShare:
		return fmt.Errorf("holding the level takes %s mL a day, more than %.0f %% of the tank: the supplement is too weak, "+
			"or a number is wrong", plain3(math.Ceil(millilitres)), 100*maxDoseShare)
	}
	return nil
}

// room is the change a day may bring: the limit less the margin, within what can be given or left out.
func (a Aim) room(up bool) (float64, error) {
	limit, direction := a.MaxFall, "fall"
	if up {
		limit, direction = a.MaxRise, "rise"
		if share := maxRelativeRise * a.Level; !a.NearZero && limit > share {
			part := "more than all"
			if a.Level > 0 {
				part = fmt.Sprintf("%.0f %%", 100*limit/a.Level)
			}
			return 0, fmt.Errorf("a daily rise of %s is %s of the level %s: no plan goes beyond %.0f %%",
				a.say(limit), part, a.say(a.Level), 100*maxRelativeRise)
		}
	}
	if limit == 0 {
		return 0, fmt.Errorf("no greatest daily %s is known for %s: set one", direction, a.Parameter)
	}
	sd := math.Hypot(a.DemandSD, a.ContentSD*(max(a.Demand, 0)+limit))
	room := max(limit-planMargin*sd, leastRoom*limit)
	if room > limit-leastMargin*sd {
		return 0, fmt.Errorf("demand and dose are known too poorly (%s a day, one standard deviation) to keep a daily %s "+
			"within %s: test more often first", a.say(sd), direction, a.say(limit))
	}
	if !up {
		if a.Demand <= 0 {
			return 0, fmt.Errorf("%s is above its target and nothing consumes it: less dosing cannot lower it, a water change "+
				"can", a.Parameter)
		}
		return min(room, a.Demand), nil
	}
	most := 1000 * a.Litres * maxDoseShare
	if a.MaxDailyML > 0 {
		most = a.MaxDailyML
	}
	spare := a.rise(most) - a.Demand
	if spare < limit/1000 {
		return 0, fmt.Errorf("the most that can be given a day, %s mL, only meets the demand: nothing is left to raise %s",
			plain3(most), a.Parameter)
	}
	return min(room, spare), nil
}

func (a Aim) millilitres(rise float64) float64 { return rise * a.Litres / float64(a.Strength) }
func (a Aim) rise(millilitres float64) float64 { return millilitres * float64(a.Strength) / a.Litres }

// say is a value, or a rise, with the unit in which it is said.
func (a Aim) say(v float64) string { return strings.TrimSpace(a.number(v) + " " + a.Unit) }

func (a Aim) number(v float64) string { return plain3(a.Shown.FromCanonical(v)) }

func sq(x float64) float64 { return x * x }
