package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// Consumer is one simulated tank whose stony corals take ever more alkalinity and calcium, and a keeper who doses after
// them. Levels and rates are in the parameter's canonical unit.
type Consumer struct {
	Obs    []trend.Observation
	Inputs []trend.Input
	Taken  []float64 // true demand per day at each reading
	Scale  float64   // a large ordinary demand, for trend.DemandSettings
}

// consumed describes a parameter that is consumed: how it is tested, and where it is held.
type consumed struct {
	target, perDay     float64    // typical level and demand at the start
	sd, step           [2]float64 // range of the kits' spread and step
	every              [2]float64 // days between tests
	newWater           float64
	scale              float64
	doseStep, tolerate float64    // steps in which the keeper sets the dosing; how far off target moves them to act
	doubling           [2]float64 // days in which the demand doubles
	swing, swingDays   [2]float64 // relative size and length in days of its swing with light, food and weather
}

// Calcium goes with alkalinity at 7.15 mg/L to 1 dKH: 40.078 mg of calcium to 2 meq, and 0.35665 meq/L to 1 dKH
// (testdata/reference/dosing.json, calcification). Kits as in testdata/reference/practice.json: common practice.
var (
	alkalinityTaken = consumed{target: 8, perDay: 1, sd: [2]float64{0.1, 0.25}, step: [2]float64{0.05, 0.2},
		every: [2]float64{1, 4}, newWater: 8.3, scale: 1, doseStep: 0.05, tolerate: 0.4,
		doubling: [2]float64{183, 730}, swing: [2]float64{0.02, 0.08}, swingDays: [2]float64{7, 40}}
	calciumTaken = consumed{target: 410, perDay: 7.15, sd: [2]float64{5, 12}, step: [2]float64{2, 5},
		every: [2]float64{2, 5}, newWater: 430, scale: 7, doseStep: 0.5, tolerate: 10,
		doubling: [2]float64{183, 730}, swing: [2]float64{0.02, 0.08}, swingDays: [2]float64{7, 40}}
)

// Alkalinity and Calcium draw a tank of the given number.
func Alkalinity(seed uint64, number int) Consumer { return alkalinityTaken.simulate(seed, number) }

// Calcium draws the calcium series of a tank; see Alkalinity.
func Calcium(seed uint64, number int) Consumer { return calciumTaken.simulate(seed, number) }

// simulate steps a tank through ten to sixteen months, four steps a day. The demand doubles in 6 to 24 months; the
// keeper corrects the dosing, by what the last tests seemed to show, when the level has left its target; doses lift a
// level that has fallen far; water is changed every one to four weeks.
func (p consumed) simulate(seed uint64, number int) Consumer {
	r := rand.New(rand.NewPCG(seed, uint64(number)*2+uint64(p.target)))
	demand := p.perDay * loguniform(r, 0.5, 2.5)
	growth := math.Ln2 / uniform(r, p.doubling[0], p.doubling[1])
	appetite := 0.0 // the mean-reverting part of the logarithm of demand: light, feeding, weather
	moody, days := uniform(r, p.swing[0], p.swing[1]), loguniform(r, p.swingDays[0], p.swingDays[1])
	sd, step := loguniform(r, p.sd[0], p.sd[1]), uniform(r, p.step[0], p.step[1])
	every, changeEvery, fraction := uniform(r, p.every[0], p.every[1]), uniform(r, 7, 28), uniform(r, 0.05, 0.2)
	c := Consumer{Scale: p.scale}
	level, supply := p.target, math.Round(demand*uniform(r, 0.85, 1.1)/p.doseStep)*p.doseStep
	c.Inputs = append(c.Inputs, trend.Input{Kind: trend.Dosing, Amount: supply})
	nextTest, nextChange, lastRaise := 0.0, changeEvery, 0.0
	const dt = 0.25
	length := uniform(r, 300, 480)
	for day := 0.0; day < length; day += dt {
		if day >= nextTest {
			nextTest = day + math.Max(dt, every*uniform(r, 0.7, 1.3))
			y := math.Round((level+sd*r.NormFloat64())/step) * step
			c.Obs = append(c.Obs, trend.Observation{Day: day, Value: y, Lo: y - step/2, Hi: y + step/2, SD: sd, Described: true})
			c.Taken = append(c.Taken, demand*math.Exp(appetite))
			if off := p.target - y; math.Abs(off) > p.tolerate && day-lastRaise > 14 {
				supply = math.Max(0, math.Round((demand*uniform(r, 0.93, 1.15))/p.doseStep)*p.doseStep)
				c.Inputs = append(c.Inputs, trend.Input{Day: day, Kind: trend.Dosing, Amount: supply})
				lastRaise = day
				if off > 0 && r.Float64() < 0.5 {
					c.Inputs = append(c.Inputs, trend.Input{Day: day, Kind: trend.Dose, Amount: off})
					level += off
				}
			}
		}
		if day >= nextChange {
			nextChange += changeEvery
			c.Inputs = append(c.Inputs, trend.Input{Day: day, Kind: trend.Change, Fraction: fraction, New: p.newWater})
			level += fraction * (p.newWater - level)
		}
		taken := demand * math.Exp(appetite)
		level += (supply - taken) * dt
		demand *= math.Exp(growth * dt)
		appetite += -appetite*dt/days + moody*math.Sqrt(2*dt/days)*r.NormFloat64()
	}
	return c
}

// DemandScore is how an estimate of demand did over many tanks: every reading after the burn-in counts once.
type DemandScore struct {
	N       int
	RMSE    float64 // root mean square of (estimate - truth) / truth
	Covered float64 // share of 80 % intervals that held the truth; NaN for a rule that gives none
	// Early is the share for the readings before the burn-in ended, and Silent the share of those without an estimate.
	Early, Silent float64
}

// DemandRule estimates the demand at each reading of a tank, with an interval or NaN.
type DemandRule func(Consumer) (estimate, lo, hi []float64)

// burnIn is the time, in days, that every rule is given before it is scored.
const burnIn = 28

// ScoreDemand scores a rule over tanks.
func ScoreDemand(tanks []Consumer, rule DemandRule) DemandScore {
	var late, early, silent tallied
	sum := 0.0
	n := 0
	for _, c := range tanks {
		est, lo, hi := rule(c)
		for i, o := range c.Obs {
			held := lo[i] <= c.Taken[i] && c.Taken[i] <= hi[i]
			if o.Day-c.Obs[0].Day < burnIn {
				silent.count(math.IsNaN(est[i]))
				if !math.IsNaN(lo[i]) {
					early.count(held)
				}
				continue
			}
			if math.IsNaN(est[i]) {
				continue
			}
			e := (est[i] - c.Taken[i]) / c.Taken[i]
			sum += e * e
			n++
			if !math.IsNaN(lo[i]) {
				late.count(held)
			}
		}
	}
	return DemandScore{N: n, RMSE: math.Sqrt(sum / float64(n)), Covered: late.share(), Early: early.share(),
		Silent: silent.share()}
}

// tallied counts how often something held.
type tallied struct{ held, of int }

func (t *tallied) count(held bool) {
	t.of++
	if held {
		t.held++
	}
}

func (t tallied) share() float64 { return share(t.held, t.of) }

// EngineDemand is the product's own estimate.
func EngineDemand(c Consumer) (estimate, lo, hi []float64) {
	for _, d := range trend.HindcastDemand(c.Obs, c.Inputs, trend.DemandSettings{Scale: c.Scale}) {
		estimate, lo, hi = append(estimate, d.PerDay), append(lo, d.Lo), append(hi, d.Hi)
	}
	return estimate, lo, hi
}

// LastTwoDemand is the difference of the last two readings, less what went in between.
func LastTwoDemand(c Consumer) (estimate, lo, hi []float64) {
	return overWindow(c, func(day []float64, rest []float64) float64 {
		n := len(day)
		if n < 2 || day[n-1] == day[n-2] {
			return math.NaN()
		}
		return -(rest[n-1] - rest[n-2]) / (day[n-1] - day[n-2])
	}, math.Inf(1))
}

// LineDemand is the straight line through 28 days of readings from which all that went in has been taken.
func LineDemand(c Consumer) (estimate, lo, hi []float64) {
	return overWindow(c, func(day []float64, rest []float64) float64 {
		if len(day) < 3 {
			return math.NaN()
		}
		var md, mr, sdd, sdr float64
		for i := range day {
			md += day[i] / float64(len(day))
			mr += rest[i] / float64(len(day))
		}
		for i := range day {
			sdd += (day[i] - md) * (day[i] - md)
			sdr += (day[i] - md) * (rest[i] - mr)
		}
		return -sdr / sdd
	}, 28)
}

// overWindow applies a plain rule at each reading to the readings of the last days, each less all that the inputs have
// put in up to then (a water change counts with the last reading's level as the level it met).
func overWindow(c Consumer, rule func(day, rest []float64) float64, window float64) (estimate, lo, hi []float64) {
	var days, rest []float64
	put, supply, from := 0.0, 0.0, 0.0
	next := 0
	for i, o := range c.Obs {
		for next < len(c.Inputs) && c.Inputs[next].Day < o.Day {
			in := c.Inputs[next]
			next++
			put += supply * (in.Day - from)
			from = in.Day
			switch in.Kind {
			case trend.Dosing:
				supply = in.Amount
			case trend.Dose:
				put += in.Amount
			case trend.Change:
				if i > 0 {
					put += in.Fraction * (in.New - c.Obs[i-1].Value)
				}
			}
		}
		put += supply * (o.Day - from)
		from = o.Day
		days, rest = append(days, o.Day), append(rest, o.Value-put)
		first := 0
		for o.Day-days[first] > window {
			first++
		}
		estimate = append(estimate, rule(days[first:], rest[first:]))
		lo, hi = append(lo, math.NaN()), append(hi, math.NaN())
	}
	return estimate, lo, hi
}
