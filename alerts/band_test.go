package alerts

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

func TestStateIn(t *testing.T) {
	band := Band{Low: 7, High: 9, Floor: math.NaN()}
	at := func(lo, level, hi, soon float64) trend.Assessment {
		return trend.Assessment{N: 5, LevelLo: lo, Level: level, LevelHi: hi,
			Forecast: []trend.ForecastPoint{{Days: 7, Mean: level}, {Days: 14, Mean: soon}, {Days: 28, Mean: -100}}}
	}
	for _, c := range []struct {
		name string
		band Band
		a    trend.Assessment
		want BandState
	}{
		{"no band", Band{Low: math.NaN(), High: math.NaN()}, at(8, 8, 8, 8), BandNone},
		{"no reading", band, trend.Assessment{}, BandUnknown},
		{"unknown level", band, trend.Assessment{N: 3, Level: math.NaN()}, BandUnknown},
		{"inside; what comes after 14 days does not count", band, at(7.8, 8, 8.2, 8), BandInside},
		{"below", band, at(6.5, 6.9, 7.3, 6.9), BandBelow},
		{"above", band, at(8.9, 9.1, 9.3, 9.1), BandAbove},
		{"interval reaches below", band, at(6.9, 7.1, 7.3, 7.1), BandNearLow},
		{"interval reaches above", band, at(8.6, 8.9, 9.1, 8.9), BandNearHigh},
		{"forecast reaches below", band, at(7.8, 8, 8.2, 6.9), BandNearLow},
		{"forecast reaches above", band, at(7.8, 8, 8.2, 9.2), BandNearHigh},
		{"a range past both edges", band, at(6.5, 8, 9.5, 8), BandUnknown},
		{"the middle below, most of the range in the band", band, at(6, 6.9, 8.5, 6.9), BandUnknown},
		{"the middle above, most of the range not", band, at(3, 9.5, 11, 9.5), BandUnknown},
		{"only a lower edge", Band{Low: 1300, High: math.NaN()}, at(1400, 1420, 1440, 1430), BandInside},
	} {
		if got := c.band.StateIn(c.a); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// A range that has grown past an edge since the last test tells nothing of the level; one that moves there still does.
func TestAnOldReadingIsNotNearAnEdge(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	s := Series{Parameter: parameter(t, "alkalinity"), Band: Band{Low: 7, High: 9, Floor: math.NaN(), EveryDays: 3},
		Readings: []logbook.Reading{{Time: day(1)}}}
	for _, c := range []struct {
		asOf int
		soon float64
		want BandState
	}{{4, 8, BandNearLow}, {6, 8, BandUnknown}, {6, 6.8, BandNearLow}} {
		a := trend.Assessment{AsOf: Day(day(c.asOf)), N: 9, LevelLo: 6.9, Level: 8, LevelHi: 8.8,
			Forecast: []trend.ForecastPoint{{Days: 14, Mean: c.soon}}}
		if got := s.stateIn(a, math.NaN()); got != c.want {
			t.Errorf("as of %d March, in 14 days %g: %s, want %s", c.asOf, c.soon, got, c.want)
		}
	}
}

func TestBandOfConvertsItsUnit(t *testing.T) {
	low, floor := 10.0, 5.0
	tank := logbook.Tank{Name: "forereef",
		Bands: map[string]logbook.Band{"phosphate": {Low: &low, Floor: &floor, Unit: "ppb P"}}}
	b, err := BandOf(tank, parameter(t, "phosphate"))
	if err != nil {
		t.Fatal(err)
	}
	const po4 = 94.970 / 30.974 / 1000 // testdata/reference/units.json
	if math.Abs(b.Low-10*po4) > 1e-6 || math.Abs(b.Floor-5*po4) > 1e-6 || !math.IsNaN(b.High) {
		t.Errorf("band in mg/L: %+v", b)
	}
}

func TestOutsideSinceIsTheFirstOfTheRun(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	l := Finding{Series: Series{Parameter: parameter(t, "alkalinity"), Band: Band{Low: 7, High: 9, Floor: math.NaN()}},
		BandState: BandBelow, Assessment: trend.Assessment{N: 4, Level: 6.7, LevelLo: 6.5, LevelHi: 6.9}}
	for i, v := range []float64{6.8, 7.2, 6.9, 6.7} {
		l.Readings = append(l.Readings, logbook.Reading{Time: day(i + 1), Value: v, Text: "x", Unit: "dKH"})
	}
	a, ok := bandAlert(l, day(5))
	if !ok || a.Rule != RuleBelowBand || !a.Since.Equal(day(3)) {
		t.Errorf("alert %+v, want below_band since 3 March", a)
	}
}

// Near an edge is told of three readings and more, with what brings the edge near.
func TestNearAlertSaysWhy(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	line := func(n int, soon float64) Finding {
		l := Finding{Series: Series{Parameter: parameter(t, "pH"), Band: Band{Low: 7.8, High: 8.4, Floor: math.NaN()}},
			BandState: BandNearLow, EveryDays: 3, Assessment: trend.Assessment{N: n, Level: 8.1, LevelLo: 7.7, LevelHi: 8.5,
				Forecast: []trend.ForecastPoint{{Days: 14, Mean: soon}}}}
		for i := range n {
			l.Readings = append(l.Readings, logbook.Reading{Time: day(1 + i), Value: 8.1, Text: "8.1", Unit: "pH"})
		}
		return l
	}
	if a, ok := bandAlert(line(2, 8.1), day(20)); ok {
		t.Errorf("of two readings: %s", a.Headline)
	}
	for _, c := range []struct {
		soon float64
		asOf int
		want string
	}{
		{7.7, 4, "may fall below 7.80 within 14 days"},
		{8.1, 4, "close to your edge 7.80"},
	} {
		if a, ok := bandAlert(line(3, c.soon), day(c.asOf)); !ok || a.Rule != RuleNearLow ||
			!strings.Contains(a.Headline, c.want) {
			t.Errorf("as of %d March: %v %s, want %q", c.asOf, ok, a.Headline, c.want)
		}
	}
}

// With the bands of then a hindcast judges each reading by the one that held at its time; the first held before it was
// set.
func TestHindcastAsItWas(t *testing.T) {
	at := marchDay(6)
	b := supplyBook(t)
	b.NotedBy(func() time.Time { return at }, func() string { return "ann" })
	set := func(band *logbook.Band) {
		tank := logbook.Tank{Name: "forereef"}
		if band != nil {
			tank.Bands = map[string]logbook.Band{"nitrate": *band}
		}
		if _, err := b.Append(tank); err != nil {
			t.Fatal(err)
		}
	}
	number := func(v float64) *float64 { return &v }
	set(&logbook.Band{Low: number(2), High: number(9)})
	at = marchDay(12)
	set(&logbook.Band{Low: number(6), High: number(9), Floor: number(1)})
	at = marchDay(18)
	set(nil)
	p := parameter(t, "nitrate")
	for day := 1; day < 24; day++ {
		r, err := logbook.ParseReading(p, "4", "")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank = marchDay(day), "forereef"
		if _, err := b.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		if err != nil {
			return err
		}
		lines, err := Hindcast(v, tank, p, true)
		if len(lines) != 23 {
			t.Errorf("%d lines", len(lines))
		}
		for i, l := range lines {
			low := map[bool]float64{true: 2, false: 6}[i < 11]
			if i >= 17 {
				low = math.NaN()
			}
			if got := l.Band.Low; got != low && !(math.IsNaN(got) && math.IsNaN(low)) {
				t.Errorf("reading %d was judged by a band from %v, want %v", i+1, got, low)
			}
			one, err := HindcastAt(v, tank, p, l.Readings[len(l.Readings)-1].Time, true)
			if err != nil || one.BandState != l.BandState || one.Assessment.Level != l.Assessment.Level {
				t.Errorf("reading %d by itself: %v, %v", i+1, one.BandState, err)
			}
		}
		today, err2 := Hindcast(v, tank, p, false)
		for _, l := range today {
			if l.Band.Set() {
				t.Errorf("judged by a band of before: %+v", l.Band)
			}
		}
		return errors.Join(err, err2)
	})
	if err != nil {
		t.Fatal(err)
	}
}
