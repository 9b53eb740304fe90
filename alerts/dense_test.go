package alerts

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// probeLog is what a probe wrote in a tank: the level, a swing by day and night, and noise, every few minutes.
type probeLog struct {
	parameter    string
	level        float64
	swing, noise float64
	low, high    float64
	every        time.Duration
	days         int
	then         func(daysAgo float64) float64 // added to the level; nil: nothing
}

var probeEnd = time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC)

func (l probeLog) book(t testing.TB) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "probe.book"))
	if err != nil {
		t.Fatal(err)
	}
	var bt logbook.Batch
	if err := bt.Add(logbook.Tank{Name: "lagoon",
		Bands: map[string]logbook.Band{l.parameter: {Low: &l.low, High: &l.high}}}); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(5, uint64(l.days)))
	for at := probeEnd.AddDate(0, 0, -l.days); !at.After(probeEnd); at = at.Add(l.every) {
		v := l.level + l.swing*math.Sin(2*math.Pi*Day(at)) + l.noise*random.NormFloat64()
		if l.then != nil {
			v += l.then(Day(probeEnd) - Day(at))
		}
		v = math.Round(100*v) / 100
		r := logbook.Reading{Time: at, Tank: "lagoon", Parameter: l.parameter, Text: strconv.FormatFloat(v, 'f', 2, 64),
			Unit: "", Value: v, Method: "probe"}
		if err := bt.Add(&r); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.ImportBatch(&bt); err != nil {
		t.Fatal(err)
	}
	return b
}

func (l probeLog) at(t testing.TB, b *logbook.Book, asOf time.Time) (line Finding) {
	t.Helper()
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("lagoon")
		if err != nil {
			return err
		}
		p, err := v.Parameter(l.parameter)
		if err != nil {
			return err
		}
		line, err = ExamineParameter(v, tank, p, asOf, 0)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return line
}

func probeLogs() []probeLog {
	return []probeLog{
		{parameter: "temperature", level: 25.3, swing: 0.4, noise: 0.03, low: 24.5, high: 26.5, every: 5 * time.Minute,
			days: 100},
		{parameter: "pH", level: 8.15, swing: 0.12, noise: 0.01, low: 7.9, high: 8.4, every: 5 * time.Minute, days: 100},
		{parameter: "salinity", level: 35, swing: 0, noise: 0.05, low: 34, high: 36, every: 5 * time.Minute, days: 100},
	}
}

func rules(l Finding) (names []Rule) {
	for _, a := range l.Alerts {
		names = append(names, a.Rule)
	}
	return names
}

// In a tank in which nothing happens but day and night, a probe's log raises no alert and shows no direction, whatever
// the hour at which it is asked; once in ten days the slope of the morning may leave it open.
func TestQuietDenseLogIsQuiet(t *testing.T) {
	for _, log := range probeLogs() {
		b, open := log.book(t), 0
		for hour := 0; hour < 24*10; hour += 5 {
			asOf := probeEnd.Add(-time.Duration(hour)*time.Hour - 7*time.Minute)
			l := log.at(t, b, asOf)
			if l.Assessment.Direction == trend.Unknown {
				open++
			}
			if moves := l.Assessment.Direction == trend.Falling || l.Assessment.Direction == trend.Rising; len(l.Alerts) > 0 ||
				moves ||
				l.BandState != BandInside || open > 1 {
				t.Errorf("%s at %v: %v, %v, %s", log.parameter, asOf, rules(l), l.Assessment.Direction, l.BandState)
			}
			if last := l.latestTime(); asOf.Sub(last) >= log.every {
				t.Errorf("%s at %v: the latest reading is of %v", log.parameter, asOf, last)
			}
		}
	}
}

// A heater that fails, a hand that slips with the salt: a step of more than a careful day's change is an alert within
// two hours, and the level has gone most of the way within a day and a half.
func TestStepInADenseLogIsSeen(t *testing.T) {
	for _, c := range []struct {
		log  int
		step float64
	}{{0, -2}, {0, 2}, {0, -1.4}, {1, -0.4}, {1, 0.4}, {2, -2}, {2, 1.5}} {
		log := probeLogs()[c.log]
		log.then = func(daysAgo float64) float64 {
			if daysAgo < 2 {
				return c.step
			}
			return 0
		}
		b := log.book(t)
		after := func(hours int) Finding {
			return log.at(t, b, probeEnd.AddDate(0, 0, -2).Add(time.Duration(hours)*time.Hour))
		}
		if l := after(2); !strings.Contains(strings.Join(texts(l.Alerts), "\n"), "since yesterday") {
			t.Errorf("%s, a step of %v: after two hours the alerts are %v", log.parameter, c.step, texts(l.Alerts))
		}
		// From then on there is no hour at which all seems well, unless the new level lies in the band.
		for hour := 2; hour < 48; hour++ {
			l := after(hour)
			if beyond := l.probe.shows(); len(l.Alerts) == 0 && (beyond < log.low || beyond > log.high) {
				t.Errorf("%s, a step of %v: nothing is said after %d hours, of %v", log.parameter, c.step, hour, beyond)
			}
		}
		moved := after(36).Assessment.Level - log.level
		if share := moved / c.step; share < 0.5 || share > 2 {
			t.Errorf("%s, a step of %v: after a day and a half the level has moved by %v", log.parameter, c.step, moved)
		}
	}
}

func texts(as []Alert) (ts []string) {
	for _, a := range as {
		ts = append(ts, a.Headline)
	}
	return ts
}

// One wild value as the latest of a dense log is no alert, and hardly moves the level.
func TestGlitchInADenseLogIsNoAlert(t *testing.T) {
	for _, log := range probeLogs() {
		b := log.book(t)
		before := log.at(t, b, probeEnd)
		wild := logbook.Reading{Time: probeEnd.Add(time.Minute), Tank: "lagoon", Parameter: log.parameter, Text: "10",
			Value: 10, Method: "probe"}
		if _, err := b.Append(wild); err != nil {
			t.Fatal(err)
		}
		l := log.at(t, b, wild.Time)
		if r := l.Readings[len(l.Readings)-1]; r.Text != "10" {
			t.Errorf("%s: the latest reading is %s", log.parameter, r.Text)
		}
		if moved := math.Abs(l.Assessment.Level - before.Assessment.Level); len(l.Alerts) > 0 ||
			moved > 0.01*before.Assessment.Level {
			t.Errorf("%s: alerts %v, and the level moved by %v", log.parameter, texts(l.Alerts), moved)
		}
	}
}

// What is said of a dense log rests on its whole span, says on what, and is no surer than what one reading a day would
// give.
func TestDenseLogIsNoSurerThanADailyOne(t *testing.T) {
	for _, log := range probeLogs() {
		log.swing = 0 // which one reading at noon would not see
		dense := log.at(t, log.book(t), probeEnd)
		log.every = 24 * time.Hour
		daily := log.at(t, log.book(t), probeEnd)
		if !dense.Thinned || daily.Thinned {
			t.Fatalf("%s: thinned: %v and %v", log.parameter, dense.Thinned, daily.Thinned)
		}
		width := func(l Finding) float64 { return l.Assessment.LevelHi - l.Assessment.LevelLo }
		if ratio := width(dense) / width(daily); ratio < 0.75 || ratio > 1.5 {
			t.Errorf("%s: the level is known to %v of a minute log and to %v of a daily one", log.parameter, width(dense),
				width(daily))
		}
		if n, span := dense.Assessment.N, probeEnd.Sub(dense.Readings[0].Time); n > 80 || span < 90*day {
			t.Errorf("%s: rests on %d readings of %v", log.parameter, n, span)
		}
		said := strings.Join(dense.Reasons(probeEnd), "\n")
		if !strings.Contains(said, "chosen from a dense log") ||
			strings.Contains(strings.Join(daily.Reasons(probeEnd), "\n"), "chosen") {
			t.Errorf("%s: %s", log.parameter, said)
		}
	}
}

// A probe that has stopped writing is missed after two days.
func TestSilentProbeIsMissed(t *testing.T) {
	log := probeLogs()[0]
	b := log.book(t)
	if l := log.at(t, b, probeEnd); l.EveryDays != 1 || !l.Due.IsZero() {
		t.Errorf("while it writes a test is due every %v days, on %v", l.EveryDays, l.Due)
	}
	if l := log.at(t, b, probeEnd.Add(47*time.Hour)); l.EveryDays != 1 || len(l.Alerts) > 0 {
		t.Errorf("after 47 hours: every %v days, %v", l.EveryDays, rules(l))
	}
	if l := log.at(t, b, probeEnd.Add(49*time.Hour)); len(l.Alerts) != 1 || l.Alerts[0].Rule != RuleOverdue {
		t.Errorf("after 49 hours: %v", rules(l))
	}
}

// The line of HindcastAt is that of Hindcast, where a log is not dense.
func TestHindcastAt(t *testing.T) {
	log := probeLogs()[2]
	log.every, log.days = 3*24*time.Hour, 90
	err := log.book(t).View(func(v *logbook.View) error {
		tank, err := v.Tank("lagoon")
		if err != nil {
			return err
		}
		lines, err := Hindcast(v, tank, parameter(t, log.parameter), false)
		if err != nil || len(lines) != 31 {
			t.Fatalf("%d lines, %v", len(lines), err)
		}
		for i, l := range lines {
			at, err := HindcastAt(v, tank, l.Parameter, l.latestTime(), false)
			if err != nil {
				return err
			}
			a, b := at.Assessment, l.Assessment
			if a.Level != b.Level || a.N != b.N || a.Direction != b.Direction || at.BandState != l.BandState ||
				len(at.Readings) != i+1 {
				t.Errorf("line %d: level %v of %d readings, and %v of %d", i, a.Level, a.N, b.Level, b.N)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// BenchmarkExamine examines one parameter, of a log of a year with a reading a week and with one a minute.
func BenchmarkExamine(b *testing.B) {
	for _, every := range []time.Duration{7 * day, time.Minute} {
		b.Run(every.String(), func(b *testing.B) {
			log := probeLogs()[0]
			log.every, log.days = every, 365
			book := log.book(b)
			n := 0
			for b.Loop() {
				n = log.at(b, book, probeEnd).Assessment.N
			}
			b.ReportMetric(float64(n), "readings")
		})
	}
}

// The view without a model rests on every reading of its window, also where an answer rests on the last 400, and of a
// probe's log on one of each day, over the whole window.
func TestRollingViewRestsOnItsWindow(t *testing.T) {
	for _, c := range []struct {
		every  time.Duration
		window float64
		n      int
	}{
		{2 * time.Hour, 0, 56 * 12}, {2 * time.Hour, 90, 90 * 12}, {7 * time.Minute, 0, 57}, {24 * time.Hour, 0, 56},
	} {
		log := probeLogs()[2]
		log.every = c.every
		log.then = func(daysAgo float64) float64 { return -0.01 * daysAgo }
		b := log.book(t)
		err := b.View(func(v *logbook.View) error {
			tank, err := v.Tank("lagoon")
			if err != nil {
				return err
			}
			l, err := ExamineParameter(v, tank, parameter(t, log.parameter), probeEnd, c.window)
			if err != nil {
				return err
			}
			r := l.Assessment.Rolling
			if r.N != c.n || math.Abs(r.SlopePerWeek-0.07) > 0.01 {
				t.Errorf("every %v: %v a week of %d readings in %v days, want 0.07 of %d", c.every, r.SlopePerWeek, r.N,
					r.WindowDays, c.n)
			}
			if l.Assessment.N > MaxReadings {
				t.Errorf("every %v: the answer rests on %d readings", c.every, l.Assessment.N)
			}
			if c.n < 60 {
				return nil
			}
			all, err := v.Readings("lagoon", log.parameter, probeEnd.Add(-time.Duration(r.WindowDays*dayNanos)+1), probeEnd)
			var at, y []float64
			for _, one := range all {
				at, y = append(at, Day(one.Time)), append(y, one.Value)
			}
			if exact, _ := trend.RankTrend(at, y); 7*exact.Slope != r.SlopePerWeek {
				t.Errorf("every %v: %v a week, and of all readings of the window %v", c.every, r.SlopePerWeek, 7*exact.Slope)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// What is said of the course so far is that of the whole window, not of its last 400 readings.
func TestCourseIsThatOfTheWindow(t *testing.T) {
	log := probeLogs()[2]
	log.every, log.noise = 2*time.Hour, 0.02
	log.then = func(daysAgo float64) float64 { // fell until 33 days ago, and rises a little since
		return math.Max(0.05*(daysAgo-33), 0.004*(33-daysAgo))
	}
	l := log.at(t, log.book(t), probeEnd)
	if said := strings.Join(l.Reasons(probeEnd), "\n"); l.Assessment.Rolling.SlopePerWeek > 0 ||
		!strings.Contains(said, "it fell over the last 56 days") {
		t.Errorf("%s", said)
	}
}
