package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// perDay is how many points of the true level there are in a day.
const perDay = 4

// span is a stretch of time in days.
type span struct{ from, to float64 }

// phase is what a tank is doing for the moment.
type phase int8

const (
	holding phase = iota
	falling
	rising
	recovering
)

// tank is the world of one series while it is being simulated. Levels are in floors.
//
// The base level moves by natural plus supply each day; the true level is the base times exp(wobble), the wobble being
// an Ornstein–Uhlenbeck process, times the weekly rhythm. Doses and water changes act on the true level.
type tank struct {
	rng    *rand.Rand
	kind   Kind // of the series
	course Kind // SteadyHigh, SteadyLow, Linear, FirstOrder, Sudden, LevelsOff or Rise
	days   float64

	day     float64
	base    float64
	natural motion  // everything but the known supply
	supply  float64 // per day, known
	phase   phase
	until   float64 // day at which the phase ends; +Inf while it ends by itself
	target  float64 // base level at which a recovery ends
	fixAt   float64 // day on which the keeper acts upon a crossing; +Inf while nothing is wrong

	wobble, wobbleSD  float64
	fade, kick        float64 // what is left of the wobble a grid point later, and what is added in its SDs
	rhythm, rhythmDay float64 // size and weekday of an unknown weekly rhythm; size 0: none
	weeklyDose        float64 // a known weekly dose, floors; 0: none
	changes           waterHabit
	refill            float64 // per day: what feeding brings to make up for the regular water changes
	first, between    span    // range of the days of the first steady stretch, and of those after a recovery
	relapses          float64 // chance that a recovery is followed by the next fall at once

	follows bool          // one guess of a filter, which does not act by itself: the log tells it what the keeper did
	inputs  []trend.Input // in floors
	acts    []act         // what the keeper did about low levels
	sudden  []span        // stretches in which the level was falling suddenly
	level   []float64
}

// newTank draws a tank of the kind given.
func newTank(rng *rand.Rand, kind Kind, days float64) *tank {
	k := &tank{rng: rng, kind: kind, course: kind, days: days, fixAt: math.Inf(1),
		first: span{0, 150}, between: span{30, 240}, relapses: 0.25}
	k.wobbleSD = uniform(rng, 0.03, 0.13)
	k.fade = math.Exp(-1 / (perDay * loguniform(rng, 2, 12)))
	k.kick = math.Sqrt(1 - k.fade*k.fade)
	k.wobble = k.wobbleSD * rng.NormFloat64()
	if kind == WaterChanged || kind == Sawtooth {
		k.course = pick(rng, SteadyHigh, SteadyLow, Linear, FirstOrder)
	}
	switch {
	case k.course == SteadyLow:
		k.base = uniform(rng, 1.6, 2.2)
	case kind == Rise:
		k.base = loguniform(rng, 1.6, 8)
	case k.course == SteadyHigh:
		k.base = loguniform(rng, 3, 15)
	default:
		k.base = loguniform(rng, 2, 15)
	}
	if rng.Float64() < 0.25 {
		k.setSupply(uniform(rng, 0.01, 0.15))
	}
	if kind == Sawtooth {
		k.drawRhythm()
	}
	if kind == WaterChanged {
		k.changes = drawWaterHabit(rng)
	}
	return k
}

// start begins the first steady stretch.
func (k *tank) start() { k.hold(uniform(k.rng, k.first.from, k.first.to)) }

// drawRhythm gives the tank a weekly rhythm: a dose that is in the log, or a feeding day that is not.
func (k *tank) drawRhythm() {
	if k.rng.Float64() < 0.4 {
		k.weeklyDose = k.base * uniform(k.rng, 0.05, 0.25)
	} else {
		k.rhythm = uniform(k.rng, 0.08, 0.35)
	}
	k.rhythmDay = uniform(k.rng, 0, 7)
}

// run simulates the whole series.
func (k *tank) run() {
	n := int(k.days*perDay) + 1
	k.level = make([]float64, 0, n)
	for i := range n {
		k.day = float64(i) / perDay
		k.turn()
		k.scheduledInputs()
		k.level = append(k.level, k.truth())
		k.watch()
		k.drift()
	}
}

// drift moves the base and the wobble on to the next grid point.
func (k *tank) drift() {
	const dt = 1.0 / perDay
	k.base += (k.natural.perDay(k.base) + k.supply) * dt
	k.base = math.Max(k.base, 0.01)
	k.wobble = k.fade*k.wobble + k.wobbleSD*k.kick*k.rng.NormFloat64()
}

// ripple is the factor between the base and the true level.
func (k *tank) ripple() float64 {
	f := math.Exp(k.wobble - k.wobbleSD*k.wobbleSD/2)
	if k.rhythm > 0 {
		since := math.Mod(k.day-k.rhythmDay+7, 7) / 7
		f *= 1 + k.rhythm*(0.5-since)
	}
	return f
}

func (k *tank) truth() float64 { return k.base * k.ripple() }

// turn goes on to the next phase when the present one is over.
func (k *tank) turn() {
	switch k.phase {
	case holding:
		if k.day >= k.until {
			k.begin()
		}
	case falling:
		if k.day >= k.until { // settled long enough above the floor
			k.recover(naturally)
		}
	case rising:
		if k.day >= k.until {
			k.subside()
		}
	case recovering:
		if k.base >= k.target || k.day >= k.until {
			k.recovered()
		}
	}
}

// hold keeps the base where it is for some days.
func (k *tank) hold(days float64) {
	k.phase, k.until = holding, k.day+days
	k.balance()
	k.natural = motion{rest: k.rest()}
}

// rest is what keeps the base still between water changes and doses.
func (k *tank) rest() float64 { return k.refill - k.supply - k.weeklyDose/7 }

// balance sets the feeding that makes up for the tank's regular water changes at the present level.
func (k *tank) balance() { k.refill = k.changes.perDay(k.base) }

// begin starts what the tank's course does after a steady stretch.
func (k *tank) begin() {
	switch k.course {
	case SteadyHigh, SteadyLow:
		k.hold(math.Inf(1))
	case Rise:
		k.rise()
	default:
		k.fall()
	}
}

// declines says whether the tank's course is one that falls.
func (k *tank) declines() bool {
	switch k.course {
	case Linear, FirstOrder, Sudden, LevelsOff:
		return true
	}
	return false
}

// fall starts a decline of the tank's kind from the present base.
func (k *tank) fall() {
	k.phase, k.until = falling, math.Inf(1)
	k.balance()
	switch k.course {
	case Linear:
		bottom := uniform(k.rng, 0.05, 0.7)
		k.natural = motion{shape: downTo, rate: math.Max(k.base-1, 0.3) / k.daysToFloor(), goal: bottom}
	case FirstOrder:
		bottom := uniform(k.rng, 0, 0.6)
		rate := math.Log(math.Max(k.base-bottom, 1.2-bottom)/(1-bottom)) / k.daysToFloor()
		k.natural = motion{shape: relaxing, rate: rate, goal: bottom}
	case LevelsOff:
		bottom := uniform(k.rng, 1.3, 3)
		days := loguniform(k.rng, 15, 120)
		k.until = k.day + days + uniform(k.rng, 60, 240)
		k.natural = motion{shape: sinking, rate: 3 / days, goal: bottom}
	default:
		k.natural = k.suddenly()
	}
	k.natural.rest = k.rest()
}

// daysToFloor draws how long a gradual decline takes to reach the floor.
func (k *tank) daysToFloor() float64 { return loguniform(k.rng, 12, 110) }

// suddenly is a fall within 4 to 14 days; one in six settles above the floor.
func (k *tank) suddenly() motion {
	days := uniform(k.rng, 4, 14)
	if !k.follows {
		k.sudden = append(k.sudden, span{k.day, k.day + days})
	}
	bottom := uniform(k.rng, 0.1, 0.8)
	if k.rng.Float64() < 1.0/6 {
		bottom = uniform(k.rng, 1.3, 2.5)
		k.until = k.day + uniform(k.rng, 60, 200)
	}
	if k.rng.Float64() < 0.5 {
		return motion{shape: downTo, rate: math.Max(k.base-bottom, 0) / days, goal: bottom}
	}
	return motion{shape: sinking, rate: 3 / days, goal: bottom}
}

// rise goes up towards a higher level, and stays there for a time.
func (k *tank) rise() {
	k.phase = rising
	top := k.base * uniform(k.rng, 1.3, 3)
	days := loguniform(k.rng, 14, 150)
	k.until = k.day + days + uniform(k.rng, 60, 200)
	k.balance()
	k.natural = motion{shape: growing, rest: k.rest(), rate: 3 / days, goal: top}
}
