package trend

// Direction is where the true level is heading.
type Direction int8

const (
	Unknown Direction = iota // too few readings to tell
	Steady
	Rising
	Falling
)

func (d Direction) String() string {
	return [...]string{Unknown: "unknown", Steady: "steady", Rising: "rising", Falling: "falling"}[d]
}

// ForecastPoint is the true level some days after the as-of moment, inputs going on as they are.
type ForecastPoint struct {
	Days   float64 // after as-of
	Mean   float64 // canonical unit; the median, which goes with the day by which the floor is as likely reached as not
	Lo, Hi float64 // 80 % interval of the true level (not of the next reading)
	Below  float64 // chance of being below the floor then; NaN without one
}

// Assessment is all that the readings up to a moment say. Every number is NaN where it is unknown; floor dates are
// +Inf where the chance is not reached within Horizon days.
type Assessment struct {
	AsOf   float64     // day
	N      int         // readings at or before AsOf that were used
	Latest Observation // the last of them; zero when N is 0

	Level, LevelLo, LevelHi float64 // true level at AsOf, 80 % interval
	// net slope at AsOf per week, given that it moves as Direction says; 80 % interval
	SlopePerWeek, SlopeLo, SlopeHi float64
	// what goes in per day at AsOf: standing dosing; regular doses and water changes, on average
	Supply, Regular float64
	Rolling         Rolling
	Direction       Direction

	Floor                               float64
	PFloor14, PFloor28, PFloor42        float64 // chance of being below the floor on any day from AsOf to then
	FloorP10, FloorP50, FloorP90        float64 // days after AsOf by which that chance reaches 10, 50, 90 %
	FallsPerYear                        float64 // falls that begin in a year of a tank like this, as the chances assume
	Forecast                            []ForecastPoint
	BottomingOut, BottomedOut           bool
	BottomingOutSince, BottomedOutSince float64 // day of the reading that raised it; NaN when not raised
	TestAgain                           bool    // one low reading that may be the start of a sudden fall: test again now
	// days after AsOf by which to test again so that the chance of an unseen crossing stays under 10 %
	NextTest float64

	// two-sided chance, under what the earlier readings predict, of a latest reading as far out as this one; NaN when it
	// cannot be said
	Surprise float64
	Expected Prediction // what the earlier readings predicted for the latest one
	Notes    []Note
}

// Prediction is what a further reading by the same method would show.
type Prediction struct {
	Mean   float64
	Lo, Hi float64 // 95 % interval of the next reading (level, method and all)
}

// Horizon is how far ahead floor dates are looked for, in days.
const Horizon = 120
