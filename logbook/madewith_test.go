package logbook

import (
	"slices"
	"testing"
	"time"
)

// Each query gives what a filter of all readings gives.
func TestMadeWith(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"}, Tank{Name: "forereef"})
	methods := []string{"probe", "probe", "kit", "", "probe"}
	var all []Record
	for i := range 60 {
		r := testReading("lagoon", "nitrate", testTime(i, 0), "4", 4)
		r.Method = methods[i*7%len(methods)]
		all = append(all, r)
	}
	other := testReading("forereef", "nitrate", testTime(10, 0), "4", 4)
	other.Method = "kit"
	mustAppend(t, b, append(all, other)...)

	times := func(rs []Reading) (ts []time.Time) {
		for _, r := range rs {
			ts = append(ts, r.Time.UTC())
		}
		return ts
	}
	wanted := func(method string, from, to time.Time) (rs []Reading) {
		for _, rec := range all {
			if r := rec.(Reading); !r.Time.Before(from) && !r.Time.After(to) && (method == "" || r.Method == method) {
				rs = append(rs, r)
			}
		}
		return rs
	}
	from, to := testTime(5, 0), testTime(50, 0)
	mustView(t, b, func(v *View) error {
		for _, method := range []string{"", "kit", "probe", "never used"} {
			for _, n := range []int{0, 1, 7, 100} {
				got, err := v.MadeWith("lagoon", "nitrate", method, from, to, n)
				if err != nil {
					return err
				}
				want := wanted(method, from, to)
				if want = want[:min(n, len(want))]; !slices.Equal(times(got), times(want)) {
					t.Errorf("first %d of %q: %v, want %v", n, method, times(got), times(want))
				}
				got, err = v.LastMadeWith("lagoon", "nitrate", method, to, n, 30)
				if err != nil {
					return err
				}
				want = wanted(method, testTime(21, 0), to) // the last 30 readings
				if want = want[max(0, len(want)-n):]; !slices.Equal(times(got), times(want)) {
					t.Errorf("last %d of %q: %v, want %v", n, method, times(got), times(want))
				}
			}
		}
		return nil
	})
}
