package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// Jumper is one simulated tank whose net uptake of nitrate or phosphate changes at once: phosphate media go in or out,
// corals are added, the food is changed. Levels and rates are in the parameter's canonical unit.
type Jumper struct {
	Obs      []trend.Observation
	Inputs   []trend.Input
	Taken    []float64 // true demand per day at each reading: what is taken up, less what food gives
	Jump     float64   // day
	Settings trend.Settings
}

const (
	jumpTests  = 12   // tests after the jump
	jumpWobble = 0.04 // relative, with food and light
	jumpFade   = 4    // days
)

// Jump draws a tank of the given number. It stands for 6 to 30 weekly tests, with its uptake met by dosing or by food;
// then the uptake rises by what empties the tank to its floor in 6 to 20 weeks, or falls by as much. Every other tank
// is dosed, every other one tested for phosphate by a photometer.
func Jump(seed uint64, number int) Jumper {
	r := rand.New(rand.NewPCG(seed, uint64(number)))
	method := "fine"
	if number%4 >= 2 {
		method = "photometer"
	}
	k, floor := slideKit(method)
	start := loguniform(r, 4, 12) * floor
	before := 6 + r.IntN(25)
	weeks := uniform(r, 6, 20)
	more := (start - floor) / (7 * weeks)
	if r.Float64() < 0.3 {
		more = -more
	}
	supply, taken := 0.0, 0.0
	t := Jumper{Jump: (float64(before) - 0.5) * 7}
	t.Settings = trend.Settings{Floor: floor, Low: 1.5 * floor, High: 12 * floor, Wobble: 0.10}
	if number%2 == 1 {
		supply = loguniform(r, 0.01, 0.03) * start
		taken = supply
		t.Inputs = []trend.Input{{Kind: trend.Dosing, Amount: supply}}
	}
	level, wobble := start, jumpWobble*r.NormFloat64()
	fade := math.Exp(-1.0 / (perDay * jumpFade))
	next := 0.0
	for i := range int((t.Jump+7*jumpTests)*perDay) + 1 {
		day := float64(i) / perDay
		uptake := taken
		if day >= t.Jump {
			uptake += more
		}
		if uptake > 0 { // what there is hardly any of is hardly taken up
			uptake *= level / (level + 0.1*floor)
		}
		if day >= next {
			next += 7
			t.Obs = append(t.Obs, k.test(r, day, level*math.Exp(wobble)))
			t.Taken = append(t.Taken, uptake)
		}
		level += (supply - uptake) / perDay
		wobble = fade*wobble + jumpWobble*math.Sqrt(1-fade*fade)*r.NormFloat64()
	}
	return t
}

// JumpScore is how demands did at one test after the jump, counted from 1; 0 stands for all before it, from the third
// reading on.
type JumpScore struct {
	Demand Cover // 80 % interval
	Sign   int   // of Demand.N: the change since before the jump was told with the right sign
}

// Jumps draws so many tanks.
func Jumps(seed uint64, tanks int) []Jumper {
	all := make([]Jumper, tanks)
	for i := range all {
		all[i] = Jump(seed, i)
	}
	return all
}

// ScoreJumps scores an estimate of demand over tanks, by the tests after the jump.
func ScoreJumps(tanks []Jumper) [jumpTests + 1]JumpScore {
	var by [jumpTests + 1]JumpScore
	for _, t := range tanks {
		before := 0.0
		if len(t.Inputs) > 0 {
			before = t.Inputs[0].Amount
		}
		for j, d := range trend.HindcastDemand(t.Obs, t.Inputs,
			trend.DemandSettings{Scale: t.Obs[0].Value / 20, Trend: t.Settings}) {
			if math.IsNaN(d.PerDay) {
				continue
			}
			after := min(int(math.Ceil(math.Max(t.Obs[j].Day-t.Jump, 0)/7)), jumpTests)
			by[after].Demand.see(t.Taken[j], interval{d.PerDay, d.Lo, d.Hi})
			by[after].Sign += count((d.PerDay-before)*(t.Taken[j]-before) > 0)
		}
	}
	return by
}
