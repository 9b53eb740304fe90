package study

import "math/rand/v2"

// grossShare is the chance that a reading is a blunder.
const grossShare = 0.015

// blunder is what a slip makes of a true concentration: a unit confused, a decimal point moved, or a test gone wrong.
// The factors of the unit slips are ratios of molar masses; how often each happens is common practice, no source.
func blunder(r *rand.Rand, conc float64, phosphate bool) float64 {
	unit := 4.4266 // nitrate-nitrogen as nitrate
	if phosphate {
		unit = 3.0661 // phosphorus as phosphate
	}
	switch r.IntN(6) {
	case 0:
		return conc * unit
	case 1:
		return conc / unit
	case 2:
		return conc * 10
	case 3:
		return conc / 10
	default:
		return conc * loguniform(r, 0.15, 5)
	}
}
