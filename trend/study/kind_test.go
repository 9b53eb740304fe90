package study

// Kind is what the true level of a series does.
type Kind int8

const (
	SteadyHigh   Kind = iota // well above the floor, going nowhere
	SteadyLow                // 1.6 to 2.2 floors, going nowhere
	Linear                   // falls by the same amount every day
	FirstOrder               // falls by the same fraction every day
	Sudden                   // falls within 4 to 14 days
	LevelsOff                // falls, then settles above the floor
	WaterChanged             // regular or large water changes over a steady or falling course
	Rise                     // goes up, and settles
	Sawtooth                 // a weekly rhythm over a steady or falling course
)

// kinds are all of them, in the order of the tables.
var kinds = [...]Kind{SteadyHigh, SteadyLow, Linear, FirstOrder, Sudden, LevelsOff, WaterChanged, Rise, Sawtooth}

// kindWeight is how often each kind is drawn, in the order of kinds.
var kindWeight = [...]float64{14, 14, 13, 13, 18, 9, 8, 6, 8}

func (k Kind) String() string {
	switch k {
	case SteadyHigh:
		return "steady"
	case SteadyLow:
		return "steady-low"
	case Linear:
		return "linear"
	case FirstOrder:
		return "first-order"
	case Sudden:
		return "sudden"
	case LevelsOff:
		return "levels off"
	case WaterChanged:
		return "water changes"
	case Rise:
		return "rise"
	case Sawtooth:
		return "weekly sawtooth"
	default:
		return "unknown kind"
	}
}

// Cadence is how often the keeper tests.
type Cadence int8

const (
	Weekly Cadence = iota
	TwiceWeekly
	Fortnightly
)

func (c Cadence) String() string {
	switch c {
	case Weekly:
		return "weekly"
	case TwiceWeekly:
		return "twice weekly"
	case Fortnightly:
		return "fortnightly"
	default:
		return "unknown cadence"
	}
}

// Days is the usual gap between two tests.
func (c Cadence) Days() float64 {
	switch c {
	case TwiceWeekly:
		return 3.5
	case Fortnightly:
		return 14
	default:
		return 7
	}
}

// KitClass is how well the keeper can see.
type KitClass int8

const (
	Fine   KitClass = iota // photometer: small step, scatter partly in proportion
	Coarse                 // step comparable with the floor
	Card                   // colour card: scale marks
)

func (c KitClass) String() string {
	switch c {
	case Fine:
		return "fine"
	case Coarse:
		return "coarse"
	case Card:
		return "colour card"
	default:
		return "unknown kit"
	}
}
