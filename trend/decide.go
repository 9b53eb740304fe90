package trend

import (
	"math"
	"slices"
)

// The thresholds of the flags, chances. A flag is raised at the higher and cleared under the lower, so that a chance
// that hovers does not make it flap. Chosen on simulated series so that bottoming out is raised in vain about once in
// two years of a tank.
const (
	raiseBottomingOut = 0.46
	clearBottomingOut = 0.25
	raiseBottomedOut  = 0.80
	clearBottomedOut  = 0.40
)

// flags are the two states that have a memory.
type flags struct{ bottomingOut, bottomedOut flag }

// flag says whether it is raised, and since when: the day of the reading that raised it, NaN when down.
type flag struct {
	up    bool
	since float64
}

func noFlags() flags { return flags{flag{since: math.NaN()}, flag{since: math.NaN()}} }

// verdict is what the flags are decided by at a moment: the chances of being below the floor within alarmDays and now.
type verdict struct{ soon, now, day float64 }

// verdict takes the chances of a moment. Where the ruler presses, "bottoming out" is raised though its chance is lower.
func (e *engine) verdict(c floorChances, day float64) verdict {
	v := verdict{c.by[nearSteps], c.now, day}
	if e.pressed() {
		v.soon = max(v.soon, raiseBottomingOut)
	}
	return v
}

// decide is the flags after a moment.
func (was flags) decide(v verdict) flags {
	return flags{
		was.bottomingOut.hold(v.soon, raiseBottomingOut, clearBottomingOut, v.day),
		was.bottomedOut.hold(v.now, raiseBottomedOut, clearBottomedOut, v.day),
	}
}

// hold raises at one threshold and clears under another.
func (was flag) hold(chance, raise, clear, day float64) flag {
	switch {
	case !was.up && chance >= raise:
		return flag{true, day}
	case was.up && chance < clear:
		return flag{since: math.NaN()}
	default:
		return was
	}
}

// flagsAfter are the flags after some moments, each an engine that has taken its readings. A chance under the lower
// threshold leaves a flag down whatever it was before. So the moments are looked at from the newest backwards only
// until that is seen of both flags, for the chances are most of the work.
func flagsAfter(moments []*engine) flags {
	var seen []verdict // the newest first
	for soon, now := false, false; len(seen) < len(moments) && !(soon && now); {
		m := moments[len(moments)-1-len(seen)]
		v := m.verdict(m.belief.chances(alarmHorizon, nil), m.latest.Day)
		soon, now = soon || v.soon < clearBottomingOut, now || v.now < clearBottomedOut
		seen = append(seen, v)
	}
	f := noFlags()
	for _, v := range slices.Backward(seen) {
		f = f.decide(v)
	}
	return f
}

const (
	fewestReadings = 3    // for a direction
	directionShare = 0.65 // of the slope's distribution on one side of the relevant rate
	relevantRate   = 0.35 // wobbles per week: slower than this is no movement to speak of
	steadyShare    = 0.1  // of the band: a level that cannot move by more in steadyDays is steady
	steadyDays     = 30
)

// direction is where the level is heading. It falls or rises where nine tenths of the slope's distribution lie on one
// side of zero, and directionShare of it beyond the rate that is no movement to speak of. It is steady where the 80 %
// interval leaves no room for a move that matters or, where there is nothing to run out of, where directionShare of the
// slope is within the steady rate. All else is not yet clear.
func (e *engine) direction(s mixture, level float64) Direction {
	if e.n < fewestReadings || e.numbers == 0 {
		return Unknown
	}
	rate := relevantRate * wobbleOf(e.set) * level / 7
	lo, hi := s.quantile(0.1), s.quantile(0.9)
	steady := e.steadyRate(level)
	switch {
	case hi < 0 && s.below(-rate) >= directionShare:
		return Falling
	case lo > 0 && s.below(rate) <= 1-directionShare:
		return Rising
	case -steady <= lo && hi <= steady:
		return Steady
	case !e.belief.floored && s.below(steady)-s.below(-steady) >= directionShare: // nothing to run out of
		return Steady
	default:
		return Unknown
	}
}

// steadyRate is the slope per day up to which a level is steady: a tenth of the band a month, or what is no movement
// to speak of; where there is a floor to run to, the smaller of the two, else the larger.
func (e *engine) steadyRate(level float64) float64 {
	slow, inBand := relevantRate*wobbleOf(e.set)*level/7, steadyShare*(e.set.High-e.set.Low)/steadyDays
	switch {
	case !(inBand > 0) || math.IsInf(inBand, 0):
		return slow
	case e.belief.floored:
		return min(slow, inBand)
	default:
		return max(slow, inBand)
	}
}

// moreTests is how many more tests, as often as of late, it takes to tell a steady level from a moving one: until the
// slope of a line through them is known to the steady rate at 80 %. It is at least one.
//
//	1.28·σ·√12/(gap·n^1.5) = steady rate
//
// σ being the scatter of a reading about the course, n the number of tests. NaN where their rhythm is not known yet.
func (e *engine) moreTests(level float64) float64 {
	if len(e.recent) < 2 {
		return math.NaN()
	}
	gap := (e.recent[len(e.recent)-1].Day - e.recent[0].Day) / float64(len(e.recent)-1)
	wobble := e.belief.average(func(m *memberBelief) float64 { return m.sd })
	scatter := math.Hypot(e.latest.SD, wobble*level)
	n := math.Cbrt(12 * sq(1.28*scatter/(e.steadyRate(level)*gap)))
	return max(math.Ceil(n)-float64(len(e.recent)), 1)
}

const (
	againTail   = 0.20 // two-sided: with lowSide, the reading lies in the lowest tenth of what was expected
	againChance = 0.15 // and the chance of being below the floor within two weeks is at least this
)

// testAgain says whether the latest reading alone may be the start of a sudden fall: it is low against what was
// expected, the floor would be near if it were true, and the alarm has not been raised.
func (e *engine) testAgain(within14 float64, f flags) bool {
	return !f.bottomingOut.up && !f.bottomedOut.up && e.n >= 2 && e.lowSide && e.surprise <= againTail &&
		within14 >= againChance
}
