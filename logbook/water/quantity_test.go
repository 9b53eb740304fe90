package water

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	for _, row := range []struct {
		v      float64
		digits int
		want   string
	}{
		{8.3, 2, "8.30"},
		{-0.004, 2, "0.00"},
		{math.Copysign(0, -1), 0, "0"},
		{-0.005, 3, "-0.005"},
		{1314, 0, "1314"},
		{1e6, 1, "1000000.0"},
		{0.00001, 3, "0.000"},
		{math.NaN(), 2, "–"},
		{math.Inf(1), 2, "∞"},
		{math.Inf(-1), 2, "-∞"},
		{2.5, -1, "2"},
		{1e14, 0, "100000000000000"},
		{1e15, 2, "1.00e+15"},
	} {
		if got := Format(row.v, row.digits); got != row.want {
			t.Errorf("Format(%v, %d) = %q, want %q", row.v, row.digits, got, row.want)
		}
	}
}

func TestFormatSignificant(t *testing.T) {
	for _, row := range []struct {
		v    float64
		n    int
		want string
	}{
		{0.03068, 3, "0.0307"},
		{12.54, 3, "12.5"},
		{1313.7, 3, "1314"},
		{9.96, 2, "10"},
		{0.0996, 2, "0.10"},
		{-0.0123, 1, "-0.01"},
		{0, 3, "0"},
		{math.NaN(), 3, "–"},
		{7, 0, "7"},
	} {
		if got := FormatSignificant(row.v, row.n); got != row.want {
			t.Errorf("FormatSignificant(%v, %d) = %q, want %q", row.v, row.n, got, row.want)
		}
	}
}

// Whatever is printed is a plain number close to what was given.
func TestFormatIsPlain(t *testing.T) {
	plain := regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		digits := rapid.IntRange(0, 6).Draw(t, "digits")
		s := Format(v, digits)
		if !plain.MatchString(s) {
			t.Fatalf("%q is not a plain number", s)
		}
		got, err := strconv.ParseFloat(s, 64)
		if err != nil || math.Abs(got-v) > 0.5*math.Pow(10, -float64(digits))+1e-9 {
			t.Fatalf("%v was printed as %s", v, s)
		}
		if got == 0 && s[0] == '-' {
			t.Fatalf("%v was printed as %s", v, s)
		}
	})
}

// Numbers in messages: what was worked out is cut to three digits, what was given is recognised.
func TestNumbersInMessages(t *testing.T) {
	for _, row := range []struct {
		v            float64
		three, given string
	}{
		{0.12345, "0.123", "0.12345"}, {1.5, "1.5", "1.5"}, {20, "20", "20"}, {2812.3, "2812", "2812.3"},
		{math.NaN(), "–", "not a number"}, {math.Inf(-1), "-∞", "infinite"}, {0, "0", "0"},
	} {
		if three, given := plain3(row.v), plain6(row.v); three != row.three || given != row.given {
			t.Errorf("%v is said %q and %q, want %q and %q", row.v, three, given, row.three, row.given)
		}
	}
}
