package trend

import (
	"math"
	"slices"
)

// forecastDays are the days after as-of for which the level is said.
var forecastDays = []float64{7, 14, 28, 42}

// outlook is the future as believed at one moment, habits and dosing going on as they are.
type outlook struct {
	points []ForecastPoint
	days   []float64 // 0, and the ends of the steps up to Horizon; empty without a floor
	under  []float64 // chance of having been below the floor by then
}

// stop is a moment of the forecast: the end of a step, with what is put in there.
type stop struct {
	after  float64 // days from as-of
	inputs []Input
}

// stops are the ends of the forecast's steps, with the inputs that lie ahead.
func stops(asOf float64, ahead []Input) []stop {
	var all []stop
	const last = alarmDays
	for d := passageStep; d <= last; d += passageStep {
		all = append(all, stop{after: d})
	}
	for d := float64(last + passageStride); d <= Horizon+1e-9; d += passageStride {
		all = append(all, stop{after: d})
	}
	for _, in := range ahead {
		after := math.Max(in.Day-asOf, 0)
		at, found := slices.BinarySearchFunc(all, after, func(s stop, x float64) int {
			switch {
			case s.after < x:
				return -1
			case s.after > x:
				return 1
			}
			return 0
		})
		if !found {
			if after > Horizon {
				continue
			}
			all = slices.Insert(all, at, stop{after: after})
		}
		all[at].inputs = append(all[at].inputs, in)
	}
	return all
}

// look follows the belief to the horizon, through the inputs that lie ahead: once for the level, as far as it is said, and
// once, losing what goes below the floor on the way, for the chances of having been there.
func (f *filter) look(d *dangers, ahead []Input) outlook {
	all := stops(f.day, ahead)
	o := outlook{points: f.lookForLevel(all)}
	if f.floored {
		o.days, o.under = f.lookForFloor(d.dips, all)
	}
	return o
}

func (f *filter) lookForLevel(all []stop) []ForecastPoint {
	points := make([]ForecastPoint, 0, len(forecastDays))
	path := f.aheadCopy()
	before := 0.0
	for _, s := range all {
		if s.after > alarmDays {
			break
		}
		path.leap(s.after - before)
		before = s.after
		for _, in := range s.inputs {
			path.take(in)
		}
		if slices.Contains(forecastDays, s.after) {
			points = append(points, path.point(s.after))
		}
	}
	return points
}

func (f *filter) lookForFloor(d *dips, all []stop) (days, under []float64) {
	days, under = make([]float64, 0, len(all)+1), make([]float64, 0, len(all)+1)
	left := f.aheadCopy()
	safe := left.survive()
	days, under = append(days, 0), append(under, seen(1-safe))
	before := 0.0
	for _, s := range all {
		step := s.after - before
		before = s.after
		left.leap(step)
		safe *= left.surviveStep(d, step)
		for _, in := range s.inputs {
			left.take(in)
		}
		days, under = append(days, s.after), append(under, seen(1-safe))
	}
	return days, under
}

// aheadCopy is a copy to look ahead with, in which habits go on evenly.
func (f *filter) aheadCopy() *filter {
	c := f.copyFor(theFuture)
	c.habit = habit{}
	return c
}

// leap is predict in a single step.
func (f *filter) leap(days float64) {
	if days > 0 {
		f.step(days)
		f.age(days)
	}
}

// point is the level's distribution now, said as a forecast.
func (f *filter) point(days float64) ForecastPoint {
	s := f.levelSpread(nil)
	q := s.quantiles(lowQuantile, highQuantile)
	mean := s.trimmedMean(lowQuantile, highQuantile)
	return ForecastPoint{Days: days, Mean: math.Min(math.Max(mean, q[0]), q[1]), Lo: q[0], Hi: q[1]}
}

// by is the chance of having been below the floor within some days, by interpolation between the ends of steps.
func (o outlook) by(days float64) float64 {
	i, found := slices.BinarySearch(o.days, days)
	if found {
		return o.under[i]
	}
	if i == len(o.days) {
		return o.under[i-1]
	}
	part := (days - o.days[i-1]) / (o.days[i] - o.days[i-1])
	return o.under[i-1] + part*(o.under[i]-o.under[i-1])
}

// reached is the number of days within which the chance of having been below the floor reaches the one given; +Inf where
// it is not reached within Horizon.
func (o outlook) reached(chance float64) float64 {
	for i, p := range o.under {
		if p < chance {
			continue
		}
		if i == 0 {
			return 0
		}
		part := (chance - o.under[i-1]) / (p - o.under[i-1])
		return o.days[i-1] + part*(o.days[i]-o.days[i-1])
	}
	return math.Inf(1)
}
