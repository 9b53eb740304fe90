package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// The other simulator, of a different build: a balance of what is fed and what is taken. The uptake's logarithm
// wanders for months; events change it, or draw the level down at once; the keeper acts on what is written down, not
// on the truth, and tests again after a surprise. Tanks that stood for long fall once, others again and again, some
// never. Levels in floors, times in days.

// pool is one tank of it.
type pool struct {
	rng         *rand.Rand
	day, level  float64
	usual       float64 // level at which feeding and uptake balance at the start
	fed, taken  float64 // at the usual level, per day
	bend        float64 // how far uptake goes with the level: its power
	mood, moody float64 // logarithm of the uptake's change: now, and its standard deviation
	length      float64 // in which that dies away
	supply      float64 // known, per day
	event       drain   // at work
	ahead       []drain // to come, in time order
	quick, slow ripples
	lowReadings int
	actAt       float64
	inputs      []trend.Input // in floors
	sudden      []span
}

// drain is an event: from one day to another the tank loses an amount and a share a day besides, at full strength
// after ramp days.
type drain struct {
	from, to, ramp float64
	amount, share  float64
}

// ripples are an Ornstein–Uhlenbeck process.
type ripples struct{ now, size, length float64 }

func (w *ripples) move(r *rand.Rand, dt float64) {
	fade := math.Exp(-dt / w.length)
	w.now = fade*w.now + w.size*math.Sqrt(1-fade*fade)*r.NormFloat64()
}

// Pools draws n series of the other simulator. Series i depends on the seed and i alone.
func Pools(seed uint64, n int) []Series {
	out := make([]Series, n)
	eachSeries(n, func(i int) { out[i] = poolSeries(rand.New(rand.NewPCG(seed, 1<<32+uint64(i))), i) })
	return out
}

func newPool(r *rand.Rand, days float64) *pool {
	k := &pool{rng: r, usual: loguniform(r, 1.8, 14), bend: uniform(r, 0.2, 1), actAt: math.Inf(1)}
	k.level = k.usual
	k.taken = k.usual * loguniform(r, 0.003, 0.04)
	k.fed = k.taken
	k.moody, k.length = loguniform(r, 0.02, 0.3), loguniform(r, 60, 300)
	k.quick = ripples{size: loguniform(r, 0.01, 0.08), length: uniform(r, 0.5, 3)}
	k.slow = ripples{size: loguniform(r, 0.02, 0.12), length: loguniform(r, 6, 30)}
	if r.Float64() < 0.2 {
		k.supply = k.taken * uniform(r, 0.2, 0.8)
		k.fed -= k.supply
		k.inputs = append(k.inputs, trend.Input{Kind: trend.Dosing, Amount: k.supply})
	}
	switch u := r.Float64(); {
	case u < 0.35: // once, after long quiet
		k.ahead = append(k.ahead, k.drawDrain(uniform(r, 0.35, 0.9)*days))
	case u < 0.65: // again and again
		for day := uniform(r, 20, 120); day < days; day += uniform(r, 60, 260) {
			k.ahead = append(k.ahead, k.drawDrain(day))
		}
	}
	return k
}

// drawDrain draws an event that begins on the day: a fall at once, or one of weeks and months by an amount or by a
// share.
func (k *pool) drawDrain(day float64) drain {
	r := k.rng
	if r.Float64() < 0.2 {
		days := uniform(r, 3, 12)
		k.sudden = append(k.sudden, span{day, day + days})
		return drain{from: day, to: day + days + uniform(r, 10, 60), share: uniform(r, 1, 3) / days}
	}
	d := drain{from: day, to: day + loguniform(r, 25, 300), ramp: uniform(r, 1, 25)}
	if weeks := loguniform(r, 2, 16); r.Float64() < 0.5 {
		d.amount = k.usual * uniform(r, 0.6, 1.1) / (7 * weeks)
	} else {
		d.share = uniform(r, 0.7, 2.5) / (7 * weeks)
	}
	return d
}

// move goes on to the next grid point.
func (k *pool) move() {
	const dt = 1.0 / perDay
	k.day += dt
	fade := math.Exp(-dt / k.length)
	k.mood = fade*k.mood + k.moody*math.Sqrt(1-fade*fade)*k.rng.NormFloat64()
	if len(k.ahead) > 0 && k.day >= k.ahead[0].from {
		k.event, k.ahead = k.ahead[0], k.ahead[1:]
	}
	lost := k.taken * math.Exp(k.mood) * math.Pow(k.level/k.usual, k.bend)
	if e := &k.event; k.day < e.to {
		strength := math.Min(1, (k.day-e.from)/math.Max(e.ramp, dt))
		lost += strength * (e.amount*math.Min(1, k.level/0.4) + e.share*k.level)
	}
	k.level = math.Max(0.02, k.level+(k.fed+k.supply-lost)*dt)
	k.quick.move(k.rng, dt)
	k.slow.move(k.rng, dt)
	for _, in := range k.inputs {
		if in.Kind == trend.Dose && in.Day > k.day-dt && in.Day <= k.day {
			k.level += in.Amount / k.ripple()
		}
	}
	if k.day >= k.actAt {
		k.act()
	}
}

func (k *pool) ripple() float64 { return math.Exp(k.quick.now + k.slow.now) }

func (k *pool) truth() float64 { return k.level * k.ripple() }

// act is the keeper's answer to two low readings in a row: doses or more dosing, in the log, or more food, which is
// not.
func (k *pool) act() {
	k.actAt, k.lowReadings = math.Inf(1), 0
	goal := loguniform(k.rng, 2, 7)
	switch u := k.rng.Float64(); {
	case u < 0.4:
		parts := 1 + k.rng.IntN(4)
		for i := range parts {
			k.inputs = append(k.inputs, trend.Input{Day: k.day + 1 + 2*float64(i), Kind: trend.Dose,
				Amount: goal / float64(parts)})
		}
	case u < 0.6:
		k.supply += goal / uniform(k.rng, 15, 60)
		k.inputs = append(k.inputs, trend.Input{Day: k.day, Kind: trend.Dosing, Amount: k.supply})
	}
	// Some time about now the cause is gone as well, found or not; what is fed balances what is taken at the new level.
	k.event.to = math.Min(k.event.to, k.day+uniform(k.rng, 0, 20))
	k.usual = goal
	k.taken = goal * loguniform(k.rng, 0.006, 0.04)
	k.fed = math.Max(0, k.taken-k.supply)
}

// hears lets the keeper take note of a reading, and says how soon the next test is, as a share of the usual gap.
func (k *pool) hears(o trend.Observation, floor float64) float64 {
	low := o.Bound == trend.Below || o.Value < floor
	if !low {
		k.lowReadings = 0
		return 1
	}
	k.lowReadings++
	if k.lowReadings >= 2 && math.IsInf(k.actAt, 1) {
		k.actAt = k.day + uniform(k.rng, 2, 35)
	}
	return 0.6
}

// poolSeries is one series: weekly, or as it comes.
func poolSeries(r *rand.Rand, number int) Series {
	s := Series{Number: number, Phosphate: r.Float64() < 0.5, Days: math.Round(uniform(r, 400, 730))}
	s.kit, s.Floor = poolKit(r, s.Phosphate)
	s.Kit = s.kit.class
	s.Settings = trend.Settings{Floor: s.Floor, Low: 1.5 * s.Floor, High: 12 * s.Floor, Wobble: 0.10}
	described, weekly, every := r.Float64() < 0.75, r.Float64() < 0.6, uniform(r, 5, 14)
	k := newPool(r, s.Days)
	due := uniform(r, 0, 7)
	for {
		s.Level = append(s.Level, k.truth())
		if k.day >= due {
			conc := k.truth() * s.Floor
			if r.Float64() < 0.012 {
				conc *= pick(r, 10, 0.1, 0.25, 0.5, 2, 4)
			}
			o := s.kit.test(r, k.day, conc)
			g := generic(o, s.Phosphate)
			if !described {
				o = g
			}
			s.Obs, s.Generic = append(s.Obs, o), append(s.Generic, g)
			soon := k.hears(o, s.Floor)
			if due += 7; !weekly {
				due += math.Min(every*r.ExpFloat64(), 4*every)*soon - 5
			}
		}
		if k.day >= s.Days {
			break
		}
		k.move()
	}
	s.Inputs, s.sudden = inUnits(k.inputs, s.Floor), k.sudden
	return s
}

// poolKit draws a kit: a third fine, a third with steps, a third cards whose marks go up by a factor.
func poolKit(r *rand.Rand, phosphate bool) (kit, float64) {
	unit := 1.0
	if phosphate {
		unit = 0.02
	}
	floor := unit * pick(r, 0.75, 1, 1.5, 2.5)
	k := kit{told: math.Exp(0.2 * r.NormFloat64()), top: 100 * unit}
	switch r.IntN(3) {
	case 0:
		k.class, k.step, k.sd, k.sdRel = Fine, 0.1*unit, uniform(r, 0.08, 0.35)*floor, uniform(r, 0.02, 0.08)
	case 1:
		k.class, k.step = Coarse, pick(r, 0.5, 1)*unit
		k.sd, k.sdRel, k.limit = uniform(r, 0.25, 0.6)*k.step, uniform(r, 0.03, 0.12), pick(r, 0, 0.5)*unit
	default:
		k.class, k.sdSteps, k.limit = Card, uniform(r, 0.2, 0.55), pick(r, 0, 1.0)
		k.marks = []float64{0}
		for mark, factor := unit*pick(r, 0.5, 1, 1.5), uniform(r, 1.8, 2.6); mark < 60*unit; mark *= factor {
			k.marks = append(k.marks, math.Round(mark/unit*10)/10*unit)
		}
	}
	k.limit = math.Min(k.limit, 0.8*floor)
	return k, floor
}
