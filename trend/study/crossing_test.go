package study

import "math"

// settledDays is how long the level must have been above the floor for the next dip below it to be a first crossing.
// It is also how long a series must have been watched.
const settledDays = 28

// Crossing is the moment at which the true level first goes below the floor after a time above it.
type Crossing struct {
	Day    float64
	Sudden bool // it happened in a fall of 4 to 14 days
}

// Crossings are the first crossings of the series, in time order. A level that flutters about the floor crosses once.
func (s *Series) Crossings() []Crossing {
	var out []Crossing
	aboveSince := 0.0
	for i, x := range s.Level {
		day := float64(i) / perDay
		if x >= 1 {
			continue
		}
		if day-aboveSince >= settledDays {
			out = append(out, Crossing{Day: day, Sudden: s.isSudden(day)})
		}
		aboveSince = day
	}
	return out
}

func (s *Series) isSudden(day float64) bool {
	for _, sp := range s.sudden {
		if day >= sp.from && day <= sp.to+1 {
			return true
		}
	}
	return false
}

// Below says whether the true level is below the floor at any moment after from, up to and with to.
func (s *Series) Below(from, to float64) bool {
	for i := int(math.Floor(from*perDay)) + 1; i < len(s.Level) && float64(i) <= to*perDay; i++ {
		if s.Level[i] < 1 {
			return true
		}
	}
	return false
}

// nextBelow is the first moment after the day given at which the true level is below the floor; +Inf where there is
// none.
func (s *Series) nextBelow(after float64) float64 {
	for i := int(math.Floor(after*perDay)) + 1; i < len(s.Level); i++ {
		if s.Level[i] < 1 {
			return float64(i) / perDay
		}
	}
	return math.Inf(1)
}

// isBelow says whether the true level is below the floor on the day.
func (s *Series) isBelow(day float64) bool { return s.LevelAt(day) < 1 }
