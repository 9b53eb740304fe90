package alerts

import (
	"math"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
	"leadline/trend"
)

// said is a finding of a parameter whose last reading was typed as text, on 4 March.
func said(t *testing.T, name, text string, value float64, b Band, as trend.Assessment) Finding {
	t.Helper()
	p := parameter(t, name)
	at := time.Date(2026, 3, 4, 9, 0, 0, 0, time.UTC)
	as.N, as.Latest, as.AsOf = 9, trend.Observation{Day: Day(at), Value: value}, Day(at)
	return Finding{Series: Series{Parameter: p, Band: b,
		Readings: []logbook.Reading{{Time: at, Text: text, Unit: p.Unit, Value: value}}},
		Assessment: as, EveryDays: 7, Due: at.AddDate(0, 0, 7)}
}

func TestHeadlines(t *testing.T) {
	asOf := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	never := math.Inf(1)
	po4 := Band{Low: 0.03, High: 0.1, Floor: 0.015}
	falls := func(p10, p50 float64) Finding {
		return said(t, "phosphate", "0.022", 0.022, po4,
			trend.Assessment{Level: 0.022, LevelLo: 0.02, LevelHi: 0.024, Floor: 0.015, FloorP10: p10, FloorP50: p50})
	}
	low := said(t, "calcium", "380", 380, Band{Low: 400, High: 420},
		trend.Assessment{Level: 381, LevelLo: 375, LevelHi: 386})
	back := low
	back.Assessment.Direction, back.Assessment.SlopeLo, back.Assessment.SlopeHi = trend.Rising, 2, 5
	above := said(t, "calcium", "402", 402, Band{Low: 400, High: 420},
		trend.Assessment{Level: 397, LevelLo: 392, LevelHi: 404})
	near, soon := above, above
	near.Assessment.Level, soon.Assessment.Level = 404, 404
	soon.Assessment.Forecast = []trend.ForecastPoint{{Days: 14, Mean: 398}}
	far := said(t, "nitrate", "20", 20, Band{Low: 3, High: 12},
		trend.Assessment{Level: 9, LevelLo: 8, LevelHi: 11, Expected: trend.Prediction{Lo: 5, Hi: 15}})
	high := said(t, "nitrate", "20", 20, Band{Low: 3, High: 12}, trend.Assessment{Level: 20, LevelLo: 18, LevelHi: 22})
	dosed := said(t, "alkalinity", "9.6", 9.6, Band{Low: 7, High: 9},
		trend.Assessment{Level: 9.6, LevelLo: 9.4, LevelHi: 9.8})
	dosed.Supply = 0.4
	reagent := Stock{Stock: logbook.Stock{Name: "phosphate reagent", Parameter: "phosphate", Unit: "tests"}, Left: 3,
		Out: RunOut{5, 9, 12}}
	for _, c := range []struct{ got, want string }{
		{falls(7, 25).bottomingOutHeadline(asOf), "phosphate 0.022, at floor about 29 Mar, maybe by 11 Mar: feed or dose"},
		{falls(0, 25).bottomingOutHeadline(asOf), "phosphate 0.022, at floor by 29 Mar, maybe there now: feed or dose"},
		{falls(0, 0).bottomingOutHeadline(asOf), "phosphate 0.022, probably at your floor 0.015 now: feed or dose"},
		{falls(7, never).bottomingOutHeadline(asOf), "phosphate 0.022, may reach floor 0.015 by 11 Mar: retest"},
		{falls(0, never).bottomingOutHeadline(asOf), "phosphate 0.022, maybe at your floor 0.015 already: retest now"},
		{falls(never, never).bottomingOutHeadline(asOf),
			"phosphate 0.022, may be falling to your floor 0.015: retest on 11 Mar"},
		{falls(0, 0).bottomedOutHeadline(asOf), "phosphate 0.022, below floor: feed or dose today, in small steps"},
		{low.bandHeadline(BandBelow, 400, asOf), "calcium 380, below your band 400–420: raise it slowly from today"},
		{high.bandHeadline(BandAbove, 12, asOf), "nitrate 20, above your band 3.0–12.0: change water this week, retest"},
		{back.bandHeadline(BandBelow, 400, asOf), "calcium 380, below your band 400–420 but rising: retest on 11 Mar"},
		{above.bandHeadline(BandBelow, 400, asOf), "calcium about 397, below your band 400–420: raise it slowly from today"},
		{near.bandHeadline(BandNearLow, 400, asOf), "calcium 402, close to your edge 400: retest on 11 Mar"},
		{soon.bandHeadline(BandNearLow, 400, asOf), "calcium 402, may fall below 400 within 14 days: retest on 11 Mar"},
		{dosed.bandHeadline(BandAbove, 9, asOf), "alkalinity 9.6, above your band 7.00–9.00: dose less from today"},
		{far.suspectHeadline(), "nitrate 20 does not fit (expected 5.0–15.0): retest now, before dosing"},
		{far.testAgainHeadline(), "nitrate reads 20 (expected 5.0–15.0): test again now"},
		{low.swingHeadline(420, 380, "in 3 days"), "calcium from 420 to 380 in 3 days: retest today, then find out why"},
		{low.overdueHeadline(20.4), "calcium test 20 days overdue (last 4 Mar): test today"},
		{low.driftHeadline(420, 408, asOf), "calcium drifted from 420 to 408 since 4 Mar: check dosing and kit now"},
		{reagent.headline(false, asOf), "phosphate reagent: 3 tests left, gone about 13 Mar: buy another"},
	} {
		if c.got != c.want || ansi.StringWidth(c.got) > HeadlineWidth {
			t.Errorf("%q\nwant %q", c.got, c.want)
		}
	}
}

// Dosing that no longer meets the demand is told, unless the level is low already, too high, or not dosed.
func TestUnmetDemand(t *testing.T) {
	asOf := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	l := said(t, "alkalinity", "7.4", 7.4, Band{Low: 7, High: 9, Floor: math.NaN()},
		trend.Assessment{Level: 7.44, LevelLo: 7.3, LevelHi: 7.6, Direction: trend.Falling, SlopePerWeek: -0.2, SlopeHi: -0.1,
			Forecast: []trend.ForecastPoint{{Days: 7, Mean: 7.24}, {Days: 14, Mean: 7.04}, {Days: 28, Mean: 6.64}}})
	first := Day(asOf) - 91
	for i, v := range []float64{8.3, 8.3, 8.3, 8.3, 8.3, 8.3, 8.3, 8.2, 8.1, 7.9, 7.8, 7.6, 7.5, 7.4} {
		l.observations = append(l.observations,
			trend.Observation{Day: first + 7*float64(i), Value: v, Lo: v - 0.05, Hi: v + 0.05, SD: 0.1, Described: true})
	}
	l.Supply, l.Inputs = 0.9, []trend.Input{{Day: first - 60, Kind: trend.Dosing, Amount: 0.9}}
	a, ok := unmetAlert(l, asOf)
	// The forecast passes 7.00 a tenth of the way from the 14th day to the 28th.
	if !ok || a.Headline != "alkalinity 7.4, at edge 7.00 about 19 Mar despite dosing: dose more" {
		t.Errorf("%v %q", ok, a.Headline)
	}
	unclear := l
	unclear.Assessment.Direction = trend.Unknown
	a, ok = unmetAlert(unclear, asOf)
	if !ok || a.Headline != "alkalinity 7.4, may be falling despite dosing: retest on 11 Mar" {
		t.Errorf("%v %q", ok, a.Headline)
	}
	if !regexp.MustCompile(`^0\.900 dKH a day is dosed, 0\.9\d\d \(0\.9\d\d–0\.9\d\d\) is taken$`).MatchString(a.Because) {
		t.Errorf("%q", a.Because)
	}
	for name, change := range map[string]func(*Finding){
		"not dosed": func(l *Finding) { l.Supply, l.Inputs = 0, nil },
		"still":     func(l *Finding) { l.observations = l.observations[:7] },
		"rising":    func(l *Finding) { l.Assessment.Direction = trend.Rising },
		"by hand": func(l *Finding) {
			l.Inputs = append(l.Inputs, trend.Input{Day: Day(asOf) - 10, Kind: trend.Dose, Amount: 0.2})
		},
		"suspect":     func(l *Finding) { l.Alerts = []Alert{{Rule: RuleSuspect}} },
		"too high":    func(l *Finding) { l.Band.High = 7.2 },
		"told before": func(l *Finding) { l.Alerts = []Alert{{Rule: RuleBelowBand}} },
	} {
		quiet := l
		change(&quiet)
		if a, ok := unmetAlert(quiet, asOf); ok {
			t.Errorf("%s: %q", name, a.Headline)
		}
	}
}

// A level that is at its floor is not told again as one below its band, nor a reading that is to be tested again as one
// that does not fit.
func TestOneFactIsOneAlert(t *testing.T) {
	po4 := Band{Low: 0.03, High: 0.1, Floor: 0.015}
	l := said(t, "phosphate", "0.004", 0.004, po4,
		trend.Assessment{Level: 0.004, LevelLo: 0.002, LevelHi: 0.006, Floor: 0.015,
			BottomedOut: true, BottomedOutSince: math.NaN(), BottomingOutSince: math.NaN(), Surprise: math.NaN()})
	asOf := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		change func(*Finding)
		want   []Rule
	}{
		{func(*Finding) {}, []Rule{RuleBottomedOut}},
		{func(l *Finding) { l.Assessment.BottomedOut = false }, []Rule{RuleBelowBand}},
		{func(l *Finding) {
			l.Assessment.BottomedOut, l.Assessment.TestAgain, l.Assessment.Surprise = false, true, 0.001
		}, []Rule{RuleTestAgain}},
	} {
		f := l
		f.BandState = BandBelow
		c.change(&f)
		f.judge(asOf)
		var got []Rule
		for _, a := range f.Alerts {
			got = append(got, a.Rule)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}

// Once a whole test has been missed, nothing is said of where the level is heading.
func TestMissedTestIsTooOldToTell(t *testing.T) {
	l := said(t, "calcium", "405", 405, Band{Low: 400, High: 420}, trend.Assessment{Level: 405, Direction: trend.Steady})
	l.Band.EveryDays = 7
	for days, want := range map[float64]string{1: "steady", 13.9: "steady", 14: "too old"} {
		l.Assessment.AsOf = l.Assessment.Latest.Day + days
		if got := l.HeadingWords(); got != want {
			t.Errorf("after %v days: %q, want %q", days, got, want)
		}
	}
}
