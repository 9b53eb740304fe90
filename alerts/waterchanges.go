package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/logbook/water"
)

// ChangeSeries is a series of equal water changes, the first at the moment asked about.
type ChangeSeries struct {
	Fraction  float64
	New       float64 // level of the new water, canonical unit
	Times     int
	EveryDays float64
}

// AfterChange is the level just after one of a series of water changes, with an 80 % interval.
type AfterChange struct {
	Time          time.Time
	Level, Lo, Hi float64
}

// After is the level just after each change of a series, supply and demand going on as they are in between. supply is
// the standing dosing per day; the demand is that of d, or none where it cannot be told. With net = supply - demand,
//
//	L1 = (L0)(1 - f) + f new,  Lk = (Lk-1 + net T)(1 - f) + f new
//
// and the doubt of level and demand goes the same way. NaN where the level is not known.
func (s ChangeSeries) After(l Finding, d Demand, supply float64, asOf time.Time) []AfterChange {
	net, netSD := s.net(d, supply)
	level, levelSD, drift := l.Assessment.Level, (l.Assessment.LevelHi-l.Assessment.LevelLo)/(2*interval80), 0.0
	keep := 1 - s.Fraction
	var all []AfterChange
	for k := range s.Times {
		if k > 0 {
			level += net * s.EveryDays
			drift += s.EveryDays
		}
		level = level*keep + s.Fraction*s.New
		levelSD *= keep
		drift *= keep // days of net change that are still in the water
		half := interval80 * math.Hypot(levelSD, drift*netSD)
		at := asOf.Add(time.Duration(float64(k) * s.EveryDays * dayNanos))
		all = append(all, AfterChange{at, level, math.Max(level-half, 0), level + half})
	}
	return all
}

// ToReach is how many such changes bring the level to the target or past it, supply and demand going on.
func (s ChangeSeries) ToReach(l Finding, d Demand, supply, target float64) (int, error) {
	net, _ := s.net(d, supply)
	level := l.Assessment.Level
	settled, err := water.SteadyBatch(net, s.EveryDays, s.Fraction, s.New)
	if err != nil {
		return 0, err
	}
	// The formula has the first change after an interval; ours is now.
	count, ok := water.ChangesForTarget(level-net*s.EveryDays, settled, target, s.Fraction)
	if !ok {
		return 0, fmt.Errorf("%s cannot be reached from %s: such changes, going on, settle at %s just after each",
			words.Quantity(l.Parameter, target), words.Quantity(l.Parameter, level), words.Quantity(l.Parameter, settled))
	}
	return count, nil
}

func (s ChangeSeries) net(d Demand, supply float64) (net, sd float64) {
	e := d.Estimate
	if math.IsNaN(e.PerDay) {
		return supply, 0
	}
	return supply - e.PerDay, (e.Hi - e.Lo) / (2 * interval80)
}
