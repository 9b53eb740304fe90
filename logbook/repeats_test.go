package logbook

import "testing"

func TestMean(t *testing.T) {
	for _, c := range []struct{ typed, mean, repeats string }{
		{"4.2", "4.2", ""},
		{"<0.02", "<0.02", ""},
		{"< 0.02", "< 0.02", ""},
		{"4.2 4.4 4.1", "4.23", "mean of 4.2, 4.4, 4.1, spread 0.3"},
		{"8 9", "8.5", "mean of 8, 9, spread 1"},
	} {
		mean, repeats, err := Mean(c.typed)
		if err != nil || mean != c.mean || repeats != c.repeats {
			t.Errorf("%q: %q, %q, %v; want %q, %q", c.typed, mean, repeats, err, c.mean, c.repeats)
		}
	}
	for _, typed := range []string{"4.2 <4", "4.2 x", "4.2 -"} {
		if _, _, err := Mean(typed); err == nil {
			t.Errorf("%q was averaged", typed)
		}
	}
}
