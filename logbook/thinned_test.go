package logbook

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// testTiers are bins of an hour, of six and of a day, so that logs of a few days have them all.
func testTiers() []Tier {
	return []Tier{{6 * time.Hour, time.Hour, 3}, {24 * time.Hour, 6 * time.Hour, 4}, {0, 24 * time.Hour, 5}}
}

// drawLog draws a log of a few days in which a probe ran for some stretches and tests were made by hand in others.
func drawLog(t *rapid.T) []Record {
	var recs []Record
	at := testTime(0, 0)
	for range rapid.IntRange(1, 6).Draw(t, "stretches") {
		gap := rapid.SampledFrom([]time.Duration{time.Minute, 10 * time.Minute, time.Hour, 5 * time.Hour,
			26 * time.Hour}).Draw(t, "gap")
		for range rapid.IntRange(1, 60).Draw(t, "readings") {
			value := float64(rapid.IntRange(1, 9).Draw(t, "value"))
			recs = append(recs, testReading("lagoon", "nitrate", at, strconv.Itoa(int(value)), value))
			at = at.Add(gap)
		}
	}
	// Neighbours in the book must never be taken for the series' own.
	return append(recs, testReading("lagoon", "calcium", at, "400", 400),
		testReading("lagoon", "phosphate", testTime(0, 0), "1", 1),
		testReading("forereef", "nitrate", at, "4", 4), testReading("sump", "nitrate", testTime(0, 0), "4", 4))
}

func thinned(t testing.TB, b *Book, from, to time.Time, most int, tiers []Tier) (rs []Reading, left bool) {
	t.Helper()
	mustView(t, b, func(v *View) (err error) {
		rs, left, err = v.Thinned("lagoon", "nitrate", from, to, most, tiers)
		return err
	})
	return rs, left
}

// TestThinned holds thinning to what it promises, by counting through the whole log.
func TestThinned(t *testing.T) {
	some, untouched := 0, 0
	for seed := range 30 {
		recs := rapid.Custom(drawLog).Example(seed)
		b := testBook(t)
		mustImport(t, b, recs...)
		var all []Reading
		mustView(t, b, func(v *View) (err error) {
			all, err = v.Readings("lagoon", "nitrate", time.Time{}, time.Time{})
			return err
		})
		until := all[len(all)*3/4].Time
		got, left := thinned(t, b, time.Time{}, until, math.MaxInt, testTiers())
		want := expectedBins(all, until, testTiers())
		checkThinned(t, fmt.Sprint("seed ", seed), got, want, left)
		if left {
			some++
		} else {
			untouched++
			last := func(n int) (rs []Reading) {
				mustView(t, b, func(v *View) (err error) {
					rs, err = v.LastReadings("lagoon", "nitrate", until, n)
					return err
				})
				return rs
			}
			few, _ := thinned(t, b, time.Time{}, until, 7, testTiers())
			diff(t, "a sparse log", got, last(len(all)))
			diff(t, "the last of a sparse log", few, last(7))
		}
		// The order in which the log was written makes no difference, nor that it goes on.
		shuffled := testBook(t)
		rand.New(rand.NewPCG(uint64(seed), 1)).Shuffle(len(recs), func(i, j int) { recs[i], recs[j] = recs[j], recs[i] })
		for chunk := range slices.Chunk(recs, 40) {
			mustImport(t, shuffled, chunk...)
		}
		again, _ := thinned(t, shuffled, time.Time{}, until, math.MaxInt, testTiers())
		diff(t, "written in another order", again, got)

		day := []Tier{{0, 24 * time.Hour, 5}}
		before, _ := thinned(t, b, time.Time{}, until, math.MaxInt, day)
		after, _ := thinned(t, b, time.Time{}, time.Time{}, math.MaxInt, day)
		midnight := until.UTC().Truncate(24 * time.Hour)
		over := func(rs []Reading) []Reading {
			return rs[:slices.IndexFunc(append(rs, Reading{Time: endTime()}), func(r Reading) bool {
				return !r.Time.Before(midnight)
			})]
		}
		diff(t, "days that are over, when the log goes on", over(after), over(before))
		middle := all[len(all)/2].Time
		window, _ := thinned(t, b, middle, until, math.MaxInt, day)
		if len(window) == 0 || window[0].Time.Before(middle) || !window[len(window)-1].Time.Equal(until) {
			t.Errorf("seed %d: a window from %v to %v gave %v", seed, middle, until, window)
		}
	}
	if some < 5 || untouched < 5 {
		t.Errorf("%d logs were thinned and %d not: the test is void", some, untouched)
	}
}

// span is a bin as the test finds it: its readings, and whether all of them are to be given.
type span struct {
	readings []Reading
	whole    bool
}

// expectedBins sorts the readings up to a moment into bins by going through all of them.
func expectedBins(all []Reading, until time.Time, tiers []Tier) (bins []span) {
	all = slices.DeleteFunc(slices.Clone(all), func(r Reading) bool { return r.Time.After(until) })
	latest := all[len(all)-1].Time
	tierOf := func(r Reading) Tier {
		for i, tier := range tiers[:len(tiers)-1] {
			if !r.Time.Before(latest.Add(-tier.Until).UTC().Truncate(tiers[i+1].Width)) {
				return tier
			}
		}
		return tiers[len(tiers)-1]
	}
	edge := func(r Reading) time.Time { return r.Time.UTC().Truncate(tierOf(r).Width) }
	for i, r := range all {
		if i == 0 || edge(r) != edge(all[i-1]) || tierOf(r) != tierOf(all[i-1]) {
			bins = append(bins, span{})
		}
		last := &bins[len(bins)-1]
		last.readings = append(last.readings, r)
		last.whole = len(last.readings) <= tierOf(r).Crowd
	}
	// The latest bin is as full as the one before it.
	now := &bins[len(bins)-1]
	width, crowd := tierOf(now.readings[0]).Width, tierOf(now.readings[0]).Crowd
	before := 0
	for _, r := range all {
		if gap := edge(now.readings[0]).Sub(r.Time); gap > 0 && gap <= width {
			before++
		}
	}
	now.whole = now.whole && (before <= crowd || len(now.readings) == 1)
	return bins
}

func checkThinned(t *testing.T, what string, got []Reading, bins []span, left bool) {
	t.Helper()
	crowded := false
	for n, b := range bins {
		var of []Reading
		for _, r := range got {
			if slices.ContainsFunc(b.readings, func(k Reading) bool { return sameRecord(k, r) }) {
				of = append(of, r)
			}
		}
		isLast := n == len(bins)-1
		switch {
		case b.whole:
			diff(t, what+": a bin that is not crowded", of, b.readings)
		case isLast:
			crowded = true
			if len(of) == 0 || len(of) > 2 || !sameRecord(of[len(of)-1], b.readings[len(b.readings)-1]) {
				t.Errorf("%s: the latest bin gave %v; want its last and one more at most", what, of)
			}
		default:
			crowded = true
			if len(of) != 1 {
				t.Errorf("%s: a crowded bin gave %v", what, of)
			}
		}
		got = got[min(len(of), len(got)):]
	}
	if len(got) > 0 || left != crowded {
		t.Errorf("%s: %d readings of no bin; left %v, want %v", what, len(got), left, crowded)
	}
}

// A probe that errs for two readings of five does not show.
func TestThinnedPassesGlitchesBy(t *testing.T) {
	b := testBook(t)
	var recs []Record
	random := rand.New(rand.NewPCG(1, 2))
	for i := range 3 * 24 * 60 {
		value := 400.0
		if random.IntN(10) == 0 {
			value = 0
		}
		recs = append(recs, testReading("lagoon", "nitrate", testTime(0, i), fmt.Sprint(value), value))
	}
	mustImport(t, b, recs...)
	got, _ := thinned(t, b, time.Time{}, time.Time{}, math.MaxInt, []Tier{{0, 6 * time.Hour, 12}})
	if len(got) < 12 {
		t.Fatalf("%d readings of three days", len(got))
	}
	glitches := 0
	for _, r := range got[:len(got)-1] {
		if r.Value == 0 {
			glitches++
		}
	}
	// Three of five independent ones: 0.0086 of the bins.
	if glitches > 1 {
		t.Errorf("%d of %d bins show a glitch", glitches, len(got))
	}
}

func TestFirstReading(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(1, 0), "4", 4),
		testReading("lagoon", "nitrate", testTime(2, 0), "5", 5),
		testReading("lagoon", "phosphate", testTime(0, 0), "1", 1))
	for _, c := range []struct {
		parameter string
		from      time.Time
		want      string
	}{
		{"nitrate", time.Time{}, "4"}, {"nitrate", testTime(1, 0), "4"}, {"nitrate", testTime(1, 1), "5"},
		{"nitrate", testTime(3, 0), ""},
		{"phosphate", testTime(1, 0), ""}, {"calcium", time.Time{}, ""},
	} {
		mustView(t, b, func(v *View) error {
			r, found, err := v.FirstReading("lagoon", c.parameter, c.from)
			if r.Text != c.want || found != (c.want != "") {
				t.Errorf("%s from %v: %q, want %q", c.parameter, c.from, r.Text, c.want)
			}
			return err
		})
	}
}

// BenchmarkSparse reads the last 400 readings of a log kept by hand, as they are and through Thinned.
func BenchmarkSparse(b *testing.B) {
	book, err := Create(b.TempDir() + "/book")
	if err != nil {
		b.Fatal(err)
	}
	var recs []Record
	for i := range 500 {
		recs = append(recs, testReading("lagoon", "nitrate", testTime(3*i, 0), "4", 4))
	}
	if _, err := book.Import(recs); err != nil {
		b.Fatal(err)
	}
	b.Run("last", func(b *testing.B) {
		for b.Loop() {
			mustView(b, book, func(v *View) error {
				_, err := v.LastReadings("lagoon", "nitrate", time.Time{}, 400)
				return err
			})
		}
	})
	b.Run("thinned", func(b *testing.B) {
		tiers := []Tier{{56 * 24 * time.Hour, 24 * time.Hour, 12}, {0, 7 * 24 * time.Hour, 84}}
		for b.Loop() {
			thinned(b, book, time.Time{}, time.Time{}, 400, tiers)
		}
	})
}

// BenchmarkThinned reads what an examination reads of a log of a reading a minute. What it costs must hardly depend on
// the length of the log.
func BenchmarkThinned(b *testing.B) {
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			book, err := Create(b.TempDir() + "/book")
			if err != nil {
				b.Fatal(err)
			}
			var bt Batch
			for i := range n {
				r := testReading("lagoon", "nitrate", testTime(0, i), "4", 4)
				if err := bt.Add(&r); err != nil {
					b.Fatal(err)
				}
			}
			if _, err := book.ImportBatch(&bt); err != nil {
				b.Fatal(err)
			}
			tiers := []Tier{{48 * time.Hour, 6 * time.Hour, 12}, {56 * 24 * time.Hour, 24 * time.Hour, 12},
				{0, 7 * 24 * time.Hour, 84}}
			given := 0
			for b.Loop() {
				rs, _ := thinned(b, book, time.Time{}, time.Time{}, 400, tiers)
				given = len(rs)
			}
			b.ReportMetric(float64(given), "readings")
		})
	}
}
