package water

import (
	"math"
	"strconv"
	"strings"
)

// Format prints a value with a fixed number of decimals, for people: never "-0.00", never an exponent for sizes met in
// water, "–" for NaN and "∞" for an infinity. Negative digits count as none.
func Format(v float64, digits int) string {
	digits = max(digits, 0)
	switch {
	case math.IsNaN(v):
		return "–"
	case math.IsInf(v, 1):
		return "∞"
	case math.IsInf(v, -1):
		return "-∞"
	case math.Abs(v) >= 1e15:
		return strconv.FormatFloat(v, 'e', digits, 64)
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// FormatSignificant prints a value to so many significant digits without an exponent and without decimals that say
// nothing: 0.0307, 12.5, 1310. Trailing zeros after the point are kept, since they are significant; a whole number is
// not rounded to tens.
func FormatSignificant(v float64, significant int) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return Format(v, 0)
	}
	return Format(v, max(significant, 1)-1-magnitude(v, significant))
}

// FormatAtMost is FormatSignificant without zeros at the end of decimals: what was worked out is shown as finely as it
// is known, and what was typed as it was typed.
func FormatAtMost(v float64, significant int) string {
	s := FormatSignificant(v, significant)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// magnitude is the power of ten of the first digit of v, once it is rounded to so many digits: 9.96 to two digits is
// 10.
func magnitude(v float64, significant int) int {
	mantissa := strconv.FormatFloat(math.Abs(v), 'e', max(significant, 1)-1, 64)
	_, exponent, _ := strings.Cut(mantissa, "e")
	n, err := strconv.Atoi(exponent)
	if err != nil {
		panic("water: strconv printed an exponent that is no number: " + mantissa)
	}
	return n
}
