package alerts

import (
	"math"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// tested is a line with weekly observations of the given values, the last on day 100.
func tested(t *testing.T, name string, sd float64, every float64, values ...float64) Finding {
	t.Helper()
	l := Finding{Series: Series{Parameter: parameter(t, name),
		Band: Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}}}
	for i, v := range values {
		day := 100 - every*float64(len(values)-1-i)
		l.observations = append(l.observations, trend.Observation{Day: day, Value: v, Lo: v, Hi: v, SD: sd, Described: true})
		l.Readings = append(l.Readings, logbook.Reading{Time: TimeOf(day, time.UTC), Value: v,
			Text: words.Number(l.Parameter, v), Unit: l.Parameter.Unit})
	}
	return l
}

func TestSwing(t *testing.T) {
	asOf := TimeOf(101, time.UTC)
	for _, c := range []struct {
		name string
		l    Finding
		want bool
	}{
		// 2 dKH in a day, spread sqrt(2)*0.1*1.28 = 0.18: at least 1.8 dKH a day, over the 0.5 of the parameter.
		{"alkalinity jumps", tested(t, "alkalinity", 0.1, 1, 8, 10), true},
		{"alkalinity falls as far", tested(t, "alkalinity", 0.1, 1, 10, 8), true},
		{"the same over a week is careful", tested(t, "alkalinity", 0.1, 7, 8, 10), false},
		{"a coarse kit explains it", tested(t, "alkalinity", 1, 1, 8, 10), false},
		{"a repeat of the same hour", tested(t, "alkalinity", 0.1, 0.1, 8, 10), false},
		{"nitrate falls by half in a day", tested(t, "nitrate", 0.1, 1, 10, 5), true},
		{"nitrate falls by a fifth in a day", tested(t, "nitrate", 0.1, 1, 10, 8), false},
		{"one reading", tested(t, "alkalinity", 0.1, 1, 8), false},
	} {
		if _, got := swingAlert(c.l, asOf); got != c.want {
			t.Errorf("%s: alert %v, want %v", c.name, got, c.want)
		}
	}
	if _, got := swingAlert(tested(t, "alkalinity", 0.1, 1, 8, 10), TimeOf(120, time.UTC)); got {
		t.Error("a swing of three weeks ago still alerts")
	}
}

func TestDriftAlert(t *testing.T) {
	settled := []float64{410, 412, 408, 411, 409, 410, 412, 408, 411, 409, 410, 411}
	recent := func(v float64) []float64 { return append(append([]float64{}, settled...), v, v, v, v, v, v) }
	asOf := TimeOf(101, time.UTC)
	if a, ok := driftAlert(tested(t, "calcium", 3, 7, recent(440)...), asOf); !ok || a.Rule != RuleDrift {
		t.Errorf("30 mg/L above a settled level for six weeks: %+v, %v", a, ok)
	}
	if a, ok := driftAlert(tested(t, "calcium", 3, 7, recent(412)...), asOf); ok {
		t.Errorf("2 mg/L above it: %+v", a)
	}
	falling := tested(t, "calcium", 3, 7, 470, 465, 460, 455, 450, 445, 440, 435, 430, 425, 420, 415, 380, 380, 380, 380,
		380, 380)
	if a, ok := driftAlert(falling, asOf); ok {
		t.Errorf("a level that was falling all the time had nothing settled to leave: %+v", a)
	}
	outside := tested(t, "calcium", 3, 7, recent(440)...)
	outside.Alerts = []Alert{{Rule: RuleAboveBand}}
	if _, ok := driftAlert(outside, asOf); ok {
		t.Error("a drift beside a graver alert about the same level")
	}
}
