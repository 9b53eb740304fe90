package trend

import "math"

// The thresholds of the flags, chances. A flag is raised at the higher and cleared under the lower, so that a chance that
// hovers does not make it flap. Chosen on simulated series so that bottoming out is raised in vain about once in two
// years of a tank.
const (
	raiseBottomingOut = 0.37
	clearBottomingOut = 0.27
	raiseBottomedOut  = 0.80
	clearBottomedOut  = 0.40
)

// flags are the two states that have a memory, and since when: the day of the reading that raised them, NaN when down.
type flags struct {
	bottomingOut, bottomedOut           bool
	bottomingOutSince, bottomedOutSince float64
}

func noFlags() flags {
	return flags{bottomingOutSince: math.NaN(), bottomedOutSince: math.NaN()}
}

// decide is the flags after a moment with the given chances.
func (was flags) decide(c floorChances, day float64) flags {
	now := was
	now.bottomingOut, now.bottomingOutSince = hold(was.bottomingOut, was.bottomingOutSince,
		c.soon, raiseBottomingOut, clearBottomingOut, day)
	now.bottomedOut, now.bottomedOutSince = hold(was.bottomedOut, was.bottomedOutSince,
		c.now, raiseBottomedOut, clearBottomedOut, day)
	return now
}

// hold raises at one threshold and clears under another.
func hold(was bool, since, chance, raise, clear, day float64) (bool, float64) {
	switch {
	case !was && chance >= raise:
		return true, day
	case was && chance < clear:
		return false, math.NaN()
	default:
		return was, since
	}
}

const (
	fewestReadings = 3    // for a direction
	directionShare = 0.65 // of the slope's distribution on one side of the relevant rate
	relevantRate   = 0.35 // wobbles per week: slower than this is steady for all purposes
)

// direction is where the level is heading.
func (e *engine) direction(s slopeSpread, level float64) Direction {
	if e.n < fewestReadings || e.numbers == 0 {
		return Unknown
	}
	rate := relevantRate * wobbleOf(e.set) * level / 7
	falling, rising := s.below(-rate), 1-s.below(rate)
	switch {
	case falling >= directionShare:
		return Falling
	case rising >= directionShare:
		return Rising
	case 1-falling-rising >= directionShare:
		return Steady
	default:
		return Unknown
	}
}

const (
	againTail   = 0.20 // the latest reading is lower than all but a tenth of what was expected
	againChance = 0.15 // and the chance of being below the floor within two weeks is at least this
)

// testAgain says whether the latest reading alone may be the start of a sudden fall: it is low against what was expected,
// the floor would be near if it were true, and the alarm has not been raised.
func (e *engine) testAgain(within14 float64, f flags) bool {
	return !f.bottomingOut && !f.bottomedOut && e.n >= 2 && e.lowSide && e.surprise <= againTail && within14 >= againChance
}
